"""Verbs of storage places: register, list, show with figures and excursions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from stability.errors.storage import StorageRecordError, StorageReferenceError
from stability.model import place_content
from stability.model.moment import Moment
from stability.model.place import PlaceRecord, day_ends, fold_place
from stability.workflow.occasion import Occasion
from stability.workflow.place_entries import append, draft_of, entries_of_place
from stability.workflow.sources import parse_day
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from stability.evaluation.storage_findings import (  # noqa: TC004
        PlaceFigures,
        StorageExcursion,
    )

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["PlaceFigures", "StorageExcursion"]


@dataclass(frozen=True, slots=True)
class PlaceShown:
    """A storage place over a period, as of a day."""

    #: The place.
    record: PlaceRecord
    #: From when to when; None where nothing is recorded.
    period: tuple[datetime, datetime] | None
    #: Figures of its loggers; None without a logger's file.
    figures: PlaceFigures | None
    #: Excursions from what is meant there, by their start.
    excursions: tuple[StorageExcursion, ...]


def add(
    at: Occasion,
    name: str,
    text: str,
    *,
    suffix: str,
    temperature: str | None = None,
    tolerance: str | None = None,
    between: str | None = None,
    gap: str | None = None,
    zone: str | None = None,
    done: str | None = None,
) -> Written:
    """Register a storage place; the workspace is made where there is none.

    Parameters
    ----------
    at
        The occasion.
    name
        Short name, as people will type it.
    text
        What it is, in words.
    suffix
        Four signs, drawn by the caller, so that two makers' places never collide.
    temperature, tolerance, between, gap
        What is meant there, as typed [°C, °C, °C, hours or days].
    zone
        IANA name of its time zone; None: the machine's.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If something cannot be taken, or the name is in use; nothing was written.
    """
    from stability.records import places
    from stability.records.database import open_database

    subject = places.subject_of(name, suffix)
    rules = places.PlaceRules(temperature, tolerance, between, gap)
    held = places.registration(name, text, zone or at.zone or "UTC", rules)
    with open_database(at.records, create=True).writing() as connection:
        places.refuse_known(places.place_subjects(connection), name)
        draft = draft_of(at, (subject, None), place_content.REGISTERED, held, done)
        entry = append(connection, draft)
    record = fold_place([entry])
    usual = " (common practice)" if record.usual_gap else ""
    parts = [f"{record.code}: {record.meant_words()}", record.text, str(record.zone)]
    parts.append(f"a reading stands for at most {record.longest_gap}{usual}")
    return written(entry, "; ".join(part for part in parts if part))


def places(at: Occasion, *, as_of: str | None = None) -> tuple[PlaceRecord, ...]:
    """Return every storage place of the workspace.

    Parameters
    ----------
    at
        The occasion.
    as_of
        Day as typed; None: now.

    Raises
    ------
    StabilityError
        If the day cannot be read.
    """
    from stability.records import places as store
    from stability.records.database import open_database

    day = None if as_of is None else parse_day(as_of)
    with open_database(at.records).reading() as connection:
        chains = [
            entries_of_place(connection, subject)
            for subject in store.place_subjects(connection)
        ]
    found = (store.as_of(one, day, at.local_zone()) for one in chains)
    return tuple(one for one in found if one is not None)


def place(
    at: Occasion,
    name: str,
    *,
    start: str | None = None,
    end: str | None = None,
    as_of: str | None = None,
) -> PlaceShown:
    """Return one place over a period: its figures, excursions and all its records.

    Parameters
    ----------
    at
        The occasion.
    name
        The place.
    start, end
        From when to when, as typed; None: as far as anything is recorded.
    as_of
        Day as typed; None: now.

    Raises
    ------
    StabilityError
        If none or several are meant, or it was not registered by that day.
    """
    from stability.records import attachment
    from stability.records import places as store
    from stability.records.database import open_database
    from stability.records.guards import checked_moment

    day = None if as_of is None else parse_day(as_of)
    with open_database(at.records).reading() as connection:
        subject = store.find_subject(store.place_subjects(connection), name)
        entries = entries_of_place(connection, subject)
        record = store.as_of(entries, day, at.local_zone())
        if record is None:
            raise StorageReferenceError(name, f"it was not registered by {as_of}")
        files = {
            one.sha256: attachment.fetch(connection, one.sha256).content
            for one in record.logs()
        }
    ends = [
        None if one is None else checked_moment(one, record.zone, at.now)
        for one in (start, end)
    ]
    return _shown(record, files, (ends[0], ends[1]))


def _shown(
    record: PlaceRecord,
    files: dict[str, bytes],
    ends: tuple[Moment | None, Moment | None],
) -> PlaceShown:
    from stability.evaluation.excursions import Period, excursions_in, whole_of
    from stability.evaluation.place_readings import figures_over, read_place

    readings = read_place(record, files)
    whole = whole_of(readings)
    if whole is None:
        return PlaceShown(record, None, None, ())
    logged = whole_of(readings, logs_only=True) or whole
    start = day_ends(ends[0], record.zone)[0] if ends[0] else whole.start
    end = day_ends(ends[1], record.zone)[1] if ends[1] else whole.end
    if start > end or (ends[0] and ends[1] and ends[1] < ends[0]):
        reason = f"it ends on {ends[1]}, before it begins on {ends[0]}"
        raise StorageRecordError(record.name, reason)
    figures = None
    if record.logs():
        first = start if ends[0] else logged.start
        last = end if ends[1] else logged.end
        figures = figures_over(readings, record.meant, [(first, max(first, last))])
    excursions = excursions_in(readings, record.meant, Period(start, end))
    return PlaceShown(record, (start, end), figures, excursions)
