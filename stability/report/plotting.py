"""Drift drawn so that it can be read without hunting for a legend.

Batches differ by marker and dashes, their lines fitted or joined alike, so that a grey
print keeps them apart; a limit is the thickest line, the edge of a band the thinnest.
Each line is named at its end, each limit in words at its line, each judged point by a
shape around it and a word beside it. A missed check breaks the line and leaves a tick
on the axis. Texts are given as they are; :mod:`stability.report.renderer` makes them
printable.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, MaxNLocator, NullLocator

from stability.report.panels import (
    AgeAxis,
    FittedBand,
    LimitLine,
    Panel,
    PanelPoint,
    PanelSeries,
    PointMark,
)
from stability.report.plot_names import (
    INK,
    NAME_SIZE,
    QUIET,
    letters_across,
    look_of,
    marker_style,
    name_lines,
    name_marks,
)
from stability.report.renderer import figure_style

_MM = 1 / 25.4
#: shade of limits
LIMIT_SHADE = "#5b1a1a"
#: widths of limits, fitted lines and edges of bands [points]: told apart in grey
LIMIT_WIDTH, FIT_WIDTH, EDGE_WIDTH = 1.6, 1.0, 0.45
# shape, size [points] and line width of the sign around a judged point
_SIGNS: dict[PointMark, tuple[str, float, float]] = {
    "outside": ("s", 10.5, 1.3),
    "out of trend": ("D", 8.5, 0.9),
    "doubtful": ("o", 10.0, 0.7),
    "deviation": ("|", 12.0, 0.7),
}


def drift_figure(
    panels: Sequence[Panel],
    axis: AgeAxis | Sequence[AgeAxis],
    *,
    width_mm: float = 170,
    panel_height_mm: float = 58,
    columns: int = 2,
    on_scale_of: Sequence[Panel] = (),
) -> Figure:
    """Draw panels of one attribute on one scale of values.

    Parameters
    ----------
    panels
        One per condition.
    axis
        Axis of ages of all panels, or one for each.
    width_mm, panel_height_mm
        Width of the figure and height of each row of panels [mm].
    columns
        Panels beside each other [-].
    on_scale_of
        All panels of the attribute, where these are only some of them.

    Returns
    -------
    Figure
        For :class:`stability.report.renderer.FigureFlowable`.
    """
    axes_of_age = [axis] * len(panels) if isinstance(axis, AgeAxis) else list(axis)
    columns = max(1, min(columns, len(panels)))
    rows = math.ceil(len(panels) / columns)
    size = (width_mm * _MM, panel_height_mm * rows * _MM)
    with figure_style():
        figure = Figure(figsize=size, layout="constrained")
        grid = figure.subplots(rows, columns, squeeze=False, sharey=True)
        low, high = _value_range(on_scale_of or panels)
        for at, axes in enumerate(grid.flat):
            if at >= len(panels):
                axes.set_axis_off()
                continue
            axes.set_ylim(low, high)
            drift_panel(axes, panels[at], axes_of_age[at])
            axes.tick_params(labelleft=at % columns == 0)
            if at % columns:
                axes.set_ylabel("")
    return figure


def drift_panel(axes: Axes, panel: Panel, axis: AgeAxis) -> None:
    """Draw one panel into axes whose range of values is set."""
    axes.set_title(panel.title, loc="left", fontweight="bold", color=INK)
    axes.set_ylabel(panel.value_title)
    _set_ages(axes, axis)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10]))
    for band in panel.bands:
        _draw_band(axes, band)
    for limit in panel.limits:
        _draw_limit(axes, limit, letters_across(axes, panel))
    for series in panel.series:
        draw_series(axes, series)
    _draw_missed(axes, panel.series)
    name_marks(axes, panel.series)
    name_lines(axes, panel)
    if not any(series.points for series in panel.series):
        _say_empty(axes, panel.if_empty)


def _set_ages(axes: Axes, axis: AgeAxis) -> None:
    end = axis.end if axis.end is not None else max(axis.ticks, default=1.0)
    axes.set_xlim(-0.03 * end, end * 1.03)
    axes.xaxis.set_major_locator(FixedLocator(list(axis.ticks)))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticklabels(_thinned(axis, end))
    axes.set_xlabel(axis.title)


def _thinned(axis: AgeAxis, end: float) -> list[str]:
    """Leave out names of ticks that would touch the one before."""
    shown: list[str] = []
    free_from = -math.inf
    for tick, label in zip(axis.ticks, axis.labels, strict=True):
        half = 0.018 * (len(label) + 1.2) * end
        if tick - half < free_from:
            shown.append("")
            continue
        shown.append(label)
        free_from = tick + half
    return shown


def _value_range(panels: Sequence[Panel]) -> tuple[float, float]:
    """Return a range that holds every value and limit, and bands within reason."""
    values = [
        point.value
        for panel in panels
        for series in panel.series
        for point in series.points
    ]
    values += [limit.value for panel in panels for limit in panel.limits]
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    spread = high - low or abs(high) * 0.1 or 1.0
    edges = [edge for panel in panels for band in panel.bands for edge in _edges(band)]
    low = max(min([low, *edges]), low - 0.35 * spread)
    high = min(max([high, *edges]), high + 0.35 * spread)
    spread = high - low or spread
    return low - 0.17 * spread, high + 0.17 * spread


def _edges(band: FittedBand) -> Iterable[float]:
    return (*band.line, *band.lower, *band.upper)


def draw_series(axes: Axes, series: PanelSeries) -> None:
    """Draw the points of a series with their signs, joined where it says so."""
    if not series.points:
        return
    shade, marker, line = look_of(series)
    if series.joined:
        for ages, values in _unbroken(series):
            axes.plot(ages, values, color=shade, linestyle=line, linewidth=0.8)
    axes.plot(
        [point.age for point in series.points],
        [point.value for point in series.points],
        linestyle="none",
        marker=marker,
        zorder=4,
        **marker_style(series.look),
    )
    for mark, (shape, size, width) in _SIGNS.items():
        marked = [point for point in series.points if point.mark == mark]
        if not marked:
            continue  # an empty line would still claim room at the figure's corner
        axes.plot(
            [point.age for point in marked],
            [point.value for point in marked],
            linestyle="none",
            marker=shape,
            markersize=size,
            markerfacecolor="none",
            markeredgecolor=INK,
            markeredgewidth=width,
            zorder=5,
            clip_on=False,
        )


def _unbroken(series: PanelSeries) -> list[tuple[list[float], list[float]]]:
    """Return the stretches of a line between checks that were missed."""
    stretches: list[tuple[list[float], list[float]]] = []
    previous: PanelPoint | None = None
    for point in series.points:
        gap = previous is not None and any(
            previous.age < age < point.age for age in series.missed
        )
        if previous is None or gap:
            stretches.append(([], []))
        stretches[-1][0].append(point.age)
        stretches[-1][1].append(point.value)
        previous = point
    return stretches


def _draw_band(axes: Axes, band: FittedBand) -> None:
    shade, _, dashes = look_of(band)
    if band.lower:
        axes.fill_between(
            band.ages,
            band.lower,
            band.upper,
            color=shade,
            alpha=0.10,
            linewidth=0,
            zorder=1,
        )
        for edge in (band.lower, band.upper):
            axes.plot(band.ages, edge, color=shade, linewidth=EDGE_WIDTH, zorder=1)
    end = math.inf if band.shown_to is None else band.shown_to
    line = list(zip(band.ages, band.line, strict=True))
    shown = [place for place in line if place[0] <= end]
    beyond = [*shown[-1:], *line[len(shown) :]]
    for places, style in ((shown, dashes), (beyond, (0, (1, 1.8)))):
        if len(places) > 1:
            ages, values = zip(*places, strict=True)
            look: Any = {"linestyle": style, "linewidth": FIT_WIDTH}
            axes.plot(ages, values, color=shade, zorder=2, **look)


def _draw_limit(axes: Axes, limit: LimitLine, letters: int) -> None:
    axes.axhline(limit.value, color=LIMIT_SHADE, linewidth=LIMIT_WIDTH, zorder=3.7)
    below = limit.outside == "below"
    axes.annotate(
        "\n".join(wrap(limit.text, letters)),
        (0.0, limit.value),
        xycoords=axes.get_yaxis_transform(),
        xytext=(3, -2.5 if below else 2.5),
        textcoords="offset points",
        va="top" if below else "bottom",
        ha="left",
        fontsize=NAME_SIZE,
        fontweight="bold",
        color=LIMIT_SHADE,
        zorder=6,
    )


def _draw_missed(axes: Axes, series: Sequence[PanelSeries]) -> None:
    """Draw a cross on the axis of ages at each missed check, and say so under it."""
    ages = sorted({age for one in series for age in one.missed})
    if not ages:
        return
    axes.plot(
        ages,
        [0.0] * len(ages),
        linestyle="none",
        marker="x",
        markersize=5,
        markeredgecolor=INK,
        markeredgewidth=1.0,
        transform=axes.get_xaxis_transform(),
        clip_on=False,
        zorder=6,
    )
    axes.set_xlabel(f"{axes.get_xlabel()}   (✕ check missed)")


def _say_empty(axes: Axes, words: str) -> None:
    axes.text(
        0.5,
        0.5,
        words,
        transform=axes.transAxes,
        ha="center",
        va="center",
        color=QUIET,
    )
