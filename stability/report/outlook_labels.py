"""The words inside a panel of an outlook, with the places that they wish for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stability.report.fonts import Face, ReportFonts
from stability.report.label_places import Box, free_place
from stability.report.outlook_layout import ROW, Field, words_width, wrapped
from stability.report.outlook_panels import Meeting, OutlookLine, OutlookPanel
from stability.report.panels import LimitLine

# Rows in which words may stand further and further from what they name [points].
_AWAY = (0, 9, 18, 27)


@dataclass(frozen=True, slots=True)
class Label:
    """Words in a panel; places are points from the lower left corner of its axes."""

    #: the words
    text: str
    #: face in which they print
    face: Face
    #: what they are, which chooses their shade
    kind: str
    #: what they name: places of which a line leads to the nearest [points]
    anchors: tuple[tuple[float, float], ...]
    #: lower left corners wished for, best first [points]
    wished: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """Words that found their place."""

    #: the words
    label: Label
    #: the words in rows, as they fit across the axes
    rows: tuple[str, ...]
    #: where they stand [points]
    box: Box


def placed_labels(
    panel: OutlookPanel, field: Field, fonts: ReportFonts
) -> list[Placed]:
    """Return every word of a panel at a place where it lies on no other.

    Parameters
    ----------
    panel
        The panel.
    field
        Its axes.
    fonts
        For the widths of words.
    """
    drawn = list(_drawn(panel, field))
    inside = Box(3, 3, field.width - 1, field.height)
    found: list[Placed] = []
    for label in _labels(panel, field, fonts):
        rows = wrapped(label.text, field.width - 8, fonts, label.face)
        width = max(words_width(row, fonts, label.face) for row in rows)
        taken = [one.box for one in found]
        size = width, ROW * len(rows)
        box = free_place(size, label.wished, taken, drawn, inside)
        if box is not None:
            found.append(Placed(label, tuple(rows), box))
    return found


def _drawn(panel: OutlookPanel, field: Field) -> Iterator[tuple[float, float]]:
    """Yield places that lines and points pass through."""
    for one in panel.lines:
        for values in (one.line, *one.edges):
            # A line alone has no ages to pair with.
            yield from map(field.point, one.ages if values else (), field.near(values))
        for point in one.points:
            yield from _about(field.point(point.age, point.value), 3)
    for meeting in panel.meetings:
        yield from _about(field.point(meeting.age, meeting.value), 4)
    for limit in panel.limits:
        _, y = field.point(0, limit.value)
        yield from ((x, y) for x in range(0, int(field.width), 6))
    for mark in panel.marks:
        x, _ = field.point(mark.age, field.low)
        yield from ((x, y) for y in range(0, int(field.height), 4))


def _about(at: tuple[float, float], reach: float) -> Iterator[tuple[float, float]]:
    steps = (-reach, 0, reach)
    return ((at[0] + across, at[1] + up) for across in steps for up in steps)


def _labels(panel: OutlookPanel, field: Field, fonts: ReportFonts) -> Iterator[Label]:
    """Yield what is written inside a panel, the most needed first."""
    for limit in panel.limits:
        if limit.text:
            yield _limit_label(limit, field, fonts)
    for meeting in panel.meetings:
        if meeting.text:
            yield _meeting_label(meeting, panel, field, fonts)
    marked = {
        point.mark: point for one in panel.lines for point in one.points if point.mark
    }
    for mark, point in marked.items():
        at = field.point(point.age, point.value)
        wished = _around(at, mark, "oblique", field, fonts, up=True)
        yield Label(mark, "oblique", "mark", (at,), wished)
    edged = [one for one in panel.lines if one.edges]
    if edged and panel.edge_text:
        yield _edge_label(edged[0], panel.edge_text, field, fonts)


def _limit_label(limit: LimitLine, field: Field, fonts: ReportFonts) -> Label:
    _, y = field.point(0, limit.value)
    width = words_width(limit.text, fonts, "bold")
    outer, inner = y + 2, y - ROW - 1
    if limit.outside == "below":
        outer, inner = inner, outer
    starts = (3.0, field.width / 2 - width / 2, field.width - width - 3)
    wished = tuple((x, level) for level in (outer, inner) for x in starts)
    along = tuple((x, y) for x in range(0, int(field.width), 12))
    return Label(limit.text, "bold", "limit", along, wished)


def _meeting_label(
    meeting: Meeting, panel: OutlookPanel, field: Field, fonts: ReportFonts
) -> Label:
    at = field.point(meeting.age, meeting.value)
    up = any(
        limit.outside == "above" and limit.value == meeting.value
        for limit in panel.limits
    )
    wished = _around(at, meeting.text, "bold", field, fonts, up=up)
    return Label(meeting.text, "bold", "meeting", (at,), wished)


def _edge_label(one: OutlookLine, text: str, field: Field, fonts: ReportFonts) -> Label:
    width = words_width(text, fonts, "oblique")
    edge = field.near(one.edges[0])
    places = list(map(field.point, one.ages, edge))
    first, last = len(places) // 6, len(places) * 3 // 4 + 1
    tried = places[first:last][::-1]
    wished = tuple(
        (x - width / 2, y + lift)
        for lift in (-ROW - 2, 2.0, -ROW - 8, 8.0)
        for x, y in tried
    )
    return Label(text, "oblique", "edge", tuple(tried), wished)


def _around(
    at: tuple[float, float],
    text: str,
    face: Face,
    field: Field,
    fonts: ReportFonts,
    *,
    up: bool,
) -> tuple[tuple[float, float], ...]:
    """Return places about a point, the nearest first, above or below it first."""
    width = words_width(text, fonts, face)
    x, y = at
    held = max(min(x - width / 2, field.width - width - 2), 3.0)
    return tuple(
        (across, y + (6 + away if above else -ROW - 5 - away))
        for above in (up, not up)
        for away in _AWAY
        for across in (held, x - width - 4, x + 4)
    )
