"""What else must go well in a plan: no reading outside, and no caution by chance.

`power` works out whether the bound of the mean reaches the life asked for. A sound
product can still fail to be supported, because one reading scatters beyond its limit
or because a straight drift looks bent.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

from stability.model.estimate import Bound, NoFit
from stability.model.power import Assumed
from stability.statistics.fit_checks import LEVEL
from stability.statistics.margin import Margin, margin_to
from stability.statistics.power import planned_line
from stability.statistics.quantiles import t_one_sided, t_two_sided

Floats = NDArray[np.float64]

#: Nodes of each quadrature [-].
NODES = 15
#: Nodes for the error of a day that several containers share [-].
DAY_NODES = 9
#: Simulated plans behind the chance that no caution arises [-].
RUNS = 6000
#: Seed of those plans.
SEED = 20260101


def chance_inside(
    ages: Sequence[float],
    assumed: Assumed,
    bounds: Sequence[Bound],
    *,
    containers: Sequence[int] = (),
    day_share: float = 0.0,
) -> tuple[float, ...] | NoFit:
    r"""Return the chance that no single reading lies outside its limit.

    Parameters
    ----------
    ages : sequence of float
        Ages of the planned checks in order, T0 first. [months]
    assumed : Assumed
        Start, slope, scatter of one container and how batches differ.
    bounds : sequence of Bound
        The limit.
    containers : sequence of int, default ()
        Containers read at each check, each held against the limit; one each where
        empty. [-]
    day_share : float, default 0
        Share of the variance that all containers of a day have in common. [-]

    Returns
    -------
    tuple of float, or NoFit
        One for each age: the chance that nothing lay outside up to and at that age.
        Refused where the limit cannot be held against the line.

    Notes
    -----
    Given the batch (its level and slope) and the error of its initial value z₀, which
    every comparison with the initial value shares, the readings are independent:

    .. math:: P = E \prod_i [1 - \sum_b \Phi(-r_{ib} / \sigma)]^j

    with r the room at age i to bound b, and the expectation taken by Gauss-Hermite
    quadrature [1]_; several containers of a check are independent given their day.

    References
    ----------
    .. [1] M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, National
       Bureau of Standards, 1964, section 25.4.46.

    Examples
    --------
    >>> low, high = Bound("share", "lower", 0.8), Bound("share", "upper", 1.2)
    >>> steady = Assumed(start=1.0, slope=0.0, scatter=0.06)
    >>> [round(p, 2) for p in chance_inside([0, 3, 6, 9, 12], steady, [low, high])]
    [1.0, 0.98, 0.96, 0.95, 0.94]
    """
    line = planned_line(ages, assumed)
    margins = [margin_to(line, bound) for bound in bounds]
    refusal = next((one for one in margins if isinstance(one, NoFit)), None)
    if refusal is not None:
        return refusal
    rooms = [one for one in margins if isinstance(one, Margin)]
    relative = [_initial_weight(bound, assumed) for bound in bounds]
    weights, initial, level, slope = _nodes(rooms, relative, assumed)
    x = np.asarray(ages, dtype=float)[:, None]
    distances = []
    for bound, margin, share in zip(bounds, rooms, relative, strict=True):
        sign = 1.0 if bound.side == "lower" else -1.0
        room = margin.at_start + (margin.per_month + sign * slope) * x
        room = room + sign * (margin.start_weight * level - share * initial)
        if share > 0:
            # The initial value is held against itself and never outside.
            room[x[:, 0] == 0] = math.inf
        distances.append((sign, room))
    several = np.asarray(containers or [1] * len(ages))[:, None]
    held = _held(distances, several, assumed.scatter, day_share)
    return tuple(float(p) for p in np.cumprod(held, axis=0) @ weights)


def _held(
    distances: Sequence[tuple[float, Floats]],
    several: NDArray[np.int_],
    scatter: float,
    day_share: float,
) -> Floats:
    """Return the chance that all containers of a check hold, for every node."""

    def all_hold(day: float, own: float) -> Floats:
        outside = sum(_outside(room + sign * day, own) for sign, room in distances)
        return np.asarray(np.clip(1 - outside, 0.0, 1.0) ** several)

    if several.max() == 1:
        return all_hold(0.0, scatter)
    point, weight = _quadrature(DAY_NODES)
    common, own = math.sqrt(day_share), math.sqrt(1 - day_share)
    held = np.zeros_like(distances[0][1])
    for z, share in zip(point, weight, strict=True):
        held += share * all_hold(float(z) * common * scatter, own * scatter)
    return held


def _initial_weight(bound: Bound, assumed: Assumed) -> float:
    """Return how much of the initial value's error enters the room."""
    if bound.kind == "absolute":
        return 0.0
    if bound.kind == "share" and assumed.scale == "linear":
        return bound.amount
    return 1.0


