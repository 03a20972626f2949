"""Figures of an outlook: no words on others, every word there, legible in grey."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from typing import Any

import pdfplumber
import pytest

from stability.evaluation.findings import Evaluation
from stability.model.limit import Limit
from stability.report.fonts import ReportFonts
from stability.report.outlook_drift import drift_panels
from stability.report.outlook_life import life_panels
from stability.report.outlook_panels import AgeMark, OutlookLine, OutlookPanel
from stability.report.outlook_plotting import outlook_figure
from stability.report.panels import LimitLine, PanelPoint
from stability.report.plot_names import look_at, marker_style
from stability.report.renderer import FigureFlowable
from tests.evaluation.builders import band
from tests.report.outlooks import (
    MONTHS,
    WOBBLE,
    boxes_of,
    falling,
    long_study,
    lowest,
    only_panel,
    outside,
    overlaps,
)
from tests.report.printed import EXAMPLES, evaluated


def decay(batch: int, months: float) -> float:
    """Return a viscosity that halves in three years, with scatter."""
    at = [0, *MONTHS].index(int(months))
    return 30000 * math.exp(-(0.02 + 0.001 * batch) * months) + 200 * WOBBLE[at]


ODD: dict[str, Callable[[], Evaluation]] = {
    "one batch": lambda: long_study("A"),
    "twelve batches": lambda: long_study([f"B{number}" for number in range(1, 13)]),
    "thirty batches": lambda: long_study([f"B{number}" for number in range(30)]),
    "long names": lambda: long_study(
        [f"kettle {number}, filled in the second hall at noon" for number in range(6)]
    ),
    "one long word": lambda: long_study(["x" * 60, "y" * 60]),
    "beyond the axis": lambda: long_study("AB", falling(0.001)),
    "three checks": lambda: long_study("AB", months=(3, 6)),
    "ln scale": lambda: long_study(
        "ABC",
        decay,
        limit=Limit(percent_of_initial=band("70", "130")),
        fit_scale="ln",
        resolution=Decimal(10),
    ),
    "change": lambda: long_study("ABC", limit=Limit(change=band("-0.5", "0.5"))),
    "share": lambda: long_study(
        "ABC", limit=Limit(percent_of_initial=band("95", "105"))
    ),
    "one-sided": lambda: long_study("ABC", direction="decreasing"),
    "not precise": lambda: long_study("AB", falling(0.02, 0.01, 0.6)),
    "failed": lambda: long_study("AB", falling(0.06)),
    "failed at T0": lambda: long_study("AB", falling(0.01), limit=lowest("5.6")),
    "five years": lambda: long_study("AB", falling(0.005), asked=60),
}


@cache
def odd(name: str) -> Evaluation:
    """Return one of the odd studies."""
    return ODD[name]()


def panels_of(evaluation: Evaluation) -> list[OutlookPanel]:
    """Return every panel of an evaluation: of shelf life, then of drift."""
    lives = evaluation.shelf_life.attributes if evaluation.shelf_life else ()
    found = [one for life in lives for one in life_panels(evaluation, life)]
    return [*found, *drift_panels(evaluation, evaluation.measured)]


@pytest.mark.parametrize("name", ODD)
def test_no_words_lie_on_others_or_leave_the_figure(
    name: str, fonts: ReportFonts
) -> None:
    panels = panels_of(odd(name))
    assert panels
    for panel in panels:
        figure = outlook_figure([panel], fonts)
        assert overlaps(figure) == [], panel.title
        assert outside(figure) == [], panel.title


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_words_of_an_example_lie_on_others(name: str, fonts: ReportFonts) -> None:
    for panel in panels_of(evaluated(name)):
        figure = outlook_figure([panel], fonts)
        assert overlaps(figure) == [], panel.title
        assert outside(figure) == [], panel.title


@pytest.mark.parametrize("name", [*ODD, *EXAMPLES])
def test_no_words_of_a_panel_are_lost(name: str, fonts: ReportFonts) -> None:
    evaluation = odd(name) if name in ODD else evaluated(name)
    for panel in panels_of(evaluation):
        figure = outlook_figure([panel], fonts)
        # Words that are too wide for a row stand in rows of which the last comes first.
        rows = [words for words, _ in boxes_of(figure)]
        drawn = " ".join(rows) + " ".join(rows[::-1])
        wanted = [
            *(limit.text for limit in panel.limits),
            *(mark.text for mark in panel.marks),
            *(meeting.text for meeting in panel.meetings if meeting.text),
            *([panel.edge_text] if any(one.edges for one in panel.lines) else []),
            panel.title,
        ]
        assert [words for words in wanted if words not in drawn] == []


def test_an_independent_reader_finds_the_words(
    render: Callable[..., bytes], kana_fonts: ReportFonts
) -> None:
    panel = only_panel(long_study("A", asked=24))
    content = render([FigureFlowable(outlook_figure([panel], kana_fonts), kana_fonts)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        text = document.pages[0].extract_text()

    for words in (
        "asked for: 24 months",
        "cap, shown: 18 months",
        "lowest: 5.0",
        "A: bound meets 5.0 at 23.6 months",
        "thin: ends of the two-sided 95 % interval of the mean",
        "age [months]",
    ):
        assert words in text


def test_a_name_in_another_script_takes_its_width_in_its_own_font(
    render: Callable[..., bytes], kana_fonts: ReportFonts
) -> None:
    panel = only_panel(long_study(["クリーム", "B"]))
    content = render([FigureFlowable(outlook_figure([panel], kana_fonts), kana_fonts)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        assert "クリーム: bound meets" in document.pages[0].extract_text()


def test_lines_and_limits_stand_at_their_values(fonts: ReportFonts) -> None:
    panel = only_panel(long_study("A"))
    (axes,) = outlook_figure([panel], fonts).axes
    lines: list[Any] = list(axes.get_lines())
    drawn = [(list(line.get_xdata()), list(line.get_ydata())) for line in lines]

    (line,) = panel.lines
    assert (list(line.ages), list(line.line)) in drawn
    assert all((list(line.ages), list(edge)) in drawn for edge in line.edges)
    assert ([0, 1], [5.0, 5.0]) in drawn
    (meeting,) = panel.meetings
    assert ([meeting.age], [meeting.value]) in drawn
    assert axes.get_xlim()[1] == panel.end


def test_a_diamond_that_carries_no_estimate_is_hollow(fonts: ReportFonts) -> None:
    def faces(evaluation: Evaluation) -> set[object]:
        (axes,) = outlook_figure([only_panel(evaluation)], fonts).axes
        return {
            line.get_markerfacecolor()
            for line in axes.get_lines()
            if line.get_marker() == "d"
        }

    assert faces(odd("one batch")) != {"white"}
    assert faces(odd("three checks")) == {"white"}


def test_upright_lines_of_request_cap_and_shown_differ_without_colour(
    fonts: ReportFonts,
) -> None:
    marks = (
        AgeMark(6, "shown: 6 months", "shown"),
        AgeMark(12, "cap: 12 months", "cap"),
        AgeMark(24, "asked for: 24 months", "asked"),
    )
    panel = OutlookPanel("pH", "pH", (), marks=marks, end=25)
    (axes,) = outlook_figure([panel], fonts).axes

    lines: list[Any] = list(axes.get_lines())
    styles = {
        str(line._unscaled_dash_pattern)
        for line in lines
        if list(line.get_ydata()) == [0.0, 1.0]
    }
    assert len(styles) == 3


def test_sixteen_batches_are_told_apart_without_colour() -> None:
    looks = {
        (look_at(look)[1], marker_style(look)["markerfacecolor"] == "white")
        for look in range(16)
    }
    assert len(looks) == 16


def test_a_bound_that_runs_away_does_not_squeeze_the_points(
    fonts: ReportFonts,
) -> None:
    line = OutlookLine(
        "A",
        0,
        (PanelPoint(0, 5.5),),
        (0, 12, 24),
        (5.5, 5.2, 4.9),
        ((5.4, -9e9, -1e300),),
    )
    limit = LimitLine(5.0, "lowest: 5.0", "below")
    panel = OutlookPanel("pH", "pH", (line,), (limit,), end=24, edge_text="bound")
    figure = outlook_figure([panel], fonts)
    low, high = figure.axes[0].get_ylim()

    assert high - low < 2
    assert overlaps(figure) == []


def test_a_panel_without_anything_is_drawn(fonts: ReportFonts) -> None:
    figure = outlook_figure([OutlookPanel("pH", "pH", ())], fonts)

    assert [words for words, _ in boxes_of(figure)][-1]
    assert overlaps(figure) == []


def test_head_and_foot_stand_above_and_below_all_panels(fonts: ReportFonts) -> None:
    panels = [only_panel(odd("one batch"))] * 2
    figure = outlook_figure(panels, fonts, head=["Title", "day"], foot=["note"])
    heights = {words: (box.y0, box.y1) for words, box in boxes_of(figure)}

    assert heights["Title"][0] > heights["day"][1] - 0.5
    assert heights["day"][0] > max(axes.bbox.y1 for axes in figure.axes)
    assert heights["note"][1] < min(axes.bbox.y0 for axes in figure.axes)
    assert overlaps(figure) == []
