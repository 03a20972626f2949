"""Storage places of a hand-made folder: `places.csv`, one row one entry.

Columns: `kind,done,entered,person,place,reading,settings,refers_to,because`. An empty
`entered` means `done`, an empty `person` the one who opened the study. What a kind
needs stands in `settings` as `name=value`, several separated by `;`.

===========  ==================================================================
kind         what its columns hold
===========  ==================================================================
registered   place: its whole name with the suffix, `OVEN-7KQ4`; settings:
             `temperature=40; tolerance=2`, or `between=15,27`; `gap=2h`; because:
             what it is, in words
logged       place; reading: the logger's file, in this folder or below it; settings:
             what is declared of it, `time=Date`, `clock=Time`, `temperature=Temp`,
             `humidity=RH`, `zone=+00:00`, `dates=day-first`, `unit=F`, `decimal=comma`
looked       place; reading: lowest and highest since the look before, `38.9/41.2`
event        place; reading: what happened; settings: `from=2026-03-04T22:00`,
             `to=2026-03-05T07:00`, `side=colder`
answered     place; refers_to: position of the entry that shows the excursion; reading:
             continued, replaced or restarted; settings: `from=…`, `to=…`, `study=HDC`;
             because
invalidated  place; refers_to: position in the place's own record, whose registration
             is 1; because
===========  ==================================================================

Each place is a record of its own, and the rows of one follow each other in the order
of the file, so that digests are the same wherever it is read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Final
from zoneinfo import ZoneInfo

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.errors.samples import ReadingsError
from stability.errors.storage import PlaceKnownError
from stability.model import content, place_content
from stability.model.content import Content
from stability.model.entry import Draft, Entry, Head, chain
from stability.model.logger_form import DeclaredForm, LogSummary, declared_form
from stability.model.moment import Moment, utc_text
from stability.model.nearest import did_you_mean
from stability.model.place import SUBJECT, PlaceRecord, fold_place
from stability.model.plain_text import checked_name
from stability.records import places, storing
from stability.records.attachment import Attachment
from stability.records.guards import checked_moment
from stability.records.rows import Row

COLUMNS: Final = (
    "kind", "done", "entered", "person", "place", "reading", "settings",
    "refers_to", "because",
)  # fmt: skip
#: File, its name, what is declared of it, the place's zone -> what it holds.
Recognise = Callable[[bytes, str, DeclaredForm, str], LogSummary]


@dataclass(frozen=True, slots=True)
class PlaceRowRules:
    """What holds for all rows of the file."""

    #: The file's name, for messages.
    file: str
    #: Who did what a row does not say who did.
    person: str
    #: The study's time zone.
    zone: ZoneInfo
    #: Nothing may lie later.
    now: datetime
    #: The folder in which files of loggers lie.
    folder: Path
    #: Reads the file of a logger.
    recognise: Recognise


@dataclass(frozen=True, slots=True)
class HandMadePlaces:
    """Storage places of a hand-made folder."""

    #: Their entries, in the order of the file.
    entries: tuple[Entry, ...] = ()
    #: Files of loggers that its rows name.
    files: tuple[Attachment, ...] = ()


def place_entries(rows: Iterable[Row], rules: PlaceRowRules) -> HandMadePlaces:
    """Return the entries of all storage places, in the order of the file.

    Parameters
    ----------
    rows
        Of `places.csv`.
    rules
        What holds for all of them.

    Raises
    ------
    RowsError
        With every fault of every row, each with its line.
    """
    book = _Book(rules)
    faults = []
    for row in rows:
        try:
            book.take(row)
        except ReadingsError as error:
            faults += [f"line {row.line}: {one}" for one in error.faults]
        except StabilityError as error:
            faults.append(f"line {row.line}: {error}")
    if faults:
        raise RowsError(rules.file, faults)
    return HandMadePlaces(tuple(book.entries), tuple(book.files))


class _Book:
    """Storage places in the making, row by row."""

    def __init__(self, rules: PlaceRowRules) -> None:
        self.rules = rules
        self.entries: list[Entry] = []
        self.files: list[Attachment] = []
        self.of: dict[str, list[Entry]] = {}

    def take(self, row: Row) -> None:
        """Add the entry of one row."""
        kind = row.needed("kind")
        make = _KINDS.get(kind)
        if make is None:
            hint = did_you_mean(kind, _KINDS)
            raise ReadingsError([f"column kind: there is no kind {kind!r}; {hint}"])
        done = checked_moment(row.needed("done"), self.rules.zone, self.rules.now)
        subject, stored, held = make(self, row, row.needed("place"))
        person = row.maybe("person") or self.rules.person
        draft = Draft(
            subject,
            stored,
            checked_name(person, "column person"),
            str(done),
            utc_text(self._entered(row, done)),
            held,
        )
        before = self.of.get(subject, [])
        heads = {
            one.subject: Head(one.subject, one.position, one.digest)
            for one in before[-1:]
        }
        entry = chain([draft], heads)[0]
        self.of.setdefault(subject, []).append(entry)
        self.entries.append(entry)

    def place(self, named: str) -> PlaceRecord:
        """Return the place of an earlier row that a name means."""
        return fold_place(self.of[places.find_subject(tuple(self.of), named)])

    def file(self, name: str) -> Attachment:
        """Return the file of a logger, which lies in the folder or below it."""
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts:
            fault = f"column reading: {name} is to lie in the folder of this file"
            raise ReadingsError([fault])
        given = storing.read_file(self.rules.folder / path)
        self.files.append(given)
        return given

    def _entered(self, row: Row, done: Moment) -> datetime:
        typed = row.maybe("entered")
        moment = done
        if typed is not None:
            moment = checked_moment(typed, self.rules.zone, self.rules.now)
        if moment.time is not None:
            return moment.time
        day = moment.day
        return datetime(day.year, day.month, day.day, 12, tzinfo=self.rules.zone)


_Made = tuple[str, str, Content]


def _registered(book: _Book, row: Row, named: str) -> _Made:
    name, _, suffix = named.partition("-")
    subject = places.subject_of(name, suffix)
    if subject in book.of:
        raise PlaceKnownError(name.upper(), subject.removeprefix(SUBJECT))
    told = row.only_settings(("temperature", "tolerance", "between", "gap"))
    held = places.registration(
        name, row.cell("because"), str(book.rules.zone), places.PlaceRules(**told)
    )
    return subject, place_content.REGISTERED, held


def _logged(book: _Book, row: Row, named: str) -> _Made:
    place = book.place(named)
    told = row.only_settings(
        ("time", "clock", "temperature", "humidity", "zone", "dates", "unit", "decimal")
    )
    time = [told.pop(name) for name in ("time", "clock") if name in told]
    comma = told.pop("decimal", "") == "comma"
    declared = declared_form(time=time, decimal_comma=comma, **told)
    given = book.file(row.needed("reading"))
    zone = str(place.zone)
    summary = book.rules.recognise(given.content, given.file.name, declared, zone)
    held = storing.logged(place, given, summary, book.rules.now)
    return place.subject, place_content.LOGGED, held


def _looked(book: _Book, row: Row, named: str) -> _Made:
    place = book.place(named)
    lowest, slash, highest = row.needed("reading").partition("/")
    if not slash:
        fault = "column reading: write lowest and highest as 38.9/41.2"
        raise ReadingsError([fault])
    held = storing.looked(place, lowest, highest)
    return place.subject, place_content.LOOKED, held


def _event(book: _Book, row: Row, named: str) -> _Made:
    place = book.place(named)
    told = row.only_settings(("from", "to", "side"))
    times = told.get("from"), told.get("to")
    held = storing.stated(
        place, row.needed("reading"), times, told.get("side"), book.rules.now
    )
    return place.subject, place_content.EVENT, held


def _answered(book: _Book, row: Row, named: str) -> _Made:
    place = book.place(named)
    told = row.only_settings(("from", "to", "study"))
    times = told.get("from"), told.get("to")
    ends = storing.period(place, times, book.rules.now)
    held = storing.answered(
        place,
        _position(row),
        ends,
        outcome=row.needed("reading"),
        because=row.maybe("because"),
        study=told.get("study"),
    )
    return place.subject, content.ANSWERED, held


def _invalidated(book: _Book, row: Row, named: str) -> _Made:
    place = book.place(named)
    held = storing.invalidation(place, _position(row), row.maybe("because"))
    return place.subject, content.INVALIDATED, held


def _position(row: Row) -> int:
    position = row.refers_to
    if position is None:
        raise ReadingsError(["column refers_to: write the number of an entry"])
    return position


_KINDS: Final[Mapping[str, Callable[[_Book, Row, str], _Made]]] = {
    "registered": _registered,
    "logged": _logged,
    "looked": _looked,
    "event": _event,
    "answered": _answered,
    "invalidated": _invalidated,
}
