"""The newest reading of a series against the line through all earlier ones.

Loads numpy and `scipy.special` only: a bench command may use it after storing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from stability.model.estimate import (
    Line,
    NoFit,
    OutOfTrend,
    Scale,
    TrendTests,
    back,
)
from stability.statistics.line import (
    ROUNDING,
    clean_scatter,
    closed_line,
    resolution_floor,
)
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
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    resolution: float | None = None,
) -> list[float | None]:
    """Return the p of every point of a series against all earlier ones.

    Parameters
    ----------
    ages : sequence of float
        Ages of the checks that are not invalidated, ascending. [months]
    values : sequence of float
        One for each age. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the line is straight.
    resolution : float or None, default None
        Smallest step of a single reading. [attribute's unit]

    Returns
    -------
    list of float or None
        Two-sided, as `out_of_trend` gives it; None below four earlier ages. [-]

    Examples
    --------
    >>> p_of_each([0, 1, 2, 3, 6], [5.50, 5.48, 5.47, 5.45, 5.2])[-1] < ALARM
    True
    """
    if scale == "ln" and min(values, default=1.0) <= 0:
        return [None] * len(values)
    y = [math.log(v) for v in values] if scale == "ln" else values
    found: list[float | None] = []
    for place, (age, value) in enumerate(zip(ages, values, strict=True)):
        if place < FEWEST_EARLIER or len(set(ages[:place])) < FEWEST_EARLIER:
            found.append(None)
            continue
        floor = resolution_floor(values[:place], scale, resolution)
        line = _short_line(ages[:place], y[:place], scale, floor)
        found.append(_p(line, age, value))
    return found


def _short_line(
    ages: Sequence[float], y: Sequence[float], scale: Scale, floor: float
) -> Line:
    """Return the line through points that are on the scale already."""
    n = len(ages)
    mean_age, mean_value = sum(ages) / n, sum(y) / n
    centred = [age - mean_age for age in ages]
    sxx = sum([c * c for c in centred])
    about = [value - mean_value for value in y]
    slope = sum([c * v for c, v in zip(centred, about, strict=True)]) / sxx
    rest = sum([(v - slope * c) ** 2 for c, v in zip(centred, about, strict=True)])
    s = clean_scatter(math.sqrt(rest / (n - 2)), y)
    intercept = mean_value - slope * mean_age
    return Line(n, n - 2, intercept, slope, max(s, floor), mean_age, sxx, scale)


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
