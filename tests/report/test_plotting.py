"""Drift panels: every point, limit, mark and gap can be told without colour."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from typing import Any

import pdfplumber
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from stability.report.fonts import ReportFonts
from stability.report.panels import (
    AgeAxis,
    FittedBand,
    LimitLine,
    Panel,
    PanelPoint,
    PanelSeries,
    PointMark,
)
from stability.report.plot_names import look_of
from stability.report.plotting import LIMIT_WIDTH, drift_figure
from stability.report.renderer import FigureFlowable

AXIS = AgeAxis((0, 1, 2, 4, 8, 12), ("T0", "1w", "2w", "4w", "8w", "12w"))
LIMITS = (
    LimitLine(5.0, "lower limit 5.00", "below"),
    LimitLine(6.0, "upper limit 6.00", "above"),
)


def series(
    label: str = "batch A",
    look: int = 0,
    values: dict[float, float] | None = None,
    marks: dict[float, PointMark] | None = None,
    missed: tuple[float, ...] = (),
) -> PanelSeries:
    """Return a series from values by age."""
    values = {0: 5.5, 4: 5.3, 8: 5.2, 12: 5.1} if values is None else values
    return PanelSeries(
        label,
        look,
        tuple(
            PanelPoint(age, value, (marks or {}).get(age, ""))
            for age, value in values.items()
        ),
        missed,
    )


def figure_of(*all_series: PanelSeries, **more: Any) -> Figure:
    """Return a figure of one panel."""
    panel = Panel("40 °C", "pH [-]", all_series, LIMITS, **more)
    return drift_figure([panel], AXIS)


def lines_of(figure: Figure) -> list[Any]:
    """Return the lines of the first panel."""
    return list(figure.axes[0].get_lines())


def words_of(figure: Figure) -> set[str]:
    """Return the words written in the first panel."""
    return {text.get_text() for text in figure.axes[0].texts}


def points_drawn(figure: Figure) -> list[tuple[float, float]]:
    """Return every point drawn with a filled marker."""
    return [
        (float(age), float(value))
        for line in lines_of(figure)
        if line.get_linestyle() == "None" and line.get_markeredgecolor() == "white"
        for age, value in zip(line.get_xdata(), line.get_ydata(), strict=True)
    ]


def test_every_value_is_drawn_at_its_age() -> None:
    figure = figure_of(series(), series("batch B", 1, {0: 5.4, 12: 4.9}))

    assert points_drawn(figure) == [
        (0, 5.5),
        (4, 5.3),
        (8, 5.2),
        (12, 5.1),
        (0, 5.4),
        (12, 4.9),
    ]


def test_every_value_and_limit_lies_inside_the_axes() -> None:
    figure = figure_of(series(values={0: 9.5, 12: 3.1}))
    low, high = figure.axes[0].get_ylim()

    assert low < 3.1
    assert high > 9.5
    assert figure.axes[0].get_xlim()[1] > 12


def test_a_missed_check_breaks_the_line_and_leaves_a_cross() -> None:
    whole = figure_of(series())
    broken = figure_of(series(missed=(6,)))

    def joined(figure: Figure) -> list[list[float]]:
        return [
            list(line.get_xdata())
            for line in lines_of(figure)
            if line.get_linewidth() == 0.8
        ]

    assert joined(whole) == [[0, 4, 8, 12]]
    assert joined(broken) == [[0, 4], [8, 12]]
    crosses = [line for line in lines_of(broken) if line.get_marker() == "x"]
    assert [list(cross.get_xdata()) for cross in crosses] == [[6]]
    assert broken.axes[0].get_xlabel() == "age   (✕ check missed)"
    assert whole.axes[0].get_xlabel() == "age"


@pytest.mark.parametrize("mark", ["outside", "out of trend", "doubtful", "deviation"])
def test_a_judged_point_has_a_shape_and_a_word(mark: PointMark) -> None:
    figure = figure_of(series(marks={8: mark}))
    signs = [
        line
        for line in lines_of(figure)
        if line.get_markerfacecolor() == "none" and line.get_linestyle() == "None"
    ]

    (sign,) = signs
    assert (list(sign.get_xdata()), list(sign.get_ydata())) == ([8], [5.2])
    assert mark in words_of(figure)


def test_marks_differ_by_shape() -> None:
    marks: dict[float, PointMark] = {
        0: "outside",
        4: "out of trend",
        8: "doubtful",
        12: "deviation",
    }
    figure = figure_of(series(marks=marks))

    shapes = [
        line.get_marker()
        for line in lines_of(figure)
        if line.get_markerfacecolor() == "none" and line.get_linestyle() == "None"
    ]
    assert len(set(shapes)) == 4


def test_looks_differ_by_marker_and_line() -> None:
    looks = [look_of(series(look=look)) for look in range(8)]

    assert len({marker for _, marker, _ in looks}) == 8
    assert len({str(line) for _, _, line in looks}) == 8


def test_neighbouring_looks_differ_in_grey() -> None:
    # relative luminance as in ITU-R BT.709
    def grey(look: int) -> float:
        red, green, blue = to_rgb(look_of(series(look=look))[0])
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    assert abs(grey(0) - grey(1)) > 0.1
    assert abs(grey(1) - grey(2)) > 0.05
    assert max(grey(look) for look in range(8)) < 0.55


def test_a_batch_looks_the_same_in_every_panel() -> None:
    panels = [
        Panel("a", "pH", (series("A", 0), series("B", 1))),
        Panel("b", "pH", (series("B", 1),)),
    ]
    figure = drift_figure(panels, AXIS)

    def markers(panel: int) -> list[object]:
        return [
            line.get_marker()
            for line in figure.axes[panel].get_lines()
            if line.get_markeredgecolor() == "white"
        ]

    assert markers(0)[1] == markers(1)[0]


def test_limits_are_drawn_and_named_at_their_line() -> None:
    figure = figure_of(series())
    named: dict[str, Any] = {
        text.get_text(): text for text in figure.axes[0].texts if hasattr(text, "xy")
    }

    assert named["lower limit 5.00"].xy[1] == 5.0
    assert named["upper limit 6.00"].xy[1] == 6.0
    drawn = {
        line.get_ydata()[0]
        for line in lines_of(figure)
        if list(line.get_xdata()) == [0, 1] and line.get_linewidth() == LIMIT_WIDTH
    }
    assert drawn == {5.0, 6.0}


@pytest.mark.parametrize("name", ["A", "batch A of the day cream"])
def test_a_long_limit_text_does_not_reach_the_names_beside_it(
    name: str, render: Callable[..., bytes], kana_fonts: ReportFonts
) -> None:
    words = "lowest change of 0.5, each batch from its own start"
    limit = LimitLine(5.0, words, "below")
    panel = Panel("", "pH", (series(name, values={0: 5.5, 12: 5.0}),), (limit,))
    figure = drift_figure([panel], AXIS, width_mm=85)
    content = render([FigureFlowable(figure, kana_fonts)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        letters = document.pages[0].chars
    ends = [one["x1"] for one in letters if "Bold" in one["fontname"]]
    starts = [one["x0"] for one in letters if one["text"] == "A"]

    assert max(ends) < min(starts)


def test_all_panels_share_one_scale_of_values() -> None:
    panels = [
        Panel("a", "pH", (series(values={0: 1.0}),)),
        Panel("b", "pH", (series(values={0: 9.0}),)),
        Panel("c", "pH", ()),
    ]
    figure = drift_figure(panels, AXIS)

    assert len({axes.get_ylim() for axes in figure.axes[:3]}) == 1
    assert not figure.axes[3].axison


def test_an_empty_panel_says_so() -> None:
    assert "no readings" in words_of(figure_of())


def test_a_band_is_drawn_with_its_edges_and_dotted_where_nothing_was_read() -> None:
    band = FittedBand(
        (0, 4, 8, 12), (5, 5, 5, 5), (4, 4, 4, 4), (6, 6, 6, 6), 0, "95 % band", 8
    )
    figure = figure_of(series(), bands=(band,))
    pieces = {
        tuple(line.get_xdata()): line.get_linestyle()
        for line in lines_of(figure)
        if set(line.get_ydata()) == {5}
    }

    assert set(pieces) == {(0, 4, 8), (8, 12), (0, 1)}
    assert pieces[0, 4, 8] == "-"
    assert pieces[8, 12] != "-"
    (area,) = figure.axes[0].collections
    assert (area.get_alpha() or 1) < 0.2
    assert "95 % band" in words_of(figure)


def test_a_wild_band_does_not_squeeze_the_points() -> None:
    band = FittedBand((0, 12), (5.5, 5.1), (-50.0, -80.0), (60.0, 90.0))
    low, high = figure_of(series(), bands=(band,)).axes[0].get_ylim()

    assert high - low < 3


def test_ticks_carry_the_names_of_the_checks() -> None:
    figure = figure_of(series())
    labels = [label.get_text() for label in figure.axes[0].get_xticklabels()]

    assert list(figure.axes[0].get_xticks()) == list(AXIS.ticks)
    assert labels[0] == "T0"
    assert labels[-1] == "12w"
    assert set(labels) <= {*AXIS.labels, ""}


def test_crowded_tick_names_are_left_out_not_overprinted() -> None:
    axis = AgeAxis(tuple(range(61)), tuple(f"{month}M" for month in range(61)))
    figure = drift_figure([Panel("a", "pH", (series(),))], axis)
    labels = [label.get_text() for label in figure.axes[0].get_xticklabels()]

    assert 5 < sum(label != "" for label in labels) < 25


def test_each_line_is_named_beside_the_panel() -> None:
    figure = figure_of(series("batch A", 0), series("batch B", 1))

    assert {"batch A", "batch B"} <= words_of(figure)


def test_too_many_lines_are_counted_not_overprinted() -> None:
    figure = figure_of(*(series(f"batch {number}", number) for number in range(40)))

    assert "40 lines" in words_of(figure)
    assert "batch 3" not in words_of(figure)


def test_nothing_at_all_still_makes_a_figure() -> None:
    figure = drift_figure([Panel("", "", ())], AgeAxis((), ()))

    assert all(math.isfinite(edge) for edge in figure.axes[0].get_ylim())


@pytest.mark.parametrize("columns", [1, 2, 3])
def test_the_page_holds_every_word_of_a_figure(
    columns: int, render: Callable[..., bytes], kana_fonts: ReportFonts
) -> None:
    panel = Panel(
        "$5$ クリーム <b>",
        "viscosity [mPa·s]",
        (
            series("batch A", 0, marks={12: "outside"}, missed=(2,)),
            series("クリーム", 1, {0: 5.6, 12: 5.6}),
        ),
        LIMITS,
    )
    figure = drift_figure([panel] * 3, AXIS, columns=columns)

    content = render([FigureFlowable(figure, kana_fonts)])
    with pdfplumber.open(io.BytesIO(content)) as document:
        (page,) = document.pages
        text = page.extract_text()
        left, right = 20 / 25.4 * 72, 190 / 25.4 * 72
        inside = [
            left - 0.5 <= one["x0"] and one["x1"] <= right + 0.5
            for one in page.chars
            if one["top"] > 60 and one["bottom"] < 780
        ]

    for words in ("$5$", "batch A", "クリーム", "lower limit 5.00", "missed", "12w"):
        assert text.count(words) >= 3
    assert all(inside)
