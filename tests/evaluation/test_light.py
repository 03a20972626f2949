"""The dose of light that samples met, and what may be said of it."""

from __future__ import annotations

from dataclasses import replace

from stability.evaluation.light import LightMet, light_met
from stability.model.attribute import Attribute
from stability.model.limit import Limit
from tests.evaluation.builders import Bench, protocol, sample

DOSE = Attribute("dose", "measured", unit="lx·h", limit=Limit(recorded_only=True))
NEAR = replace(DOSE, name="ultraviolet", unit="W·h/m²")
CODES = ("HDC-001-A", "HDC-002-B")


def lit(*read: tuple[str, str, str, str]) -> Bench:
    """Return two jars at a window, with doses read of them."""
    made = Bench(
        [sample(code, "WINDOW") for code in CODES],
        protocol=protocol(attributes={"dose": DOSE, "ultraviolet": NEAR}),
    )
    for code in CODES:
        made.place(code, "WINDOW")
    for code, name, value, done in read:
        made.read(code, name, None, value, done=done)
    return made


def met(*read: tuple[str, str, str, str]) -> tuple[LightMet, ...]:
    """Return the doses of light."""
    return light_met(lit(*read).record())


def test_no_dose_that_was_only_meant_is_said_to_be_met() -> None:
    assert met() == ()
    assert met(("HDC-001-A", "dose", ">1000000", "2025-02-07")) == ()


def test_a_share_of_each_dose_is_told_and_whether_both_are_reached() -> None:
    (one,) = met(
        ("HDC-001-A", "dose", "600000", "2025-02-07"),
        ("HDC-001-A", "ultraviolet", "250", "2025-02-07"),
    )

    # 600 000 of 1.2 million lx·h and 250 of 200 W·h/m²: ICH Q1B, 1996, II.C.
    assert one.text == (
        "Light under WINDOW: 600000 lx·h, 50 % of the visible light of ICH Q1B; 250 "
        "W·h/m², 125 % of the near ultraviolet of ICH Q1B. The dose of that guideline "
        "for medicines, 1.2 million lx·h and 200 W·h/m², is not reached."
    )


def test_both_doses_reached_are_said_to_be() -> None:
    (one,) = met(
        ("HDC-001-A", "dose", "1200000", "2025-02-07"),
        ("HDC-001-A", "ultraviolet", "200", "2025-02-07"),
    )

    assert one.text.endswith("is reached.")


def test_the_last_reading_of_a_jar_counts_and_of_several_jars_the_least() -> None:
    (one,) = met(
        ("HDC-001-A", "dose", "600000", "2025-01-24"),
        ("HDC-001-A", "dose", "1300000", "2025-02-07"),
        ("HDC-002-B", "dose", "900000", "2025-02-07"),
    )

    assert (one.samples, one.dose.lux_hours) == (2, 900000)
    assert "the least of 2 samples: 900000 lx·h, 75 %" in one.text
    assert "near ultraviolet not measured" in one.text


def test_a_dose_set_aside_was_not_met() -> None:
    made = lit(("HDC-001-A", "dose", "600000", "2025-02-07"))
    made.invalidate(len(made.drafts), "meter covered", "2025-02-08")

    assert light_met(made.record()) == ()


def test_the_dose_stands_among_the_cautions_of_every_report() -> None:
    made = lit(("HDC-001-A", "dose", "600000", "2025-02-07"))
    texts = {one.code: one.text for one in made.evaluate("2025-02-10").cautions}

    assert "50 % of the visible light of ICH Q1B" in texts["light-dose-measured"]
    assert "light-dose-measured" not in {
        one.code for one in lit().evaluate("2025-02-10").cautions
    }
