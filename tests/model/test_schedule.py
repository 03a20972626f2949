"""Which checks are planned, when, and which of them is still open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.age import Age, add_calendar_months
from stability.model.attribute import Attribute
from stability.model.moment import Moment
from stability.model.schedule import (
    PlannedCheck,
    check_for,
    expected,
    expecting,
    hand_overs,
    next_step,
    open_checks,
    planned_checks,
)
from stability.model.study import Sample
from tests.evaluation.builders import (
    MADE,
    PLACED,
    Bench,
    bulk,
    protocol,
    sample,
    study,
)


def plans(made: Bench, code: str) -> dict[str, PlannedCheck]:
    """Return check -> plan of one sample."""
    record = made.record()
    return {one.check: one for one in planned_checks(record, record.samples[code])}


def placed(one: Sample, day: str = "2025-01-10") -> Bench:
    """Return a bench with one sample placed."""
    made = Bench([one])
    made.place(one.code, one.condition or "", day)
    return made


def test_due_dates_count_from_placing_weeks_exact_and_months_by_the_calendar() -> None:
    found = plans(placed(sample("HDC-001-A", "ROOM"), "2025-01-31"), "HDC-001-A")

    assert found["4w"].due == date(2025, 2, 28)
    assert found["3M"].due == date(2025, 4, 30)
    assert found["12M"].due == date(2026, 1, 31)


# Windows: week 1 ± 1 day, weeks 2-4 ± 2, weeks 5-12 ± 3, months 3-6 ± 7, later ± 14
# days (common practice).
@pytest.mark.parametrize(
    ("condition", "check", "days"),
    [
        ("T40", "2w", 2),
        ("T40", "4w", 2),
        ("T40", "8w", 3),
        ("T40", "12w", 3),
        ("ROOM", "3M", 7),
        ("ROOM", "6M", 7),
        ("ROOM", "9M", 14),
        ("FT", "c1", 1),
    ],
)
def test_each_age_has_its_window(condition: str, check: str, days: int) -> None:
    found = plans(placed(sample("HDC-001-A", condition)), "HDC-001-A")[check]

    assert (found.due - found.opens).days == days
    assert (found.closes - found.due).days == days
    assert found.holds(found.opens)
    assert found.holds(found.closes)
    assert not found.holds(found.closes + timedelta(days=1))
    assert not found.holds(found.opens - timedelta(days=1))


@given(st.dates(PLACED, date(2030, 12, 31)))
def test_a_year_is_due_on_the_same_day_of_the_next_year(start: date) -> None:
    one = sample("HDC-001-A", "ROOM")
    made = Bench([one], opened=start.isoformat())
    made.place("HDC-001-A", "ROOM", start.isoformat())

    found = planned_checks(made.record("2099-12-31"), one)[-1]

    assert found.check == "12M"
    assert found.due == add_calendar_months(start, 12)


def test_dates_before_placing_are_provisional_and_move_with_it() -> None:
    made = Bench([sample("HDC-001-A", "T40")])
    before = plans(made, "HDC-001-A")["4w"]
    made.place("HDC-001-A", "T40", "2025-01-20")
    after = plans(made, "HDC-001-A")["4w"]

    # Made 6 January; T0 readings end 96 h later.
    assert (before.due, before.provisional) == (date(2025, 2, 7), True)
    assert (after.due, after.provisional) == (date(2025, 2, 17), False)


def test_a_planned_day_of_placing_goes_before_the_end_of_the_t0_readings() -> None:
    planned = study(place_on={"T40": date(2025, 2, 1)})
    made = Bench([sample("HDC-001-A", "T40")], study=planned)

    assert plans(made, "HDC-001-A")["4w"].due == date(2025, 3, 1)


def test_a_later_move_leaves_the_age_as_it_was() -> None:
    made = placed(sample("HDC-001-A", "T40"))
    made.place("HDC-001-A", "T40", "2025-02-01", how="moved", place="OVEN2")

    assert plans(made, "HDC-001-A")["4w"].due == date(2025, 2, 7)


def test_a_replacement_counts_from_its_own_placing() -> None:
    spare = sample("HDC-009-X", None, use="spare", checks=())
    made = Bench([sample("HDC-001-A", "T40"), spare])
    made.place("HDC-001-A", "T40")
    made.place("HDC-009-X", "T40", "2025-02-21", replaces="HDC-001-A")

    found = plans(made, "HDC-009-X")

    assert found["4w"].due == date(2025, 3, 21)
    assert found["T0"].due == date(2025, 2, 21)
    assert list(found) == ["T0", "2w", "4w", "8w", "12w"]


def test_cycles_are_due_after_their_hours_in_whole_days() -> None:
    found = plans(placed(sample("HDC-001-A", "FT")), "HDC-001-A")

    assert found["c1"].due == PLACED + timedelta(days=2)
    assert found["c3"].due == PLACED + timedelta(days=6)


def test_a_twin_is_due_with_its_cycled_samples() -> None:
    twin = sample("HDC-002-B", "ROOM", twin_of="FT", checks=("c1", "c3"))

    assert plans(placed(twin), "HDC-002-B")["c3"].due == PLACED + timedelta(days=6)


def test_t0_is_read_between_settling_and_its_end() -> None:
    found = plans(Bench([bulk()]), "BULK-A")["T0"]

    assert (found.opens, found.closes) == (
        MADE + timedelta(days=2),
        MADE + timedelta(days=4),
    )


def test_a_container_that_is_only_weighed_may_wait_for_its_placing() -> None:
    found = plans(placed(sample("HDC-001-A", "FT"), "2025-01-20"), "HDC-001-A")

    assert found["T0"].closes == date(2025, 1, 20)


# What is read of whom


def wanted(
    one: Sample, check: str, *attributes: Attribute, **changes: Any
) -> list[str]:
    """Return the names of what is to be observed."""
    rule = protocol(attributes={one.name: one for one in attributes})
    using = study(**changes)
    return [name for name, _ in expected(using, rule, one, check)]


PH = Attribute("pH", "measured")


def test_a_container_is_weighed_before_opening_and_read_at_its_checks() -> None:
    one = sample("HDC-001-A", "T40")
    rule = protocol()

    assert expected(study(), rule, one, "4w") == (
        ("pH", None),
        ("odour", None),
        ("weight_loss", "before"),
    )
    assert expected(study(), rule, one, "T0") == (("weight_loss", "before"),)
    assert expected(study(), rule, one, "5w") == ()


def test_bulk_is_read_at_t0_and_never_weighed() -> None:
    assert expected(study(), protocol(), bulk(), "T0") == (
        ("pH", None),
        ("odour", None),
    )


def test_attributes_are_read_when_and_where_the_protocol_says() -> None:
    one = sample("HDC-001-A", "T40")

    assert wanted(one, "4w", replace(PH, when=("T0", "8w"))) == []
    assert wanted(one, "8w", replace(PH, when=("T0", "8w"))) == ["pH"]
    assert wanted(one, "4w", replace(PH, conditions=("ROOM",))) == []
    assert wanted(bulk(), "T0", replace(PH, conditions=("ROOM",))) == ["pH"]


def test_what_is_omitted_or_certified_is_not_asked_for() -> None:
    one = sample("HDC-001-A", "T40")

    assert wanted(one, "4w", PH, omit={"pH": "no meter"}) == []
    assert wanted(one, "4w", replace(PH, provided_by="certificate")) == []


def test_a_tube_is_read_for_the_centrifuge_only() -> None:
    tube = sample("HDC-001-A", None, kind="tube", pack=None, checks=("T0",))
    spun = replace(PH, name="spun", on="tube")

    assert wanted(tube, "T0", PH, spun) == ["spun"]
    assert wanted(bulk(), "T0", PH, spun) == ["pH"]


def test_what_is_worked_out_once_is_what_each_sample_is_due_at() -> None:
    rules, plan = protocol(), study()
    first = sample("HDC-001-A", "ROOM")
    alike = [
        replace(first, kind=kind, condition=condition, checks=checks)
        for checks in (first.checks, ("T0", *first.checks), first.checks[:1], ())
        for condition in ("ROOM", "T40", None)
        for kind in ("container", "bulk", "tube")
    ]
    wanted = expecting(plan, rules)

    for one in alike:
        for check in ("T0", *first.checks):
            assert wanted(one, check) == expected(plan, rules, one, check)


def test_retained_and_spare_samples_are_not_asked_for() -> None:
    spare = sample("HDC-001-A", None, use="spare", checks=())

    assert plans(Bench([spare]), "HDC-001-A") == {}


# What is open


def open_names(made: Bench) -> list[tuple[str, str]]:
    """Return sample and check of what is open."""
    return [
        (one.planned.sample, one.planned.check) for one in open_checks(made.record())
    ]


def test_an_observation_closes_what_it_observed_and_no_more() -> None:
    made = placed(sample("HDC-001-A", "T40", checks=("4w",)))
    made.read("HDC-001-A", "pH", "4w", "5.4", done="2025-02-07")

    (at_t0, at_4w) = open_checks(made.record())

    assert at_t0.remaining == (("weight_loss", "before"),)
    assert at_4w.remaining == (("odour", None), ("weight_loss", "before"))


def test_not_measured_closes_and_set_aside_opens_again() -> None:
    made = placed(sample("HDC-001-A", "T40", checks=("4w",)))
    position = made.read(
        "HDC-001-A", "pH", "4w", done="2025-02-07", not_measured="meter dead"
    )
    assert ("pH", None) not in open_checks(made.record())[1].remaining

    made.invalidate(position, "typed for the wrong jar", "2025-02-07")
    assert ("pH", None) in open_checks(made.record())[1].remaining


def test_missed_left_and_stopped_checks_are_closed() -> None:
    made = Bench([sample(f"HDC-{name}", "T40") for name in "ABC"])
    for name in "ABC":
        made.place(f"HDC-{name}", "T40")
    made.miss("4w", "HDC-A", because="closed", done="2025-02-07")
    made.retire("HDC-B", "broken", "2025-02-20")
    made.stop("2025-02-20", sample="HDC-C")

    found = open_names(made)

    assert ("HDC-A", "4w") not in found
    assert ("HDC-A", "8w") in found
    assert ("HDC-B", "8w") not in found
    assert ("HDC-B", "4w") in found
    assert ("HDC-C", "8w") not in found


# To which check a reading belongs


def belongs(made: Bench, code: str, day: str) -> str | None:
    """Return the check of a reading made on a day."""
    record = made.record()
    return check_for(record, record.samples[code], Moment(date.fromisoformat(day)))


@pytest.mark.parametrize(
    ("day", "check"),
    [
        ("2025-01-10", "T0"),
        ("2025-01-24", "2w"),
        ("2025-02-05", "4w"),
        ("2025-02-09", "4w"),
        ("2025-02-20", "4w"),
        ("2025-02-24", "8w"),
        ("2025-12-31", "12w"),
    ],
)
def test_a_reopened_jar_takes_the_window_that_holds_the_day_else_the_nearest(
    day: str, check: str
) -> None:
    assert belongs(placed(sample("HDC-001-A", "T40")), "HDC-001-A", day) == check


def test_a_fresh_jar_knows_its_check_whatever_the_day() -> None:
    one = sample("HDC-001-A", "T40", use="fresh per check", checks=("8w",))

    assert belongs(placed(one), "HDC-001-A", "2025-02-07") == "8w"


def test_the_nearest_check_must_still_be_open() -> None:
    made = placed(sample("HDC-001-A", "T40"))
    made.miss("4w", "HDC-001-A", because="closed", done="2025-02-10")

    assert belongs(made, "HDC-001-A", "2025-02-14") == "2w"


def test_without_an_open_check_a_reading_is_extra() -> None:
    made = placed(sample("HDC-001-A", "T40", checks=("2w",)))
    made.miss("2w", "HDC-001-A", because="closed", done="2025-01-24")

    assert belongs(made, "HDC-001-A", "2025-04-01") is None


# Hand-overs of cycles


def test_a_cycled_sample_is_handed_over_when_its_step_ends() -> None:
    made = Bench([sample("HDC-001-A", "FT")])
    made.place("HDC-001-A", "FT", "2025-01-10T18:00", cycle=1, step=1)

    (found,) = hand_overs(made.record())

    assert found.due.for_people() == "2025-01-11 18:00"
    assert found.text == "from -18 °C to 22 °C (cycle 1, step 2)"


# Clocks in Ireland went back on 26 October 2025 at 02:00 (tz database, Europe/Dublin).
def test_a_step_over_the_change_of_clocks_ends_by_the_clock_of_its_day() -> None:
    made = Bench([sample("HDC-001-A", "FT")])
    made.place("HDC-001-A", "FT", "2025-10-25T18:00+01:00", cycle=1, step=1)

    (found,) = hand_overs(replace(made.record(), zone=ZoneInfo("Europe/Dublin")))

    assert str(found.due) == "2025-10-26T17:00:00+00:00"


def test_the_last_step_ends_in_a_reading() -> None:
    made = Bench([sample("HDC-001-A", "FT")])
    made.place("HDC-001-A", "FT", "2025-01-15", cycle=3, step=2)

    (found,) = hand_overs(made.record())

    assert found.due == Moment(date(2025, 1, 16))
    assert found.text == "last step at 22 °C ends: all cycles done, read"


def test_a_sample_that_left_is_not_handed_over() -> None:
    made = Bench([sample("HDC-001-A", "FT")])
    made.place("HDC-001-A", "FT", "2025-01-10", cycle=1, step=1)
    made.retire("HDC-001-A", "broken", "2025-01-10")

    assert hand_overs(made.record()) == ()


def test_steps_follow_each_other_until_all_cycles_are_done() -> None:
    record = Bench([]).record()
    found: list[tuple[int, int] | None] = [next_step(record, "FT", None, None)]
    while found[-1] is not None:
        found.append(next_step(record, "FT", *found[-1]))

    assert found == [(1, 1), (1, 2), (2, 1), (2, 2), (3, 1), (3, 2), None]


def test_a_protocol_without_windows_takes_the_usual_ones() -> None:
    assert [str(one.up_to) for one in protocol().windows] == [
        "1w", "4w", "12w", "6M", "99y",
    ]  # fmt: skip
    assert protocol().window_of("12w").before == Age(3, "d")
