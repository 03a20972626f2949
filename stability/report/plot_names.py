"""Words and looks in a drift panel: what each line, sign and shade stands for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes

from stability.report.panels import (
    FittedBand,
    Panel,
    PanelPoint,
    PanelSeries,
    PointMark,
)

# Shades of clearly different lightness, each with its own marker and line.
_LOOKS = (
    ("#1b3a57", "o", "solid"),
    ("#b4571f", "s", (0, (5, 2))),
    ("#3b8f8a", "^", (0, (1.2, 1.6))),
    ("#7a4f8f", "D", (0, (6, 2, 1.2, 2))),
    ("#5d6b1e", "v", (0, (3, 1.2, 1.2, 1.2, 1.2, 1.2))),
    ("#8c2f45", "P", (0, (8, 3))),
    ("#6f7b85", "X", (0, (2.5, 2.5))),
    ("#2f5fb3", "p", (0, (9, 2, 2, 2))),
)
INK = "#1d2733"
QUIET = "#56616b"
#: size of words in a panel [points]
NAME_SIZE = 6.6
# Height of a name beside a panel [points], and how far names may outgrow the panel.
_NAME_STEP = 8.4
_MOST_NAMES = 1.2
# Room that the numbers and the signs before names take beside a panel [points].
_BESIDE = 52.0


def look_of(series: PanelSeries | FittedBand) -> tuple[str, str, object]:
    """Return shade, marker and line of a series; a fit of all together is dark."""
    return look_at(series.look)


def look_at(look: int | None) -> tuple[str, str, object]:
    """Return shade, marker and line at a place in the order of looks."""
    return (INK, "", "solid") if look is None else _LOOKS[look % len(_LOOKS)]


def marker_style(look: int | None) -> dict[str, Any]:
    """Return how the points of a series are filled: past eight looks they are open."""
    shade = INK if look is None else _LOOKS[look % len(_LOOKS)][0]
    if look is not None and look % (2 * len(_LOOKS)) >= len(_LOOKS):
        return {
            "markersize": 4.0,
            "markerfacecolor": "white",
            "markeredgecolor": shade,
            "markeredgewidth": 0.9,
        }
    return {
        "markersize": 4.2,
        "markerfacecolor": shade,
        "markeredgecolor": "white",
        "markeredgewidth": 0.4,
    }


def name_marks(axes: Axes, series: Sequence[PanelSeries]) -> None:
    """Write each kind of mark in words once, at its last point."""
    last: dict[PointMark, PanelPoint] = {}
    for one in series:
        for point in one.points:
            if point.mark and (
                point.mark not in last or point.age >= last[point.mark].age
            ):
                last[point.mark] = point
    start, end = axes.get_xlim()
    for mark, point in last.items():
        share = (point.age - start) / (end - start)
        above = point.value >= _level_near(point, series, (end - start) / 6)
        axes.annotate(
            mark,
            (point.age, point.value),
            xytext=(0, 7.5 if above else -7.5),
            textcoords="offset points",
            ha="left" if share < 0.12 else "right" if share > 0.88 else "center",
            va="bottom" if above else "top",
            fontsize=NAME_SIZE,
            fontstyle="italic",
            color=INK,
            bbox={"boxstyle": "square,pad=0.08", "facecolor": "white", "linewidth": 0},
            zorder=3.5,
        )


def _level_near(
    point: PanelPoint, series: Sequence[PanelSeries], reach: float
) -> float:
    """Return the mean of the values about a point, so that words go the other way."""
    near = [
        other.value
        for one in series
        for other in one.points
        if abs(other.age - point.age) <= reach
    ]
    return sum(near) / len(near)


def name_lines(axes: Axes, panel: Panel) -> None:
    """Name each line to the right of the panel, at the height of its last value."""
    named: list[tuple[float, str, PanelSeries | FittedBand]] = [
        (series.points[-1].value, series.label, series)
        for series in panel.series
        if series.points and series.label
    ]
    named += [(band.line[-1], band.text, band) for band in panel.bands if band.text]
    named.sort(key=lambda name: name[:2])
    low, high = axes.get_ylim()
    step = _NAME_STEP / _height_in_points(axes)
    if len(named) * step > _MOST_NAMES:
        _write_beside(axes, 1.0, f"{len(named)} lines", QUIET)
        return
    heights = apart([(value - low) / (high - low) for value, _, _ in named], step)
    for height, (_, text, drawn) in zip(heights, named, strict=True):
        shade, marker, line = look_of(drawn)
        axes.plot(
            [1.015, 1.04, 1.065],
            [height] * 3,
            transform=axes.transAxes,
            color=shade,
            linestyle=line,
            linewidth=0.9,
            marker=marker,
            markevery=[1],
            clip_on=False,
            **{**marker_style(drawn.look), "markersize": 3.6},
        )
        _write_beside(axes, height, text, INK)


def _height_in_points(axes: Axes) -> float:
    """Return about how tall the axes will be, before they are laid out."""
    figure = axes.get_figure(root=True)
    grid = axes.get_gridspec()
    rows = grid.nrows if grid else 1
    return max(figure.get_figheight() * 72 / rows - 42, 20.0) if figure else 100.0


def letters_across(axes: Axes, panel: Panel) -> int:
    """Return about how many letters fit across the axes, before they are laid out."""
    figure = axes.get_figure(root=True)
    grid = axes.get_gridspec()
    columns = grid.ncols if grid else 1
    width = figure.get_figwidth() * 72 / columns if figure else 240.0
    names = [one.label for one in panel.series] + [band.text for band in panel.bands]
    beside = _BESIDE + NAME_SIZE * 0.6 * max(map(len, names), default=0)
    return max(int((width - beside) / (NAME_SIZE * 0.68)), 12)


def _write_beside(axes: Axes, height: float, text: str, shade: str) -> None:
    axes.text(
        1.08,
        height,
        text,
        transform=axes.transAxes,
        va="center",
        ha="left",
        fontsize=NAME_SIZE,
        color=shade,
    )


def apart(heights: Sequence[float], step: float) -> list[float]:
    """Move ascending heights apart until no two are closer than a step.

    Heights that touch are spread about their common middle.

    >>> apart([0.5, 0.5, 0.9], 0.06)
    [0.47, 0.53, 0.9]
    """
    groups: list[tuple[float, int]] = []
    for height in heights:
        middle, size = height, 1
        while groups and middle - groups[-1][0] < (groups[-1][1] + size) / 2 * step:
            other, count = groups.pop()
            middle = (other * count + middle * size) / (count + size)
            size += count
        groups.append((middle, size))
    return [
        round(middle + (at - (size - 1) / 2) * step, 6)
        for middle, size in groups
        for at in range(size)
    ]
