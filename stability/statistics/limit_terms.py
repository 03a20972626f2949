"""A fitted line and its bounds in the terms of a limit, drawn out over ages."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stability.model.estimate import NoFit, StraightLine, Terms
from stability.statistics.line import off_scale

#: The line, its lower and its upper bound.
Band = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


def band_in_terms(
    line: StraightLine, terms: Terms, ages: ArrayLike, multiplier: float
) -> Band | NoFit:
    r"""Return a line with its bounds in the terms in which a limit is stated.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    terms : {"absolute", "change", "share"}
        The value; value - fitted start; value / fitted start.
    ages : array_like of float
        Where to evaluate it. [months]
    multiplier : float
        Of the standard error: one quantile of Student's t. [-]

    Returns
    -------
    tuple of ndarray, or NoFit
        Line, lower bound, upper bound: in the attribute's unit, shares as fractions.
        Refused where the terms say nothing of this line.

    Notes
    -----
    Each bound stands where a limit would have to be for its crossing to lie at that
    age, so that it meets a limit exactly at the crossing. For a value that is the
    bound of the mean (ICH Q1E 2.6). The start cancels from a change, and on the ln
    scale from a share: their bounds are those of the slope, :math:`b \pm t\,s /
    \sqrt{S_{xx}}`, times age. A share 1 - u on the linear scale has

    .. math:: (u a + b t)^2 = k (u^2 q_{00} + 2 u t q_{01} + t^2 q_{11}),
       \quad k = (t\,s)^2

    whose roots u are straight in t: Fieller's interval of b / a [1]_. It has no ends
    where the start cannot be told from 0.

    References
    ----------
    .. [1] E. C. Fieller, "Some problems in interval estimation," J. R. Stat. Soc. B,
       vol. 16, no. 2, pp. 175-185, 1954.

    Examples
    --------
    >>> from stability.statistics.line import closed_line
    >>> line = closed_line([0, 3, 6, 9], [5.5, 5.42, 5.35, 5.24])
    >>> drawn, lower, upper = band_in_terms(line, "change", [0, 12], 2.92)
    >>> drawn.round(3).tolist(), lower.round(3).tolist()
    ([-0.0, -0.34], [-0.0, -0.409])
    """
    t = np.asarray(ages, dtype=float)
    if terms == "absolute":
        return _of_values(line, t, multiplier)
    if terms == "change" and line.scale == "ln":
        return NoFit(
            "change-on-ln",
            "A change from initial has no straight line on the ln scale.",
        )
    if terms == "share" and line.scale == "linear":
        return _of_shares(line, t, multiplier)
    half = multiplier * line.s_used / math.sqrt(line.sxx)
    slopes = (line.slope, line.slope - half, line.slope + half)
    drawn, lower, upper = (off_scale(slope * t, line.scale) for slope in slopes)
    return drawn, lower, upper


def _of_values(line: StraightLine, t: NDArray[np.float64], multiplier: float) -> Band:
    on_line = line.intercept + line.slope * t
    error = np.sqrt(1 / line.n + (t - line.mean_age) ** 2 / line.sxx)
    half = multiplier * line.s_used * error
    drawn, lower, upper = (
        off_scale(on_line + shift, line.scale) for shift in (0.0 * half, -half, half)
    )
    return drawn, lower, upper


def _of_shares(
    line: StraightLine, t: NDArray[np.float64], multiplier: float
) -> Band | NoFit:
    a, b = line.intercept, line.slope
    k = (multiplier * line.s_used) ** 2
    q00 = 1 / line.n + line.mean_age**2 / line.sxx
    q01, q11 = -line.mean_age / line.sxx, 1 / line.sxx
    square = a * a - k * q00
    if a <= 0 or square <= 0:
        return NoFit(
            "start-not-told-from-0",
            "The fitted start cannot be told from 0: a share of it says nothing.",
        )
    middle = (k * q01 - a * b) / square
    inner = q00 * b * b - 2 * q01 * a * b + q11 * a * a - k * (q00 * q11 - q01 * q01)
    half = math.sqrt(max(k * inner, 0.0)) / square
    return 1 + b / a * t, 1 - (middle + half) * t, 1 - (middle - half) * t
