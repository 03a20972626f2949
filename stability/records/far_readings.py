"""Readings so far from the last ones that a person is asked before they are stored."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final

from stability.model.judgement import mean_reading
from stability.model.limit import Limit
from stability.model.observation import Observation
from stability.records.typed import Typed

#: Shares of the last weight by which a container that stayed closed may be heavier or
#: lighter without a question. Common practice: it takes nothing up, and what it loses
#: in years is a few per cent of its fill.
_HEAVIER: Final = Fraction(2, 100)
_LIGHTER: Final = Fraction(5, 100)
#: Change of pH that asks for confirmation where the protocol states none. Common
#: practice.
_FAR_PH: Final = Decimal("0.5")


def far_question(
    typed: Typed, last: Observation | None, limit: Limit | None
) -> str | None:
    """Return what to ask where a reading lies far from the last one; else None.

    Parameters
    ----------
    typed
        What was typed.
    last
        The last observation to compare with; None where there is none.
    limit
        The limit that holds for the sample; None for weights.

    Notes
    -----
    Far is what the protocol states for the attribute. Where it states nothing (common
    practice): 0.5 for pH; for a container that stayed closed 2 % above and 5 % below
    its last weight, where product may have been taken out a fifth of it; the width of
    the limit where it has two ends, else half of the last reading. Readings with other
    settings, and words, are not compared.
    """
    if last is None or typed.unit == "" or _other_series(typed, last):
        return None
    before = mean_reading(last.readings)
    if before is None:
        return None
    above, below = _far(typed, last, before, limit)
    away = [
        one
        for one in typed.readings
        if not -below <= Fraction(one.number) - before <= above
    ]
    if min(above, below) <= 0:
        return None
    if not away:
        return None
    readings = " / ".join(map(str, last.readings))
    return (
        f"{typed.text()}: far from the last reading, {readings} on "
        f"{last.done.for_people()}"
    )


def later_weight(
    before: Observation | None, after: Observation | None
) -> Observation | None:
    """Return the weight with which a container was put back: it should weigh that."""
    if after is None or (before is not None and after.done < before.done):
        return before
    return after


def surely_near(typed: Typed, last: Observation) -> bool:
    """Say whether readings are near without doubt, so that nothing exact is needed."""
    attribute, before, now = typed.attribute, last.readings, typed.readings
    stated = attribute.far or (_FAR_PH if attribute.unit == "pH" else None)
    if stated is None or typed.part is not None or not (before and now):
        return False
    sum_before = 0.0
    for one in before:
        if one.qualifier:
            return False
        sum_before += float(one.value)
    mean = sum_before / len(before)
    # Half of what is far leaves more room than floating-point numbers can lose.
    room = float(stated) / 2
    values = [float(one.value) for one in now]
    return mean - room < min(values) and max(values) < mean + room


def _other_series(typed: Typed, last: Observation) -> bool:
    """Say whether a fixed setting differs, so that the readings do not compare.

    What was not stated is as the method prescribes it, and else may be the same.
    """
    for one in typed.attribute.settings.values():
        if one.kind == "fixed":
            now = typed.settings.get(one.name) or one.value
            before = last.settings.get(one.name) or one.value
            if now and before and now != before:
                return True
    return False


def _far(
    typed: Typed, last: Observation, before: Fraction, limit: Limit | None
) -> tuple[Fraction, Fraction]:
    """Return how far above and below the last mean a reading may lie [its unit]."""
    if typed.part == "before" and last.part == "after":
        return before * _HEAVIER, before * _LIGHTER
    far = _far_either_way(typed, before, limit)
    return far, far


def _far_either_way(typed: Typed, before: Fraction, limit: Limit | None) -> Fraction:
    attribute = typed.attribute
    if typed.part is not None:
        return abs(before) / 5
    if attribute.far is not None:
        return Fraction(attribute.far)
    if attribute.unit == "pH":
        return Fraction(_FAR_PH)
    band = limit.absolute if limit is not None else None
    if band is not None and band.lowest is not None and band.highest is not None:
        return Fraction(band.highest) - Fraction(band.lowest)
    return abs(before) / 2
