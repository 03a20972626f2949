"""Weight loss worked out from weights before opening and after closing.

Product that was taken out is no loss: a jar is weighed before it is opened and again
after it is closed, and only what goes between two such weighings counts. The share is
of the net fill, never of the gross weight.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Final

from stability.evaluation.phrases import listed
from stability.model.judgement import mean_reading
from stability.model.moment import Moment
from stability.model.observation import Observation
from stability.model.study import Pack

#: Weighing that is missing -> what cannot be told without it, and how to avoid it.
_MISSING: Final[Mapping[str, str]] = {
    "after closing": (
        "so that what was taken out cannot be told from what was lost; weigh it again "
        "after sampling (w2)"
    ),
    "before opening": (
        "so that what was lost until then cannot be told; weigh it before opening (w)"
    ),
}


@dataclass(frozen=True, slots=True)
class Loss:
    """The loss of a container up to one weighing before opening."""

    #: Share of the net fill lost so far [%]; None where it cannot be told.
    percent: Fraction | None
    #: True where an interval is missing, so that the true loss is larger.
    at_least: bool
    #: Why it cannot be told, or what is missing; "" where all is there.
    detail: str
    #: Net fill that it is a share of [g]; None where it is not known.
    net: Fraction | None = None
    #: Checks at which it was read and not weighed, so that what was taken out then
    #: counts as lost.
    counted: tuple[str, ...] = ()

    @property
    def counted_text(self) -> str:
        """Say that product taken out may be in the loss; "" where none is."""
        if not self.counted:
            return ""
        return (
            f"read at {listed(self.counted)} and not weighed: what was taken out then "
            "counts as lost"
        )


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
    is known, else the fill. An interval that is not closed, because one of the two
    weights was forgotten, leaves the loss a least one. What was taken out where nobody
    weighed at all counts as lost, which errs on the safe side. Common practice.
    """
    seen = list(observations)
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
    return _walk(_occasions(seen, weighings), net)


@dataclass(slots=True)
class _Occasion:
    """One check, or day, at which a container was weighed or read."""

    #: Check, or day of an extra one.
    name: str
    #: Weight before opening; None where it was not weighed.
    before: _Weighing | None = None
    #: Weight after closing; None where it was not weighed.
    after: _Weighing | None = None
    #: Whether anything was read of it.
    opened: bool = False

    @property
    def closed(self) -> Fraction | None:
        """The weight with which it was put back [g]; None where it is not known."""
        if self.after is not None:
            return self.after.grams
        return None if self.opened or self.before is None else self.before.grams


def _occasions(
    seen: Iterable[Observation], weighings: Iterable[_Weighing]
) -> list[_Occasion]:
    """Return the occasions at which it was weighed or read, in order of their days."""
    found: dict[str, _Occasion] = {}
    first: dict[str, tuple[date, int]] = {}
    for one in seen:
        if one.not_measured is None:
            name, when = _occasion(one), (one.done.day, one.position)
            first[name] = min(when, first.get(name, when))
            here = found.setdefault(name, _Occasion(name))
            here.opened = here.opened or one.part is None
    for weighing in weighings:
        here = found[weighing.occasion]
        if weighing.before:
            here.before = weighing
        else:
            here.after = weighing
    return sorted(found.values(), key=lambda one: first[one.name])


def _walk(occasions: Iterable[_Occasion], net: Fraction) -> dict[int, Loss]:
    found: dict[int, Loss] = {}
    total = Fraction(0)
    gaps: dict[str, list[str]] = {}
    previous: _Occasion | None = None
    unweighed: list[str] = []
    counted: list[str] = []
    for one in occasions:
        if one.before is None and one.after is None:
            unweighed.append(one.name)
            continue
        grams = None if one.before is None else one.before.grams
        if previous is not None and previous.closed is None:
            gaps.setdefault("after closing", []).append(previous.name)
        elif previous is not None and previous.closed is not None:
            if grams is None:
                gaps.setdefault("before opening", []).append(one.name)
            else:
                total += previous.closed - grams
                counted += unweighed
        unweighed = []
        if one.before is not None:
            lost = _loss(one.before, total, net, gaps)
            lost = replace(lost, counted=tuple(counted))
            found.update(dict.fromkeys(one.before.positions, lost))
        previous = one
    return found


def _loss(
    one: _Weighing, total: Fraction, net: Fraction, gaps: Mapping[str, Sequence[str]]
) -> Loss:
    if one.grams is None:
        nothing = "a weight is written with < or >"
        return Loss(None, at_least=False, detail=nothing, net=net)
    detail = "; ".join(
        f"weight {what} at {listed(names)} is missing, {_MISSING[what]}"
        for what, names in gaps.items()
    )
    return Loss(100 * total / net, at_least=bool(gaps), detail=detail, net=net)


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
