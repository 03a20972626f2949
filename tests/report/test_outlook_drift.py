"""What a figure of drift says of each series, held against its forecast."""

from __future__ import annotations

import pytest

from stability.model.estimate import Drift, Forecast
from stability.model.limit import Limit
from stability.report.outlook_drift import drift_panels
from stability.report.outlook_panels import OutlookPanel
from stability.statistics.line import mean_interval
from tests.evaluation.builders import measured
from tests.report.outlooks import falling, long_study
from tests.report.printed import evaluated


def panel_of(name: str, *words: str) -> OutlookPanel:
    """Return the panel of one series of an example."""
    evaluation = evaluated(name)
    (panel,) = drift_panels(evaluation, [measured(evaluation, *words)])
    return panel


def test_the_band_is_the_two_sided_one_of_the_line() -> None:
    evaluation = long_study("A")
    (panel,) = drift_panels(evaluation, evaluation.measured)
    (one,), (series,) = panel.lines, evaluation.measured

    assert isinstance(series.drift, Drift)
    low, high = mean_interval(series.drift, one.ages, 0.95)
    assert one.edges[0] == pytest.approx(list(low))
    assert one.edges[1] == pytest.approx(list(high))
    assert panel.edge_text == "thin: two-sided 95 % band of the line"


def test_a_forecast_is_marked_with_its_interval() -> None:
    evaluation = long_study("A", falling(0.025))
    (panel,) = drift_panels(evaluation, evaluation.measured)
    (each,) = evaluation.measured[0].forecasts

    assert isinstance(each, Forecast)
    assert each.months is not None
    assert [one.age for one in panel.meetings] == [each.months]
    assert panel.meetings[0].text == (
        f"A: line meets 5.0 at {each.months:.1f} months "
        f"({each.earliest:.1f} to {each.latest:.1f})"
    )


def test_a_forecast_beyond_the_axis_is_said_beside_it() -> None:
    panel = panel_of("day_cream", "pH", "ROOM", "PUMP", "batch B")

    # As `stability drift` prints it: 41.8 (36.7 to 48.6).
    assert panel.lines[0].said == (
        "line meets initial − 0.5 at 41.8 months (36.7 to 48.6), beyond this axis →"
    )


def test_limits_of_each_kind_have_a_panel_in_their_terms() -> None:
    from tests.evaluation.builders import band

    limit = Limit(absolute=band("5.0"), change=band("-0.4", "0.4"))
    evaluation = long_study("A", limit=limit)

    panels = drift_panels(evaluation, evaluation.measured)

    assert [[one.text for one in panel.limits] for panel in panels] == [
        ["lowest: 5.0"],
        ["lowest: initial − 0.4", "highest: initial + 0.4"],
    ]
    assert panels[0].lines[0].points[0].value == pytest.approx(5.5)
    assert panels[1].lines[0].line[0] == 0


def test_heat_is_drawn_to_the_last_check_planned() -> None:
    panel = panel_of("day_cream", "pH", "T40", "JAR", "batch A")

    assert [one.text for one in panel.marks] == ["12w, the last check planned"]


def test_a_series_without_a_line_keeps_its_points() -> None:
    evaluation = long_study("A", months=(3,))
    (panel,) = drift_panels(evaluation, evaluation.measured)

    assert len(panel.lines[0].points) == 2
    assert panel.lines[0].line == ()
    assert panel.lines[0].said.startswith("no line: read at two ages")
    assert panel.marks == ()


def test_series_of_several_places_have_panels_of_their_own() -> None:
    evaluation = evaluated("day_cream")
    panels = drift_panels(evaluation, evaluation.measured)

    drawn = sum(len(panel.lines) for panel in panels)
    assert drawn == len([one for one in evaluation.measured if one.points])
    assert len({panel.title for panel in panels}) == len(panels)


def test_a_line_that_meets_nothing_says_so() -> None:
    evaluation = long_study("A", falling(-0.02, 0.0, 0.001))
    (panel,) = drift_panels(evaluation, evaluation.measured)

    assert panel.lines[0].said == "no limit ahead"


def test_more_series_than_bands_can_be_told_apart_have_lines_alone() -> None:
    evaluation = long_study("ABCDE")
    (panel,) = drift_panels(evaluation, evaluation.measured)

    assert all(one.line and not one.edges for one in panel.lines)
    assert panel.edge_text == ""
