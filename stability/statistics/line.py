"""Straight lines in closed form, and the bounds drawn around them.

Loads numpy and `scipy.special` only, so that a single reading can be held against a
line without the weight of a statistics library.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stability.model.estimate import LARGEST_LN, Line, Scale, Side, StraightLine
from stability.statistics.quantiles import t_one_sided, t_two_sided

#: Residuals below this share of the largest value are rounding, not scatter [-].
ROUNDING = 1e-13


def on_scale(values: ArrayLike, scale: Scale) -> NDArray[np.float64]:
    """Return values on the scale on which their line is straight.

    Parameters
    ----------
    values : array_like of float
        In the attribute's unit; above 0 for the ln scale. [attribute's unit]
    scale : {"linear", "ln"}
        The declared scale.

    Returns
    -------
    ndarray of float
        The values, or their natural logarithms.

    Examples
    --------
    >>> on_scale([1.0, 1.0], "ln").tolist()
    [0.0, 0.0]
    """
    array = np.asarray(values, dtype=float)
    return np.log(array) if scale == "ln" else array


def off_scale(values: NDArray[np.float64], scale: Scale) -> NDArray[np.float64]:
    """Return values on the scale in the attribute's unit.

    Parameters
    ----------
    values : ndarray of float
        On the scale. [scale]
    scale : {"linear", "ln"}
        The declared scale.

    Returns
    -------
    ndarray of float
        The values, or e to their power.
    """
    return np.exp(np.minimum(values, LARGEST_LN)) if scale == "ln" else values


def resolution_floor(
    values: Sequence[float], scale: Scale, resolution: float | None
) -> float:
    r"""Return the least residual standard deviation that rounding lets us believe.

    Parameters
    ----------
    values : sequence of float
        The points, in the attribute's unit. [attribute's unit]
    scale : {"linear", "ln"}
        The declared scale.
    resolution : float or None
        Smallest step of a single reading. [attribute's unit]

    Returns
    -------
    float
        Half the resolution, on the scale; 0 where the resolution is not known.

    Notes
    -----
    Half a step, not a step / √12, and not divided by the root of the number of
    readings: readings of one series round the same way, so that means do not even
    it out. On the ln scale the step is largest for the smallest value:
    resolution / (2 × smallest value). Common practice.

    Examples
    --------
    >>> resolution_floor([5.5, 5.4], "linear", 0.1)
    0.05
    """
    if resolution is None:
        return 0.0
    if scale == "ln":
        return float(resolution / (2 * min(values)))
    return resolution / 2


@lru_cache(maxsize=256)
def centred_ages(ages: tuple[float, ...]) -> tuple[float, tuple[float, ...], float]:
    """Return the mean age, each age less it, and the sum of their squares.

    Kept, because all series of a study that were read on the same days share them.

    Parameters
    ----------
    ages : tuple of float
        At least one. [months]

    Returns
    -------
    tuple of float, tuple of float, and float
        Mean age [months], ages about it [months], Sxx [months²].

    Examples
    --------
    >>> centred_ages((0.0, 1.0, 2.0))
    (1.0, (-1.0, 0.0, 1.0), 2.0)
    """
    mean_age = math.fsum(ages) / len(ages)
    centred = tuple(age - mean_age for age in ages)
    return mean_age, centred, math.fsum([c * c for c in centred])


def closed_line(
    ages: Sequence[float],
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    floor: float = 0.0,
) -> Line:
    r"""Fit a straight line to points in closed form.

    Parameters
    ----------
    ages : sequence of float
        At least three points of at least two ages. [months]
    values : sequence of float
        One for each age, in the attribute's unit. [attribute's unit]
    scale : {"linear", "ln"}
        Scale on which the line is straight.
    floor : float, default 0
        Least residual standard deviation, on the scale. [scale]

    Returns
    -------
    Line
        Ordinary least squares, df = n - 2.

    Raises
    ------
    ValueError
        If there are fewer than three points or only one age.

    Notes
    -----
    After [1]_:

    .. math:: b = \frac{\sum (t - \bar t)(y - \bar y)}{S_{xx}}, \quad
       a = \bar y - b \bar t, \quad s^2 = \frac{\sum (y - a - b t)^2}{n - 2}

    References
    ----------
    .. [1] N. R. Draper and H. Smith, Applied Regression Analysis, 3rd ed., Wiley,
       1998, section 1.2.

    Examples
    --------
    >>> line = closed_line([0, 3, 6], [5.5, 5.4, 5.3])
    >>> round(line.slope, 4)
    -0.0333
    """
    n = len(ages)
    if n < 3:
        message = f"{n} points carry no line with a scatter"
        raise ValueError(message)
    # Plain sums: a study has thousands of lines of ten points, for which arrays are
    # slower than the arithmetic.
    y = [math.log(v) for v in values] if scale == "ln" else [float(v) for v in values]
    mean_age, centred, sxx = centred_ages(tuple(ages))
    if sxx <= 0:
        message = "all points have one age"
        raise ValueError(message)
    mean_value = math.fsum(y) / n
    about = [value - mean_value for value in y]
    slope = math.fsum([c * v for c, v in zip(centred, about, strict=True)]) / sxx
    residuals = [v - slope * c for c, v in zip(centred, about, strict=True)]
    s = clean_scatter(math.sqrt(math.fsum([r * r for r in residuals]) / (n - 2)), y)
    return Line(
        n=n,
        df=n - 2,
        intercept=mean_value - slope * mean_age,
        slope=slope,
        s_used=max(s, floor),
        mean_age=mean_age,
        sxx=sxx,
        scale=scale,
    )


def line_of(line: StraightLine) -> Line:
    """Return the plain line of a drift.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.

    Returns
    -------
    Line
        The same line with what its intervals need.

    Examples
    --------
    >>> line_of(closed_line([0, 1, 2], [1.0, 2.0, 3.0])).n
    3
    """
    return Line(
        line.n,
        line.df,
        line.intercept,
        line.slope,
        line.s_used,
        line.mean_age,
        line.sxx,
        line.scale,
    )


def clean_scatter(s: float, y: Sequence[float]) -> float:
    """Return 0 for a residual standard deviation that is rounding alone.

    Parameters
    ----------
    s : float
        Residual standard deviation, on the scale. [scale]
    y : sequence of float
        The points, on the scale. [scale]

    Returns
    -------
    float
        `s`, or 0.
    """
    return 0.0 if s <= ROUNDING * max(*y, -min(y)) else s


def fitted(line: StraightLine, ages: ArrayLike) -> NDArray[np.float64]:
    """Return the fitted line at some ages.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    ages : array_like of float
        Where to evaluate it. [months]

    Returns
    -------
    ndarray of float
        In the attribute's unit.

    Examples
    --------
    >>> line = closed_line([0, 3, 6], [5.5, 5.4, 5.3])
    >>> fitted(line, [12]).round(2).tolist()
    [5.1]
    """
    t = np.asarray(ages, dtype=float)
    return off_scale(line.intercept + line.slope * t, line.scale)


def mean_bound(
    line: StraightLine, ages: ArrayLike, side: Side, confidence: float = 0.95
) -> NDArray[np.float64]:
    r"""Return the one-sided confidence bound of the mean at some ages.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    ages : array_like of float
        Where to evaluate it. [months]
    side : {"lower", "upper"}
        Below or above the line.
    confidence : float, default 0.95
        One-sided. [-]

    Returns
    -------
    ndarray of float
        In the attribute's unit; on the ln scale a bound of the median.

    Notes
    -----
    .. math:: \hat y(t) \pm t_{conf,\,df}\; s
       \sqrt{\tfrac1n + \tfrac{(t - \bar t)^2}{S_{xx}}}

    The bound that ICH Q1E [1]_ 2.6 compares with the acceptance criterion.

    References
    ----------
    .. [1] ICH Q1E, Evaluation of Stability Data, Step 4, 2003, section 2.6.

    Examples
    --------
    >>> line = closed_line([0, 3, 6, 9], [5.5, 5.42, 5.35, 5.24])
    >>> mean_bound(line, [12], "lower").round(3).tolist()
    [5.118]
    """
    sign = -1.0 if side == "lower" else 1.0
    multiplier = t_one_sided(confidence, line.df)
    return _at(line, ages, sign * multiplier, 0.0)


def mean_interval(
    line: StraightLine, ages: ArrayLike, confidence: float = 0.95
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the two-sided confidence interval of the mean at some ages.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    ages : array_like of float
        Where to evaluate it. [months]
    confidence : float, default 0.95
        Two-sided. [-]

    Returns
    -------
    tuple of ndarray
        Lower and upper limits, in the attribute's unit.

    Notes
    -----
    As `mean_bound` with the quantile at (1 + confidence) / 2.
    """
    multiplier = t_two_sided(confidence, line.df)
    return _at(line, ages, -multiplier, 0.0), _at(line, ages, multiplier, 0.0)