def _nodes(
    rooms: Sequence[Margin], relative: Sequence[float], assumed: Assumed
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return weights, errors of the initial value, levels and slopes of batches."""
    spread = assumed.spread
    with_level = spread is not None and any(one.start_weight != 0 for one in rooms)
    used = (any(relative), with_level, spread is not None)
    point, weight = _quadrature(NODES)
    axes = [point if one else np.zeros(1) for one in used]
    shares = [weight if one else np.ones(1) for one in used]
    z0, z1, z2 = (one.ravel() for one in np.meshgrid(*axes, indexing="ij"))
    weights = np.prod([w.ravel() for w in np.meshgrid(*shares, indexing="ij")], axis=0)
    level, slope = np.zeros_like(z1), np.zeros_like(z2)
    if spread is not None:
        level_sd = math.sqrt(spread.level)
        level = level_sd * z1
        along = spread.both / level_sd if level_sd else 0.0
        slope = along * z1 + math.sqrt(max(spread.slope - along**2, 0.0)) * z2
    return weights, assumed.scatter * z0, level, slope


@lru_cache(maxsize=4)
def _quadrature(nodes: int) -> tuple[Floats, Floats]:
    """Return points and weights for the expectation of a standard normal error."""
    point, weight = np.polynomial.hermite_e.hermegauss(nodes)
    return point, weight / weight.sum()


def _outside(room: Floats, scatter: float) -> Floats:
    if scatter == 0:
        return (room < 0).astype(float)
    return np.asarray(special.ndtr(-room / scatter), dtype=float)


@lru_cache(maxsize=512)
def chance_unblocked(schedules: tuple[tuple[float, ...], ...]) -> float:
    """Return the chance that no caution forbids extrapolation of a straight drift.

    Parameters
    ----------
    schedules : tuple of tuple of float
        Ages of the checks of each series of one attribute and pack, T0 first, at least
        five each. [months]

    Returns
    -------
    float
        Between 0 and 1. [-]

    Notes
    -----
    Two fit checks may stop a sound product, each in about 5 %: a bend towards the
    limit, common to all series, and a T0 off the line of the later checks of any
    series. Both depend on the directions of the residuals alone, neither on the fitted
    line nor on the size of the scatter, so that the chance is a property of the
    schedule. It is simulated with a fixed seed; the simulation error is at most 0.005.

    Examples
    --------
    >>> 0.87 < chance_unblocked(((0, 3, 6, 9, 12, 18, 24),)) < 0.95
    True
    """
    rng = np.random.default_rng(SEED)
    squares = cross = rest = np.zeros(RUNS)
    blocked = np.zeros(RUNS, dtype=bool)
    for ages in schedules:
        x = np.asarray(ages, dtype=float)
        values = rng.normal(size=(RUNS, x.size))
        residuals = values - values @ _projection(x)
        bend = x**2 - x**2 @ _projection(x)
        squares = squares + float(bend @ bend)
        cross = cross + residuals @ bend
        rest = rest + (residuals**2).sum(axis=1)
        blocked |= _starts_fast(x, values)
    df = sum(len(ages) for ages in schedules) - 2 * len(schedules) - 1
    error = np.sqrt((rest - cross**2 / squares) / df)
    blocked |= cross / np.sqrt(squares) / error > t_one_sided(1 - LEVEL, df)
    return float(1 - blocked.mean())


def _projection(x: Floats) -> Floats:
    """Return the matrix that carries values onto their straight line."""
    columns = np.column_stack([np.ones_like(x), x])
    return np.asarray(columns @ np.linalg.pinv(columns), dtype=float)


def _starts_fast(x: Floats, values: Floats) -> NDArray[np.bool_]:
    """Say of each plan whether T0 lies off the line of the later checks."""
    later, y = x[1:], values[:, 1:]
    n, mean = later.size, later.mean()
    sxx = float(((later - mean) ** 2).sum())
    slope = y @ (later - mean) / sxx
    intercept = y.mean(axis=1) - slope * mean
    fitted = intercept[:, None] + slope[:, None] * later
    s = np.sqrt(((y - fitted) ** 2).sum(axis=1) / (n - 2))
    half = t_two_sided(1 - LEVEL, n - 2) * s * math.sqrt(1 + 1 / n + mean**2 / sxx)
    return np.asarray(np.abs(values[:, 0] - intercept) > half)
