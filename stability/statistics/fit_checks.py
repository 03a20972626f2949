"""Checks of a fitted line; each finding is a caution that names its consequence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from stability.model.estimate import (
    Bound,
    Caution,
    Line,
    Scale,
    StraightLine,
    back,
)
from stability.statistics.line import centred_ages, closed_line
from stability.statistics.margin import room
from stability.statistics.quantiles import t_two_sided, t_two_sided_p

#: Level of every fit check [-].
LEVEL = 0.05
#: A point with more leverage than this carries the slope by itself [-].
CARRIES = 0.9
#: Steps of resolution needed between the fitted start and a limit [-].
FEWEST_STEPS = 5


def series_cautions(
    line: StraightLine,
    ages: Sequence[float],
    values: Sequence[float],
    *,
    floor: float = 0.0,
    resolution: float | None = None,
    bounds: Sequence[Bound] = (),
) -> tuple[Caution, ...]:
    """Return the cautions that one series gives by itself.

    Parameters
    ----------
    line : Line or Drift
        The line through all points.
    ages : sequence of float
        Ages of the points. [months]
    values : sequence of float
        Values of the points. [attribute's unit]
    floor : float, default 0
        Half the resolution, on the scale. [scale]
    resolution : float or None, default None
        Smallest step of a single reading. [attribute's unit]
    bounds : sequence of Bound, default ()
        The limits of the attribute.

    Returns
    -------
    tuple of Caution
        Empty where nothing was seen. The bend common to all batches is judged by
        `straightness.curvature`, replicates by `straightness.lack_of_fit`.
        Serial correlation is not tested: so few checks have no power for it.

    Examples
    --------
    >>> from stability.statistics.line import closed_line
    >>> ages, values = [0, 3, 6, 9], [5.5, 5.4, 5.5, 5.4]
    >>> [c.code for c in series_cautions(closed_line(ages, values), ages, values)]
    []
    """
    found = (
        _scatter_caution(line, values, floor),
        few_steps(line, bounds, resolution),
        outlying_point(line, ages, values, floor=floor),
        carrying_point(ages),
        fast_start(ages, values, scale=line.scale, floor=floor),
    )
    return tuple(caution for caution in found if caution is not None)


def _scatter_caution(
    line: StraightLine, values: Sequence[float], floor: float
) -> Caution | None:
    if len(set(values)) == 1:
        known = (
            f"the scatter is taken as half the resolution, {floor:.3g}"
            if floor > 0
            else "no resolution is known, so the scatter counts as 0"
        )
        return Caution("all-equal", f"All {len(values)} values are equal: {known}.")
    if line.s_used == 0:
        return Caution(
            "no-scatter",
            "The points lie exactly on the line and no resolution is known, so the "
            "scatter counts as 0 and every interval is too narrow.",
        )
    if floor > 0 and line.s_used == floor:
        return Caution(
            "resolution-floor",
            f"The scatter is below half the resolution; {floor:.3g} is used instead.",
        )
    return None


def few_steps(
    line: StraightLine, bounds: Sequence[Bound], resolution: float | None
) -> Caution | None:
    """Say whether the resolution is too coarse for the room to a limit.

    Parameters
    ----------
    line : Line or Drift
        The fitted line.
    bounds : sequence of Bound
        The limits of the attribute.
    resolution : float or None
        Smallest step of a single reading. [attribute's unit]

    Returns
    -------
    Caution or None
        Blocks extrapolation below 5 steps.

    Examples
    --------
    >>> few_steps(Line(5, 3, 5.5, 0, 0.1, 6, 90), [], 0.1) is None
    True
    """
    if resolution is None:
        return None
    start = back(line.intercept, line.scale)
    rooms = [room(start, bounds, "lower"), room(start, bounds, "upper")]
    steps = [r / resolution for r in rooms if r is not None and r >= 0]
    if not steps or min(steps) >= FEWEST_STEPS - 1e-9:
        return None
    return Caution(
        "few-steps",
        f"Only {min(steps):.1f} steps of the resolution lie between the fitted start "
        f"and the limit; {FEWEST_STEPS} are needed: no extrapolation.",
        blocks_extrapolation=True,
    )


def leverages(ages: Sequence[float]) -> tuple[float, ...]:
    r"""Return the leverage of each point of a straight line.

    Parameters
    ----------
    ages : sequence of float
        Ages of the points, at least two different. [months]

    Returns
    -------
    tuple of float
        Between 1/n and 1. [-]

    Notes
    -----
    .. math:: h_i = 1/n + (t_i - \bar t)^2 / S_{xx}

    after [1]_.

    References
    ----------
    .. [1] N. R. Draper and H. Smith, Applied Regression Analysis, 3rd ed., Wiley,
       1998, section 8.1.

    Examples
    --------
    >>> leverages([0, 1, 2])[1].__round__(4)
    0.3333
    """
    return _leverages(tuple(ages))


@lru_cache(maxsize=256)
def _leverages(ages: tuple[float, ...]) -> tuple[float, ...]:
    """Return the leverages; kept, because series of the same days share them."""
    n = len(ages)
    _, centred, sxx = centred_ages(ages)
    return tuple(1 / n + c**2 / sxx for c in centred)


def carrying_point(ages: Sequence[float]) -> Caution | None:
    """Say whether one point fixes the slope by itself.

    Parameters
    ----------
    ages : sequence of float
        Ages of the points. [months]

    Returns
    -------
    Caution or None
        Given where a leverage exceeds 0.9.

    Notes
    -----
    Cook's distance above 1 is not used: it flags a third of healthy lines of seven
    checks.

    Examples
    --------
    >>> carrying_point([0, 1, 2, 24]).code
    'one-point-carries-slope'
    """
    for age, leverage in zip(ages, leverages(ages), strict=True):
        if leverage > CARRIES:
            return Caution(
                "one-point-carries-slope",
                f"The check at {age:.3g} months fixes the slope by itself (leverage "
                f"{leverage:.2f}): look at the estimate without the last check.",
            )
    return None


def outlying_point(
    line: StraightLine,
    ages: Sequence[float],
    values: Sequence[float],
    *,
    floor: float = 0.0,
) -> Caution | None:
    r"""Say whether one point lies off the line through the others.

    Parameters
    ----------
    line : Line or Drift
        The line through all points.
    ages : sequence of float
        Ages of the points. [months]
    values : sequence of float
        Values of the points. [attribute's unit]
    floor : float, default 0
        Least residual standard deviation of the others, on the scale. [scale]

    Returns
    -------
    Caution or None
        Names the age. The point stays in the fit: only invalidation with a cause
        takes it out.

    Notes
    -----
    Externally studentised residual [1]_, df n - 3, with s(i) of the line without
    point i; the smallest of the n two-sided p values times n is held against 0.05.

    References
    ----------
    .. [1] R. D. Cook and S. Weisberg, Residuals and Influence in Regression, Chapman
       and Hall, 1982, section 2.2.2.

    Examples
    --------
    >>> from stability.statistics.line import closed_line
    >>> ages = [0, 3, 6, 9, 12, 18]
    >>> values = [5.50, 5.47, 5.44, 5.80, 5.38, 5.33]
    >>> outlying_point(closed_line(ages, values), ages, values).code
    'outlying-point'
    """
    n = len(ages)
    if n < 4:
        return None
    y = [math.log(v) for v in values] if line.scale == "ln" else values
    residuals = [
        v - line.intercept - line.slope * t for t, v in zip(ages, y, strict=True)
    ]
    whole = math.fsum([residual * residual for residual in residuals])
    least = max(floor, 1e-12 * max(*y, -min(y)))
    studentised = [
        _studentised(residual, 1 - leverage, whole, least, n)
        for residual, leverage in zip(residuals, leverages(ages), strict=True)
    ]
    worst = max(range(n), key=studentised.__getitem__)
    if n * t_two_sided_p(studentised[worst], n - 3) >= LEVEL:
        return None
    return Caution(
        "outlying-point",
        f"The check at {ages[worst]:.3g} months lies off the line through the others; "
        "it stays in the fit unless it is invalidated with a cause.",
    )


def _studentised(
    residual: float, off: float, whole: float, least: float, n: int
) -> float:
    """Return the size of a residual over the scatter of the other points."""
    if off <= 1e-9 or residual == 0:
        return 0.0
    rest = max(whole - residual * residual / off, 0.0) / (n - 3)
    return abs(residual) / (max(math.sqrt(rest), least) * math.sqrt(off))


def fast_start(
    ages: Sequence[float],
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    floor: float = 0.0,
) -> Caution | None:
    """Say whether T0 lies off the line through all later checks.

    Parameters
    ----------
    ages : sequence of float
        Ages of the points; T0 is age 0. [months]
    values : sequence of float
        Values of the points. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the line is straight.
    floor : float, default 0
        Least residual standard deviation, on the scale. [scale]

    Returns
    -------
    Caution or None
        Blocks extrapolation; None below three later ages.

    Notes
    -----
    T0 is held against the two-sided 95 % prediction interval at age 0 of the later
    checks.

    Examples
    --------
    >>> fast_start([0, 1, 2, 3, 6], [6.0, 5.50, 5.49, 5.47, 5.42]).code
    'fast-start'
    """
    initial = [v for age, v in zip(ages, values, strict=True) if age == 0]
    later = [age for age in ages if age > 0]
    if not initial or len(set(later)) < 3:
        return None
    after = [v for age, v in zip(ages, values, strict=True) if age > 0]
    line = closed_line(later, after, scale=scale, floor=floor)
    variance = 1 + 1 / line.n + line.mean_age**2 / line.sxx
    half = t_two_sided(1 - LEVEL, line.df) * line.s_used * math.sqrt(variance)
    on_line = [math.log(v) if scale == "ln" else v for v in initial]
    rounding = 1e-9 * (abs(line.intercept) + half)
    if all(abs(y - line.intercept) <= half + rounding for y in on_line):
        return None
    return Caution(
        "fast-start",
        "T0 lies outside the 95 % prediction interval of the later checks: the first "
        "weeks changed at another rate; no extrapolation.",
        blocks_extrapolation=True,
    )


def line_without_last(
    ages: Sequence[float],
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    floor: float = 0.0,
) -> Line | None:
    """Fit the line again without the check of greatest age.

    Parameters
    ----------
    ages : sequence of float
        Ages of the points. [months]
    values : sequence of float
        Values of the points. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the line is straight.
    floor : float, default 0
        Least residual standard deviation, on the scale. [scale]

    Returns
    -------
    Line or None
        None where fewer than three ages remain.

    Examples
    --------
    >>> round(line_without_last([0, 1, 2, 3], [1.0, 2.0, 3.0, 9.0]).slope, 6)
    1.0
    """
    last = max(ages)
    earlier = [t for t in ages if t < last]
    if len(set(earlier)) < 3:
        return None
    before = [v for t, v in zip(ages, values, strict=True) if t < last]
    return closed_line(earlier, before, scale=scale, floor=floor)
