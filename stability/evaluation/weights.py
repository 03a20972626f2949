"""Weight loss worked out from weights before opening and after closing.

Product that was taken out is no loss: a jar is weighed before it is opened and again
after it is closed, and only what goes between two such weighings counts. The share is
of the net fill, never of the gross weight.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from stability.evaluation.phrases import listed
from stability.model.judgement import mean_reading
from stability.model.moment import Moment
from stability.model.observation import Observation
from stability.model.study import Pack


@dataclass(frozen=True, slots=True)
class Loss:
    """The loss of a container up to one weighing before opening."""

    #: Share of the net fill lost so far [%]; None where it cannot be told.
    percent: Fraction | None
    #: True where an interval is missing, so that the true loss is larger.
    at_least: bool
    #: Why it cannot be told, or what is missing; "" where all is there.
    detail: str


@dataclass(frozen=True, slots=True)
class _Weighing:
    """All weights of one container at one check, before or after."""

    #: Check, or position for an extra one.
    occasion: str
    #: Whether it was weighed before opening.
    before: bool
    #: When.
    done: Moment
    #: Mean [g]; None with < or >.
    grams: Fraction | None
    #: Positions of the observations.
    positions: tuple[int, ...]


def losses_of(
    observations: Iterable[Observation], attribute: str, pack: Pack | None
) -> dict[int, Loss]:
    """Return position of each weight before opening -> loss up to it.

    Parameters
    ----------
    observations
        All observations of one container that stand.
    attribute
        The attribute that is worked out from weights.
    pack
        Its pack, for tare or fill; None where it has none.

    Notes
    -----
    Loss = sum of (weight after closing - next weight before opening) / net, over the
    intervals that are closed at both ends; net = first weight - tare where the tare
    is known, else the fill. Common practice.
    """
    seen = list(observations)
    opened = {
        _occasion(one) for one in seen if one.part is None and one.not_measured is None
    }
    weighings = _weighings(one for one in seen if one.attribute == attribute)
    first = next((one for one in weighings if one.before), None)
    if first is None:
        return {}
    net, reason = _net(first, pack)
    if net is None:
        nothing = Loss(None, at_least=False, detail=reason)
        return {
            position: nothing
            for one in weighings
            if one.before
            for position in one.positions
        }
    return _walk(weighings, opened, net)


def _walk(
    weighings: list[_Weighing], opened: set[str], net: Fraction
) -> dict[int, Loss]:
    found: dict[int, Loss] = {}
    total = Fraction(0)
    gaps: list[str] = []
    last: Fraction | None = None
    previous = ""
    for one in weighings:
        if not one.before:
            last = one.grams
            continue
        if previous and last is None:
            gaps.append(previous)
        elif previous and last is not None and one.grams is not None:
            total += last - one.grams
        found.update(dict.fromkeys(one.positions, _loss(one, total, net, gaps)))
        last = None if one.occasion in opened else one.grams
        previous = one.occasion
    return found


def _loss(one: _Weighing, total: Fraction, net: Fraction, gaps: list[str]) -> Loss:
    if one.grams is None:
        return Loss(None, at_least=False, detail="a weight is written with < or >")
    detail = f"weight after closing at {listed(gaps)} is missing" if gaps else ""
    return Loss(100 * total / net, at_least=bool(gaps), detail=detail)


def _weighings(weights: Iterable[Observation]) -> list[_Weighing]:
    grouped: dict[tuple[str, bool], list[Observation]] = {}
    for one in weights:
        if one.part is not None and one.readings:
            key = (_occasion(one), one.part == "before")
            grouped.setdefault(key, []).append(one)
    made = [
        _Weighing(
            occasion,
            before,
            ones[0].done,
            mean_reading([reading for one in ones for reading in one.readings]),
            tuple(one.position for one in ones),
        )
        for (occasion, before), ones in grouped.items()
    ]
    return sorted(
        made, key=lambda one: (one.done.day, not one.before, one.positions[0])
    )


def _occasion(one: Observation) -> str:
    return one.check or one.done.day.isoformat()


def _net(first: _Weighing, pack: Pack | None) -> tuple[Fraction | None, str]:
    if pack is None:
        return None, "no pack is named"
    if pack.tare_g is not None and first.grams is not None:
        net = first.grams - Fraction(pack.tare_g)
    elif pack.fill_g is not None:
        net = Fraction(pack.fill_g)
    else:
        return None, "neither tare nor fill of the pack is stated"
    if net <= 0:
        return None, "tare is not below the first weight"
    return net, ""
