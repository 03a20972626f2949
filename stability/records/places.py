"""Storage places registered, and what is recorded of them: checked, made an entry.

Nothing here writes; a fault leaves the record as it was.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import Connection

from stability.errors import StabilityError
from stability.errors.codes import TimeZoneError
from stability.errors.storage import (
    PlaceKnownError,
    PlaceNameError,
    PlaceRangeError,
    UnknownPlaceError,
)
from stability.model import place_content
from stability.model.age import parse_age
from stability.model.content import Content
from stability.model.entry import Entry
from stability.model.fold import entries_as_of
from stability.model.number import parse_number
from stability.model.place import (
    SUBJECT,
    USUAL_GAP,
    PlaceRecord,
    fold_place,
)
from stability.model.plain_text import checked_text
from stability.records.whole_names import WholeNames

_NAMES: Final = WholeNames(SUBJECT, PlaceNameError, UnknownPlaceError, PlaceKnownError)
_BETWEEN: Final = re.compile(r"(\S+?)\s*(?:,|;|\.\.|\bto\b|–)\s*(\S+)")
#: Temperatures that a place of cosmetics can be meant for or show [°C].
COLDEST, HOTTEST = Decimal(-90), Decimal(120)


@dataclass(frozen=True, slots=True)
class PlaceRules:
    """What is meant at a place, as typed; what is None is left out or usual."""

    #: Temperature meant [°C].
    temperature: str | None = None
    #: Allowed on either side of it [°C].
    tolerance: str | None = None
    #: Range of a place that is measured, such as `15,27` [°C].
    between: str | None = None
    #: Longest time that one reading stands for, such as 2h.
    gap: str | None = None


def subject_of(name: str, suffix: str) -> str:
    """Return the subject of a new storage place.

    Raises
    ------
    PlaceNameError
        If name or suffix cannot be one.
    """
    return _NAMES.subject(name, suffix)


def registration(name: str, text: str, zone: str, rules: PlaceRules) -> Content:
    """Return the content of a registration.

    Parameters
    ----------
    name
        Short name.
    text
        What it is, in words.
    zone
        IANA name of its time zone.
    rules
        As typed.

    Raises
    ------
    PlaceRangeError
        With everything that cannot be taken.
    TimeZoneError
        If there is no such zone.
    """
    short = name.strip().upper()
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise TimeZoneError(zone) from error
    typed = _Typed(rules)
    between = typed.between()
    temperature, tolerance = typed.temperature(), typed.tolerance()
    gap = typed.gap()
    if typed.faults:
        raise PlaceRangeError(short, typed.faults)
    return place_content.registered(
        short,
        checked_text(text.strip(), "the description") if text.strip() else "",
        zone,
        temperature=temperature,
        tolerance=tolerance,
        between=between,
        longest_gap=gap or str(USUAL_GAP),
        usual=gap is None,
    )


def place_subjects(connection: Connection) -> tuple[str, ...]:
    """Return the subjects of all storage places."""
    return _NAMES.kept(connection)


def meant_subjects(subjects: Iterable[str], typed: str) -> tuple[str, ...]:
    """Return the subjects that a short or whole name, or a subject, may mean."""
    return _NAMES.meant(subjects, typed)


def find_subject(subjects: Sequence[str], typed: str) -> str:
    """Return the one storage place that a name means.

    Raises
    ------
    UnknownPlaceError
        If none or several are meant.
    """
    return _NAMES.only(subjects, typed)


def refuse_known(subjects: Iterable[str], name: str) -> None:
    """Refuse a short name that a storage place has already.

    Raises
    ------
    PlaceKnownError
        If one has.
    """
    _NAMES.refuse_known(subjects, name)


def as_of(
    entries: Sequence[Entry], day: date | None, zone: ZoneInfo
) -> PlaceRecord | None:
    """Return a place as of a day; None where it was not registered by then."""
    run = tuple(entries) if day is None else entries_as_of(entries, day, zone)
    return fold_place(run) if run else None


class _Typed:
    """Rules of a place as typed, read with every fault kept."""

    def __init__(self, rules: PlaceRules) -> None:
        self.rules = rules
        self.faults: list[str] = []

    def between(self) -> tuple[str, str] | None:
        """Return the range that is measured."""
        typed = self.rules.between
        if typed is None:
            return None
        if self.rules.temperature is not None or self.rules.tolerance is not None:
            self.faults.append("state a temperature or a range, not both")
            return None
        match = _BETWEEN.fullmatch(typed.strip())
        if match is None:
            self.faults.append(f"--between {typed!r}: write two numbers, as 15,27")
            return None
        low, high = self._read("--between", match[1]), self._read("--between", match[2])
        if low is None or high is None:
            return None
        if Decimal(low) >= Decimal(high):
            self.faults.append(f"--between {typed}: the lower end comes first")
        return low, high

    def temperature(self) -> str | None:
        """Return the temperature that is meant."""
        typed = self.rules.temperature
        return None if typed is None else self._read("--temperature", typed)

    def tolerance(self) -> str | None:
        """Return what is allowed on either side of it."""
        typed = self.rules.tolerance
        if typed is None:
            if self.rules.temperature is not None:
                self.faults.append("state --tolerance too, such as 2")
            return None
        if self.rules.temperature is None:
            self.faults.append("--tolerance goes with --temperature")
        number = self._read("--tolerance", typed)
        if number is not None and Decimal(number) <= 0:
            self.faults.append(f"--tolerance {typed}: write a number above 0")
        return number

    def gap(self) -> str | None:
        """Return the longest time that one reading stands for."""
        typed = self.rules.gap
        if typed is None:
            return None
        age = parse_age(typed.strip())
        if age is None or not age.count or age.unit not in {"h", "d"}:
            self.faults.append(f"--gap {typed!r}: write hours or days, as 2h")
            return None
        return str(age)

    def _read(self, option: str, typed: str) -> str | None:
        try:
            number = parse_number(typed.strip(), option)
        except StabilityError as fault:
            self.faults.append(str(fault).rstrip("."))
            return None
        if number.qualifier or not COLDEST <= number.value <= HOTTEST:
            self.faults.append(f"{option} {typed} is no temperature of a place in °C")
            return None
        return number.text
