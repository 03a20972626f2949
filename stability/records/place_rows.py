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
             continued, replaced or restarted; settings: `from=…`, `to=…`, `study=HDC`,
             `side=colder`, without which it holds for both sides; because
invalidated  place; refers_to: position in the place's own record, whose registration
             is 1; because
===========  ==================================================================

Each place is a record of its own, and the rows of one follow each other in the order
of the file, so that digests are the same wherever it is read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Final

from stability.errors.samples import ReadingsError
from stability.errors.storage import PlaceKnownError
from stability.model import content, place_content
from stability.model.entry import Entry
from stability.model.logger_form import DeclaredForm, LogSummary, declared_form
from stability.model.place import SUBJECT, PlaceRecord, fold_place
from stability.records import places, storing
from stability.records.attachment import Attachment
from stability.records.rows import Row
from stability.records.subject_rows import (
    Made,
    SubjectBook,
    SubjectRowRules,
    meant_entry,
)

COLUMNS: Final = (
    "kind", "done", "entered", "person", "place", "reading", "settings",
    "refers_to", "because",
)  # fmt: skip
#: File, its name, what is declared of it, the place's zone -> what it holds.
Recognise = Callable[[bytes, str, DeclaredForm, str], LogSummary]


@dataclass(frozen=True, slots=True)
class PlaceRowRules(SubjectRowRules):
    """What holds for all rows of the file."""

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
    book.take_all(rows)
    return HandMadePlaces(tuple(book.entries), tuple(book.files))


class _Book(SubjectBook[PlaceRowRules]):
    """Storage places in the making, row by row."""

    def __init__(self, rules: PlaceRowRules) -> None:
        kinds = {kind: partial(make, self) for kind, make in _KINDS.items()}
        super().__init__(rules, "place", kinds)
        self.files: list[Attachment] = []

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


def _registered(book: _Book, row: Row, named: str) -> Made:
    name, _, suffix = named.partition("-")
    subject = places.subject_of(name, suffix)
    if subject in book.of:
        raise PlaceKnownError(name.upper(), subject.removeprefix(SUBJECT))
    told = row.only_settings(("temperature", "tolerance", "between", "gap"))
    held = places.registration(
        name, row.cell("because"), str(book.rules.zone), places.PlaceRules(**told)
    )
    return subject, place_content.REGISTERED, held


def _logged(book: _Book, row: Row, named: str) -> Made:
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


def _looked(book: _Book, row: Row, named: str) -> Made:
    place = book.place(named)
    lowest, slash, highest = row.needed("reading").partition("/")
    if not slash:
        fault = "column reading: write lowest and highest as 38.9/41.2"
        raise ReadingsError([fault])
    held = storing.looked(place, lowest, highest)
    return place.subject, place_content.LOOKED, held


def _event(book: _Book, row: Row, named: str) -> Made:
    place = book.place(named)
    told = row.only_settings(("from", "to", "side"))
    times = told.get("from"), told.get("to")
    held = storing.stated(
        place, row.needed("reading"), times, told.get("side"), book.rules.now
    )
    return place.subject, place_content.EVENT, held


def _answered(book: _Book, row: Row, named: str) -> Made:
    place = book.place(named)
    told = row.only_settings(("from", "to", "side", "study"))
    times = told.get("from"), told.get("to")
    ends = storing.period(place, times, book.rules.now)
    held = storing.answered(
        place,
        meant_entry(row),
        ends,
        sides=(storing.side_of(told["side"]),) if "side" in told else None,
        outcome=row.needed("reading"),
        because=row.maybe("because"),
        study=told.get("study"),
    )
    return place.subject, content.ANSWERED, held


def _invalidated(book: _Book, row: Row, named: str) -> Made:
    place = book.place(named)
    held = storing.invalidation(place, meant_entry(row), row.maybe("because"))
    return place.subject, content.INVALIDATED, held


_KINDS: Final[Mapping[str, Callable[[_Book, Row, str], Made]]] = {
    "registered": _registered,
    "logged": _logged,
    "looked": _looked,
    "event": _event,
    "answered": _answered,
    "invalidated": _invalidated,
}
