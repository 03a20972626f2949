"""When a line meets a limit; every kind of interval is named."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stability.model.estimate import Bound, Forecast, Line, NoFit
from stability.statistics.forecast import forecast
from stability.statistics.line import mean_interval
from stability.statistics.quantiles import t_two_sided

LOWER = Bound("absolute", "lower", 5.0)


def line(slope: float, s: float = 0.01, start: float = 5.5) -> Line:
    """Return a line over 0 to 12 months in seven checks."""
    return Line(7, 5, start, slope, s, 33 / 7, 275 - 33 * 33 / 7)


def forecast_of(slope: float, s: float = 0.01, start: float = 5.5) -> Forecast:
    """Forecast, and insist on an outcome."""
    result = forecast(line(slope, s, start), LOWER)
    assert isinstance(result, Forecast)
    return result


def test_a_clear_drift_has_both_ends_about_the_fitted_time() -> None:
    ahead = forecast_of(-0.02)
    assert ahead.earliest is not None
    assert ahead.latest is not None

    assert ahead.outcome == "within"
    assert ahead.months == pytest.approx(25)
    assert ahead.earliest < 25 < ahead.latest


def test_both_ends_are_where_the_interval_of_the_mean_meets_the_limit() -> None:
    ahead = forecast_of(-0.02)
    assert ahead.earliest is not None
    assert ahead.latest is not None

    lower, _ = mean_interval(line(-0.02), [ahead.earliest])
    _, upper = mean_interval(line(-0.02), [ahead.latest])
    assert float(lower[0]) == pytest.approx(5.0)
    assert float(upper[0]) == pytest.approx(5.0)


def test_an_unclear_drift_has_no_latest_time() -> None:
    ahead = forecast_of(-0.001, s=0.05)

    assert ahead.outcome == "from"
    assert ahead.earliest is not None
    assert ahead.latest is None


def test_a_drift_away_from_the_limit_has_an_empty_interval() -> None:
    ahead = forecast_of(0.02)

    assert ahead.outcome == "empty"
    assert (ahead.months, ahead.earliest, ahead.latest) == (None, None, None)


def test_a_steady_line_without_scatter_has_an_empty_interval() -> None:
    assert forecast_of(0.0, s=0.0).outcome == "empty"


def test_a_start_that_cannot_be_told_from_the_limit_is_named() -> None:
    assert forecast_of(-0.02, s=1.0).outcome == "now"


def test_a_start_outside_is_named() -> None:
    assert forecast_of(-0.02, start=4.9).outcome == "outside"


@pytest.mark.parametrize(
    ("scale", "bound", "code"),
    [
        ("ln", Bound("change", "lower", -1.0), "change-on-ln"),
        ("ln", Bound("absolute", "lower", 0.0), "limit-not-positive"),
        ("linear", Bound("share", "lower", 0.9), "start-not-positive"),
    ],
)
def test_a_bound_that_no_line_can_be_held_against_is_named(
    scale: str, bound: Bound, code: str
) -> None:
    odd = Line(7, 5, -1.0, -0.01, 0.01, 4.7, 119.0, scale)  # type: ignore[arg-type]  # from the table
    result = forecast(odd, bound)

    assert isinstance(result, NoFit)
    assert result.code == code


@given(st.floats(-1, 1), st.floats(0, 1), st.floats(5.0, 9.0))
def test_the_interval_holds_the_ages_at_which_the_limit_is_inside_the_mean_s(
    slope: float, s: float, start: float
) -> None:
    ahead = forecast_of(slope, s, start)
    for end in (ahead.earliest, ahead.latest):
        if end is None or end == 0:
            continue
        assume(end < 1e6)
        room = start + slope * end - 5.0
        half = t_two_sided(0.95, 5) * s
        half *= math.sqrt(1 / 7 + (end - 33 / 7) ** 2 / (275 - 33 * 33 / 7))
        assert abs(room) == pytest.approx(half, rel=1e-6, abs=1e-6 * (start + end))
