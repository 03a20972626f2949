"""Which series a large study prints and draws: what is of note, and what governs."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

import pytest

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries
from stability.model.estimate import Drift, Forecast
from stability.report import series_in_print
from stability.report.chapters_files import judged_files
from stability.report.figures import planned_figures
from stability.report.series_csv import life_csv, lines_csv, trend_csv
from stability.report.series_in_print import (
    MOST_ALERTS,
    MOST_BEARINGS,
    MOST_SERIES,
    estimates_in_print,
    lines_in_print,
    lives_in_print,
    only_alarms,
    series_drawn,
    trend_in_print,
)
from stability.report.series_left import drawn_text, few_named, size_text
from tests.benchmarks.wide_study import wide_study
from tests.report.printed import EXAMPLES, evaluated


@cache
def wide() -> Evaluation:
    """Return a study of 96 series, 18 of them long-term, whose last batch fails."""
    record = wide_study(batches=4, packs=3, conditions=8, attributes=1, made=9)
    return evaluate(record, date(2025, 10, 1))


@pytest.fixture
def small_sizes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Declare sizes that the study of these tests is above."""
    monkeypatch.setattr(series_in_print, "MOST_SERIES", 20)
    monkeypatch.setattr(series_in_print, "MOST_ALERTS", 2)
    monkeypatch.setattr(series_in_print, "MOST_BEARINGS", 10)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_study_of_usual_size_prints_and_draws_every_series(name: str) -> None:
    evaluation = evaluated(name)
    every = {one.key for one in evaluation.measured}
    life = evaluation.shelf_life
    assert life is not None
    assert lines_in_print(evaluation) == every
    assert series_drawn(evaluation) == every
    assert not only_alarms(evaluation)
    assert lives_in_print(life) == list(life.attributes)
    assert estimates_in_print(life) == list(life.attributes)
    assert size_text(evaluation) == drawn_text(evaluation) == ""
    names = [one.name for one in judged_files(evaluation, frozenset())]
    assert set(names) <= {"readings.csv", "differences.csv"}


def test_the_sizes_are_those_that_are_declared() -> None:
    # Changed sizes change what assessors see of large studies: README of the rule in
    # DEVELOPERS.md says the same numbers.
    assert (MOST_SERIES, MOST_ALERTS, MOST_BEARINGS) == (300, 400, 200)


def of_note(one: MeasuredSeries) -> bool:
    """Say whether a series fails or its line meets a limit in its time; our own way."""
    meets = [
        each.months
        for each in one.forecasts
        if isinstance(each, Forecast) and each.months is not None
    ]
    return any(point.outside for point in one.points) or any(
        months <= one.horizon_months for months in meets
    )


@pytest.mark.usefixtures("small_sizes")
def test_every_series_that_fails_or_will_is_printed_and_drawn() -> None:
    noted = {one.key for one in wide().measured if of_note(one)}
    assert noted
    assert noted <= lines_in_print(wide())
    assert noted <= series_drawn(wide())
    assert len(lines_in_print(wide())) < len(wide().measured)
    assert len(series_drawn(wide())) < len(lines_in_print(wide()))


@pytest.mark.usefixtures("small_sizes")
def test_an_alarm_at_the_newest_check_is_printed_and_drawn() -> None:
    alarmed = {
        one.key
        for one in wide().measured
        if one.trend_tests
        and one.trend_tests[-1].newest
        and one.trend_tests[-1].result.outcome == "alarm"
    }
    assert alarmed
    assert alarmed <= lines_in_print(wide()) & series_drawn(wide())


@pytest.mark.usefixtures("small_sizes")
def test_what_governs_a_pack_is_printed_and_drawn() -> None:
    life = wide().shelf_life
    assert life is not None
    for pack in life.packs:
        governs = pack.supported.governing
        keys = {
            one.key
            for one in wide().measured
            if (one.key.condition, one.key.pack, one.key.batch)
            == (governs.condition, governs.pack, governs.batch)
        }
        assert keys
        assert keys <= lines_in_print(wide()) & series_drawn(wide())


@pytest.mark.usefixtures("small_sizes")
def test_of_each_place_the_line_that_comes_nearest_to_its_limit_is_printed() -> None:
    # computed by hand: limits are 4 and 6, the life asked for is 12 months
    def room(one: MeasuredSeries) -> float:
        assert isinstance(one.drift, Drift)
        assert one.drift.life is not None
        end = one.drift.intercept + one.drift.slope * one.drift.life
        return min(end - 4, 6 - end)

    places: dict[tuple[str, str], list[MeasuredSeries]] = {}
    for one in wide().measured:
        places.setdefault((one.key.condition, one.key.pack), []).append(one)
    assert len(places) == 24
    for here in places.values():
        assert min(here, key=room).key in lines_in_print(wide())
    for condition in {place for place, _ in places}:
        there = [one for one in wide().measured if one.key.condition == condition]
        assert min(there, key=room).key in series_drawn(wide())


