"""The newest reading of a series against the line through all earlier ones.

Loads numpy and `scipy.special` only: a bench command may use it after storing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from stability.model.estimate import (
    Line,
    NoFit,
    OutOfTrend,
    Scale,
    TrendTests,
    back,
)
from stability.statistics.line import ROUNDING, closed_line, resolution_floor
from stability.statistics.quantiles import t_two_sided, t_two_sided_p

Outcome = Literal["alarm", "alert", "in trend"]

#: Earlier checks needed before a point can be held against them [-].
FEWEST_EARLIER = 4
#: Two-sided level of an alert [-].
ALERT = 0.05
#: Two-sided level of an alarm [-].
ALARM = 0.01


def out_of_trend(
    ages: Sequence[float],
    values: Sequence[float],
    newest_age: float,
    newest_value: float,
    *,
    scale: Scale = "linear",
    resolution: float | None = None,
) -> OutOfTrend | NoFit:
    r"""Hold the newest point of a series against all earlier ones.

    Parameters
    ----------
    ages : sequence of float
        Ages of the earlier checks that are not invalidated. [months]
    values : sequence of float
        One for each age. [attribute's unit]
    newest_age : float
        Age of the newest point. [months]
    newest_value : float
        Its value. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the line is straight.
    resolution : float or None, default None
        Smallest step of a single reading. [attribute's unit]

    Returns
    -------
    OutOfTrend or NoFit
        Alert outside the 95 % limits, alarm outside the 99 % limits; refused below
        four earlier ages.

    Notes
    -----
    .. math:: \hat y \pm t(q, n - 2)\; s
       \sqrt{1 + \tfrac1n + \tfrac{(t - \bar t)^2}{S_{xx}}}

    The prediction limits of [1]_, not those of the mean: one reading is judged.
    Early in a study only gross errors are found; no alert is not evidence of health.
    s is not taken below half the resolution.

    References
    ----------
    .. [1] K. Torbovska and S. Trajkovic-Jolevska, "Identifying out-of-trend data in
       stability studies," Pharm. Technol., vol. 37, no. 6, pp. 46-51, 2013.

    Examples
    --------
    >>> out_of_trend([0, 1, 2, 3], [5.50, 5.48, 5.47, 5.45], 6, 5.2).outcome
    'alarm'
    """
    refusal = _refusal(ages, (*values, newest_value), scale)
    if refusal is not None:
        return refusal
    floor = resolution_floor(values, scale, resolution)
    line = closed_line(ages, values, scale=scale, floor=floor)
    return _held_against(line, float(newest_age), float(newest_value))


def _held_against(line: Line, age: float, value: float) -> OutOfTrend:
    alert_limits = _limits(line, age, 1 - ALERT)
    p = _p(line, age, value)
    outcome: Outcome = "alarm" if p < ALARM else "alert" if p < ALERT else "in trend"
    return OutOfTrend(
        outcome=outcome,
        age=age,
        value=value,
        predicted=back(line.intercept + line.slope * age, line.scale),
        alert_limits=alert_limits,
        alarm_limits=_limits(line, age, 1 - ALARM),
        earlier=line.n,
        p=p,
        text=_text(outcome, value, alert_limits, line.n),
    )


def p_of_each(
    ages: Sequence[float],
    columns: Sequence[Sequence[float]],
    *,
    scale: Scale = "linear",
    resolutions: Sequence[float | None] = (),
) -> list[list[float | None]]:
    """Return the p of every point of many series against all earlier ones.

    Parameters
    ----------
    ages : sequence of float
        Ages of the checks, the same for all series, ascending. [months]
    columns : sequence of sequence of float
        The values of each series, above 0 on the ln scale. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the lines are straight.
    resolutions : sequence of float or None, default ()
        Smallest step of a single reading of each series; none where left out.
        [attribute's unit]

    Returns
    -------
    list of list of float or None
        For each series, for each point: two-sided p as `out_of_trend` gives it; None
        below four earlier ages. [-]

    Examples
    --------
    >>> ((*_, newest),) = p_of_each([0, 1, 2, 3, 6], [[5.50, 5.48, 5.47, 5.45, 5.2]])
    >>> newest < ALARM
    True
    """
    values = np.array(columns, dtype=float)
    steps = np.array([step or 0.0 for step in resolutions or [None] * len(columns)])
    y = np.log(values) if scale == "ln" else values
    t = np.array(ages, dtype=float)
    found: list[list[float | None]] = []
    for place in range(len(ages)):
        if len(set(ages[:place])) < FEWEST_EARLIER:
            found.append([None] * len(columns))
            continue
        smallest = values[:, :place].min(axis=1)
        floors = steps / (2 * smallest) if scale == "ln" else steps / 2
        found.append(_p_of_all(t[: place + 1], y[:, : place + 1], floors).tolist())
    return [list(one) for one in zip(*found, strict=True)]


def _p_of_all(
    t: NDArray[np.float64], y: NDArray[np.float64], floors: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the p of the last column against the lines through all others."""
    n = t.size - 1
    earlier, newest = y[:, :-1], y[:, -1]
    mean_age = t[:-1].mean()
    centred = t[:-1] - mean_age
    sxx = float(centred @ centred)
    means = earlier.mean(axis=1)
    about = earlier - means[:, None]
    slopes = about @ centred / sxx
    rest = about - slopes[:, None] * centred
    s = np.sqrt((rest * rest).sum(axis=1) / (n - 2))
    s[s <= ROUNDING * np.abs(earlier).max(axis=1)] = 0.0
    s = np.maximum(s, floors)
    distance = newest - means - slopes * (t[-1] - mean_age)
    error = s * math.sqrt(1 + 1 / n + (t[-1] - mean_age) ** 2 / sxx)
    p: NDArray[np.float64] = np.zeros(s.shape)
    known = error > 0
    p[known] = 2 * special.stdtr(n - 2, -np.abs(distance[known] / error[known]))
    starts = means - slopes * mean_age
    size = np.maximum(np.abs(starts), np.abs(slopes * t[-1]))
    p[np.abs(distance) <= ROUNDING * size] = 1.0
    return p


def trend_tests(
    results: Sequence[OutOfTrend | NoFit], made: int | None = None
) -> TrendTests:
    """Count out-of-trend tests beside what chance alone would give.

    Parameters
    ----------
    results : sequence of OutOfTrend or NoFit
        Of all series of a study.
    made : int or None, default None
        Tests made, where `results` leaves out points that were in trend. [-]

    Returns
    -------
    TrendTests
        Tests made, alerts and alarms found, and those expected by chance.

    Examples
    --------
    >>> trend_tests([]).made
    0
    """
    tested = [result for result in results if isinstance(result, OutOfTrend)]
    made = len(tested) if made is None else made
    alerts = sum(result.is_out for result in tested)
    alarms = sum(result.outcome == "alarm" for result in tested)
    expected = ALERT * made
    text = (
        f"{made} out-of-trend {'test' if made == 1 else 'tests'} made, {alerts} "
        f"{'alert' if alerts == 1 else 'alerts'} found; by chance about "
        f"{expected:.1f} would be expected."
    )
    return TrendTests(made, expected, ALARM * made, alerts, alarms, text)


def _refusal(
    ages: Sequence[float], values: Sequence[float], scale: Scale
) -> NoFit | None:
    if len(set(ages)) < FEWEST_EARLIER:
        return NoFit(
            "too-few-earlier",
            f"Only {len(set(ages))} earlier checks; out of trend is judged from "
            f"{FEWEST_EARLIER} on.",
        )
    if scale == "ln" and min(values) <= 0:
        return NoFit(
            "not-positive-on-ln",
            f"A value of {min(values):g} has no logarithm: not judged on the ln scale.",
        )
    return None


def _limits(line: Line, age: float, confidence: float) -> tuple[float, float]:
    """Return the prediction limits of one further point.

    As `line.prediction_interval`, without arrays: a study has thousands of tests.
    """
    half = (
        t_two_sided(confidence, line.df) * line.s_used * math.sqrt(_spread(line, age))
    )
    centre = line.intercept + line.slope * age
    return back(centre - half, line.scale), back(centre + half, line.scale)


def _spread(line: Line, age: float) -> float:
    """Return the variance of one further point over s²."""
    return 1 + 1 / line.n + (age - line.mean_age) ** 2 / line.sxx


def _p(line: Line, age: float, value: float) -> float:
    """Return the two-sided p of one further point."""
    on_line = math.log(value) if line.scale == "ln" else value
    distance = on_line - line.intercept - line.slope * age
    if abs(distance) <= ROUNDING * max(abs(line.intercept), abs(line.slope * age)):
        return 1.0
    if line.s_used == 0:
        return 0.0
    error = line.s_used * math.sqrt(_spread(line, age))
    return t_two_sided_p(distance / error, line.df)


def _text(
    outcome: Outcome, value: float, limits: tuple[float, float], earlier: int
) -> str:
    band = f"{limits[0]:.4g} to {limits[1]:.4g}"
    if outcome == "in trend":
        return f"{value:.4g} lies inside {band}, as {earlier} earlier checks predict."
    return (
        f"Out of trend ({outcome}): {value:.4g} lies outside {band}, which {earlier} "
        "earlier checks predict with 95 %; look at the instrument and at the other "
        "series of that day first."
    )
