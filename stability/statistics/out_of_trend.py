"""The newest reading of a series against the line through all earlier ones.

Loads numpy and `scipy.special` only: a bench command may use it after storing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from stability.model.estimate import Line, NoFit, OutOfTrend, Scale, TrendTests
from stability.statistics.line import (
    ROUNDING,
    closed_line,
    fitted,
    on_scale,
    prediction_interval,
    resolution_floor,
)
from stability.statistics.quantiles import t_two_sided_p

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
    alert = prediction_interval(line, newest_age, 1 - ALERT)
    alarm = prediction_interval(line, newest_age, 1 - ALARM)
    alert_limits = float(alert[0]), float(alert[1])
    p = _p(line, newest_age, newest_value)
    outcome: Outcome = "alarm" if p < ALARM else "alert" if p < ALERT else "in trend"
    return OutOfTrend(
        outcome=outcome,
        age=float(newest_age),
        value=float(newest_value),
        predicted=float(fitted(line, newest_age)),
        alert_limits=alert_limits,
        alarm_limits=(float(alarm[0]), float(alarm[1])),
        earlier=line.n,
        p=p,
        text=_text(outcome, newest_value, alert_limits, line.n),
    )


def trend_tests(results: Sequence[OutOfTrend | NoFit]) -> TrendTests:
    """Count out-of-trend tests beside what chance alone would give.

    Parameters
    ----------
    results : sequence of OutOfTrend or NoFit
        Of all series of a study.

    Returns
    -------
    TrendTests
        Tests made, alerts and alarms found, and those expected by chance.

    Examples
    --------
    >>> trend_tests([]).made
    0
    """
    made = [result for result in results if isinstance(result, OutOfTrend)]
    alerts = sum(result.is_out for result in made)
    alarms = sum(result.outcome == "alarm" for result in made)
    expected = ALERT * len(made)
    text = (
        f"{len(made)} out-of-trend tests made, {alerts} alerts found; by chance "
        f"about {expected:.1f} would be expected."
    )
    return TrendTests(len(made), expected, ALARM * len(made), alerts, alarms, text)


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


def _p(line: Line, age: float, value: float) -> float:
    """Return the two-sided p of one further point."""
    distance = float(on_scale(value, line.scale)) - line.intercept - line.slope * age
    if abs(distance) <= ROUNDING * max(abs(line.intercept), abs(line.slope * age)):
        return 1.0
    if line.s_used == 0:
        return 0.0
    variance = 1 + 1 / line.n + (age - line.mean_age) ** 2 / line.sxx
    return t_two_sided_p(distance / (line.s_used * math.sqrt(variance)), line.df)


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
