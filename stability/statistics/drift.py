"""Drift: a straight line through the checks of one series, by least squares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from statsmodels.regression.linear_model import OLS

from stability.model.estimate import Bound, Caution, Drift, Line, NoFit, Scale, back
from stability.statistics.fit_checks import line_without_last, series_cautions
from stability.statistics.line import centred_ages, clean_scatter, resolution_floor
from stability.statistics.margin import room
from stability.statistics.quantiles import t_two_sided, t_two_sided_p


def fit_drift(
    ages: Sequence[float],
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    resolution: float | None = None,
    life: float | None = None,
    bounds: Sequence[Bound] = (),
    qualified: bool = False,
    confidence: float = 0.95,
    coefficients: tuple[float, float] | None = None,
) -> Drift | NoFit:
    r"""Fit the drift of one series.

    Parameters
    ----------
    ages : sequence of float
        Actual ages, one for each check: containers of one check are averaged
        beforehand (`stability.statistics.frame.check_points`). [months]
    values : sequence of float
        One for each age. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        The scale declared in the protocol.
    resolution : float or None, default None
        Smallest step of a single reading; None where it is not known.
        [attribute's unit]
    life : float or None, default None
        Life asked for. [months]
    bounds : sequence of Bound, default ()
        The limits of the attribute, for the room beside the drift.
    qualified : bool, default False
        True where a point rests on a reading written with < or >.
    confidence : float, default 0.95
        Of the two-sided intervals. [-]
    coefficients : tuple of float or None, default None
        Intercept and slope by `least_squares`, where many series of the same ages
        were fitted at once. [scale, scale per month]

    Returns
    -------
    Drift or NoFit
        The line with its checks, or the reason why there is none.

    Raises
    ------
    ValueError
        If the two sequences differ in length or hold a number that is not finite.

    Notes
    -----
    y = a + b t by ordinary least squares on the scale [1]_, QR decomposition. Every
    interval uses the larger of s and half the resolution. The interval of the drift
    over the life on the ln scale takes the fitted start as fixed.

    References
    ----------
    .. [1] N. R. Draper and H. Smith, Applied Regression Analysis, 3rd ed., Wiley,
       1998, sections 1.2 to 1.4.

    Examples
    --------
    A pH read over a year, limit 5.0:

    >>> drift = fit_drift(
    ...     [0, 1, 2, 3, 6, 9, 12],
    ...     [5.50, 5.48, 5.44, 5.43, 5.33, 5.25, 5.18],
    ...     resolution=0.01,
    ...     life=24,
    ...     bounds=[Bound("absolute", "lower", 5.0)],
    ... )
    >>> round(drift.slope, 4), round(drift.drift_over_life, 3), drift.df
    (-0.0273, -0.656, 5)
    """
    _check_arrays(ages, values)
    refusal = _refusal(ages, values, scale, qualified=qualified)
    if refusal is not None:
        return refusal
    ages, values = tuple(map(float, ages)), tuple(map(float, values))
    floor = resolution_floor(values, scale, resolution)
    line, residuals = _line(ages, values, scale, coefficients)
    used = line if line.s_used >= floor else replace(line, s_used=floor)
    cautions = series_cautions(
        used, ages, values, floor=floor, resolution=resolution, bounds=bounds
    )
    return _describe(
        used,
        s=line.s_used,
        residuals=residuals,
        points=(ages, values),
        floor=floor,
        life=life,
        bounds=bounds,
        confidence=confidence,
        cautions=cautions,
    )


def _describe(
    used: Line,
    *,
    s: float,
    residuals: tuple[float, ...],
    points: tuple[tuple[float, ...], tuple[float, ...]],
    floor: float,
    life: float | None,
    bounds: Sequence[Bound],
    confidence: float,
    cautions: tuple[Caution, ...],
) -> Drift:
    """Put the record together."""
    ages, values = points
    scale = used.scale
    slope_error = used.s_used / math.sqrt(used.sxx)
    intercept_error = used.s_used * math.sqrt(1 / used.n + used.mean_age**2 / used.sxx)
    multiplier = t_two_sided(confidence, used.df)
    slopes = _around(used.slope, multiplier * slope_error)
    start = back(used.intercept, scale)
    return Drift(
        n=used.n,
        df=used.df,
        scale=scale,
        intercept=used.intercept,
        slope=used.slope,
        intercept_error=intercept_error,
        slope_error=slope_error,
        intercept_interval=_around(used.intercept, multiplier * intercept_error),
        slope_interval=slopes,
        slope_p=_slope_p(used.slope, slope_error, used.df),
        confidence=confidence,
        s=s,
        s_used=used.s_used,
        floor=floor,
        floor_acted=floor > s,
        first_age=min(ages),
        last_age=max(ages),
        mean_age=used.mean_age,
        sxx=used.sxx,
        start=start,
        life=life,
        drift_over_life=_over(life, used.slope, used.intercept, scale),
        drift_over_life_interval=_interval_over(life, slopes, used.intercept, scale),
        room_down=room(start, bounds, "lower"),
        room_up=room(start, bounds, "upper"),
        ages=ages,
        values=values,
        residuals=residuals,
        without_last=line_without_last(ages, values, scale=scale, floor=floor),
        cautions=cautions,
    )


def _check_arrays(ages: Sequence[float], values: Sequence[float]) -> None:
    if len(ages) != len(values):
        message = f"{len(ages)} ages but {len(values)} values"
        raise ValueError(message)
    if not all(math.isfinite(number) for number in (*ages, *values)):
        message = "an age or a value is not a finite number"
        raise ValueError(message)


def _refusal(
    ages: Sequence[float], values: Sequence[float], scale: Scale, *, qualified: bool
) -> NoFit | None:
    if qualified:
        return NoFit(
            "qualified",
            "A reading is written with < or >: no line is fitted; every reading is "
            "judged by itself.",
        )
    distinct = len(set(ages))
    if distinct < 3:
        count = {0: "no age", 1: "one age", 2: "two ages"}[distinct]
        return NoFit(
            "too-few-ages",
            f"Read at {count}; a line needs at least three.",
        )
    if scale == "ln" and min(values) <= 0:
        return NoFit(
            "not-positive-on-ln",
            f"A value of {min(values):g} has no logarithm: no line on the ln scale.",
        )
    return None


def least_squares(
    ages: Sequence[float],
    columns: Sequence[Sequence[float]],
    scale: Scale = "linear",
) -> list[tuple[float, float]]:
    """Return intercept and slope of many series of the same ages.

    Parameters
    ----------
    ages : sequence of float
        Ages that all series share, at least two different. [months]
    columns : sequence of sequence of float
        The values of each series, one for each age. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the lines are straight.

    Returns
    -------
    list of tuple of float
        Intercept and slope of each series, on the scale.

    Notes
    -----
    Ordinary least squares by QR decomposition of one design for all series.

    Examples
    --------
    >>> least_squares([0, 1, 2], [[5.0, 4.5, 4.0], [1.0, 1.0, 1.0]])
    [(5.0, -0.5), (1.0, 0.0)]
    """
    design = np.ones((len(ages), 2))
    design[:, 1] = ages
    y = np.array(columns, dtype=float).T
    # Only R², which is not used, would need the search for a constant.
    fit = OLS(np.log(y) if scale == "ln" else y, design, hasconst=False).fit(
        method="qr"
    )
    intercepts, slopes = fit.params.reshape(2, len(columns)).tolist()
    return list(zip(intercepts, slopes, strict=True))


def _line(
    ages: Sequence[float],
    values: Sequence[float],
    scale: Scale,
    coefficients: tuple[float, float] | None,
) -> tuple[Line, tuple[float, ...]]:
    """Return the line with its scatter, and the residuals."""
    y = [math.log(value) for value in values] if scale == "ln" else values
    n = len(ages)
    intercept, slope = coefficients or least_squares(ages, [values], scale)[0]
    if len(set(values)) == 1:
        intercept, slope = y[0], 0.0
    residuals = tuple(
        value - intercept - slope * age for age, value in zip(ages, y, strict=True)
    )
    s = clean_scatter(math.sqrt(math.fsum([r * r for r in residuals]) / (n - 2)), y)
    mean_age, _, sxx = centred_ages(tuple(ages))
    return Line(n, n - 2, intercept, slope, s, mean_age, sxx, scale), residuals


def _around(centre: float, half: float) -> tuple[float, float]:
    return centre - half, centre + half


def _slope_p(slope: float, error: float, df: int) -> float:
    if error > 0:
        return t_two_sided_p(slope / error, df)
    return 1.0 if slope == 0 else 0.0


def _over(
    life: float | None, slope: float, intercept: float, scale: Scale
) -> float | None:
    if life is None:
        return None
    if scale == "linear":
        return slope * life
    return back(intercept + slope * life, scale) - back(intercept, scale)


def _interval_over(
    life: float | None, slopes: tuple[float, float], intercept: float, scale: Scale
) -> tuple[float, float] | None:
    lowest, highest = (_over(life, slope, intercept, scale) for slope in slopes)
    if lowest is None or highest is None:
        return None
    return lowest, highest
