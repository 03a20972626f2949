"""Whether a plan can prove what is asked of it, before anything is made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from scipy import integrate, optimize, special

from stability.model.estimate import Bound, Line, NoFit
from stability.model.power import Assumed
from stability.model.shelf_life import Direction
from stability.statistics.margin import Margin, margin_to
from stability.statistics.quantiles import t_one_sided, t_two_sided
from stability.statistics.shelf_life import sides

#: Power at which a slope counts as noticed [-].
POWER = 0.80
#: Two-sided level at which a slope counts as seen [-].
LEVEL = 0.05


def point_scatter(
    *,
    day: float,
    container: float,
    reading: float,
    containers: int = 1,
    readings: int = 1,
) -> float:
    """Return the standard deviation of one point of a line.

    Parameters
    ----------
    day : float
        Standard deviation of days. [scale]
    container : float
        Standard deviation of containers of one day. [scale]
    reading : float
        Standard deviation of readings of one container. [scale]
    containers : int, default 1
        Fresh containers per check. [-]
    readings : int, default 1
        Readings per container. [-]

    Returns
    -------
    float
        √(day² + container²/j + reading²/(j r)): more containers and readings do not
        even out a day.

    Examples
    --------
    >>> point_scatter(day=0.3, container=0.4, reading=0.0)
    0.5
    """
    return math.sqrt(
        day**2 + container**2 / containers + reading**2 / (containers * readings)
    )


def noncentral_t_above(value: float, df: float, shift: float) -> float:
    r"""Return the probability that noncentral t exceeds a value.

    Parameters
    ----------
    value : float
        The value. [-]
    df : float
        Degrees of freedom. [-]
    shift : float
        Noncentrality. [-]

    Returns
    -------
    float
        Between 0 and 1. [-]

    Notes
    -----
    .. math:: P\{T' > c\} = \int_0^\infty \Phi(\delta - c\,w)\, f(w)\, dw

    with w = √(χ²/ν) [1]_. Integrated, because the library's distribution function is
    not a number in the far tail.

    References
    ----------
    .. [1] N. L. Johnson, S. Kotz and N. Balakrishnan, Continuous Univariate
       Distributions, vol. 2, 2nd ed., Wiley, 1995, chapter 31.

    Examples
    --------
    >>> round(noncentral_t_above(2.015, 5, 0.0), 3)
    0.05
    """
    return _all_above(((value, shift),), df)


@lru_cache(maxsize=8192)
def _all_above(bounds: tuple[tuple[float, float], ...], df: float) -> float:
    """Return the chance that every bound is passed, one scatter being used for all.

    Each bound is a value with a noncentrality. Given the scatter, no line misses a
    lower and an upper bound at once unless their intervals overlap, so that the
    chances of missing one add up.
    """
    log_constant = (
        math.log(2) + df / 2 * math.log(df / 2) - float(special.gammaln(df / 2))
    )

    def density(w: float) -> float:
        missed = math.fsum(
            float(special.ndtr(value * w - shift)) for value, shift in bounds
        )
        if missed >= 1:
            return 0.0
        exponent = log_constant + (df - 1) * math.log(w) - df * w * w / 2
        return math.exp(exponent) * (1 - missed)

    spread = 12 / math.sqrt(2 * df)
    edges = [0.0, max(1 - spread, 0.0) or 1e-12, 1.0, 1 + spread]
    parts = [
        integrate.quad(density, max(low, 1e-300), high, epsabs=1e-12, limit=200)[0]
        for low, high in pairwise(edges)
        if high > low
    ]
    return min(max(float(math.fsum(parts)), 0.0), 1.0)


def chance_of_support(
    ages: Sequence[float],
    months: float,
    assumed: Assumed,
    bounds: Sequence[Bound],
    *,
    direction: Direction = "either",
    batches: int = 1,
    confidence: float = 0.95,
) -> float | NoFit:
    r"""Return the chance that the estimate reaches the life asked for.

    Parameters
    ----------
    ages : sequence of float
        Ages of the planned checks, at least three. [months]
    months : float
        Life asked for. [months]
    assumed : Assumed
        Start, slope, scatter and how batches differ.
    bounds : sequence of Bound
        The limit.
    direction : str, default "either"
        Chooses sides as in `shelf_life.shelf_life`.
    batches : int, default 1
        Batches, all of which must reach it. [-]
    confidence : float, default 0.95
        Of each bound. [-]

    Returns
    -------
    float or NoFit
        Between 0 and 1; refused where the limit cannot be held against the line.

    Notes
    -----
    With v the variance of the fitted room at m over σ², ν = n - 2, δ = room(m) / (σ
    √v) and κ² = 1 + xᵀΓx / (σ² v) for batches that differ by Γ: P₁ = P{T'(ν, δ/κ) >
    t_q / κ}, T' noncentral t [1]_; k batches P₁ᵏ. Both of two limits are reached with
    chance ∫ max(0, 1 - Σ Φ(t_q w / κ - δ/κ)) f(w) dw, w = √(χ²/ν), which is at least
    P_lower + P_upper - 1: a large scatter misses both at once and counts once.

    References
    ----------
    .. [1] N. L. Johnson, S. Kotz and N. Balakrishnan, Continuous Univariate
       Distributions, vol. 2, 2nd ed., Wiley, 1995, chapter 31.

    Examples
    --------
    >>> ages = [0, 3, 6, 9, 12, 18, 24]
    >>> low = [Bound("absolute", "lower", 5.0)]
    >>> product = Assumed(start=5.5, slope=-0.02, scatter=0.03)
    >>> chance_of_support(ages, 21, product, low, direction="decreasing")
    0.970
    """
    line = planned_line(ages, assumed)
    passing = []
    for bound, two_sided in sides(bounds, direction):
        margin = margin_to(line, bound)
        if isinstance(margin, NoFit):
            return margin
        quantile = t_two_sided if two_sided else t_one_sided
        multiplier = quantile(confidence, line.df)
        if margin.error(months) * assumed.scatter > 0:
            passing.append(_to_pass(margin, months, multiplier, assumed))
        elif margin.at(months) < 0:
            return 0.0
    return _all_above(tuple(passing), line.df) ** batches


def planned_line(ages: Sequence[float], assumed: Assumed) -> Line:
    """Return the true line with the precision that a plan gives it.

    Parameters
    ----------
    ages : sequence of float
        Ages of the planned checks. [months]
    assumed : Assumed
        Start, slope and scatter.

    Returns
    -------
    Line
        As a fit would give it, were the readings to lie on the true line.

    Examples
    --------
    >>> planned_line([0, 6, 12], Assumed(start=5.5, slope=-0.02, scatter=0.03)).sxx
    72.0
    """
    n = len(ages)
    mean = math.fsum(ages) / n
    return Line(
        n=n,
        df=n - 2,
        intercept=assumed.start,
        slope=assumed.slope,
        s_used=assumed.scatter,
        mean_age=mean,
        sxx=math.fsum((age - mean) ** 2 for age in ages),
        scale=assumed.scale,
    )


def _to_pass(
    margin: Margin, months: float, multiplier: float, assumed: Assumed
) -> tuple[float, float]:
    """Return t and noncentrality of the bound of the mean at an age, over κ."""
    error = margin.error(months) * assumed.scatter
    kappa = 1.0
    if assumed.spread is not None:
        weight, spread = margin.start_weight, assumed.spread
        between = (
            weight * weight * spread.level
            + 2 * weight * months * spread.both
            + months * months * spread.slope
        )
        kappa = math.sqrt(1 + between / error**2)
    return multiplier / kappa, margin.at(months) / error / kappa


def smallest_slope(
    ages: Sequence[float],
    scatter: float,
    *,
    power: float = POWER,
    level: float = LEVEL,
) -> float:
    r"""Return the smallest slope that a plan notices.

    Parameters
    ----------
    ages : sequence of float
        Ages of the planned checks, at least three. [months]
    scatter : float
        Standard deviation of one point. [scale]
    power : float, default 0.80
        Chance of noticing it. [-]
    level : float, default 0.05
        Two-sided. [-]

    Returns
    -------
    float
        δ* σ / √Sxx, with δ* 4.256 for 5, 3.514 for 7, 3.270 for 9 checks. [scale per
        month]

    Examples
    --------
    >>> round(smallest_slope([0, 3, 6, 9, 12, 18, 24], 0.03), 4)
    0.0051
    """
    mean = math.fsum(ages) / len(ages)
    sxx = math.fsum((age - mean) ** 2 for age in ages)
    return shift_noticed(len(ages) - 2, power, level) * scatter / math.sqrt(sxx)


@lru_cache(maxsize=1024)
def shift_noticed(df: int, power: float = POWER, level: float = LEVEL) -> float:
    """Return the noncentrality at which a two-sided t test has a given power.

    Parameters
    ----------
    df : int
        Degrees of freedom. [-]
    power : float, default 0.80
        Chance of noticing. [-]
    level : float, default 0.05
        Two-sided. [-]

    Returns
    -------
    float
        The noncentrality δ*. [-]

    Examples
    --------
    >>> [round(shift_noticed(n - 2), 3) for n in (5, 7, 9)]
    [4.256, 3.514, 3.27]
    """
    value = t_two_sided(1 - level, df)

    def lacking(shift: float) -> float:
        noticed = noncentral_t_above(value, df, shift)
        return noticed + noncentral_t_above(value, df, -shift) - power

    return float(optimize.brentq(lacking, 0.0, 60.0, xtol=1e-10))
