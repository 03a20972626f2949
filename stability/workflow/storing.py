"""Verbs that record what a storage place did, and what was decided of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.storage import StorageRecordError, StorageReferenceError
from stability.model import content, place_content
from stability.model.entry import Entry
from stability.model.logger_form import DeclaredForm
from stability.model.place import PlaceRecord, fold_place
from stability.workflow.occasion import Occasion
from stability.workflow.place_entries import (
    append,
    draft_of,
    entries_of_place,
    find_place,
    words_of,
)
from stability.workflow.storage import place as shown_place
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from stability.evaluation.storage_findings import StorageExcursion  # noqa: TC004

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["StorageExcursion"]


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A record of a place that was stored, and the excursions it shows."""

    #: Its entry.
    written: Written
    #: The place as it is now.
    place: PlaceRecord
    #: Excursions without an answer, by their start.
    open: tuple[StorageExcursion, ...] = ()


def log(
    at: Occasion,
    name: str,
    path: Path,
    declared: DeclaredForm,
    *,
    done: str | None = None,
) -> TakenIn:
    """Take in the file of a logger: one entry, and the file as it was received.

    Parameters
    ----------
    at
        The occasion.
    name
        The place.
    path
        The file.
    declared
        What was declared of its columns, dates and zone.
    done
        When it was read out, as typed; None: now.

    Raises
    ------
    StabilityError
        If the file cannot be read or something of it not be told; nothing was written.
    """
    from stability.records import attachment, storing
    from stability.records.database import open_database
    from stability.statistics.logger_file import recognise_logger

    subject, place = find_place(at, name)
    given = storing.read_file(path)
    zone = str(place.zone)
    summary = recognise_logger(given.content, given.file.name, declared, zone)
    with open_database(at.records).writing() as connection:
        place = fold_place(entries_of_place(connection, subject))
        held = storing.logged(place, given, summary, at.now)
        remarks = (*summary.remarks, *storing.overlap_remarks(place, summary))
        draft = draft_of(at, (subject, place), place_content.LOGGED, held, done)
        attachment.keep_all(connection, [given])
        entry = append(connection, draft)
    return _taken_in(at, subject, entry, remarks)


def look(
    at: Occasion, name: str, lowest: str, highest: str, *, done: str | None = None
) -> TakenIn:
    """Store a look at a thermometer that keeps lowest and highest.

    Parameters
    ----------
    at
        The occasion.
    name
        The place.
    lowest, highest
        Since the look before, as typed [°C].
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If they cannot be taken; nothing was written.
    """
    from stability.records import storing
    from stability.records.database import open_database

    subject, place = find_place(at, name)
    held = storing.looked(place, lowest, highest)
    with open_database(at.records).writing() as connection:
        draft = draft_of(at, (subject, place), place_content.LOOKED, held, done)
        entry = append(connection, draft)
    return _taken_in(at, subject, entry)


def event(
    at: Occasion,
    name: str,
    what: str,
    *,
    start: str | None,
    end: str | None,
    direction: str | None = None,
    done: str | None = None,
) -> TakenIn:
    """Store something that happened to a place, such as a power cut.

    Parameters
    ----------
    at
        The occasion.
    name
        The place.
    what
        What happened.
    start, end
        From when to when, as typed.
    direction
        hotter or colder than meant; None where it is not known.
    done
        When it is told, as typed; None: now.

    Raises
    ------
    StabilityError
        If a time cannot be taken; nothing was written.
    """
    from stability.records import storing
    from stability.records.database import open_database

    subject, place = find_place(at, name)
    held = storing.stated(place, what, (start, end), direction, at.now)
    with open_database(at.records).writing() as connection:
        draft = draft_of(at, (subject, place), place_content.EVENT, held, done)
        entry = append(connection, draft)
    return _taken_in(at, subject, entry)


def answer(
    at: Occasion,
    name: str,
    *,
    start: str | None,
    end: str | None,
    outcome: str,
    because: str | None,
    side: str | None = None,
    study: str | None = None,
    done: str | None = None,
) -> Written:
    """Answer the excursions of a place in a period: what was decided, and why.

    What was hotter and what was colder than meant is answered apart.

    Parameters
    ----------
    at
        The occasion.
    name
        The place.
    start, end
        Days or times that the excursions touch, as typed; no end: the day of start.
    outcome
        continued, replaced or restarted.
    because
        The reason.
    side
        hotter or colder, as typed; None where what is open is of one side.
    study
        Study for which it holds; None: for all that stood there.
    done
        When it was decided, as typed; None: now.

    Raises
    ------
    StabilityError
        If there is no excursion then, if some were hotter and some colder and no side
        is said, or no reason is given; nothing was written.
    """
    from stability.evaluation.excursions import answered_ends
    from stability.records import store, storing
    from stability.records.database import open_database
    from stability.workflow.excursions_answered import answered_words, sides_asked

    shown = shown_place(at, name)
    record = shown.record
    typed = storing.period(record, (start, end or start), at.now)
    code = None
    if study is not None:
        with open_database(at.records).reading() as connection:
            code = store.find_study(connection, study)
    near = [
        one for one in shown.excursions if one.start <= typed[1] and typed[0] <= one.end
    ]
    sides = (storing.side_of(side),) if side else sides_asked(record, near)
    touched = [one for one in near if not one.direction or one.direction in sides]
    if not touched and code is None:
        than = f", {sides[0]} than meant," if side else ""
        reason = f"no excursion{than} is on record from {start} to {end or start}"
        raise StorageRecordError(record.name, reason)
    held = storing.answered(
        record,
        touched[0].position if touched else 1,
        answered_ends(typed, touched),
        sides=sides if touched or side else None,
        outcome=outcome,
        because=because,
        study=code,
    )
    with open_database(at.records).writing() as connection:
        draft = draft_of(at, (record.subject, record), content.ANSWERED, held, done)
        entry = append(connection, draft)
    told = words_of(at, record.subject, entry)
    return written(entry, f"{told}; {answered_words(record, touched)}")


def invalidate(
    at: Occasion, reference: str, *, because: str | None, done: str | None = None
) -> Written:
    """Set a record of a place aside with its cause; it stays readable.

    Parameters
    ----------
    at
        The occasion.
    reference
        Place and number, such as OVEN/3.
    because
        Why.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or no cause is given.
    """
    from stability.records import storing
    from stability.records.database import open_database

    name, slash, number = reference.strip().rpartition("/")
    if not slash or not (number.isascii() and number.isdigit()):
        raise StorageReferenceError(reference, "write place and number, OVEN/3")
    subject, place = find_place(at, name)
    held = storing.invalidation(place, int(number), because)
    with open_database(at.records).writing() as connection:
        draft = draft_of(at, (subject, place), content.INVALIDATED, held, done)
        entry = append(connection, draft)
    return written(entry, f"{place.name}/{number} set aside: {held['because']}")


def _taken_in(
    at: Occasion, subject: str, entry: Entry, remarks: tuple[str, ...] = ()
) -> TakenIn:
    """Return what was stored, with the excursions that it shows."""
    shown = shown_place(at, subject)
    open_ = tuple(
        one
        for one in shown.excursions
        if one.is_open and one.position == entry.position
    )
    told = written(entry, words_of(at, subject, entry), remarks)
    return TakenIn(told, shown.record, open_)
