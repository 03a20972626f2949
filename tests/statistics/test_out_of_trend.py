"""The newest reading against the line through all earlier ones."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.estimate import NoFit, OutOfTrend, Scale
from stability.statistics.line import closed_line
from stability.statistics.out_of_trend import out_of_trend, p_of_each, trend_tests
from stability.statistics.quantiles import t_two_sided

AGES = [0.0, 1.0, 2.0, 3.0]
PH = [5.50, 5.48, 5.47, 5.44]


def judged(value: float, age: float = 6.0, **options: float) -> OutOfTrend:
    """Judge, and insist on a verdict."""
    result = out_of_trend(AGES, PH, age, value, **options)  # type: ignore[arg-type]  # passed on
    assert isinstance(result, OutOfTrend)
    return result


def test_limits_are_those_of_one_further_reading_and_not_of_the_mean() -> None:
    line = closed_line(AGES, PH)
    half = line.s_used * (1 + 1 / 4 + (6 - 1.5) ** 2 / 5) ** 0.5
    result = judged(5.38)

    for limits, confidence in (
        (result.alert_limits, 0.95),
        (result.alarm_limits, 0.99),
    ):
        width = half * t_two_sided(confidence, 2)
        assert limits[1] - limits[0] == pytest.approx(2 * width)
        assert sum(limits) / 2 == pytest.approx(result.predicted)


@pytest.mark.parametrize(
    ("share_of_alert", "share_of_alarm", "outcome"),
    [
        (0.99, 0, "in trend"),
        (1.01, 0, "alert"),
        (0, 0.99, "alert"),
        (0, 1.01, "alarm"),
    ],
)
@pytest.mark.parametrize("sign", [-1, 1])
def test_alert_outside_95_and_alarm_outside_99_percent(
    share_of_alert: float, share_of_alarm: float, outcome: str, sign: int
) -> None:
    limits = judged(5.38)
    away = share_of_alert * (limits.alert_limits[1] - limits.predicted)
    away += share_of_alarm * (limits.alarm_limits[1] - limits.predicted)

    assert judged(limits.predicted + sign * away).outcome == outcome


def test_three_earlier_checks_are_too_few() -> None:
    result = out_of_trend(AGES[:3], PH[:3], 6, 5.4)

    assert isinstance(result, NoFit)
    assert result.code == "too-few-earlier"


def test_a_value_without_a_logarithm_is_refused() -> None:
    result = out_of_trend(AGES, PH, 6, 0.0, scale="ln")

    assert isinstance(result, NoFit)
    assert result.code == "not-positive-on-ln"


def test_the_last_digit_of_a_steady_series_is_no_alert() -> None:
    steady = [5.50] * 5
    ages = [0.0, 1.0, 2.0, 3.0, 6.0]
    with_step = out_of_trend(ages, steady, 9, 5.49, resolution=0.01)
    without = out_of_trend(ages, steady, 9, 5.49)
    assert isinstance(with_step, OutOfTrend)
    assert isinstance(without, OutOfTrend)

    assert with_step.outcome == "in trend"
    assert without.outcome == "alarm"


def test_a_point_exactly_on_an_exact_line_is_in_trend() -> None:
    result = out_of_trend([0, 1, 2, 3], [5.4, 5.3, 5.2, 5.1], 4, 5.0)
    assert isinstance(result, OutOfTrend)

    assert result.outcome == "in trend"


def test_tests_and_chance_alerts_are_counted() -> None:
    first = judged(5.38)
    alert = 1.01 * first.alert_limits[0] - 0.01 * first.predicted
    results: list[OutOfTrend | NoFit] = [first] * 18
    results += [judged(alert), judged(0.0), NoFit("x", "y")]
    counted = trend_tests(results)

    assert counted.made == 20
    assert counted.chance_alerts == pytest.approx(1.0)
    assert counted.chance_alarms == pytest.approx(0.2)
    assert (counted.alerts, counted.alarms) == (2, 1)
    assert "20 out-of-trend tests" in counted.text


def test_neither_pandas_nor_a_statistics_library_is_loaded() -> None:
    script = (
        "import sys, stability.statistics.out_of_trend\n"
        "heavy = {'pandas', 'scipy.stats', 'statsmodels', 'matplotlib'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"


@given(
    st.lists(st.integers(540, 560), min_size=7, max_size=7),
    st.sampled_from(["linear", "ln"]),
    st.sampled_from([None, 0.01, 0.1]),
)
def test_all_points_at_once_are_judged_as_one_by_one(
    hundredths: list[int], scale: Scale, resolution: float | None
) -> None:
    ages = [0.0, 1.0, 2.0, 3.0, 6.0, 9.0, 12.0]
    values = [one / 100 for one in hundredths]

    (found, again) = p_of_each(
        ages, [values, values], scale=scale, resolutions=[resolution, resolution]
    )

    assert found == again
    assert found[:4] == [None] * 4
    for place in range(4, 7):
        single = out_of_trend(
            ages[:place],
            values[:place],
            ages[place],
            values[place],
            scale=scale,
            resolution=resolution,
        )
        assert isinstance(single, OutOfTrend)
        assert found[place] == pytest.approx(single.p, rel=1e-6, abs=1e-12)
