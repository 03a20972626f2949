"""Time in the heat by rules of thumb: what is translated, and what never is."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.evaluation.ageing_findings import AgeingFindings, HeatFinding
from stability.model.age import Age
from stability.model.condition import Condition, CycleStep
from stability.model.study import StructuralLimit
from tests.evaluation.builders import protocol, sample
from tests.evaluation.heated import (
    ACTIVE,
    ODOUR,
    ROOM,
    SHELF,
    T40,
    T45,
    Value,
    condition,
    found,
    heated,
)

PLAIN = replace(ACTIVE, kinetic=False)
#: Twelve weeks, so that 84 days are translated.
TO_12W = ("4w", "8w", "12w")


def steady(place: str, name: str, weeks: int) -> str:
    """Return readings that do not move."""
    del place, weeks
    return "as control" if name == "odour" else "5.0"


def heat(*arguments: object, **options: object) -> tuple[HeatFinding, ...]:
    """Return what became of each hot condition of a study made in code."""
    options = {"attributes": (PLAIN,), "value": steady, **options}
    return found(heated(*arguments, **options)).heat  # type: ignore[arg-type]  # passed on


def said(found: AgeingFindings) -> str:
    """Return all cautions in one line."""
    return " ".join(one.text for one in found.cautions)


@pytest.mark.parametrize(
    ("hot", "room", "days"),
    [
        # Exact arithmetic, 84 days with Q10 = 2: 45 °C against 25 and 20 °C, 40
        # against 25 °C.
        ("45", "25", 336.0),
        ("45", "20", 475.2),
        ("40", "25", 237.6),
    ],
)
def test_twelve_weeks_in_the_heat_by_a_factor_of_two(
    hot: str, room: str, days: float
) -> None:
    (one,) = heat(
        (
            condition("ROOM", "long-term", room),
            condition("HOT", "accelerated", hot, checks=TO_12W),
        )
    )

    assert (one.check, one.days, one.outcome) == ("12w", 84.0, "translated")
    assert one.translations[0].q10 == 2.0
    assert one.translations[0].days == pytest.approx(days, abs=0.05)


def test_three_factors_are_told() -> None:
    (one,) = heat((ROOM, replace(T45, checks=TO_12W)))

    # Exact arithmetic: 84 days, 20 °C hotter: × 4, × 6.25, × 9.
    assert [each.days for each in one.translations] == pytest.approx(
        [336.0, 525.0, 756.0]
    )
    assert [each.factor for each in one.translations] == pytest.approx([4, 6.25, 9])


def test_the_answer_moves_over_the_range_that_the_storage_may_have() -> None:
    (one,) = heat((SHELF, replace(T45, checks=TO_12W)))

    # Exact arithmetic: 84 · 2^(24/10), 84 · 2^(18/10) and 84 · 2^(30/10).
    first = one.translations[0]
    assert first.days == pytest.approx(84 * 2**2.4)
    assert first.lowest_days == pytest.approx(84 * 2**1.8)
    assert first.highest_days == pytest.approx(672.0)
    assert "nominal, the middle of the range of ROOM, 15 to 27 °C" in one.against.text


def test_a_controlled_storage_moves_by_its_tolerance() -> None:
    held = replace(ROOM, tolerance=Decimal(2))
    (one,) = heat((held, T45))

    assert (one.against.lowest, one.against.highest) == (23.0, 27.0)
    assert "nominal, as the protocol has ROOM, 23 to 27 °C" in one.against.text


def test_the_table_is_called_an_estimate_and_trade_custom() -> None:
    words = said(found(heated((ROOM, T45), steady, attributes=(PLAIN,))))

    assert "an estimate, not evidence; trade custom, no standard" in words
    assert "what it really was is not known here" in words


# What failed is not translated


def failing(where: str, name: str = "active", bad: str = "0.9") -> Value:
    """Return readings of which one attribute leaves its limit at 8w in one place."""

    def value(place: str, attribute: str, weeks: int) -> str:
        if (place, attribute, weeks) == (where, name, 8):
            return bad
        return steady(place, attribute, weeks)

    return value


def test_what_left_its_limit_in_the_heat_is_not_translated() -> None:
    held, failed = heat(
        (ROOM, T45),
        value=failing("T45", "odour", "changed"),
        attributes=(PLAIN, ODOUR),
    )

    assert (held.attributes, held.outcome) == (("active",), "translated")
    assert "says nothing of the product as a whole" in held.text
    assert "odour left the limit there" in held.text
    assert (failed.attributes, failed.outcome) == (("odour",), "outside there")
    assert failed.translations == ()
    assert failed.text == "outside its limit at 8w (JAR, A)"


def test_what_failed_in_one_batch_is_not_translated_for_the_others() -> None:
    made = heated((ROOM, T45), steady, attributes=(PLAIN,), batches=("A", "B"))
    made.read("HDC-T45-B", "active", None, "0.5", done="2025-07-01")

    (one,) = found(made).heat
    assert one.outcome == "outside there"
    assert "an extra reading (JAR, B)" in one.text


def test_a_failure_elsewhere_does_not_touch_a_condition() -> None:
    both = heat((ROOM, T40, T45), value=failing("T45"))

    assert [(one.condition, one.outcome, one.text) for one in both] == [
        ("T40", "translated", ""),
        ("T45", "outside there", "outside its limit at 8w (JAR, A)"),
    ]


def test_a_container_that_left_as_failed_takes_its_attributes_with_it() -> None:
    def until_8w(place: str, name: str, weeks: int) -> str | None:
        gone = place == "T45" and weeks > 8
        return None if gone else steady(place, name, weeks)

    made = heated((ROOM, T45), until_8w, attributes=(PLAIN,))
    made.retire("HDC-T45-A", "gassing", "2025-03-20")

    (one,) = found(made).heat
    assert one.outcome == "outside there"
    assert one.text == "no longer readable: HDC-T45-A left as gassing"


def test_a_container_that_failed_after_its_last_check_is_told_beside() -> None:
    made = heated((ROOM, T45), steady, attributes=(PLAIN,))
    made.retire("HDC-T45-A", "leaking", "2025-09-20")

    (one,) = found(made).heat
    assert one.outcome == "translated"
    assert one.text == (
        "says nothing of the product as a whole: HDC-T45-A left as leaking"
    )


def test_nothing_is_translated_from_the_structural_limit_on() -> None:
    limit = StructuralLimit(Decimal(45), "the wax melts")
    made = heated((ROOM, T40, T45), steady, attributes=(PLAIN,), limit=limit)

    below, above = found(made).heat
    assert below.outcome == "translated"
    assert (above.outcome, above.translations) == ("structure gives way", ())
    assert "at or above 45 °C, where the structure gives way (the wax melts)" in (
        above.text
    )


def test_a_tolerance_that_reaches_the_structural_limit_stands_beside() -> None:
    limit = StructuralLimit(Decimal(47), "the wax melts")
    (one,) = heat((ROOM, replace(T45, tolerance=Decimal(2))), limit=limit)

    assert one.outcome == "translated"
    assert "its tolerance reaches 47 °C" in one.text


def test_a_missing_structural_limit_is_a_caution() -> None:
    without = found(heated((ROOM, T45), steady, attributes=(PLAIN,), limit=None))

    assert "declares no structural limit" in said(without)
    assert "declares no structural limit" not in said(
        found(heated((ROOM, T45), steady, attributes=(PLAIN,)))
    )


# How long it was there


def test_the_batch_that_was_there_for_least_counts() -> None:
    made = heated((ROOM, T45), lambda *_: None, attributes=(PLAIN,), batches="AB")
    for batch, weeks in (("A", (4, 8, 12)), ("B", (4, 8))):
        for week, day in ((4, "2025-02-07"), (8, "2025-03-07"), (12, "2025-04-04")):
            if week in weeks:
                made.read(f"HDC-T45-{batch}", "active", f"{week}w", "5.0", done=day)

    (one,) = found(made, "2025-06-01").heat
    assert (one.check, one.days) == ("8w", 56.0)
    assert one.text == ""


def test_a_batch_of_which_nothing_was_read_is_told() -> None:
    made = heated((ROOM, T45), lambda *_: None, attributes=(PLAIN,), batches="AB")
    made.read("HDC-T45-A", "active", "4w", "5.0", done="2025-02-07")

    (one,) = found(made, "2025-02-08").heat
    assert (one.check, one.outcome) == ("4w", "translated")
    assert one.text == "not all of it was read of JAR, batch B"


def test_time_elsewhere_is_not_time_in_the_heat() -> None:
    made = heated((ROOM, T45), lambda *_: None, attributes=(PLAIN,))
    made.place("HDC-T45-A", "ROOM", "2025-01-20", how="moved")
    made.place("HDC-T45-A", "T45", "2025-01-30", how="moved")
    made.read("HDC-T45-A", "active", "4w", "5.0", done="2025-02-07")

    (one,) = found(made, "2025-02-08").heat
    # Four weeks of which ten days were spent in ROOM.
    assert one.days == pytest.approx(18.0)


def test_a_real_age_counts_and_not_the_planned_one() -> None:
    made = heated((ROOM, T45), lambda *_: None, attributes=(PLAIN,))
    made.read("HDC-T45-A", "active", "4w", "5.0", done="2025-02-08")

    (one,) = found(made, "2025-02-09").heat
    assert one.days == 29.0


# Conditions that are no time at a temperature

STEPS = (
    CycleStep(Decimal(-18), Decimal(4), Age(24, "h")),
    CycleStep(Decimal(22), Decimal(4), Age(24, "h")),
)


@pytest.mark.parametrize(
    ("place", "outcome", "text"),
    [
        (
            condition("X", "stress", None, cycles=3, steps=STEPS, checks=()),
            "no temperature",
            "cycles are counted",
        ),
        (condition("X", "stress", None, light="sill"), "no temperature", "light is"),
        (condition("X", "stress", "45", light="lamp"), "no temperature", "light is"),
        (
            condition("X", "stress", None, between=(Decimal(30), Decimal(60))),
            "no temperature",
            "no one temperature",
        ),
        (condition("X", "stress", "25"), "not hotter", "not hotter than ROOM at 25"),
        (condition("X", "stress", "24.9"), "not hotter", "not hotter than ROOM"),
    ],
    ids=["cycles", "light", "lit heat", "range", "equal", "cooler"],
)
def test_what_is_no_heat_is_named_and_not_translated(
    place: Condition, outcome: str, text: str
) -> None:
    (one,) = heat((ROOM, place))

    assert (one.outcome, one.translations) == (outcome, ())
    assert text in one.text


def test_nothing_read_yet_is_said() -> None:
    (one,) = heat((ROOM, T45), value=lambda *_: None)

    assert one.outcome == "not read"
    assert one.text == "nothing that bears the request is read there yet"


def test_readings_that_decide_nothing_are_not_translated() -> None:
    (one,) = heat((ROOM, T45), value=lambda *_: "<2.0")

    assert (one.outcome, one.translations) == ("not decided", ())


def test_a_check_at_which_one_container_decides_nothing_does_not_count() -> None:
    made = heated((ROOM, T45), lambda *_: None, attributes=(PLAIN,))
    made.samples = [*made.samples, sample("HDC-TWO", "T45", checks=T45.checks)]
    second = replace(made, drafts=[])
    second.drafts.extend(made.drafts[1:])
    second.place("HDC-TWO", "T45")
    for code, later in (("HDC-T45-A", "5.0"), ("HDC-TWO", "<5.0")):
        second.read(code, "active", "4w", "5.0", done="2025-02-07")
        second.read(code, "active", "8w", later, done="2025-03-07")

    (one,) = found(second).heat
    assert (one.check, one.days, one.outcome) == ("4w", 28.0, "translated")


def test_loss_of_water_is_not_translated() -> None:
    loss = protocol().attributes["weight_loss"]
    made = heated((ROOM, T45), lambda *_: None, attributes=(loss,))
    code = "HDC-T45-A"
    made.read(code, "weight_loss", "T0", "90.00", unit="g", part="before",
              done="2025-01-09")  # fmt: skip
    made.read(code, "weight_loss", "4w", "89.90", unit="g", part="before",
              done="2025-02-07")  # fmt: skip

    (one,) = found(made).heat
    assert (one.attributes, one.outcome) == (("weight_loss",), "water loss")


def test_an_attribute_that_does_not_bear_the_request_is_not_translated() -> None:
    made = heated(
        (ROOM, T45), steady, attributes=(PLAIN, replace(ODOUR, bears_request=False))
    )

    assert [one.attributes for one in found(made).heat] == [("active",)]
