"""Records of a storage place as typed or received: checked, made an entry.

Nothing here writes; a fault leaves the record as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Final

from stability.errors.storage import (
    LoggerUnreadableError,
    StorageRecordError,
    StorageReferenceError,
)
from stability.model import content, place_content
from stability.model.content import Content
from stability.model.excursion_answer import (
    DIRECTIONS,
    EXCURSION_OUTCOMES,
    Direction,
)
from stability.model.logger_form import LogSummary
from stability.model.moment import parse_utc, utc_text
from stability.model.number import parse_number
from stability.model.place import PlaceRecord, day_ends
from stability.model.plain_text import checked_name, checked_text
from stability.records import attachment
from stability.records.attachment import Attachment
from stability.records.guards import checked_moment, reasoned
from stability.records.names import find_name
from stability.records.places import COLDEST, HOTTEST

#: Largest file that is taken [bytes]; half a million rows are a tenth of it.
LARGEST: Final = 200_000_000
#: How far the clock of a logger may run ahead [s].
_AHEAD: Final = 86_400


def read_file(path: Path) -> Attachment:
    """Return the file of a logger with its bytes as received.

    Raises
    ------
    LoggerUnreadableError
        If it is not there, may not be read, or is far too large.
    """
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise LoggerUnreadableError(path, f"it has over {LARGEST // 10**6} MB")
        content_ = path.read_bytes()
    except OSError as error:
        raise LoggerUnreadableError(path, error.strerror or str(error)) from error
    return attachment.attachment_of(content_, path.name, "text/csv")


def logged(
    place: PlaceRecord, given: Attachment, summary: LogSummary, now: datetime
) -> Content:
    """Return the content of a logger's file.

    Parameters
    ----------
    place
        Where the logger lay.
    given
        The file as received.
    summary
        What it holds, and how it is read.
    now
        No reading may lie later than a day from now: clocks of loggers run wrong.

    Raises
    ------
    StorageRecordError
        If the same file is on record, or it tells of days that have not come.
    """
    for one in place.logs():
        if one.sha256 == given.file.sha256:
            reason = f"the same file is on record as {place.name}/{one.position}"
            raise StorageRecordError(place.name, reason)
    if (parse_utc(summary.last) - now).total_seconds() > _AHEAD:
        reason = (
            f"the last reading is of {summary.last[:10]}, which has not come; look at "
            "the logger's clock and at the order of day and month"
        )
        raise StorageRecordError(place.name, reason)
    name = checked_name(given.file.name, "the name of the file")
    return place_content.logged(name, given.file.sha256, given.file.size, summary)


def overlap_remarks(place: PlaceRecord, summary: LogSummary) -> tuple[str, ...]:
    """Say which files on record tell of the same time."""
    first, last = parse_utc(summary.first), parse_utc(summary.last)
    return tuple(
        f"{place.name}/{one.position} ({one.name}) tells of a part of the same time"
        for one in place.logs()
        if one.first <= last and first <= one.last
    )


def looked(place: PlaceRecord, lowest: str, highest: str) -> Content:
    """Return the content of a look at a thermometer.

    Raises
    ------
    StorageRecordError
        If they are no temperatures, or the lowest lies above the highest.
    """
    low = _temperature(place.name, "--min", lowest)
    high = _temperature(place.name, "--max", highest)
    if Decimal(low) > Decimal(high):
        reason = f"the lowest, {low} °C, lies above the highest, {high} °C"
        raise StorageRecordError(place.name, reason)
    return place_content.looked(low, high)


def stated(
    place: PlaceRecord,
    what: str,
    times: tuple[str | None, str | None],
    direction: str | None,
    now: datetime,
) -> Content:
    """Return the content of a stated event.

    Parameters
    ----------
    place
        What it happened to.
    what
        What happened.
    times
        From when and until when, as typed.
    direction
        hotter or colder; None where it is not known.
    now
        It may not end later.

    Raises
    ------
    StabilityError
        If a time cannot be read, or it ends before it begins.
    """
    start, end = period(place, times, now)
    if start == end:
        raise StorageRecordError(place.name, "it takes no time; say until when")
    side = None
    if direction is not None:
        side = side_of(direction)
    return place_content.event(
        checked_text(what.strip(), "what happened"),
        utc_text(start),
        utc_text(end),
        side,
    )


def period(
    place: PlaceRecord, times: tuple[str | None, str | None], now: datetime
) -> tuple[datetime, datetime]:
    """Return from when to when, as typed in the place's zone; a day is the whole day.

    Raises
    ------
    StabilityError
        If one is missing or cannot be read, or they are the wrong way round.
    """
    if times[0] is None or times[1] is None:
        reason = (
            "say from when to when, as --from 2026-03-04T22:00 --to 2026-03-05T07:00"
        )
        raise StorageRecordError(place.name, reason)
    first, last = (checked_moment(one, place.zone, now) for one in times)
    start, end = day_ends(first, place.zone)[0], day_ends(last, place.zone)[1]
    if last < first:
        reason = f"it ends on {times[1]}, before it begins on {times[0]}"
        raise StorageRecordError(place.name, reason)
    return start, end


def side_of(typed: str) -> Direction:
    """Return a side of the range, as typed.

    Raises
    ------
    UnknownNameError
        If it is none.
    """
    named = find_name(typed, DIRECTIONS, "side")
    return next(one for one in DIRECTIONS if one == named)


def answered(
    place: PlaceRecord,
    position: int,
    ends: tuple[datetime, datetime],
    *,
    sides: Sequence[Direction] | None = None,
    outcome: str,
    because: str | None,
    study: str | None = None,
) -> Content:
    """Return the content of an answer to what a place did in a period.

    Parameters
    ----------
    place
        The place.
    position
        Of the entry that shows it.
    ends
        From when to when it is answered.
    sides
        Sides of the range that it answers; None: all that lies within.
    outcome
        continued, replaced or restarted.
    because
        The reason.
    study
        Study for which it holds; None for all.

    Raises
    ------
    StabilityError
        If the outcome is none, or no reason is given.
    """
    came_to = find_name(outcome, EXCURSION_OUTCOMES, "outcome")
    reason = reasoned(because, f"The answer to an excursion of {place.name}")
    return place_content.answered(
        position,
        utc_text(ends[0]),
        utc_text(ends[1]),
        outcome=came_to,
        because=reason,
        study=study,
        sides=sides,
    )


def invalidation(place: PlaceRecord, position: int, because: str | None) -> Content:
    """Return the content that sets a log, look, event or answer aside.

    Raises
    ------
    StabilityError
        If there is none, it was set aside, or no cause is given.
    """
    reference = f"{place.name}/{position}"
    one = place.happenings.get(position)
    if one is None:
        raise StorageReferenceError(reference, "there is nothing of this number")
    if one.invalidated is not None:
        by = one.invalidated.position
        raise StorageReferenceError(reference, f"entry {by} set it aside")
    cause = reasoned(because, f"Setting {reference} aside")
    return content.invalidated(position, cause)


def _temperature(name: str, option: str, typed: str) -> str:
    number = parse_number(typed.strip(), option)
    if number.qualifier or not COLDEST <= number.value <= HOTTEST:
        reason = f"{option} {typed} is no temperature of a storage place in °C"
        raise StorageRecordError(name, reason)
    return number.text
