"""Columns as wide as what stands in them, so that few cells wrap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from reportlab.lib.units import mm

from stability.report.fonts import Face
from stability.report.pages import PageSetup
from stability.report.styles import ReportStyles
from stability.report.tables import (
    Cell,
    Column,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
)
from stability.report.text import text_width

# Room at both sides of a cell, and a little more against rounding [points].
_SIDES: Final = 9.2
#: Width of the text on a page [mm].
PAGE_MM: Final = PageSetup().frame_width / mm
# Below this no column is cut, and this much each column that shares keeps [mm].
_LEAST_MM: Final = 11.0
_LEAST_SHARE_MM: Final = 26.0


@dataclass(frozen=True, slots=True)
class Fitted:
    """A column that takes the room of its longest text, up to a most."""

    #: Its head, raw text.
    title: str
    #: Its most width; longer texts wrap [mm].
    most_mm: float = 34
    #: To which side its cells keep.
    align: Literal["left", "right"] = "left"
    #: Whether its texts are bold.
    strong: bool = False


def fitted_columns(
    columns: Sequence[Column | Fitted], rows: Sequence[TableRow], styles: ReportStyles
) -> tuple[Column, ...]:
    """Return columns in which those to be fitted have got a width.

    Parameters
    ----------
    columns
        From left to right; a plain column keeps its width or its share.
    rows
        The rows of the table.
    styles
        The report's styles.

    Returns
    -------
    tuple of Column
        Together no wider than a page; the widest give way to those that share.
    """
    plain = [row for row in rows if not isinstance(row, Group)]
    widths = [
        _width(one, [row[at] for row in plain], styles)
        if isinstance(one, Fitted)
        else 0.0
        for at, one in enumerate(columns)
    ]
    room = PAGE_MM - sum(_least(one) for one in columns if isinstance(one, Column))
    widths = _levelled(widths, room)
    return tuple(
        one
        if isinstance(one, Column)
        else Column(one.title, Millimetres(width), align=one.align, strong=one.strong)
        for one, width in zip(columns, widths, strict=True)
    )


def _least(column: Column) -> float:
    if isinstance(column.width, Millimetres):
        return column.width.width
    return _LEAST_SHARE_MM * max(column.width.part, 1.0)


def _levelled(widths: Sequence[float], room: float) -> list[float]:
    """Cut the widest down to one level until all have room."""
    level = max(widths, default=0.0)
    ordered = sorted(widths)
    for at, width in enumerate(ordered):
        share = (room - sum(ordered[:at])) / (len(ordered) - at)
        if width > share:
            level = max(share, _LEAST_MM)
            break
    return [min(width, level) for width in widths]


def _width(column: Fitted, cells: Sequence[Cell], styles: ReportStyles) -> float:
    """Return the width that the longest text needs, up to the column's most [mm]."""
    fonts = styles.fonts
    width = max(
        text_width(word, styles.column.fontSize, fonts, "bold")
        for word in column.title.split() or [""]
    )
    texts = {
        line
        for cell in cells
        if isinstance(cell, str | Mark)
        for line in _lines(cell, column)
    }
    for text, strong in texts:
        face: Face = "bold" if strong else "regular"
        width = max(width, text_width(text, styles.cell.fontSize, fonts, face))
    return min((width + _SIDES) / mm, column.most_mm)


def _lines(cell: str | Mark, column: Fitted) -> list[tuple[str, bool]]:
    if isinstance(cell, str):
        return [(line, column.strong) for line in cell.split("\n")]
    lead = f"{cell.shape} " if cell.shape else ""
    return [(f"{lead}{cell.word}", cell.strong or column.strong)]


def shared(title: str, part: float = 1.0) -> Column:
    """Return a column that shares what the fitted ones leave."""
    return Column(title, Share(part))