def prediction_interval(
    line: StraightLine, ages: ArrayLike, confidence: float = 0.95
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""Return the two-sided interval for one further point at some ages.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    ages : array_like of float
        Where to evaluate it. [months]
    confidence : float, default 0.95
        Two-sided. [-]

    Returns
    -------
    tuple of ndarray
        Lower and upper limits, in the attribute's unit.

    Notes
    -----
    .. math:: \hat y(t) \pm t\, s
       \sqrt{1 + \tfrac1n + \tfrac{(t - \bar t)^2}{S_{xx}}}

    After [1]_. For out of trend only; the shelf life uses `mean_bound`.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, section 4.5.1.2.

    Examples
    --------
    >>> line = closed_line([0, 3, 6, 9], [5.5, 5.42, 5.35, 5.24])
    >>> [float(limit[0].round(3)) for limit in prediction_interval(line, [12])]
    [5.08, 5.25]
    """
    multiplier = t_two_sided(confidence, line.df)
    return _at(line, ages, -multiplier, 1.0), _at(line, ages, multiplier, 1.0)


def _at(
    line: StraightLine, ages: ArrayLike, multiplier: float, own_variance: float
) -> NDArray[np.float64]:
    t = np.asarray(ages, dtype=float)
    variance = own_variance + 1 / line.n + (t - line.mean_age) ** 2 / line.sxx
    on_line = line.intercept + line.slope * t
    return off_scale(on_line + multiplier * line.s_used * np.sqrt(variance), line.scale)
