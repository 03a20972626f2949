"""Rows of a hand-made folder that make records of their own: instruments and places.

One row is one entry. Each subject is a record of its own, and the rows of one follow
each other in the order of the file, so that digests are the same wherever it is read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar
from zoneinfo import ZoneInfo

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.errors.samples import ReadingsError
from stability.model.content import Content
from stability.model.entry import Draft, Entry, Head, chain
from stability.model.moment import Moment, utc_text
from stability.model.nearest import did_you_mean
from stability.model.plain_text import checked_name
from stability.records.guards import checked_moment
from stability.records.rows import Row

#: Subject, kind of entry, content.
Made = tuple[str, str, Content]
#: Makes an entry from a row and the name in it.
Make = Callable[[Row, str], Made]


@dataclass(frozen=True, slots=True)
class SubjectRowRules:
    """What holds for all rows of the file."""

    #: The file's name, for messages.
    file: str
    #: Who did what a row does not say who did.
    person: str
    #: The study's time zone.
    zone: ZoneInfo
    #: Nothing may lie later.
    now: datetime


Rules = TypeVar("Rules", bound=SubjectRowRules)


class SubjectBook(Generic[Rules]):
    """Records of other subjects in the making, row by row."""

    def __init__(self, rules: Rules, column: str, kinds: Mapping[str, Make]) -> None:
        self.rules = rules
        #: Column that names the subject.
        self._column = column
        #: Kind of row -> makes its entry.
        self._kinds = kinds
        self.entries: list[Entry] = []
        #: Subject -> its entries so far.
        self.of: dict[str, list[Entry]] = {}

    def take_all(self, rows: Iterable[Row]) -> None:
        """Add the entries of all rows.

        Raises
        ------
        RowsError
            With every fault of every row, each with its line.
        """
        faults = []
        for row in rows:
            try:
                self._take(row)
            except ReadingsError as error:
                faults += [f"line {row.line}: {one}" for one in error.faults]
            except StabilityError as error:
                faults.append(f"line {row.line}: {error}")
        if faults:
            raise RowsError(self.rules.file, faults)

    def done(self, row: Row) -> Moment:
        """Return when what a row tells was done."""
        return checked_moment(row.needed("done"), self.rules.zone, self.rules.now)

    def entered(self, row: Row) -> datetime:
        """Return when a row was stored; an empty `entered` means `done`."""
        typed = row.maybe("entered") or row.needed("done")
        moment = checked_moment(typed, self.rules.zone, self.rules.now)
        if moment.time is not None:
            return moment.time
        day = moment.day
        return datetime(day.year, day.month, day.day, 12, tzinfo=self.rules.zone)

    def _take(self, row: Row) -> None:
        kind = row.needed("kind")
        make = self._kinds.get(kind)
        if make is None:
            hint = did_you_mean(kind, self._kinds)
            raise ReadingsError([f"column kind: there is no kind {kind!r}; {hint}"])
        done = self.done(row)
        subject, stored, held = make(row, row.needed(self._column))
        person = row.maybe("person") or self.rules.person
        draft = Draft(
            subject,
            stored,
            checked_name(person, "column person"),
            str(done),
            utc_text(self.entered(row)),
            held,
        )
        before = self.of.setdefault(subject, [])
        heads = {one.subject: _head(one) for one in before[-1:]}
        entry = chain([draft], heads)[0]
        before.append(entry)
        self.entries.append(entry)


def _head(entry: Entry) -> Head:
    return Head(entry.subject, entry.position, entry.digest)


def meant_entry(row: Row) -> int:
    """Return the position of the entry that a row refers to.

    Raises
    ------
    ReadingsError
        If it refers to none.
    """
    position = row.refers_to
    if position is None:
        raise ReadingsError(["column refers_to: write the number of an entry"])
    return position
