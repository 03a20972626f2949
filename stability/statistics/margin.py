"""The room between a fitted line and a bound, as a straight function of age.

Bounds relative to the initial value are judged inside the fit: nothing is divided by
or subtracted from the T0 reading, whose error would then enter every point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stability.model.estimate import Bound, NoFit, Side, StraightLine


@dataclass(frozen=True, slots=True)
class Margin:
    """Room to a bound at age t: at_start + per_month t, with its variance.

    Variance = s² (q00 + 2 q01 t + q11 t²). Positive room is inside.
    """

    #: Room at age 0, on the scale.
    at_start: float
    #: Change of the room, on the scale per month.
    per_month: float
    #: Variance at age 0, over s².
    q00: float
    #: Half the linear term of the variance, over s² per month.
    q01: float
    #: Quadratic term of the variance, over s² per month².
    q11: float
    #: Weight of the fitted start in the room: x = (start_weight, t) [-].
    start_weight: float

    def at(self, age: float) -> float:
        """Return the room at an age, on the scale."""
        return self.at_start + self.per_month * age

    def error(self, age: float) -> float:
        """Return the standard error of the room at an age, over s."""
        variance = self.q00 + 2 * self.q01 * age + self.q11 * age * age
        return math.sqrt(max(variance, 0.0))

    def set_within(self, k: float) -> tuple[float, float, float, float]:
        """Return A, B, C and the root of B² - AC of room² - k variance.

        Room² - k variance = A t² + 2 B t + C. The discriminant is written as k times
        a sum, because the difference loses half the digits where s is near 0.
        """
        d, e = self.at_start, self.per_month
        inner = (
            self.q00 * e * e
            - 2 * self.q01 * d * e
            + self.q11 * d * d
            - k * (self.q00 * self.q11 - self.q01 * self.q01)
        )
        return (
            e * e - k * self.q11,
            d * e - k * self.q01,
            d * d - k * self.q00,
            math.sqrt(max(k * inner, 0.0)),
        )


def margin_to(line: StraightLine, bound: Bound) -> Margin | NoFit:
    r"""Return the room between a line and a bound.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    bound : Bound
        Absolute, change from initial, or share of initial.

    Returns
    -------
    Margin or NoFit
        The room, or why there is none to speak of.

    Notes
    -----
    With C the inverse of XᵀX and σ = 1 for a lower bound, -1 for an upper one:
    absolute L: σ(a + bt - L); change Δ: σ(bt - Δ), x = (0, t); share p on the linear
    scale: σ((1 - p)a + bt), x = (1 - p, t); share p on the ln scale: σ(bt - ln p).

    Examples
    --------
    >>> from stability.model.estimate import Line
    >>> line = Line(5, 3, 5.5, -0.02, 0.01, 6.0, 90.0)
    >>> margin_to(line, Bound("change", "lower", -0.5)).at(10)
    0.3
    """
    sign = 1.0 if bound.side == "lower" else -1.0
    refusal = _refusal(line, bound)
    if refusal is not None:
        return refusal
    weight = 1.0
    if bound.kind == "absolute":
        amount = math.log(bound.amount) if line.scale == "ln" else bound.amount
        room = line.intercept - amount
    elif bound.kind == "change":
        room, weight = -bound.amount, 0.0
    elif line.scale == "ln":
        room, weight = -math.log(bound.amount), 0.0
    else:
        weight = 1 - bound.amount
        room = weight * line.intercept
    return Margin(
        at_start=sign * room,
        per_month=sign * line.slope,
        q00=weight * weight * (1 / line.n + line.mean_age**2 / line.sxx),
        q01=-weight * line.mean_age / line.sxx,
        q11=1 / line.sxx,
        start_weight=weight,
    )


def room(start: float, bounds: Sequence[Bound], side: Side) -> float | None:
    """Return the room from a fitted start to the nearest bound of one side.

    Parameters
    ----------
    start : float
        Fitted value at age 0. [attribute's unit]
    bounds : sequence of Bound
        The limits of the attribute.
    side : {"lower", "upper"}
        Which bounds.

    Returns
    -------
    float or None
        In the attribute's unit, negative outside; None without such a bound.

    Examples
    --------
    >>> room(5.5, [Bound("absolute", "lower", 5.0)], "lower")
    0.5
    """
    sign = 1.0 if side == "lower" else -1.0
    rooms = [
        sign * (start - _as_value(bound, start))
        for bound in bounds
        if bound.side == side
    ]
    return min(rooms) if rooms else None


def _as_value(bound: Bound, start: float) -> float:
    if bound.kind == "absolute":
        return bound.amount
    return start + bound.amount if bound.kind == "change" else start * bound.amount


def _refusal(line: StraightLine, bound: Bound) -> NoFit | None:
    if line.scale == "ln" and bound.kind == "change":
        return NoFit(
            "change-on-ln",
            "A limit on the change from initial cannot be judged inside a fit on the "
            "ln scale; state it as a share of initial or freeze it at T0.",
        )
    if line.scale == "ln" and bound.amount <= 0:
        return NoFit(
            "limit-not-positive",
            f"A limit of {bound.amount:g} has no logarithm; on the ln scale a limit "
            "must be above 0.",
        )
    if bound.kind == "share" and line.scale == "linear" and line.intercept <= 0:
        return NoFit(
            "start-not-positive",
            f"The fitted start is {line.intercept:.4g}: a share of it says nothing; "
            "state the limit as a change from initial.",
        )
    return None
