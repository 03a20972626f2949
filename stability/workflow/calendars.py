"""The verb that writes check days as a calendar."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.labels import (
    CalendarScopeError,
    NothingPlannedError,
    ReminderError,
)
from stability.errors.reports import ReportExistsError
from stability.errors.studies import AsOfTooEarlyError
from stability.model.age import parse_age
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load_as_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stability.model.check_days import StudyCalendar
    from stability.records.store import StudySource


@dataclass(frozen=True, slots=True)
class CalendarWritten:
    """A calendar that was written."""

    #: The file.
    target: Path
    #: Codes of the studies in it.
    studies: tuple[str, ...]
    #: Events on which something is to be done [-].
    planned: int
    #: Those among them whose day may still move [-].
    tentative: int
    #: Events that are told as cancelled [-].
    cancelled: int
    #: Where each record stood: subject, position and digest.
    anchors: tuple[str, ...]


def calendar(
    at: Occasion,
    study: str | None,
    target: Path,
    *,
    every: bool = False,
    remind: str | None = None,
    as_of: str | None = None,
    overwrite: bool = False,
) -> CalendarWritten:
    """Write check days, placings and hand-overs as an iCalendar file.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder; None where every study is asked for.
    target
        The file.
    every
        Whether every study of the workspace is taken.
    remind
        How long before an event a reminder comes, such as `1d`; None for none.
    as_of
        Day as typed; None: today in the study's zone.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If a study, age or day cannot be read, nothing is planned, or the file cannot
        be written.
    """
    if (study is None) != every:
        raise CalendarScopeError
    before = None if remind is None else _before(remind)
    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    made = tuple(_calendars(at, study, as_of))
    if not any(one.days for one in made):
        raise NothingPlannedError(f"study {study}" if study else "these records")
    return _written(target, made, before)


def _written(
    target: Path, made: tuple[StudyCalendar, ...], before: timedelta | None
) -> CalendarWritten:
    from stability.report.check_calendar import calendar_bytes
    from stability.report.whole_file import check_place, write_whole

    check_place(target)
    write_whole(target, calendar_bytes(made, before))
    states = [day.state for one in made for day in one.days]
    cancelled = states.count("cancelled")
    return CalendarWritten(
        target=target,
        studies=tuple(one.record.study.code for one in made),
        planned=len(states) - cancelled,
        tentative=states.count("tentative"),
        cancelled=cancelled,
        anchors=tuple(str(one.record.head) for one in made),
    )


def _calendars(
    at: Occasion, study: str | None, as_of: str | None
) -> Iterator[StudyCalendar]:
    from stability.model.check_days import study_calendar

    for source, day in _sources(at, study, as_of):
        yield study_calendar(source.record, source.entries, day)


def _sources(
    at: Occasion, study: str | None, as_of: str | None
) -> Iterator[tuple[StudySource, date]]:
    from stability.records import agenda
    from stability.records.database import open_database

    if study is not None:
        yield load_as_of(at, study, as_of)
        return
    with open_database(at.records).reading() as connection:
        codes = agenda.study_codes(connection)
    for code in codes:
        # On an earlier day there was less to plan, not a fault.
        with suppress(AsOfTooEarlyError):
            yield load_as_of(at, code, as_of)


def _before(typed: str) -> timedelta:
    """Return the time before an event; months and years have no fixed length."""
    age = parse_age(typed.strip())
    if age is None or age.calendar_months is not None:
        raise ReminderError(typed)
    return timedelta(hours=round(age.nominal_days * 24))
