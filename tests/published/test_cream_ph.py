"""A published cream, from its folder to the drift: pH over 180 days at 40 °C.

Readings: lidocaine cream, Eur. J. Hosp. Pharm. 27(3):162–167 (2018), PMC7223286,
Table 2. The publication gives no fit; the figures below are computed, two programs.
The upper limit of pH 6.0 is not of the publication.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import pytest

from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries
from stability.model.age import DAYS_PER_MONTH
from stability.model.estimate import Curvature, Drift, Forecast
from stability.statistics.line import mean_bound
from stability.workflow import evaluate as verbs
from stability.workflow import records as keeping
from stability.workflow.occasion import Occasion

FOLDER = Path(__file__).parent / "cream_ph"
DAYS = (0, 7, 15, 30, 90, 180)
PRINTED = ("4.79", "4.87", "4.9", "5.02", "5.2", "5.5")
AS_OF = "2018-07-01"
TOLERANCE = 1e-6


def occasion(folder: Path) -> Occasion:
    """Return an occasion with a workspace in a folder."""
    return Occasion(
        records=str(folder / "stability.db"),
        now=datetime(2026, 11, 25, 9, tzinfo=UTC),
        account="bench",
        zone="UTC",
    )


@cache
def evaluated() -> Evaluation:
    """Return the evaluation, read straight from the folder."""
    return verbs.evaluate(occasion(FOLDER), str(FOLDER), as_of=AS_OF)


@pytest.fixture
def ph_series() -> MeasuredSeries:
    """The one series of the study."""
    (only,) = evaluated().measured
    return only


@pytest.fixture
def drift(ph_series: MeasuredSeries) -> Drift:
    """Its line."""
    assert isinstance(ph_series.drift, Drift)
    return ph_series.drift


def test_readings_stand_as_printed_at_the_published_days() -> None:
    read = evaluated().judged

    assert [one.readings_text for one in read] == list(PRINTED)
    assert [one.age_days for one in read] == list(DAYS)
    assert all(one.mark == "inside" for one in read)


def test_line_is_the_computed_one(drift: Drift) -> None:
    assert drift.n == 6
    assert drift.df == 4
    assert drift.intercept == pytest.approx(4.8461024, rel=TOLERANCE)
    assert drift.slope / DAYS_PER_MONTH == pytest.approx(0.0037372231, rel=TOLERANCE)
    assert drift.s == pytest.approx(0.0436909638, rel=TOLERANCE)


def test_resolution_of_the_readings_changes_nothing(drift: Drift) -> None:
    assert drift.floor == 0.005
    assert not drift.floor_acted
    assert drift.s_used == drift.s


def test_forecast_meets_the_limit_when_computed(ph_series: MeasuredSeries) -> None:
    (forecast,) = ph_series.forecasts

    assert isinstance(forecast, Forecast)
    assert forecast.outcome == "within"
    assert forecast.months is not None
    assert forecast.earliest is not None
    line, earliest = forecast.months, forecast.earliest
    assert line * DAYS_PER_MONTH == pytest.approx(308.7580, rel=TOLERANCE)
    # The two-sided 95 % bound of the mean.
    assert earliest * DAYS_PER_MONTH == pytest.approx(263.2337, rel=TOLERANCE)


def test_one_sided_bound_meets_the_limit_when_computed(drift: Drift) -> None:
    bound = mean_bound(drift, [272.4009 / DAYS_PER_MONTH], "upper")

    assert float(bound[0]) == pytest.approx(6.0, rel=TOLERANCE)


def test_last_reading_is_in_trend(ph_series: MeasuredSeries) -> None:
    newest = ph_series.newest_trend

    assert newest is not None
    assert newest.check == "180d"
    assert newest.result.outcome == "in trend"
    assert newest.result.predicted == pytest.approx(5.6050, abs=5e-5)
    assert newest.result.alert_limits == pytest.approx((5.2783, 5.9317), abs=5e-5)


def test_fast_start_and_bend_call_for_no_caution(ph_series: MeasuredSeries) -> None:
    (curvature,) = evaluated().curvatures

    assert isinstance(curvature.result, Curvature)
    assert curvature.result.p_two_sided == pytest.approx(0.21, abs=0.005)
    # That one batch hides bends is said of every single batch.
    assert [one.code for one in ph_series.cautions] == ["one-batch-bend-unseen"]


def test_workspace_evaluates_it_as_the_folder_does(tmp_path: Path) -> None:
    at = occasion(tmp_path)

    imported = keeping.import_(at, FOLDER)
    kept = verbs.evaluate(at, "CRM", as_of="2026-11-25")

    assert imported.outcome == "new"
    assert kept.measured == evaluated().measured
    assert kept.judged == evaluated().judged


def test_report_of_it_is_written(tmp_path: Path) -> None:
    target = tmp_path / "cream.pdf"

    written = verbs.report(occasion(tmp_path), str(FOLDER), target, as_of=AS_OF)

    assert written.as_of == date(2018, 7, 1)
    assert written.anchor == str(evaluated().identity.head)
    assert target.read_bytes().startswith(b"%PDF-")
