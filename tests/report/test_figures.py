"""What the figure of an attribute shows: names, limits, bands and missed checks."""

from __future__ import annotations

from typing import Any

import pytest
from matplotlib.figure import Figure

from stability.evaluation.findings import Evaluation
from stability.report import figures
from stability.report.panels import AgeAxis, Panel
from stability.report.renderer import figure_style
from tests.evaluation.builders import Bench, sample
from tests.report.outlooks import long_study
from tests.report.printed import evaluated


def panels_of(
    evaluation: Evaluation, attribute: str, monkeypatch: pytest.MonkeyPatch
) -> dict[str, tuple[Panel, AgeAxis]]:
    """Return panels and axes of a figure by condition, before they are drawn."""
    taken: dict[str, tuple[Panel, AgeAxis]] = {}

    def take(panels: list[Panel], axes: list[AgeAxis], **_: Any) -> Figure:
        for panel, axis in zip(panels, axes, strict=True):
            taken[panel.title.split(" ")[0]] = (panel, axis)
        with figure_style():
            return Figure()

    monkeypatch.setattr(figures, "drift_figure", take)
    figures.attribute_figures(evaluation, attribute)
    return taken


def test_containers_of_one_batch_and_pack_are_told_apart_by_their_code(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    panel, _ = panels_of(evaluated("day_cream"), "pH", monkeypatch)["FT"]
    labels = [one.label for one in panel.series]
    assert labels == ["A GLASS 023-9", "A GLASS 024-7", "A GLASS 025-5"]


def test_a_check_of_which_this_attribute_was_not_read_is_shown_as_missed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = panels_of(evaluated("day_cream"), "pH", monkeypatch)
    panel, axis = found["T45"]
    twelve_weeks = 84 / 30.4375
    assert panel.series[0].missed == pytest.approx((twelve_weeks,))
    assert axis.end is not None
    assert axis.end >= twelve_weeks


def test_a_band_needs_two_degrees_of_freedom(monkeypatch: pytest.MonkeyPatch) -> None:
    panel, _ = panels_of(evaluated("day_cream"), "pH", monkeypatch)["T45"]
    assert [band.lower for band in panel.bands] == [()]
    window, _ = panels_of(evaluated("day_cream"), "pH", monkeypatch)["WINDOW"]
    assert all(band.lower for band in window.bands)


def test_every_fitted_series_has_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    for panel, _ in panels_of(evaluated("day_cream"), "pH", monkeypatch).values():
        fitted = [one for one in panel.series if not one.joined]
        assert len(panel.bands) == len(fitted)


def test_limits_are_named_in_words_with_their_unit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weight, _ = panels_of(evaluated("day_cream"), "weight_loss", monkeypatch)["ROOM"]
    assert [one.text for one in weight.limits] == ["highest: 3 %"]
    ph, _ = panels_of(evaluated("day_cream"), "pH", monkeypatch)["T45"]
    assert {one.text for one in ph.limits} == {
        "lowest: initial − 0.5",
        "highest: initial + 0.5",
    }


def test_a_point_outside_its_limit_is_marked(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "4.0", "4.1", done="2025-02-07")
    panel, _ = panels_of(bench.evaluate("2025-03-01"), "pH", monkeypatch)["ROOM"]
    assert [point.mark for point in panel.series[0].points] == ["outside"]


def test_nothing_read_draws_nothing() -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    assert figures.attribute_figures(bench.evaluate("2025-01-07"), "pH") == []


def drawn_panels(
    evaluation: Evaluation, attribute: str, monkeypatch: pytest.MonkeyPatch
) -> list[list[Panel]]:
    """Return the panels of each figure of an attribute."""
    taken: list[list[Panel]] = []

    def take(panels: list[Panel], _: list[AgeAxis], **__: Any) -> Figure:
        taken.append(list(panels))
        with figure_style():
            return Figure()

    monkeypatch.setattr(figures, "drift_figure", take)
    figures.attribute_figures(evaluation, attribute)
    return taken


def test_no_panel_is_crowded_and_no_series_is_lost(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    evaluation = evaluated("day_cream")
    drawn = drawn_panels(evaluation, "pH", monkeypatch)

    panels = [panel for figure in drawn for panel in figure]
    assert all(len(panel.series) <= 4 for panel in panels)
    assert all(len(figure) <= 2 for figure in drawn)
    assert sum(len(panel.series) for panel in panels) == sum(
        bool(one.points) for one in evaluation.measured if one.key.attribute == "pH"
    )
    assert {"ROOM (long-term) · JAR", "ROOM (long-term) · PUMP"} <= {
        panel.title for panel in panels
    }


def test_series_of_one_panel_have_looks_of_their_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for figure in drawn_panels(evaluated("day_cream"), "pH", monkeypatch):
        for panel in figure:
            looks = [one.look for one in panel.series]
            assert len(set(looks)) == len(looks), panel.title


def test_a_pack_of_many_batches_is_drawn_a_few_at_a_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drawn = drawn_panels(long_study("ABCDEFGHJ"), "pH", monkeypatch)

    assert [panel.title for panels in drawn for panel in panels] == [
        "ROOM (long-term) · JAR, A to C",
        "ROOM (long-term) · JAR, D to F",
        "ROOM (long-term) · JAR, G to J",
    ]


def test_figures_of_one_attribute_share_one_scale() -> None:
    found = figures.attribute_figures(long_study([f"B{at}" for at in range(36)]), "pH")

    assert len(found) == 5
    ranges = {
        axes.get_ylim() for figure in found for axes in figure.axes if axes.axison
    }
    assert len(ranges) == 1
