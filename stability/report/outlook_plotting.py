"""Lines carried past the readings, with every word at what it names.

Batches differ by marker and line, limits, bounds and upright lines are named where
they stand, and no words lie on others: their places are worked out in points, from
their widths in the fonts that print them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, MaxNLocator, NullLocator

from stability.report.fonts import Face, ReportFonts
from stability.report.label_places import Box, stacked
from stability.report.outlook_labels import Placed, placed_labels
from stability.report.outlook_layout import (
    BELOW,
    BESIDE,
    LANE,
    LEFT,
    ROW,
    SIZE,
    TITLE_ROW,
    TITLE_SIZE,
    WIDTH,
    Field,
    field_of,
    mark_lanes,
    named_beside,
    panel_height,
    strip_height,
    title_rows,
)
from stability.report.outlook_panels import (
    Meeting,
    OutlookLine,
    OutlookPanel,
)
from stability.report.panels import PanelSeries
from stability.report.plot_names import INK, QUIET, look_at, marker_style
from stability.report.plotting import (
    EDGE_WIDTH,
    FIT_WIDTH,
    LIMIT_SHADE,
    LIMIT_WIDTH,
    draw_series,
)
from stability.report.renderer import figure_style

_MARGIN = 5.0
# From so far on, words need a line to what they name [points].
_FAR = 9.0
_STEPS_OF_MONTHS = (0.1, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 60, 120, 240)
_MOST_TICKS = 13
_UPRIGHT: dict[str, tuple[float, Any]] = {
    "asked": (1.2, "solid"),
    "cap": (0.9, (0, (6, 2))),
    "shown": (0.9, (0, (1.2, 1.6))),
    "other": (0.7, (0, (3, 3))),
}
_SHADES = {
    "limit": LIMIT_SHADE,
    "meeting": INK,
    "mark": INK,
    "edge": QUIET,
}


def outlook_figure(
    panels: Sequence[OutlookPanel],
    fonts: ReportFonts,
    *,
    head: Sequence[str] = (),
    foot: Sequence[str] = (),
) -> Figure:
    """Draw panels under each other, each on its own scale.

    Parameters
    ----------
    panels
        At least one.
    fonts
        The fonts in which words will print, for their widths.
    head, foot
        Rows above and below all panels; the first row of the head is its title.

    Returns
    -------
    Figure
        For :class:`stability.report.renderer.FigureFlowable`.
    """
    heights = [panel_height(panel, fonts) for panel in panels]
    above, below = _rows_height(head), _rows_height(foot)
    with figure_style():
        tall = above + sum(heights) + below
        figure = Figure(figsize=(WIDTH / 72, tall / 72))
        _rows(figure, head, tall - _MARGIN, titled=True)
        _rows(figure, foot, below)
        top = tall - above
        for panel, height in zip(panels, heights, strict=True):
            _Drawing(figure, panel, fonts, top, height).draw()
            top -= height
    return figure


def _rows_height(rows: Sequence[str]) -> float:
    """Return the height of rows with the margin that they need [points]."""
    return len(rows) * LANE + 2 * _MARGIN if rows else 0.0


def _rows(
    figure: Figure, rows: Sequence[str], top: float, *, titled: bool = False
) -> None:
    """Write rows of words under each other from a height down."""
    tall = float(figure.get_figheight()) * 72
    for at, row in enumerate(rows):
        is_title = titled and at == 0
        figure.text(
            2 / WIDTH,
            (top - (at + 1) * LANE + 2) / tall,
            row,
            fontsize=TITLE_SIZE if is_title else SIZE,
            fontweight="bold" if is_title else "normal",
            color=INK if is_title else QUIET,
        )


def _values_marked(field: Field) -> list[float]:
    """Return the round values that are written beside the axis."""
    locator = MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10])
    values = locator.tick_values(field.low, field.high)
    return [float(one) for one in values if field.low <= one <= field.high]


class _Drawing:
    """One panel while it is drawn; places are points from its lower left corner."""

    def __init__(
        self,
        figure: Figure,
        panel: OutlookPanel,
        fonts: ReportFonts,
        top: float,
        height: float,
    ) -> None:
        self._figure, self._panel, self._fonts = figure, panel, fonts
        self._field = field_of(panel, height - BELOW - strip_height(panel, fonts))
        tall = float(figure.get_figheight()) * 72
        wide, high = self._field.width / WIDTH, self._field.height / tall
        place = (LEFT / WIDTH, (top - height + BELOW) / tall, wide, high)
        self._axes: Axes = figure.add_axes(place)

    def draw(self) -> None:
        """Draw everything."""
        self._set_axes()
        self._uprights()
        for limit in self._panel.limits:
            self._axes.axhline(
                limit.value, color=LIMIT_SHADE, linewidth=LIMIT_WIDTH, zorder=3.2
            )
        for one in self._panel.lines:
            self._line(one)
        for meeting in self._panel.meetings:
            self._meeting(meeting)
        for placed in placed_labels(self._panel, self._field, self._fonts):
            self._label(placed)
        self._names()

    def _set_axes(self) -> None:
        panel, axes = self._panel, self._axes
        axes.set_xlim(self._field.start, self._field.end)
        axes.set_ylim(self._field.low, self._field.high)
        step = next(
            (one for one in _STEPS_OF_MONTHS if panel.end / one <= _MOST_TICKS),
            panel.end / _MOST_TICKS,
        )
        ticks = [step * at for at in range(int(panel.end // step) + 1)]
        axes.xaxis.set_major_locator(FixedLocator(ticks))
        axes.xaxis.set_minor_locator(NullLocator())
        axes.yaxis.set_major_locator(FixedLocator(_values_marked(self._field)))
        axes.set_xlabel("age [months]", labelpad=2)
        axes.set_ylabel(panel.value_title)
        top = self._field.height + strip_height(panel, self._fonts)
        for at, row in enumerate(title_rows(panel, self._fonts)):
            axes.text(
                *self._field.share(2 - LEFT, top - (at + 1) * TITLE_ROW),
                row,
                transform=axes.transAxes,
                fontsize=TITLE_SIZE,
                fontweight="bold",
                color=INK,
            )

    def _uprights(self) -> None:
        for mark, (lane, left) in zip(
            self._panel.marks, mark_lanes(self._panel, self._fonts), strict=True
        ):
            width, style = _UPRIGHT[mark.kind]
            x, _ = self._field.point(mark.age, 0)
            base = self._field.height + 3 + lane * LANE
            foot, head = (x, 0.0), (x, self._field.height)
            look = {"color": QUIET, "linewidth": width, "zorder": 1.5}
            self._stroke([foot, head], linestyle=style, **look)
            self._stroke([head, (x, base + 7)], **look)
            self._write(left, base, mark.text, INK)

    def _write(
        self, x: float, y: float, text: str, shade: str, face: Face = "regular"
    ) -> None:
        """Write one row from a point on its base line."""
        self._axes.text(
            *self._field.share(x, y),
            text,
            transform=self._axes.transAxes,
            fontsize=SIZE,
            fontweight="bold" if "bold" in face else "normal",
            fontstyle="italic" if "oblique" in face else "normal",
            color=shade,
            zorder=7,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "linewidth": 0},
        )

    def _line(self, one: OutlookLine) -> None:
        shade, _, style = look_at(one.look)
        widths = FIT_WIDTH, *[EDGE_WIDTH] * len(one.edges)
        for values, width in zip((one.line, *one.edges), widths, strict=True):
            if values:
                self._axes.plot(
                    one.ages,
                    self._field.near(values),
                    color=shade,
                    linewidth=width,
                    linestyle=style,
                    zorder=2,
                )
        if one.look is not None:
            points = PanelSeries(one.label, one.look, one.points, joined=False)
            draw_series(self._axes, points)

    def _meeting(self, meeting: Meeting) -> None:
        self._axes.plot(
            [meeting.age],
            [meeting.value],
            marker="d",
            markersize=5.5,
            markerfacecolor=INK if meeting.counts else "white",
            markeredgecolor=INK,
            markeredgewidth=0.9,
            linestyle="none",
            zorder=6,
        )

    def _label(self, placed: Placed) -> None:
        label, box = placed.label, placed.box
        self._lead(label.anchors, box)
        shade = _SHADES[label.kind]
        for at, row in enumerate(reversed(placed.rows)):
            self._write(box.left, box.bottom + 2 + at * ROW, row, shade, label.face)

    def _lead(self, anchors: Sequence[tuple[float, float]], box: Box) -> None:
        """Draw a thin line from words that stand away from what they name."""
        away, end, anchor = min(
            (math.dist(end, anchor), end, anchor)
            for anchor in anchors
            for end in [box.nearest(*anchor)]
        )
        if away > _FAR:
            self._stroke([end, anchor], color=QUIET, linewidth=0.4, zorder=5.5)

    def _stroke(self, places: Sequence[tuple[float, float]], **more: Any) -> None:
        """Draw a line through places in points."""
        shares = [self._field.share(*place) for place in places]
        self._axes.plot(
            [x for x, _ in shares],
            [y for _, y in shares],
            transform=self._axes.transAxes,
            clip_on=False,
            **more,
        )

    def _names(self) -> None:
        """Name each line to the right, at the height where it ends."""
        named = sorted(
            (self._end_of(one), at, one, name, said)
            for at, (one, name, said) in enumerate(
                named_beside(self._panel, self._fonts)
            )
        )
        heights = [(len(name) + len(said)) * ROW + 2 for *_, name, said in named]
        ends = [end for end, *_ in named]
        middles = stacked(ends, heights, 0, self._field.height)
        for (end, _, one, name, said), middle, height in zip(
            named, middles, heights, strict=True
        ):
            first = middle + (height - 2) / 2 - ROW / 2
            self._sample(one, end, first)
            shades = [INK] * len(name) + [QUIET] * len(said)
            for at, (row, shade) in enumerate(zip(name + said, shades, strict=True)):
                level = first - at * ROW - 2.4
                self._write(self._field.width + BESIDE, level, row, shade)
        more = len(self._panel.lines) - len(named)
        if more > 0:
            text = f"and {more} more lines"
            self._write(self._field.width + BESIDE, -ROW - 2, text, QUIET)

    def _end_of(self, one: OutlookLine) -> float:
        ends = one.line[-1:] or tuple(point.value for point in one.points[-1:])
        height = self._field.point(0, *self._field.near(ends))[1] if ends else 0.0
        return min(max(height, 0.0), self._field.height)

    def _sample(self, one: OutlookLine, end: float, level: float) -> None:
        """Draw a piece of the line beside its name, led to from where it ends."""
        shade, marker, style = look_at(one.look)
        right = self._field.width
        if one.line:
            lead = [(right + 1, end), (right + 7, level)]
            self._stroke(lead, color=shade, linewidth=0.4)
        self._stroke(
            [(right + x, level) for x in (8, 17, 26)],
            color=shade,
            linewidth=1.0,
            linestyle=style if one.line else "none",
            marker=marker,
            markevery=[1],
            **marker_style(one.look),
        )
