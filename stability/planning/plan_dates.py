"""Dates of all checks before anything is placed, weekends and full days marked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from stability.model.entry import Head
from stability.model.first_days import SATURDAY
from stability.model.moment import Moment
from stability.model.plan import CheckDay, StartDay
from stability.model.protocol import Protocol
from stability.model.schedule import PlannedCheck, planned_checks, planned_placing
from stability.model.study import Sample, Study
from stability.model.study_record import Opening, StudyRecord
from stability.planning.bench_hours import minutes_of


def before_opening(
    study: Study, protocol: Protocol, samples: Iterable[Sample]
) -> StudyRecord:
    """Return the record of a study of which nothing is recorded yet."""
    first = min(batch.made for batch in study.batches.values())
    return StudyRecord(
        study=study,
        protocol=protocol,
        zone=ZoneInfo(study.time_zone or "UTC"),
        opening=Opening(
            "", "", "", Moment(first), datetime.combine(first, time(), UTC)
        ),
        head=Head(f"study:{study.code}", 0, ""),
        samples={one.code: one for one in samples},
    )


def check_days(record: StudyRecord) -> tuple[CheckDay, ...]:
    """Return every day with checks, in order.

    Parameters
    ----------
    record
        The study before its opening; dates count from the day on which each sample
        is meant to be placed.
    """
    due: dict[date, list[tuple[Sample, PlannedCheck]]] = {}
    for sample in record.samples.values():
        for planned in planned_checks(record, sample):
            due.setdefault(planned.due, []).append((sample, planned))
    return tuple(_day(record, day, due[day]) for day in sorted(due))


def _day(
    record: StudyRecord, day: date, due: list[tuple[Sample, PlannedCheck]]
) -> CheckDay:
    names = dict.fromkeys(f"{_place(one)} {planned.check}" for one, planned in due)
    minutes = sum(
        minutes_of(record.study, record.protocol, sample, planned.check)
        for sample, planned in due
    )
    return CheckDay(
        day=day,
        checks=tuple(names),
        samples=len({one.code for one, _ in due}),
        hours=minutes / 60,
    )


def _place(sample: Sample) -> str:
    return sample.twin_of or sample.condition or sample.kind


def start_days(record: StudyRecord) -> tuple[StartDay, ...]:
    """Return, for each batch, a day of placing that puts fewer checks on weekends.

    Every day is tried from the end of the settling time to the end of the time for
    placing; a day that is itself on a weekend is not. The earliest of the best is
    taken. A condition whose day the study states keeps it.

    Parameters
    ----------
    record
        The study before its opening.
    """
    return tuple(
        found
        for name in record.study.batches
        if (found := _start_day(record, name)) is not None
    )


def _start_day(record: StudyRecord, batch: str) -> StartDay | None:
    samples = [
        one
        for one in record.samples.values()
        if one.batch == batch and (one.condition or "") not in record.study.place_on
    ]
    placed = [one for one in samples if one.condition is not None]
    if not placed:
        return None
    planned = planned_placing(record.study, record.protocol, placed[0])
    now = _weekend_days(record, placed, planned)
    days = _days_of_placing(record.protocol, record.study.batches[batch].made)
    counts = {day: _weekend_days(record, placed, day) for day in days}
    best = min(counts, key=lambda day: (counts[day], day), default=planned)
    if counts.get(best, now) >= now:
        return None
    return StartDay(batch, planned, now, best, counts[best])


def _days_of_placing(protocol: Protocol, made: date) -> Iterator[date]:
    """Yield the weekdays on which samples of a batch may be placed."""
    day = protocol.t0.read_after.after(made)
    last = protocol.t0.place_within.after(protocol.t0.read_before.after(made))
    while day <= last:
        if day.weekday() < SATURDAY:
            yield day
        day += timedelta(days=1)


def _weekend_days(record: StudyRecord, samples: list[Sample], placed: date) -> int:
    """Return how many days of check would fall on weekends [-]."""
    place_on: Mapping[str, date] = dict.fromkeys(
        {one.condition or "" for one in samples}, placed
    )
    moved = replace(record, study=replace(record.study, place_on=place_on))
    days = {
        planned.due
        for sample in samples
        for planned in planned_checks(moved, sample)
        if planned.provisional
    }
    return sum(day.weekday() >= SATURDAY for day in days)
