"""Columns as wide as what stands in them, so that few cells wrap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from reportlab.lib.units import mm

from stability.report.fonts import Face
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
_SIDES: Final = 8.6


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
    """
    plain = [row for row in rows if not isinstance(row, Group)]
    return tuple(
        one
        if isinstance(one, Column)
        else _fitted(one, [row[at] for row in plain], styles)
        for at, one in enumerate(columns)
    )


def _fitted(column: Fitted, cells: Sequence[Cell], styles: ReportStyles) -> Column:
    fonts = styles.fonts
    width = max(
        text_width(word, styles.column.fontSize, fonts, "bold")
        for word in column.title.split() or [""]
    )
    texts = {_text(cell, column) for cell in cells if isinstance(cell, str | Mark)}
    for text, strong in texts:
        face: Face = "bold" if strong else "regular"
        width = max(width, text_width(text, styles.cell.fontSize, fonts, face))
    most = column.most_mm * mm
    taken = Millimetres(min(width + _SIDES, most) / mm)
    return Column(column.title, taken, align=column.align, strong=column.strong)


def _text(cell: str | Mark, column: Fitted) -> tuple[str, bool]:
    if isinstance(cell, str):
        return cell, column.strong
    lead = f"{cell.shape} " if cell.shape else ""
    return f"{lead}{cell.word}", cell.strong or column.strong


def shared(title: str, part: float = 1.0) -> Column:
    """Return a column that shares what the fitted ones leave."""
    return Column(title, Share(part))
