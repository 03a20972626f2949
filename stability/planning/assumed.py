"""What a plan assumes of an attribute: scatter, start, drift and how batches differ.

Nothing is known before T0. Every number here is either the maker's own or a default
that is named as one wherever it is printed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stability.model.attribute import Attribute
from stability.model.estimate import Bound, NoFit
from stability.model.limit import Limit
from stability.model.power import Assumed, BatchSpread
from stability.model.prospects import PlanAssumptions, Scatter
from stability.model.shelf_life import Direction
from stability.statistics.fit_checks import few_steps
from stability.statistics.frame import bounds_of, frozen_at_start
from stability.statistics.margin import margin_to
from stability.statistics.power import planned_line
from stability.statistics.shelf_life import sides

_CUSTOM = "a default, common practice without a source"

#: Unit -> scatter of one check of one container, readings averaged, from day to day,
#: where the maker states none (common practice, no published source).
USUAL_SCATTER = {
    "pH": Scatter(0.05, is_share=False, basis=_CUSTOM, stated=False),
    "mPa·s": Scatter(0.06, is_share=True, basis=_CUSTOM, stated=False),
    "Pa·s": Scatter(0.06, is_share=True, basis=_CUSTOM, stated=False),
    "mm": Scatter(0.04, is_share=True, basis=_CUSTOM, stated=False),
    "cm": Scatter(0.04, is_share=True, basis=_CUSTOM, stated=False),
    "s": Scatter(0.05, is_share=True, basis=_CUSTOM, stated=False),
    "N": Scatter(0.08, is_share=True, basis=_CUSTOM, stated=False),
}
#: Scatter of the losses of single containers at the life asked for, as a share of the
#: highest loss, where the maker states none: caps do not close alike.
USUAL_LOSS = Scatter(0.10, is_share=True, basis=_CUSTOM, stated=False)


@dataclass(frozen=True, slots=True)
class Expected:
    """One measured attribute as the plan takes it to be, on the scale of its fit."""

    #: The limit as bounds.
    bounds: tuple[Bound, ...]
    #: Which sides are judged.
    direction: Direction
    #: Start, scatter of one container, and how batches differ; slope 0.
    product: Assumed
    #: Room at age 0 to the bound that the drift is taken to head for, on the scale.
    room: float
    #: Sign of that drift [-].
    heading: float
    #: Least scatter that intervals use: half a step of one reading, on the scale.
    floor: float
    #: True where fewer than five steps lie between start and limit.
    few_steps: bool
    #: The scatter in words.
    scatter_text: str
    #: Unit of the scale; "" where it has none.
    unit: str
    #: True where the scale is a share of the start.
    is_share: bool

    def drifting(self, room_used: float, asked: float) -> Assumed:
        """Return the product that uses up a share of the room by the life asked for."""
        slope = self.heading * room_used * self.room / asked
        return replace(self.product, slope=slope)


def scatter_of(attribute: Attribute, assumptions: PlanAssumptions) -> Scatter | None:
    """Return the scatter that is stated, else the default; None without either."""
    stated = assumptions.scatter.get(attribute.name)
    if stated is not None:
        return stated
    return USUAL_LOSS if attribute.from_weights else USUAL_SCATTER.get(attribute.unit)


def scatter_words(scatter: Scatter, unit: str) -> str:
    """Return a scatter as printed.

    Examples
    --------
    >>> scatter_words(Scatter(0.03), "pH")
    'scatter 0.03 pH (stated)'
    """
    if scatter.is_share:
        return f"scatter {100 * scatter.amount:.3g} % ({scatter.basis})"
    suffix = f" {unit}" if unit not in {"", "1"} else ""
    return f"scatter {scatter.amount:.3g}{suffix} ({scatter.basis})"


def expected_of(
    attribute: Attribute,
    limit: Limit,
    assumptions: PlanAssumptions,
    *,
    asked: float,
    two_limits: str,
) -> Expected | str:
    """Return what is assumed of a measured attribute, or why nothing can be.

    Parameters
    ----------
    attribute
        One that is fitted.
    limit
        Its limit under long-term storage.
    assumptions
        The maker's own, or the defaults.
    asked
        Life asked for. [months]
    two_limits
        How the protocol judges a pair of limits.
    """
    bounds = bounds_of(limit)
    scatter = scatter_of(attribute, assumptions)
    if scatter is None:
        return (
            f"no scatter is known for {attribute.name}: state one, such as "
            f"--scatter {attribute.name}=0.1"
        )
    if not scatter.amount > 0:
        return f"a scatter of {scatter.amount:g} is none: readings always scatter"
    start = _start(attribute, bounds, scatter, assumptions)
    if start is None:
        return (
            f"the value of {attribute.name} at T0 is not known: state one, such as "
            f"--start {attribute.name}=100"
        )
    if limit.frozen_at == "T0":
        bounds = frozen_at_start(bounds, start.value)
    direction = _direction(attribute, two_limits)
    found = _expected(attribute, bounds, scatter, start)
    heading = found if isinstance(found, str) else _heading(found, direction)
    if isinstance(found, str) or isinstance(heading, str):
        return str(heading)
    room, way = heading
    spread = _spread(assumptions.batch_spread, room, asked)
    product = replace(found.product, spread=spread)
    return replace(found, direction=direction, product=product, room=room, heading=way)


@dataclass(frozen=True, slots=True)
class _Start:
    """The value at T0 that a plan starts from."""

    #: In the attribute's unit, or 1 where only shares of it matter.
    value: float
    #: True where it is in the attribute's unit.
    is_real: bool


def _start(
    attribute: Attribute,
    bounds: tuple[Bound, ...],
    scatter: Scatter,
    assumptions: PlanAssumptions,
) -> _Start | None:
    stated = assumptions.start.get(attribute.name)
    if stated is not None:
        return _Start(stated, is_real=True)
    absolute = {one.side: one.amount for one in bounds if one.kind == "absolute"}
    if len(absolute) == 2:
        return _Start(sum(absolute.values()) / 2, is_real=True)
    kinds = {one.kind for one in bounds}
    if scatter.is_share and kinds == {"share"}:
        return _Start(1.0, is_real=False)
    if not scatter.is_share and kinds == {"change"}:
        return _Start(0.0, is_real=False)
    return None


def _direction(attribute: Attribute, two_limits: str) -> Direction:
    if attribute.direction == "either" and two_limits == "one-sided at each":
        return "either, one-sided"
    return attribute.direction


def _expected(
    attribute: Attribute,
    bounds: tuple[Bound, ...],
    scatter: Scatter,
    start: _Start,
) -> Expected | str:
    on_ln = attribute.fit_scale == "ln"
    if on_ln and start.value <= 0:
        return f"a start of {start.value:g} has no logarithm"
    product = Assumed(
        start=math.log(start.value) if on_ln else start.value,
        slope=0.0,
        scatter=_on_scale(scatter, start.value, on_ln=on_ln),
        scale=attribute.fit_scale,
    )
    # The size of a step beside the product is known where its start is, or where the
    # limit is a change in the same unit.
    known = start.is_real or not scatter.is_share
    step = attribute.resolution if known else None
    floor = float(step or 0) / 2 / (start.value if on_ln else 1.0)
    line = planned_line((0.0, 1.0), product)
    return Expected(
        bounds=bounds,
        direction="either",
        product=product,
        room=0.0,
        heading=-1.0,
        floor=floor,
        few_steps=few_steps(line, bounds, None if step is None else float(step))
        is not None,
        scatter_text=_words(attribute, scatter, product, floor, known=known),
        unit=attribute.unit if attribute.unit != "1" else "",
        is_share=on_ln or not known,
    )


def _words(
    attribute: Attribute,
    scatter: Scatter,
    product: Assumed,
    floor: float,
    *,
    known: bool,
) -> str:
    """Return the scatter in words, with what the step of a reading does to it."""
    words = scatter_words(scatter, attribute.unit)
    if attribute.resolution is None:
        return words
    step = f"{attribute.resolution} {attribute.unit}".strip()
    if floor > product.scatter:
        return f"{words}, raised to half a step of {step}"
    if not known:
        return f"{words}, its step of {step} not taken in without a start"
    return words


def _on_scale(scatter: Scatter, start: float, *, on_ln: bool) -> float:
    if on_ln:
        return scatter.amount if scatter.is_share else scatter.amount / start
    return scatter.amount * abs(start) if scatter.is_share else scatter.amount


def _heading(one: Expected, direction: Direction) -> tuple[float, float] | str:
    """Return the room to the nearest bound that is judged, and the way there."""
    line = planned_line((0.0, 1.0), one.product)
    rooms: list[tuple[float, float]] = []
    for bound, _ in sides(one.bounds, direction):
        margin = margin_to(line, bound)
        if isinstance(margin, NoFit):
            return margin.text.rstrip(".")
        rooms.append((margin.at_start, -1.0 if bound.side == "lower" else 1.0))
    room, way = min(rooms)
    return (room, way) if room > 0 else "the start assumed lies outside the limit"


def _spread(share: float, room: float, asked: float) -> BatchSpread | None:
    """Return how batches differ, in start and in change over the life asked for."""
    if share == 0:
        return None
    return BatchSpread((share * room) ** 2, 0.0, (share * room / asked) ** 2)
