"""Whether a plan can prove what is asked of it, before anything is made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from scipy import integrate, optimize, special

from stability.model.estimate import Bound, Line, NoFit
from stability.model.power import Assumed, Prospect
from stability.model.shelf_life import Direction
from stability.statistics.cap import Rule, capped_by
from stability.statistics.margin import Margin, margin_to
from stability.statistics.quantiles import t_one_sided, t_two_sided
from stability.statistics.shelf_life import FEWEST_CHECKS, sides

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
    log_constant = (
        math.log(2) + df / 2 * math.log(df / 2) - float(special.gammaln(df / 2))
    )

    def density(w: float) -> float:
        exponent = log_constant + (df - 1) * math.log(w) - df * w * w / 2
        return math.exp(exponent) * float(special.ndtr(shift - value * w))

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
    t_q / κ}, T' noncentral t [1]_; k batches P₁ᵏ; two limits P_lower + P_upper - 1.

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
    line = _planned_line(ages, assumed)
    alone = 1.0
    for bound, two_sided in sides(bounds, direction):
        margin = margin_to(line, bound)
        if isinstance(margin, NoFit):
            return margin
        quantile = t_two_sided if two_sided else t_one_sided
        multiplier = quantile(confidence, line.df)
        alone += _reached(margin, months, multiplier, assumed, line.df) - 1
    return float(max(alone, 0.0) ** batches)


def _planned_line(ages: Sequence[float], assumed: Assumed) -> Line:
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


def _reached(
    margin: Margin, months: float, multiplier: float, assumed: Assumed, df: int
) -> float:
    """Return the chance that the bound of the mean is inside at an age."""
    error = margin.error(months) * assumed.scatter
    room = margin.at(months)
    if error == 0:
        return 1.0 if room >= 0 else 0.0
    kappa = 1.0
    if assumed.spread is not None:
        weight, spread = margin.start_weight, assumed.spread
        between = (
            weight * weight * spread.level
            + 2 * weight * months * spread.both
            + months * months * spread.slope
        )
        kappa = math.sqrt(1 + between / error**2)
    return noncentral_t_above(multiplier / kappa, df, room / error / kappa)


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


def prospects(
    ages: Sequence[float],
    asked: float,
    assumed: Assumed,
    bounds: Sequence[Bound],
    *,
    direction: Direction = "either",
    batches: int = 1,
    cap_rule: Rule = "2X, +12",
    confidence: float = 0.95,
) -> tuple[Prospect, ...]:
    """Return what the evaluation at each check can be expected to say.

    Parameters
    ----------
    ages : sequence of float
        Ages of the planned checks. [months]
    asked : float
        Life asked for. [months]
    assumed : Assumed
        Start, slope, scatter and how batches differ.
    bounds : sequence of Bound
        The limit.
    direction : str, default "either"
        Chooses sides as in `shelf_life.shelf_life`.
    batches : int, default 1
        Batches, all of which must reach it. [-]
    cap_rule : str, default "2X, +12"
        Rule of the cap that is expected to hold.
    confidence : float, default 0.95
        Of each bound. [-]

    Returns
    -------
    tuple of Prospect
        One for each check from the third on; the last is the final evaluation.
    """
    ordered = sorted(ages)
    found = []
    for n in range(3, len(ordered) + 1):
        made = ordered[:n]
        shown = made[-1]

        def chance(months: float, made: Sequence[float] = made) -> float:
            reached = chance_of_support(
                made,
                months,
                assumed,
                bounds,
                direction=direction,
                batches=batches,
                confidence=confidence,
            )
            return 0.0 if isinstance(reached, NoFit) else reached

        estimate = chance(0.0)
        support = chance(asked) if asked <= capped_by(cap_rule, shown) else 0.0
        if n < FEWEST_CHECKS:
            support = 1.0 if asked <= shown else 0.0
        noticed = smallest_slope(made, assumed.scatter)
        text = _text(
            n,
            shown,
            assumed,
            chances=(estimate, support),
            batches=batches,
            asked=asked,
        )
        found.append(Prospect(n, shown, shown, estimate, support, noticed, text))
    return tuple(found)


def _text(
    n: int,
    shown: float,
    assumed: Assumed,
    *,
    chances: tuple[float, float],
    batches: int,
    asked: float,
) -> str:
    estimate, support = chances
    basis = (
        f"{batches} batch{'' if batches == 1 else 'es'}, scatter "
        f"{assumed.scatter:.3g}, drift {assumed.slope:.3g} a month"
    )
    says = f"estimate something with chance {estimate:.2f}"
    if estimate < 0.05:
        says = "estimate nothing"
    return (
        f"With {basis}, {n} checks to {shown:g} months will show {shown:g} months and "
        f"{says}; {asked:g} months supported with chance {support:.2f}."
    )
