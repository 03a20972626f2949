"""Where reading verbs read a study: in the workspace, or straight from its folder."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from stability.errors.codes import MomentError
from stability.model.moment import parse_moment
from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.model.entry import Entry
    from stability.records.store import StudySource

#: Windows of checks around a later day might lie beyond the last that Python counts.
_LAST_YEAR = 9000


def load(at: Occasion, study: str) -> StudySource:
    """Return a study as it is now, from the workspace or from its folder.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code, or path of a folder.

    Raises
    ------
    StabilityError
        If there is none, or it cannot be read.
    """
    from stability.records.store import record_of

    return record_of(entries_of(at, study))


def load_as_of(at: Occasion, study: str, as_of: str | None) -> tuple[StudySource, date]:
    """Return a study as of a day, and that day: today in its zone where none is given.

    Raises
    ------
    StabilityError
        If there is none, or nothing of it was stored by then.
    """
    from stability.records.store import record_of

    day = None if as_of is None else parse_day(as_of)
    entries = entries_of(at, study)
    if day is None:
        zone = ZoneInfo(entries[0].content["time_zone"])
        day = at.now.astimezone(zone).date()
    return record_of(entries, day), day


def entries_of(at: Occasion, study: str) -> tuple[Entry, ...]:
    """Return the entries of a study; the connection is closed again.

    Raises
    ------
    StabilityError
        If there is none, or it cannot be read.
    """
    from stability.records import journal, store
    from stability.records.database import open_database
    from stability.records.opening import subject_of
    from stability.records.study_folder import entries_of_folder

    if store.is_folder(study):
        return entries_of_folder(Path(study), at.now)
    with open_database(at.records).reading() as connection:
        code = store.find_study(connection, study)
        return journal.entries(connection, subject_of(code))


def parse_day(typed: str) -> date:
    """Read a day.

    Raises
    ------
    MomentError
        If it is none, or has a time.
    """
    moment = parse_moment(typed.strip(), ZoneInfo("UTC"))
    if moment is None:
        raise MomentError(typed, "there is no such day, or it is written otherwise")
    if moment.time is not None:
        raise MomentError(typed, "a day without a time is meant here")
    if moment.day.year > _LAST_YEAR:
        raise MomentError(typed, "the calendar ends before windows around it do")
    return moment.day
