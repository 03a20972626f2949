"""Instruments of a hand-made folder: `instruments.csv`, one row one entry.

Columns: `kind,done,entered,person,instrument,reading,settings,refers_to,because`. An
empty `entered` means `done`, an empty `person` the one who opened the study. What a
kind needs stands in `settings` as `name=value`, several separated by `;`.

===========  ==================================================================
kind         what its columns hold
===========  ==================================================================
registered   instrument: its whole name with the suffix, `PH1-9XR2`; reading: what
             it is, `pH meter`; settings: rules that are stated, `valid_for=1d`,
             `slope=90 to 105`, `offset=30`, `reread=0.02`, `tolerance=0.1 %`;
             because: what it is, in words
calibrated   instrument; reading: buffers, `7.00=-15; 4.01=160` (empty: none);
             settings: `temperature=22`, `slope=98.6`, `offset=-12`,
             `reread=4.01=4.02`, `result=failed`; because
checked      instrument; reading: weights or standards, `50.00=50.01`; settings:
             `result=failed`; because
rules        instrument; settings: rules that change, as for registered, and
             `from=2026-05-01`, no day before that of `entered`; because
retired      instrument; because: why it left
invalidated  instrument; refers_to: position in the instrument's own record, whose
             registration is 1; because
===========  ==================================================================

Each instrument is a record of its own, and the rows of one follow each other in the
order of the file, so that digests are the same wherever it is read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Final

from stability.errors.instruments import InstrumentKnownError, UnknownInstrumentError
from stability.model import content
from stability.model.entry import Entry
from stability.model.instrument import SUBJECT, InstrumentRecord, fold_instrument
from stability.model.instrument_content import CALIBRATED, REGISTERED, RETIRED, RULES
from stability.records import instrument_changes, instruments
from stability.records.calibrating import CalibrationWish, calibration
from stability.records.instruments import Rules, meant_subjects
from stability.records.rows import Row
from stability.records.subject_rows import (
    Made,
    SubjectBook,
    SubjectRowRules,
    meant_entry,
)

COLUMNS: Final = (
    "kind", "done", "entered", "person", "instrument", "reading", "settings",
    "refers_to", "because",
)  # fmt: skip
_RULES: Final = ("valid_for", "slope", "offset", "reread", "tolerance")


def instrument_entries(
    rows: Iterable[Row], rules: SubjectRowRules
) -> tuple[Entry, ...]:
    """Return the entries of all instruments, in the order of the file.

    Parameters
    ----------
    rows
        Of `instruments.csv`.
    rules
        What holds for all of them.

    Raises
    ------
    RowsError
        With every fault of every row, each with its line.
    """
    book = _Book(rules)
    book.take_all(rows)
    return tuple(book.entries)


class _Book(SubjectBook[SubjectRowRules]):
    """Instruments in the making, row by row."""

    def __init__(self, rules: SubjectRowRules) -> None:
        kinds = {kind: partial(make, self) for kind, make in _KINDS.items()}
        super().__init__(rules, "instrument", kinds)

    def subject(self, named: str) -> str:
        """Return the instrument of an earlier row that a name means."""
        meant = meant_subjects(self.of, named)
        if len(meant) != 1:
            known = ", ".join(one.removeprefix(SUBJECT) for one in meant or self.of)
            reason = f"rows above register {known or 'none'}"
            raise UnknownInstrumentError(named, reason)
        return meant[0]

    def record(self, subject: str) -> InstrumentRecord:
        """Return an instrument as the rows so far tell it."""
        return fold_instrument(self.of[subject])


def _registered(book: _Book, row: Row, named: str) -> Made:
    name, _, suffix = named.partition("-")
    subject = instruments.subject_of(name, suffix)
    if subject in book.of:
        raise InstrumentKnownError(name.upper(), subject.removeprefix(SUBJECT))
    told = row.only_settings(_RULES)
    held = instruments.registration(
        name, row.needed("reading"), row.cell("because"), Rules(**told)
    )
    return subject, REGISTERED, held


def _calibrated(book: _Book, row: Row, named: str) -> Made:
    told = row.only_settings(("temperature", "slope", "offset", "reread", "result"))
    wish = CalibrationWish(
        buffers=row.several("reading"), because=row.maybe("because"), **told
    )
    return _made(book, row, named, wish)


def _checked(book: _Book, row: Row, named: str) -> Made:
    told = row.only_settings(("result",))
    wish = CalibrationWish(
        standards=row.several("reading"), because=row.maybe("because"), **told
    )
    return _made(book, row, named, wish)


def _made(book: _Book, row: Row, named: str, wish: CalibrationWish) -> Made:
    subject = book.subject(named)
    day = book.done(row).day
    return subject, CALIBRATED, calibration(book.record(subject), wish, day).held


def _rules(book: _Book, row: Row, named: str) -> Made:
    subject = book.subject(named)
    told = row.only_settings(("from", *_RULES))
    since = told.pop("from", None)
    stored = book.entered(row).astimezone(book.rules.zone).date()
    held = instrument_changes.rules_change(
        book.record(subject), Rules(**told), since=since, today=stored,
        because=row.maybe("because"),
    )  # fmt: skip
    return subject, RULES, held


def _retired(book: _Book, row: Row, named: str) -> Made:
    subject = book.subject(named)
    held = instrument_changes.retirement(book.record(subject), row.maybe("because"))
    return subject, RETIRED, held


def _invalidated(book: _Book, row: Row, named: str) -> Made:
    subject = book.subject(named)
    held = instrument_changes.invalidation(
        book.record(subject), meant_entry(row), row.maybe("because")
    )
    return subject, content.INVALIDATED, held


_KINDS: Final[Mapping[str, Callable[[_Book, Row, str], Made]]] = {
    "registered": _registered,
    "calibrated": _calibrated,
    "checked": _checked,
    "rules": _rules,
    "retired": _retired,
    "invalidated": _invalidated,
}
