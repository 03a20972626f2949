"""Months shown: as far as real time has proved the product to hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.evaluation.findings import Evaluation, MonthsShown
from stability.model.age import add_calendar_months
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.model.study import Request
from tests.evaluation.builders import (
    MADE,
    PLACED,
    ROOM_CHECKS,
    Bench,
    bulk,
    protocol,
    sample,
    study,
)

#: Real days of the checks for a jar placed on 10 January 2025.
ON_TIME = {
    "4w": "2025-02-07",
    "3M": "2025-04-10",
    "6M": "2025-07-10",
    "9M": "2025-10-10",
    "12M": "2026-01-10",
}


def only_ph(**changes: object) -> Protocol:
    """Return the protocol with pH only."""
    attribute = replace(protocol().attributes["pH"], **changes)  # type: ignore[arg-type]
    return protocol(attributes={"pH": attribute})


def bench(*batches: str, using: Protocol | None = None, months: int = 12) -> Bench:
    """Return a bench with one jar of each batch at room, placed."""
    samples = [sample(f"HDC-{name}", "ROOM", batch=name) for name in batches]
    made = Bench(
        samples,
        protocol=using or only_ph(),
        study=study(batches, request=Request(months)),
    )
    for one in samples:
        made.place(one.code, "ROOM")
    return made


def read(made: Bench, checks: Sequence[str], code: str = "HDC-A") -> None:
    """Read pH 5.4 on the due date of some checks."""
    for check in checks:
        made.read(code, "pH", check, "5.4", "5.4", done=ON_TIME[check])


def shown(evaluation: Evaluation) -> MonthsShown:
    """Return the one pack."""
    (found,) = evaluation.shown
    return found


def test_the_last_check_passed_is_shown() -> None:
    made = bench("A")
    read(made, ["4w", "3M", "6M"])

    evaluation = made.evaluate("2025-08-01")

    assert (shown(evaluation).check, evaluation.months_shown) == ("6M", 6)
    assert evaluation.months_shown_text == "shown to 6M (6 months), 1 batch: A"


def test_a_check_in_weeks_is_never_months() -> None:
    made = bench("A")
    read(made, ["4w"])

    evaluation = made.evaluate("2025-03-01")

    assert evaluation.months_shown == 0
    assert evaluation.months_shown_text == "shown to 4w (4 weeks), 1 batch: A"


@given(st.dates(date(2024, 1, 1), date(2028, 2, 29)))
def test_twelve_months_on_its_day_count_twelve_whatever_the_start(
    placed: date,
) -> None:
    base = study()
    batch = replace(base.batches["A"], made=placed - (PLACED - MADE))
    made = Bench(
        [sample("HDC-A", "ROOM")],
        protocol=only_ph(),
        study=replace(base, batches={"A": batch}),
        opened=placed.isoformat(),
    )
    made.place("HDC-A", "ROOM", placed.isoformat())
    day = add_calendar_months(placed, 12)
    made.read("HDC-A", "pH", "12M", "5.4", done=day.isoformat())

    assert made.evaluate(day.isoformat()).months_shown == 12


def test_the_check_that_carries_the_request_is_on_or_after_its_date() -> None:
    early = bench("A")
    read(early, ["4w", "3M", "6M", "9M"])
    early.read("HDC-A", "pH", "12M", "5.4", "5.4", done="2026-01-09")
    evaluation = early.evaluate("2026-02-01")

    assert shown(evaluation).months == 12
    assert shown(evaluation).months_for_request == 9
    assert shown(evaluation).not_counted == (
        ("12M", "read 2026-01-09, before the 12 months asked for were over"),
    )


def test_an_early_check_counts_where_it_does_not_carry_the_request() -> None:
    made = bench("A", months=9)
    read(made, ["4w", "3M", "6M", "9M"])
    made.read("HDC-A", "pH", "12M", "5.4", "5.4", done="2026-01-02")
    evaluation = made.evaluate("2026-02-01")

    assert evaluation.months_shown == 12
    # The nine months asked for were over, so that it carries the request too.
    assert shown(evaluation).months_for_request == 12


def test_what_is_read_at_few_checks_and_failed_reaches_no_further() -> None:
    rare = replace(protocol().attributes["pH"], when=("T0", "3M", "12M"))
    odour = replace(protocol().attributes["odour"], observers=1)
    made = bench("A", using=protocol(attributes={"pH": rare, "odour": odour}))
    values = {"3M": "5.4", "12M": "4.8"}
    for check, done in ON_TIME.items():
        made.read("HDC-A", "odour", check, "as control", done=done)
        if check in values:
            made.read("HDC-A", "pH", check, values[check], done=done)

    assert made.evaluate("2025-11-01").months_shown == 9
    assert made.evaluate("2026-02-01").months_shown == 3


def test_a_check_read_outside_its_window_is_not_counted() -> None:
    made = bench("A")
    read(made, ["4w", "3M"])
    made.read("HDC-A", "pH", "6M", "5.4", "5.4", done="2025-07-25")
    evaluation = made.evaluate("2025-08-01")

    assert evaluation.months_shown == 3
    assert shown(evaluation).not_counted == (
        ("6M", "read 2025-07-25, outside its window"),
    )


def test_it_stops_at_the_first_failure_even_if_a_later_check_passes() -> None:
    made = bench("A")
    read(made, ["4w", "3M"])
    made.read("HDC-A", "pH", "6M", "4.9", "4.9", done=ON_TIME["6M"])
    read(made, ["9M"])
    evaluation = made.evaluate("2025-11-01")

    assert evaluation.months_shown == 3
    assert shown(evaluation).failures == (("A", "pH", "6M"),)
    assert evaluation.months_shown_text.endswith("stopped by pH, batch A, at 6M")


def test_an_extra_reading_outside_its_limit_stops_it_too() -> None:
    made = bench("A")
    read(made, ["4w", "3M"])
    made.read("HDC-A", "pH", None, "4.9", done="2025-06-01")
    read(made, ["6M"])

    assert made.evaluate("2025-08-01").months_shown == 3


def test_a_failure_set_aside_with_a_cause_stops_nothing() -> None:
    made = bench("A")
    read(made, ["4w", "3M"])
    wrong = made.read("HDC-A", "pH", "6M", "4.9", done=ON_TIME["6M"])
    made.invalidate(wrong, "electrode broken", ON_TIME["6M"])
    made.read(
        "HDC-A", "pH", "6M", "5.4", done=ON_TIME["6M"], repeats=wrong, because="again"
    )

    assert made.evaluate("2025-08-01").months_shown == 6


def test_a_failed_t0_shows_nothing() -> None:
    made = Bench([bulk(), sample("HDC-A", "ROOM")], protocol=only_ph())
    made.place("HDC-A", "ROOM")
    made.read("BULK-A", "pH", "T0", "4.9", done="2025-01-09")
    read(made, ["4w", "3M"])
    evaluation = made.evaluate("2025-05-01")

    assert evaluation.months_shown == 0
    assert evaluation.months_shown_text == (
        "no long-term check passed yet; stopped by pH, batch A, at T0"
    )
    assert shown(evaluation).failures == (("A", "pH", "T0"),)


def test_every_batch_must_have_passed() -> None:
    made = bench("A", "B")
    read(made, ["4w", "3M", "6M"], "HDC-A")
    read(made, ["4w", "3M"], "HDC-B")
    evaluation = made.evaluate("2025-08-01")

    assert evaluation.months_shown == 3
    assert shown(evaluation).batches == ("A", "B")


def test_a_missed_check_between_is_bridged_by_a_later_pass() -> None:
    made = bench("A")
    read(made, ["4w"])
    made.miss("3M", "HDC-A", because="closed", done="2025-04-10")
    read(made, ["6M"])

    assert made.evaluate("2025-08-01").months_shown == 6


@pytest.mark.parametrize("value", ["<5.0", ">5.9"])
def test_a_reading_that_may_be_on_either_side_shows_nothing(value: str) -> None:
    made = bench("A")
    made.read("HDC-A", "pH", "3M", value, done=ON_TIME["3M"])

    assert made.evaluate("2025-05-01").months_shown == 0


def test_not_measured_shows_nothing() -> None:
    made = bench("A")
    read(made, ["3M"])
    made.read("HDC-A", "pH", "6M", done=ON_TIME["6M"], not_measured="meter dead")

    assert made.evaluate("2025-08-01").months_shown == 3


def test_an_attribute_that_does_not_bear_the_request_stops_nothing() -> None:
    made = bench("A", using=only_ph(bears_request=False))
    made.read("HDC-A", "pH", "3M", "4.0", done=ON_TIME["3M"])
    evaluation = made.evaluate("2025-05-01")

    assert shown(evaluation).failures == ()
    assert evaluation.outside[0].meaning == "long-term, not bearing the request"


def test_what_is_recorded_only_is_not_asked_to_pass() -> None:
    odour = replace(protocol().attributes["odour"], limit=Limit(recorded_only=True))
    both = {**only_ph().attributes, "odour": odour}
    made = bench("A", using=protocol(attributes=both))
    read(made, ["3M"])

    assert made.evaluate("2025-05-01").months_shown == 3


def test_a_hot_failure_does_not_shorten_what_real_time_has_shown() -> None:
    made = Bench([sample("HDC-A", "ROOM"), sample("HDC-H", "T45")], protocol=only_ph())
    made.place("HDC-A", "ROOM")
    made.place("HDC-H", "T45")
    made.read("HDC-H", "pH", "8w", "4.0", done="2025-03-07")
    read(made, ["4w", "3M"])

    assert made.evaluate("2025-05-01").months_shown == 3


def test_a_sample_that_failed_stops_it_at_the_check_it_did_not_reach() -> None:
    made = bench("A")
    read(made, ["4w", "3M"])
    made.retire("HDC-A", "gassing", "2025-05-20")
    evaluation = made.evaluate("2025-08-01")

    assert evaluation.months_shown == 3
    assert shown(evaluation).failures == (("A", "sample gassing", "6M"),)


def test_a_jar_in_use_and_an_untreated_twin_show_nothing() -> None:
    made = Bench(
        [
            sample("HDC-U", "ROOM", use="in use"),
            sample("HDC-T", "ROOM", twin_of="FT", checks=("c1",)),
        ],
        protocol=only_ph(),
    )
    made.place("HDC-U", "ROOM")
    read(made, ROOM_CHECKS[:2], "HDC-U")

    assert made.evaluate("2025-05-01").shown == ()


def test_the_pack_shown_for_least_governs() -> None:
    made = Bench(
        [sample("HDC-A", "ROOM"), sample("HDC-P", "ROOM", pack="PUMP")],
        protocol=only_ph(),
    )
    for code in ("HDC-A", "HDC-P"):
        made.place(code, "ROOM")
    read(made, ["3M", "6M"], "HDC-A")
    read(made, ["3M"], "HDC-P")
    evaluation = made.evaluate("2025-08-01")

    assert {one.pack: one.months for one in evaluation.shown} == {"JAR": 6, "PUMP": 3}
    assert evaluation.months_shown == 3
    assert evaluation.months_shown_text == (
        "shown to 3M (3 months) in PUMP, the pack shown for least"
    )


def test_packs_shown_alike_are_named_together() -> None:
    made = Bench(
        [sample("HDC-A", "ROOM"), sample("HDC-P", "ROOM", pack="PUMP")],
        protocol=only_ph(),
    )
    for code in ("HDC-A", "HDC-P"):
        made.place(code, "ROOM")
        read(made, ["3M"], code)

    assert made.evaluate("2025-05-01").months_shown_text == (
        "shown to 3M (3 months) in JAR and PUMP"
    )


def test_a_reading_of_one_of_two_jars_is_enough_and_a_failure_of_one_too_much() -> None:
    made = Bench([sample("HDC-A", "ROOM"), sample("HDC-B", "ROOM")], protocol=only_ph())
    for code in ("HDC-A", "HDC-B"):
        made.place(code, "ROOM")
    read(made, ["3M"], "HDC-A")
    assert made.evaluate("2025-05-01").months_shown == 3

    made.read("HDC-B", "pH", "3M", "4.9", done="2025-04-11")
    assert made.evaluate("2025-05-01").months_shown == 0
