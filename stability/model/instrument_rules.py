"""The rules by which an instrument is judged, what changed them, and its retirement.

A calibration is judged once, by the rules of its day, and its entry keeps the result.
How long it holds is asked for each reading, by the rules of the reading's day. So a
change judges nothing anew that lies before the day from which it holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from stability.model.age import Age, parse_age
from stability.model.calibration import done_of
from stability.model.entry import Entry
from stability.model.limit import Band
from stability.model.moment import Moment, parse_utc
from stability.model.observation import Invalidation


@dataclass(frozen=True, slots=True)
class Acceptance:
    """When a calibration of an instrument is good."""

    #: Slope of an electrode as a share of the ideal one [%]; None where it has none.
    slope: Band | None = None
    #: Farthest from 0 that the potential at pH 7 may lie [mV]; None where it has none.
    offset: Decimal | None = None
    #: How far a buffer that is read again may lie from its value [pH]; None as above.
    reread: Decimal | None = None
    #: How far a weight or standard may lie from its value [`tolerance_unit`]; None
    #: where nothing was fixed.
    tolerance: Decimal | None = None
    #: "%" of the value, or the unit of the readings; None where nothing was fixed.
    tolerance_unit: str | None = None


@dataclass(frozen=True, slots=True)
class CalibrationRules:
    """What holds for the calibrations of an instrument at one time."""

    #: How long a calibration holds.
    valid_for: Age
    #: When a calibration is good.
    acceptance: Acceptance
    #: Rules that nobody stated, so that usual ones hold.
    usual: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RulesChange:
    """Rules that took the place of others from a day on."""

    #: Position of its entry in the instrument's chain.
    position: int
    #: First day on which they hold.
    since: date
    #: All rules that hold from then on.
    rules: CalibrationRules
    #: Why, in the person's own words.
    because: str
    #: When it was decided.
    done: Moment
    #: When it was stored (UTC).
    entered: datetime
    #: Who decided it.
    person: str


@dataclass(frozen=True, slots=True)
class InstrumentRetirement:
    """That an instrument left: sold, broken, given back."""

    #: Position of its entry in the instrument's chain.
    position: int
    #: Why, in the person's own words.
    because: str
    #: When it left.
    done: Moment
    #: When it was stored (UTC).
    entered: datetime
    #: Who told it.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None


def rules_of(held: Mapping[str, Any]) -> CalibrationRules:
    """Return rules as an entry holds them."""
    slope = Band(_number(held["slope_lowest"]), _number(held["slope_highest"]))
    return CalibrationRules(
        valid_for=parse_age(held["valid_for"]) or Age(1, "d"),
        acceptance=Acceptance(
            slope=None if slope == Band(None, None) else slope,
            offset=_number(held["offset"]),
            reread=_number(held["reread"]),
            tolerance=_number(held["tolerance"]),
            tolerance_unit=held["tolerance_unit"],
        ),
        usual=tuple(held["usual"]),
    )


def rules_change_of(entry: Entry) -> RulesChange:
    """Return what an entry of changed rules tells."""
    return RulesChange(
        position=entry.position,
        since=date.fromisoformat(entry.content["since"]),
        rules=rules_of(entry.content),
        because=entry.content["because"],
        done=done_of(entry),
        entered=parse_utc(entry.entered),
        person=entry.person,
    )


def retirement_of(entry: Entry) -> InstrumentRetirement:
    """Return what an entry of a retirement tells."""
    return InstrumentRetirement(
        position=entry.position,
        because=entry.content["because"],
        done=done_of(entry),
        entered=parse_utc(entry.entered),
        person=entry.person,
    )


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
