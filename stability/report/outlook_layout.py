"""How a figure of an outlook is divided: heights, widths, rows and scales [points]."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from stability.report.fonts import Face, ReportFonts
from stability.report.label_places import lanes
from stability.report.outlook_panels import OutlookLine, OutlookPanel
from stability.report.text import text_width

#: Width of a figure [points]: 170 mm.
WIDTH = 482.0
#: Room left, right and below of the axes [points].
LEFT, RIGHT, BELOW = 58.0, 150.0, 30.0
#: Height of a lane of words above the axes, and of a row of words [points].
LANE, ROW = 9.6, 8.2
#: Size of words [points].
SIZE = 6.6
#: Size of titles and height of their rows [points].
TITLE_SIZE, TITLE_ROW = 8.0, 10.0
#: Room between words and what they name [points].
GAP = 3.0
#: Room for a piece of the line before its name [points].
BESIDE = 30.0
_LEAST_HEIGHT = 106.0
# What drawing programs may make words wider by [-].
_WIDER = 1.04
_MOST_NAMED = 24


@dataclass(frozen=True, slots=True)
class Field:
    """The axes of a panel; places in it are points from its lower left corner."""

    #: width [points]
    width: float
    #: height [points]
    height: float
    #: age at its left edge [months]
    start: float
    #: age at its right edge [months]
    end: float
    #: value at its lower edge
    low: float
    #: value at its upper edge
    high: float

    def point(self, age: float, value: float) -> tuple[float, float]:
        """Return where an age and a value stand [points]."""
        return (
            (age - self.start) / (self.end - self.start) * self.width,
            (value - self.low) / (self.high - self.low) * self.height,
        )

    def share(self, x: float, y: float) -> tuple[float, float]:
        """Return a place in points as a share of width and height [-]."""
        return x / self.width, y / self.height

    def near(self, values: Iterable[float]) -> list[float]:
        """Hold values that run far out of the axes, so that no drawing overflows."""
        far = 3 * (self.high - self.low)
        return [min(max(one, self.low - far), self.high + far) for one in values]


def field_of(panel: OutlookPanel, height: float) -> Field:
    """Return the axes of a panel.

    Parameters
    ----------
    panel
        The panel.
    height
        Of its axes [points].
    """
    low, high = value_range(panel, height)
    start = panel.end - span_of(panel)
    return Field(WIDTH - LEFT - RIGHT, height, start, panel.end, low, high)


def panel_height(panel: OutlookPanel, fonts: ReportFonts) -> float:
    """Return the height of a panel with everything around it [points]."""
    beside = sum(
        (len(name) + len(said)) * ROW + 2
        for _, name, said in named_beside(panel, fonts)
    )
    axes = max(_LEAST_HEIGHT, beside)
    return strip_height(panel, fonts) + axes + BELOW


def strip_height(panel: OutlookPanel, fonts: ReportFonts) -> float:
    """Return the height of title and words of upright lines [points]."""
    levels = max((lane for lane, _ in mark_lanes(panel, fonts)), default=-1) + 1
    return len(title_rows(panel, fonts)) * TITLE_ROW + 4 + levels * LANE + 3


def title_rows(panel: OutlookPanel, fonts: ReportFonts) -> list[str]:
    """Return the title of a panel in rows that fit across the figure."""
    room = (WIDTH - 8) * SIZE / TITLE_SIZE
    return wrapped(panel.title, room, fonts, "bold")


def mark_lanes(panel: OutlookPanel, fonts: ReportFonts) -> list[tuple[int, float]]:
    """Return lane and left edge of the words of each upright line [-, points]."""
    scale = (WIDTH - LEFT - RIGHT) / span_of(panel)
    before = span_of(panel) - panel.end
    return lanes(
        [(mark.age + before) * scale + GAP for mark in panel.marks],
        [words_width(mark.text, fonts) + 2 * GAP for mark in panel.marks],
        WIDTH - LEFT,
    )


def span_of(panel: OutlookPanel) -> float:
    """Return the length of the axis, with a little before the start [months]."""
    return panel.end * 1.02


def words_width(text: str, fonts: ReportFonts, face: Face = "regular") -> float:
    """Return the width of words in a panel, with what some programs add [points]."""
    return _WIDER * text_width(text, SIZE, fonts, face)


def named_beside(
    panel: OutlookPanel, fonts: ReportFonts
) -> list[tuple[OutlookLine, list[str], list[str]]]:
    """Return the lines that are named beside the panel: rows of name, rows of words."""
    room = RIGHT - BESIDE
    return [
        (one, wrapped(one.label, room, fonts), wrapped(one.said, room, fonts))
        for one in panel.lines[:_MOST_NAMED]
    ]


def wrapped(
    text: str, room: float, fonts: ReportFonts, face: Face = "regular"
) -> list[str]:
    """Break words into rows that fit a width [points]; a word that does not is cut."""
    rows: list[str] = []
    for word in text.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and words_width(longer, fonts, face) <= room:
            rows[-1] = longer
            continue
        rows.append(_cut(word, room, fonts, face))
    return rows


def _cut(word: str, room: float, fonts: ReportFonts, face: Face) -> str:
    """Return a word, or as much of it as fits a width."""
    if words_width(word, fonts, face) <= room:
        return word
    kept = len(word)
    while kept and words_width(f"{word[:kept]}…", fonts, face) > room:
        kept -= 1
    return f"{word[:kept]}…"


def value_range(panel: OutlookPanel, height: float) -> tuple[float, float]:
    """Return a range that holds points, limits and lines, and bounds within reason.

    Below and above there is room for the words of limits and of what meets them.

    Parameters
    ----------
    panel
        The panel.
    height
        Of its axes [points].
    """
    values = [limit.value for limit in panel.limits]
    for one in panel.lines:
        values += [point.value for point in one.points]
    values = values or [0.0, 1.0]
    low, high = min(values), max(values)
    spread = high - low or abs(high) * 0.1 or 1.0
    edges = [
        value
        for one in panel.lines
        for drawn in (one.line, *one.edges)
        for value in drawn
        if math.isfinite(value)
    ]
    low = max(min([low, *edges]), low - 0.15 * spread)
    high = min(max([high, *edges]), high + 0.15 * spread)
    below, above = _rows_of_words(panel, "below"), _rows_of_words(panel, "above")
    share = min((2 * (ROW + 4) + (below + above) * (ROW + 1)) / height, 0.6)
    spread = high - low or spread
    whole = spread / (1 - share)
    room = (whole - spread) / (2 + below + above)
    return low - (1 + below) * room, high + (1 + above) * room


def _rows_of_words(panel: OutlookPanel, side: Literal["below", "above"]) -> int:
    """Return how many meetings are named outside the limits of one side [-]."""
    limits = {limit.value for limit in panel.limits if limit.outside == side}
    return sum(bool(one.text) and one.value in limits for one in panel.meetings)
