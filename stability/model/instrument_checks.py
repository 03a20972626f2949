"""A calibration held against the rules of its instrument: whether it is good, and why.

Values are judged as worked out and printed with as many digits as tell on which side
of a bound they lie.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from stability.model.age import Age
from stability.model.instrument import BALANCE, PH_METER, VISCOMETER
from stability.model.instrument_rules import Acceptance, CalibrationRules
from stability.model.limit import Band
from stability.model.ph_electrode import (
    REREAD,
    BufferReading,
    agrees_again,
    offset_mv,
    slope_percent,
)

#: Slope that an electrode must keep [%]: USP <791>.
USUAL_SLOPE: Final = Band(Decimal("90.0"), Decimal("105.0"))
#: Farthest from 0 that the potential at pH 7 may lie [mV]: USP <791>.
USUAL_OFFSET: Final = Decimal(30)
#: Kind of instrument -> usual rules. Common practice but for slope and offset.
USUAL: Final[Mapping[str, tuple[Age, Acceptance]]] = {
    PH_METER: (Age(1, "d"), Acceptance(USUAL_SLOPE, USUAL_OFFSET, REREAD)),
    BALANCE: (
        Age(1, "M"),
        Acceptance(tolerance=Decimal("0.1"), tolerance_unit="%"),
    ),
    VISCOMETER: (Age(1, "M"), Acceptance(tolerance=Decimal(2), tolerance_unit="%")),
}
#: Rules of any other instrument: what is good for it, only its maker can say.
USUAL_OTHER: Final = (Age(1, "y"), Acceptance())
_MOST_DECIMALS: Final = 6


@dataclass(frozen=True, slots=True)
class Checked:
    """What a calibration gave, and why it is not good."""

    #: Slope as a share of the ideal one, as printed [%]; None where there is none.
    slope_percent: str | None = None
    #: Potential at pH 7, as printed [mV]; None where there is none.
    offset_mv: str | None = None
    #: Why it is not good; empty where it is.
    faults: tuple[str, ...] = ()


def usual_rules(kind: str) -> tuple[Age, Acceptance]:
    """Return how long a calibration usually holds, and when it is good."""
    return USUAL.get(kind, USUAL_OTHER)


def check_buffers(
    buffers: Sequence[BufferReading],
    temperature: Decimal,
    rules: Acceptance,
    reread: tuple[Decimal, Decimal] | None = None,
) -> Checked:
    """Hold a calibration in buffers against the rules.

    Parameters
    ----------
    buffers
        At least two of different pH. Of three or more the slope between each two
        neighbours must be good as well: an aged electrode often fails on one side.
    temperature
        Of the buffers [°C].
    rules
        When it is good.
    reread
        Value of a buffer that was read again, and what the meter showed [pH].
    """
    slope, offset = slope_percent(buffers, temperature), offset_mv(buffers)
    slope_text = _shown(slope, rules.slope)
    band = _around(rules.offset)
    offset_text = _shown(offset, band)
    faults = [
        *_slope_fault(slope, slope_text, rules),
        *_parts(buffers, temperature, rules),
    ]
    faults += _offset_fault(offset, offset_text, rules)
    faults += _reread_fault(reread, rules)
    return Checked(slope_text, offset_text, tuple(faults))


def check_slope(
    slope: Decimal,
    offset: Decimal | None,
    rules: Acceptance,
    reread: tuple[Decimal, Decimal] | None = None,
) -> Checked:
    """Hold slope and offset as a meter showed them against the rules.

    Parameters
    ----------
    slope
        As shown [%].
    offset
        As shown [mV]; None where the meter shows none.
    rules
        When it is good.
    reread
        As in `check_buffers` [pH].
    """
    faults = _slope_fault(slope, str(slope), rules)
    if offset is not None:
        faults += _offset_fault(offset, str(offset), rules)
    faults += _reread_fault(reread, rules)
    text = None if offset is None else str(offset)
    return Checked(str(slope), text, tuple(faults))


def check_standards(
    standards: Iterable[tuple[Decimal, Decimal]], unit: str, rules: Acceptance
) -> Checked:
    """Hold readings of weights or standards against the tolerance.

    Parameters
    ----------
    standards
        Value of each and what was read [unit].
    unit
        Of both.
    rules
        With a tolerance; without one nothing is judged.
    """
    return Checked(faults=tuple(_standard_faults(standards, unit, rules)))


def rules_words(held: CalibrationRules) -> str:
    """Return rules in words, with where usual ones come from."""
    rules, usual = held.acceptance, set(held.usual)
    parts = [f"a calibration holds {_how_long(held.valid_for)}"]
    parts[0] += _usual("valid_for", usual)
    if rules.slope is not None:
        said = f"slope {rules.slope.lowest} to {rules.slope.highest} %"
        parts.append(said + _usual("slope", usual))
    if rules.offset is not None:
        parts.append(f"offset 0 ± {rules.offset} mV{_usual('offset', usual)}")
    if rules.reread is not None:
        said = f"a buffer read again within {rules.reread} pH"
        parts.append(said + _usual("reread", usual))
    if rules.tolerance is not None:
        said = f"within {rules.tolerance} {rules.tolerance_unit}"
        parts.append(said + _usual("tolerance", usual))
    return "; ".join(parts)


def _how_long(valid_for: Age) -> str:
    """Say how long it holds: `1d` is the day on which it was made and no other."""
    return "on its day only" if str(valid_for) == "1d" else f"for {valid_for}"


def _usual(rule: str, usual: set[str]) -> str:
    if rule not in usual:
        return ""
    return " (USP <791>)" if rule in {"slope", "offset"} else " (common practice)"


def _parts(
    buffers: Sequence[BufferReading], temperature: Decimal, rules: Acceptance
) -> Iterator[str]:
    """Yield what is wrong between two neighbours, where there are more than two."""
    ordered = sorted(buffers, key=lambda one: one.ph)
    if len(ordered) < 3:
        return
    for low, high in pairwise(ordered):
        slope = slope_percent((low, high), temperature)
        for fault in _slope_fault(slope, _shown(slope, rules.slope), rules):
            yield f"between pH {low.ph} and {high.ph} {fault}"


def _slope_fault(slope: Decimal, text: str, rules: Acceptance) -> list[str]:
    if rules.slope is None or rules.slope.holds(slope):
        return []
    return [f"slope {text} % is not {rules.slope.lowest} to {rules.slope.highest} %"]


def _offset_fault(offset: Decimal, text: str, rules: Acceptance) -> list[str]:
    if rules.offset is None or abs(offset) <= rules.offset:
        return []
    return [f"offset {text} mV is not 0 ± {rules.offset} mV"]


def _reread_fault(
    reread: tuple[Decimal, Decimal] | None, rules: Acceptance
) -> list[str]:
    if reread is None or rules.reread is None or agrees_again(*reread, rules.reread):
        return []
    expected, read = reread
    return [f"the buffer {expected} read again gave {read}, not within {rules.reread}"]


def _standard_faults(
    standards: Iterable[tuple[Decimal, Decimal]], unit: str, rules: Acceptance
) -> Iterator[str]:
    if rules.tolerance is None:
        return
    for value, read in standards:
        share = rules.tolerance_unit == "%"
        within = abs(value) * rules.tolerance / 100 if share else rules.tolerance
        if abs(read - value) > within:
            allowed = f"{rules.tolerance} {rules.tolerance_unit}"
            yield f"{value} {unit} gave {read} {unit}, not within {allowed}"


def _around(bound: Decimal | None) -> Band | None:
    return None if bound is None else Band(-bound, bound)


def _shown(value: Decimal, band: Band | None) -> str:
    """Return a value with the fewest digits that leave it on its side of the bounds."""
    for decimals in range(1, _MOST_DECIMALS + 1):
        rounded = round(value, decimals)
        if band is None or band.holds(rounded) == band.holds(value):
            return str(rounded)
    return str(round(value, _MOST_DECIMALS))
