"""Conditions beside their comparisons, check by check."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from stability.evaluation.series import Comparison
from stability.model.study import Sample
from tests.evaluation.builders import Bench, sample


def bench(*samples: Sample) -> Bench:
    """Return a bench with samples placed where they belong."""
    made = Bench(samples)
    for one in samples:
        made.place(one.code, one.condition or "")
    return made


def smell(made: Bench, words: dict[str, str], check: str, done: str) -> None:
    """Log one word for each sample."""
    for code, word in words.items():
        made.read(code, "odour", check, f"Ana:{word}", done=done)


def kinds(found: Sequence[Comparison]) -> list[tuple[str, str, str]]:
    """Return what was compared with what."""
    return [(one.kind, one.condition, one.against) for one in found]


@pytest.mark.parametrize(
    ("treated", "twin", "outcome", "says"),
    [
        ("changed", "as control", "worse", "worse than the untreated twin"),
        ("changed", "changed", "same", "the untreated twin shows it too"),
        ("as control", "as control", "same", "no change seen"),
        ("as control", "changed", "better", "the untreated twin is worse"),
    ],
)
def test_cycled_samples_stand_beside_their_untreated_twins(
    treated: str, twin: str, outcome: str, says: str
) -> None:
    made = bench(
        sample("HDC-001-A", "FT"),
        sample("HDC-002-B", "ROOM", twin_of="FT", checks=("c1", "c3")),
    )
    smell(made, {"HDC-001-A": treated, "HDC-002-B": twin}, "c3", "2025-01-16")

    (found,) = made.evaluate("2025-02-01").comparisons

    assert found.kind == "cycles and untreated twin"
    assert (found.samples, found.against_samples) == (("HDC-001-A",), ("HDC-002-B",))
    assert found.outcome == outcome
    assert found.statement.endswith(says)


def test_light_stands_beside_its_dark_twin() -> None:
    made = bench(sample("HDC-001-A", "WINDOW"), sample("HDC-002-B", "FOIL"))
    words = {"HDC-001-A": "changed", "HDC-002-B": "as control"}
    smell(made, words, "4w", "2025-02-07")

    found = made.evaluate("2025-02-08").comparisons

    assert kinds(found) == [("light and dark twin", "WINDOW", "FOIL")]
    assert (
        found[0].statement == "“changed” beside “as control”; worse than the dark twin"
    )


def test_every_other_condition_stands_beside_the_cold_control_at_shared_checks() -> (
    None
):
    made = bench(sample("HDC-001-A", "T40"), sample("HDC-002-B", "COLD"))
    for check, done in (("2w", "2025-01-24"), ("4w", "2025-02-07")):
        made.read("HDC-001-A", "pH", check, "5.30", done=done)
    made.read("HDC-002-B", "pH", "4w", "5.42", done="2025-02-07")

    (found,) = made.evaluate("2025-02-08").comparisons

    assert kinds([found]) == [("cold control", "T40", "COLD")]
    assert found.check == "4w"
    assert float(found.difference or 0) == pytest.approx(-0.12)
    assert (found.text, found.against_text, found.outcome) == ("5.30", "5.42", "lower")
    assert found.statement.startswith("difference -0.12;")


def test_batches_and_packs_are_not_mixed() -> None:
    made = bench(sample("HDC-001-A", "T40"), sample("HDC-002-B", "COLD", pack="PUMP"))
    for code in ("HDC-001-A", "HDC-002-B"):
        made.read(code, "pH", "4w", "5.4", done="2025-02-07")

    assert made.evaluate("2025-02-08").comparisons == ()


def test_a_reading_set_aside_is_not_compared() -> None:
    made = bench(sample("HDC-001-A", "T40"), sample("HDC-002-B", "COLD"))
    made.read("HDC-001-A", "pH", "4w", "5.3", done="2025-02-07")
    wrong = made.read("HDC-002-B", "pH", "4w", "5.4", done="2025-02-07")
    made.invalidate(wrong, "wrong jar", "2025-02-07")

    assert made.evaluate("2025-02-08").comparisons == ()
