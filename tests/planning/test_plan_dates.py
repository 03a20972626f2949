"""Dates of checks before anything is placed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from stability.model.sample import assign_samples
from stability.model.study import SampleRow, Study
from stability.model.study_record import StudyRecord
from stability.planning.bench_hours import minutes_of
from stability.planning.plan_dates import before_opening, check_days, start_days
from tests.planning.worked_examples import face_cream, face_cream_study


def record_of(study: Study) -> StudyRecord:
    """Return the record of a study of the face cream before its opening."""
    return before_opening(study, face_cream(), assign_samples(study, face_cream()))


def placed_on(day: date) -> Study:
    """Return the face cream, everything placed on one day."""
    return replace(
        face_cream_study(), place_on=dict.fromkeys(face_cream().conditions, day)
    )


def test_weeks_are_days_and_months_are_calendar_months() -> None:
    """31 January 2025 + 12 weeks is 25 April, + 3 months 30 April (computed)."""
    study = placed_on(date(2025, 1, 31))
    made = {
        name: replace(one, made=date(2025, 1, 27))
        for name, one in study.batches.items()
    }

    days = check_days(record_of(replace(study, batches=made)))
    due = {name: one.day for one in days for name in one.checks}

    assert due["T40 12w"] == date(2025, 4, 25)
    assert due["ROOM 3M"] == date(2025, 4, 30)


def test_cycles_are_due_when_their_steps_are_done() -> None:
    days = check_days(record_of(placed_on(date(2026, 3, 20))))
    due = {name: one.day for one in days for name in one.checks}

    assert due["FT c1"] == date(2026, 3, 22)
    assert due["FT c3"] == date(2026, 3, 26)


def test_weekends_are_marked() -> None:
    days = check_days(record_of(placed_on(date(2026, 3, 20))))  # a Friday

    marks = {one.day: one.is_weekend for one in days}
    assert marks[date(2026, 3, 22)] is True
    assert marks[date(2026, 4, 3)] is False  # 2w: 14 days keep the day of the week
    assert all(mark == (day.isoweekday() > 5) for day, mark in marks.items())


def test_a_day_holds_all_its_samples_and_their_time() -> None:
    record = record_of(placed_on(date(2026, 3, 20)))
    day = next(one for one in check_days(record) if "T40 12w" in one.checks)
    read = [one for one in record.samples.values() if "12w" in one.checks]

    assert day.day == date(2026, 3, 20) + timedelta(weeks=12)
    assert day.samples == len(read) == 8  # T40: 3 jars, 2 pumps; COLD: 1, 1; T45: 1
    minutes = (minutes_of(record.study, record.protocol, one, "12w") for one in read)
    assert day.hours == pytest.approx(sum(minutes) / 60)


def test_a_better_day_of_placing_is_a_weekday_with_fewer_weekends() -> None:
    record = record_of(face_cream_study())

    found = start_days(record)

    assert found
    for one in found:
        moved = dict.fromkeys(face_cream().conditions, one.better)
        own = {n: s for n, s in record.samples.items() if s.batch == one.batch}
        again = check_days(
            replace(record, samples=own, study=replace(record.study, place_on=moved))
        )
        later = [day for day in again if day.day > one.better and day.is_weekend]
        assert one.better.isoweekday() <= 5
        assert len(later) == one.better_weekend_days < one.weekend_days


def test_nobody_is_asked_to_place_samples_on_a_weekend() -> None:
    """Over 60 days of making; 90 days after a Monday is a Sunday, a Saturday's not."""
    row = SampleRow(("A",), "reopened", 1, "JAR", "ROOM", checks=("3M",))
    study = replace(face_cream_study(), samples=(row,))
    batch = study.batches["A"]
    days = [date(2026, 11, 15) + timedelta(days=later) for later in range(60)]

    found = [
        (made, better)
        for made in days
        for better in start_days(
            record_of(replace(study, batches={"A": replace(batch, made=made)}))
        )
    ]

    assert len(found) > 10
    assert {one.better.isoweekday() for _, one in found} <= {1, 2, 3, 4, 5}
    for made, one in found:
        assert timedelta(days=2) <= one.better - made <= timedelta(days=11)


def test_a_day_of_placing_that_the_study_states_is_kept() -> None:
    assert start_days(record_of(placed_on(date(2026, 3, 20)))) == ()
