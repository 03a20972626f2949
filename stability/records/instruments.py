"""Instruments registered and calibrated: what was typed, checked and made an entry.

Nothing here writes; a fault leaves the record as it was.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final, TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from stability.errors import StabilityError
from stability.errors.instruments import (
    InstrumentKnownError,
    InstrumentNameError,
    InstrumentRulesError,
    UnknownInstrumentError,
)
from stability.model import instrument_content
from stability.model.age import Age, parse_age
from stability.model.attribute import TYPED_UNITS
from stability.model.content import Content
from stability.model.entry import Entry, entry_from_line
from stability.model.fold import entries_as_of
from stability.model.instrument import (
    BALANCE,
    PH_METER,
    SUBJECT,
    VISCOMETER,
    InstrumentRecord,
    fold_instrument,
)
from stability.model.instrument_checks import usual_rules
from stability.model.instrument_rules import Acceptance, CalibrationRules
from stability.model.limit import Band
from stability.model.number import parse_number
from stability.model.plain_text import checked_name, checked_text
from stability.records import journal
from stability.records.names import matching
from stability.records.tables import entry
from stability.records.whole_names import WholeNames

Rule = TypeVar("Rule")
_RANGE: Final = re.compile(r"([0-9.]+)\s*(?:-|–|to|\.\.)\s*([0-9.]+)\s*%?")
_TOLERANCE: Final = re.compile(r"([0-9.]+)\s*(\S*)")
#: Every rule, by the name of its option.
_EVERY: Final = ("valid_for", "slope", "offset", "reread", "tolerance")
_KINDS: Final = (PH_METER, BALANCE, VISCOMETER)
_NAMES: Final = WholeNames(
    SUBJECT, InstrumentNameError, UnknownInstrumentError, InstrumentKnownError
)


@dataclass(frozen=True, slots=True)
class Rules:
    """Rules as typed; what is None holds as usual for the kind."""

    #: How long a calibration holds, such as 1d or 1M.
    valid_for: str | None = None
    #: Slope that is good, such as `90 to 105` [%].
    slope: str | None = None
    #: Farthest from 0 that the potential at pH 7 may lie [mV].
    offset: str | None = None
    #: How far a buffer read again may lie from its value [pH].
    reread: str | None = None
    #: How far a weight or standard may lie from its value, such as `0.1 %` or `0.02 g`.
    tolerance: str | None = None


def subject_of(name: str, suffix: str) -> str:
    """Return the subject of a new instrument.

    Raises
    ------
    InstrumentNameError
        If name or suffix cannot be one.
    """
    return _NAMES.subject(name, suffix)


def registration(name: str, kind: str, text: str, rules: Rules) -> Content:
    """Return the content of a registration.

    Parameters
    ----------
    name
        Short name.
    kind
        What it is; pH meter, balance and viscometer have usual rules.
    text
        What it is, in words.
    rules
        As typed.

    Raises
    ------
    InstrumentRulesError
        With every rule that cannot be taken.
    """
    known = _kind(kind)
    held, faults = typed_rules(known, rules)
    if faults:
        raise InstrumentRulesError(name.strip().upper(), "was not registered", faults)
    good = held.acceptance
    return instrument_content.registered(
        name.strip().upper(),
        known,
        checked_text(text.strip(), "the description"),
        str(held.valid_for),
        slope=good.slope,
        offset=good.offset,
        reread=good.reread,
        tolerance=good.tolerance,
        tolerance_unit=good.tolerance_unit,
        usual=held.usual,
    )


def typed_rules(
    kind: str, rules: Rules, before: CalibrationRules | None = None
) -> tuple[CalibrationRules, list[str]]:
    """Return rules as typed, and all that is wrong with them.

    Parameters
    ----------
    kind
        Of the instrument.
    rules
        As typed.
    before
        What holds where nothing was typed; None: what is usual for the kind.
    """
    typed = _Typed(kind, before)
    valid_for = typed.age(rules.valid_for)
    slope = typed.band(rules.slope)
    offset = typed.number("offset", rules.offset, of=PH_METER)
    reread = typed.number("reread", rules.reread, of=PH_METER)
    tolerance, unit = typed.tolerance(rules.tolerance)
    good = Acceptance(slope, offset, reread, tolerance, unit)
    return CalibrationRules(valid_for, good, tuple(typed.usual)), typed.faults


def unit_of(kind: str) -> str:
    """Return the unit in which weights or standards of an instrument are read."""
    return {BALANCE: "g", VISCOMETER: "mPa·s"}.get(kind, "")


def instrument_subjects(connection: Connection) -> tuple[str, ...]:
    """Return the subjects of all instruments."""
    return _NAMES.kept(connection)


def kinds_of(connection: Connection) -> dict[str, str]:
    """Return whole name -> kind of every instrument, with one look at the records."""
    query = select(entry.c.line, entry.c.digest).where(
        entry.c.subject.in_(instrument_subjects(connection)), entry.c.position == 1
    )
    rows = connection.execute(query)
    return kinds_in(entry_from_line(line, digest) for line, digest in rows)


def kinds_in(entries: Iterable[Entry]) -> dict[str, str]:
    """Return whole name -> kind of every instrument that is registered in entries."""
    return {
        one.subject.removeprefix(SUBJECT): str(one.content["kind"])
        for one in entries
        if one.kind == instrument_content.REGISTERED
    }


def meant_subjects(subjects: Iterable[str], typed: str) -> tuple[str, ...]:
    """Return the subjects that a short or whole name may mean."""
    return _NAMES.meant(subjects, typed)


def find_subject(connection: Connection, typed: str) -> str:
    """Return the one instrument that a name means.

    Raises
    ------
    UnknownInstrumentError
        If none or several are meant.
    """
    return _NAMES.only(instrument_subjects(connection), typed)


def refuse_known(connection: Connection, name: str) -> None:
    """Refuse a short name that an instrument has already.

    Raises
    ------
    InstrumentKnownError
        If one has.
    """
    _NAMES.refuse_known(instrument_subjects(connection), name)


def load(connection: Connection, subject: str) -> InstrumentRecord:
    """Return an instrument with all that is recorded of it."""
    return fold_instrument(journal.entries(connection, subject))


def as_of(
    entries: Sequence[Entry], day: date | None, zone: ZoneInfo
) -> InstrumentRecord | None:
    """Return an instrument as of a day; None where it was not registered by then."""
    run = tuple(entries) if day is None else entries_as_of(entries, day, zone)
    return fold_instrument(run) if run else None


def _kind(typed: str) -> str:
    """Return a kind with usual rules by its name, any other as typed."""
    meant = matching(checked_name(typed, "the kind of instrument"), _KINDS)
    return meant[0] if len(meant) == 1 else checked_name(typed, "the kind")


class _Typed:
    """Rules as typed for one kind of instrument, read one after the other."""

    def __init__(self, kind: str, before: CalibrationRules | None) -> None:
        self.kind = kind
        age, rules = usual_rules(kind)
        #: What holds where nothing is typed.
        self.usual_age = age if before is None else before.valid_for
        self.usual_rules = rules if before is None else before.acceptance
        #: Rules that somebody stated before.
        self.stated = set(_EVERY) - set(_EVERY if before is None else before.usual)
        #: Rules that nobody stated.
        self.usual: list[str] = []
        self.faults: list[str] = []

    def age(self, typed: str | None) -> Age:
        """Return how long a calibration holds."""
        if typed is None:
            self._usual("valid_for", self.usual_age)
            return self.usual_age
        age = parse_age(typed.strip())
        if age is None or not age.count:
            self.faults.append(f"--valid-for {typed!r}: write 12h, 1d, 4w, 6M or 1y")
            return self.usual_age
        return age

    def band(self, typed: str | None) -> Band | None:
        """Return the slope that is good."""
        if typed is None or not self._fits("slope", PH_METER):
            return self._usual("slope", self.usual_rules.slope)
        match = _RANGE.fullmatch(typed.strip())
        if match is None:
            self.faults.append(f"--slope {typed!r}: write a range, such as '90 to 105'")
            return None
        low, high = self._read("slope", match[1]), self._read("slope", match[2])
        if low is not None and high is not None and low >= high:
            self.faults.append(f"--slope {typed!r}: the lower end comes first")
        return Band(low, high)

    def number(self, rule: str, typed: str | None, *, of: str) -> Decimal | None:
        """Return a rule that is one number."""
        usual = {"offset": self.usual_rules.offset, "reread": self.usual_rules.reread}
        if typed is None or not self._fits(rule, of):
            return self._usual(rule, usual[rule])
        return self._read(rule, typed)

    def tolerance(self, typed: str | None) -> tuple[Decimal | None, str | None]:
        """Return how far a weight or standard may lie from its value."""
        rules = self.usual_rules
        if typed is None:
            return self._usual("tolerance", rules.tolerance), rules.tolerance_unit
        if self.kind == PH_METER:
            self.faults.append("--tolerance is for weights and standards, not buffers")
            return None, None
        match = _TOLERANCE.fullmatch(typed.strip())
        own = unit_of(self.kind)
        unit = TYPED_UNITS.get(match[2], match[2]) if match else ""
        if match is None or (own and unit not in {"", "%", own}):
            there = f"0.1 % or 0.02 {own}".rstrip()
            self.faults.append(f"--tolerance {typed!r}: write it as {there}")
            return None, None
        return self._read("tolerance", match[1]), unit or "%"

    def _usual(self, name: str, rule: Rule | None) -> Rule | None:
        if rule is not None and name not in self.stated:
            self.usual.append(name)
        return rule

    def _fits(self, rule: str, kind: str) -> bool:
        if self.kind != kind:
            self.faults.append(f"--{rule} is a rule of a {kind}, not of a {self.kind}")
        return self.kind == kind

    def _read(self, rule: str, typed: str) -> Decimal | None:
        try:
            number = parse_number(typed.strip(), f"--{rule}")
        except StabilityError as fault:
            self.faults.append(str(fault).rstrip("."))
            return None
        if number.qualifier or number.value <= 0:
            self.faults.append(f"--{rule} {typed}: write a number above 0")
            return None
        return number.value