@pytest.mark.usefixtures("small_sizes")
def test_every_alarm_is_printed_where_alerts_are_left() -> None:
    out = [
        test
        for one in wide().measured
        for test in one.trend_tests
        if test.result.is_out
    ]
    printed = [
        test for one in wide().measured for test in trend_in_print(one, alarms=True)
    ]
    assert only_alarms(wide())
    assert 0 < len(printed) < len(out)
    assert [one for one in out if one.result.outcome == "alarm"] == printed


@pytest.mark.usefixtures("small_sizes")
def test_of_each_pack_the_shortest_batch_is_printed_and_each_that_ends() -> None:
    life = wide().shelf_life
    assert life is not None
    for one, whole in zip(lives_in_print(life), life.attributes, strict=True):
        shortest = min(each.limit for each in whole.bearings)
        assert min(each.limit for each in one.bearings) == shortest
        assert len(one.bearings) < len(whole.bearings)
    ended = replace(
        life.attributes[0],
        bearings=tuple(
            replace(each, ends_at=3 if each.batch in {"B01", "B02"} else None)
            for each in life.attributes[0].bearings
        ),
    )
    changed = replace(life, attributes=(ended, *life.attributes[1:]))
    kept = {each.batch for each in lives_in_print(changed)[0].bearings}
    assert {"B01", "B02"} <= kept


@pytest.mark.usefixtures("small_sizes")
def test_figures_are_planned_for_the_panels_that_are_drawn() -> None:
    drawn, figures = series_drawn(wide()), planned_figures(wide(), "attribute 0")
    titles = " ".join(
        axes.get_title(loc="left") for one in figures for axes in one.make().axes
    )
    for key in drawn:
        assert f"{key.condition} (" in titles
    # Without the rule there is a panel for each condition and pack at least.
    assert 8 <= titles.count(" · PACK") < 24


def rows_of(text: str) -> list[dict[str, str]]:
    """Return the rows of a table as another program reads it."""
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.usefixtures("small_sizes")
def test_the_files_hold_every_row_and_say_which_are_printed() -> None:
    life = wide().shelf_life
    assert life is not None
    lines = rows_of(lines_csv(wide()))
    assert len(lines) == len(wide().measured)
    assert sum(row["printed"] == "yes" for row in lines) == len(lines_in_print(wide()))
    assert sum(row["drawn"] == "yes" for row in lines) == len(series_drawn(wide()))
    for row, one in zip(lines, wide().measured, strict=True):
        assert isinstance(one.drift, Drift)
        assert float(row["slope_per_month"]) == one.drift.slope
        assert float(row["slope_lowest_per_month"]) == one.drift.slope_interval[0]
        assert (row["state"], row["batch"]) == (one.state, one.key.batch)
    trend = rows_of(trend_csv(wide()))
    assert len(trend) == wide().trend.alerts
    assert {row["outcome"] for row in trend if row["printed"] == "yes"} == {"alarm"}
    bearings = rows_of(life_csv(life))
    assert len(bearings) == sum(len(one.bearings) for one in life.attributes)
    assert 0 < sum(row["printed"] == "yes" for row in bearings) < len(bearings)


FILES: list[tuple[str, Callable[[Evaluation], Any]]] = [
    ("drift.csv", lambda one: one.measured),
    ("out_of_trend.csv", lambda one: one.trend.alerts),
    ("shelf_life.csv", lambda one: one.shelf_life),
]


@pytest.mark.usefixtures("small_sizes")
def test_what_is_left_is_inside_the_report_and_said_on_its_first_pages() -> None:
    names = [one.name for one in judged_files(wide(), frozenset())]
    for name, has in FILES:
        assert has(wide())
        assert name in names
        assert name in size_text(wide())
    assert f"{len(wide().measured)} series of numbers" in size_text(wide())
    assert "Every reading outside its limit is printed" in size_text(wide())
    assert f"They are {len(series_drawn(wide()))} series" in drawn_text(wide())


def test_of_very_many_names_the_first_stand_with_the_number_of_the_others() -> None:
    assert few_named(["a", "b", "a"], "x.csv") == "a; b"
    text = few_named(map(str, range(250)), "x.csv")
    assert text.startswith("0; 1; ")
    assert text.endswith("; 99; and 150 more, in x.csv")
