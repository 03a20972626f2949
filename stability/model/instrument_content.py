"""What the entries of an instrument hold, kind by kind.

Written once, read for ever, as those of a study. A calibration keeps what was typed
(millivolts, weights), what was worked out of it then, and whether it passed then; a
later version of this program reads the result and works nothing out anew. An entry
that was set aside is one of kind `invalidated/1`, as in a study.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final, Literal

from stability.model.content import INVALIDATED, Content

if TYPE_CHECKING:
    from decimal import Decimal

    from stability.model.instrument_rules import CalibrationRules
    from stability.model.limit import Band

REGISTERED: Final = "instrument-registered/1"
CALIBRATED: Final = "calibrated/1"
RULES: Final = "instrument-rules/1"
RETIRED: Final = "instrument-retired/1"
#: Kinds of entries of an instrument that this version reads.
INSTRUMENT_KINDS: Final = frozenset(
    {REGISTERED, CALIBRATED, RULES, RETIRED, INVALIDATED}
)

#: How a calibration was made: in buffers, as the slope that a meter showed, with
#: weights or standards, or told by somebody without numbers.
How = Literal["buffers", "slope", "standards", "stated"]


def registered(
    name: str,
    kind: str,
    text: str,
    valid_for: str,
    *,
    slope: Band | None = None,
    offset: Decimal | None = None,
    reread: Decimal | None = None,
    tolerance: Decimal | None = None,
    tolerance_unit: str | None = None,
    usual: Sequence[str] = (),
) -> Content:
    """Build a registration: what it is, and when a calibration of it is good."""
    return {
        "name": name,
        "kind": kind,
        "text": text,
        "valid_for": valid_for,
        "slope_lowest": _text(None if slope is None else slope.lowest),
        "slope_highest": _text(None if slope is None else slope.highest),
        "offset": _text(offset),
        "reread": _text(reread),
        "tolerance": _text(tolerance),
        "tolerance_unit": tolerance_unit,
        "usual": list(usual),
    }


def rules_changed(rules: CalibrationRules, since: str, because: str) -> Content:
    """Build changed rules: all that hold from a day on, and why."""
    good = rules.acceptance
    held = registered(
        "", "", "", str(rules.valid_for),
        slope=good.slope, offset=good.offset, reread=good.reread,
        tolerance=good.tolerance, tolerance_unit=good.tolerance_unit,
        usual=rules.usual,
    )  # fmt: skip
    kept = {key: held[key] for key in held.keys() - {"name", "kind", "text"}}
    return {**kept, "since": since, "because": because}


def retired(because: str) -> Content:
    """Build a retirement: why an instrument left."""
    return {"because": because}


def calibrated(
    how: How,
    *,
    passed: bool,
    faults: Sequence[str] = (),
    buffers: Sequence[tuple[str, str]] = (),
    temperature: str | None = None,
    slope_percent: str | None = None,
    offset_mv: str | None = None,
    reread: tuple[str, str] | None = None,
    standards: Sequence[tuple[str, str]] = (),
    unit: str | None = None,
    because: str | None = None,
) -> Content:
    """Build a calibration or check: what was typed, what it gave, whether it passed."""
    return {
        "how": how,
        "result": "passed" if passed else "failed",
        "faults": list(faults),
        "buffers": [{"ph": ph, "mv": mv} for ph, mv in buffers],
        "temperature": temperature,
        "slope_percent": slope_percent,
        "offset_mv": offset_mv,
        "reread": None if reread is None else _pair(*reread),
        "standards": [_pair(expected, read) for expected, read in standards],
        "unit": unit,
        "because": because,
    }


def _pair(expected: str, read: str) -> Mapping[str, str]:
    return {"expected": expected, "read": read}


def _text(number: Decimal | None) -> str | None:
    return None if number is None else str(number)
