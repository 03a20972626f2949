"""A real cream: pH at 40 degC over 180 days.

Lidocaine cream, Eur. J. Hosp. Pharm. 27(3):162-167, 2018, PMC7223286, Table 2 (pH
seen there). The paper gives no fit; fitted values computed, two programs.
"""

from __future__ import annotations

import pytest

from stability.model.estimate import Bound, Drift, Forecast, OutOfTrend
from stability.statistics.drift import fit_drift
from stability.statistics.forecast import forecast
from stability.statistics.out_of_trend import out_of_trend
from stability.statistics.straightness import curvature

DAYS = [0, 7, 15, 30, 90, 180]
PH = [4.79, 4.87, 4.9, 5.02, 5.2, 5.5]


def test_drift_of_the_cream() -> None:
    # Ages in days, so that the slope is per day.
    drift = fit_drift(DAYS, PH)
    assert isinstance(drift, Drift)

    assert drift.intercept == pytest.approx(4.8461024, rel=1e-6)
    assert drift.slope == pytest.approx(0.0037372231, rel=1e-6)
    assert drift.s == pytest.approx(0.0436909638, rel=1e-6)
    assert drift.cautions == ()


def test_its_fast_start_is_no_bend() -> None:
    drift = fit_drift(DAYS, PH)
    assert isinstance(drift, Drift)
    bend = curvature([drift], [Bound("absolute", "upper", 6.0)])
    assert bend is not None

    assert bend.p_two_sided == pytest.approx(0.21, abs=0.005)
    assert not any(caution.blocks_extrapolation for caution in bend.cautions)


def test_fitted_line_meets_ph_6() -> None:
    drift = fit_drift(DAYS, PH)
    assert isinstance(drift, Drift)
    ahead = forecast(drift, Bound("absolute", "upper", 6.0))
    assert isinstance(ahead, Forecast)

    assert ahead.months == pytest.approx(308.7580, rel=1e-6)
    # The two-sided bound of the mean meets 6.0 at 263.2337 days.
    assert ahead.earliest == pytest.approx(263.2337, rel=1e-6)
    assert ahead.outcome == "within"


def test_last_reading_is_in_trend() -> None:
    result = out_of_trend(DAYS[:-1], PH[:-1], DAYS[-1], PH[-1])
    assert isinstance(result, OutOfTrend)

    assert result.predicted == pytest.approx(5.6050, abs=5e-5)
    assert result.alert_limits == pytest.approx((5.2783, 5.9317), abs=5e-5)
    assert result.outcome == "in trend"
