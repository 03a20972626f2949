"""Rows of a table drawn on the page: bare strings as text, blocks as themselves."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Any

from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from stability.report.styles import HAIRLINE, INK, RULE, TINT
from stability.report.table_grid import SIDE, TOP, Grid, LaidOutRow


def draw_rows(canvas: Canvas, grid: Grid, rows: Sequence[LaidOutRow]) -> None:
    """Draw the head and some rows, the last one standing on the origin."""
    shown = [grid.head, *rows] if grid.head else list(rows)
    bottom = sum(row.height for row in shown)
    canvas.saveState()
    writer = _Writer(canvas, grid)
    _draw_rules(canvas, grid, shown)
    for row in shown:
        writer.write_row(row, bottom)
        bottom -= row.height
    writer.flush()
    canvas.restoreState()


class _Writer:
    """Gathers bare strings into one text, in reading order, until a block comes."""

    def __init__(self, canvas: Canvas, grid: Grid) -> None:
        self._canvas = canvas
        self._grid = grid
        self._lefts = [0.0, *accumulate(grid.widths)]
        self._text: Any = None
        self._font = ""

    def write_row(self, row: LaidOutRow, top: float) -> None:
        """Write one row whose upper edge lies at a height."""
        grid = self._grid
        for at, cell in enumerate(row.cells):
            if isinstance(cell, str):
                if cell:
                    bold = at in row.strong
                    style = grid.styles.cell_bold if bold else grid.styles.cell
                    self._write(cell, at, top - TOP - style.fontSize, style)
                continue
            self.flush()
            width = sum(grid.widths) if row.group is not None else grid.widths[at]
            self._draw_blocks(cell, self._lefts[at] + SIDE, top - TOP, width - 2 * SIDE)

    def flush(self) -> None:
        """Draw what was gathered."""
        if self._text is not None:
            self._canvas.drawText(self._text)
            self._text = None

    def _write(self, text: str, at: int, y: float, style: ParagraphStyle) -> None:
        if self._text is None:
            self._text = self._canvas.beginText()
            self._text.setFillColor(INK)
            self._font = ""
        if self._font != style.fontName:
            self._text.setFont(style.fontName, style.fontSize)
            self._font = style.fontName
        self._text.setTextOrigin(self._start(text, at, style), y)
        self._text.textOut(text)

    def _start(self, text: str, at: int, style: ParagraphStyle) -> float:
        align = self._grid.columns[at].align
        left = self._lefts[at] + SIDE
        if align == "left":
            return left
        room = self._grid.widths[at] - 2 * SIDE
        free = room - stringWidth(text, style.fontName, style.fontSize)
        return left + (free if align == "right" else free / 2)

    def _draw_blocks(self, cell: Any, left: float, top: float, width: float) -> None:
        for block in cell if isinstance(cell, list) else [cell]:
            _, height = block.wrapOn(self._canvas, width, 1e6)
            top -= height
            block.drawOn(self._canvas, left, top)


def _draw_rules(canvas: Canvas, grid: Grid, rows: Sequence[LaidOutRow]) -> None:
    """Tint the groups' names and part head, rows and what follows."""
    width = sum(grid.widths)
    edge = sum(row.height for row in rows)
    if not grid.head:
        _rule(canvas, width, edge, 0.6, RULE)
    for at, row in enumerate(rows):
        edge -= row.height
        if row.group is not None:
            canvas.setFillColor(TINT)
            canvas.rect(0, edge, width, row.height, stroke=0, fill=1)
        if row is grid.head:
            _rule(canvas, width, edge, 0.9, INK)
        elif at == len(rows) - 1:
            _rule(canvas, width, edge, 0.6, RULE)
        elif grid.ruled:
            _rule(canvas, width, edge, 0.4, HAIRLINE)


def _rule(
    canvas: Canvas, width: float, y: float, thickness: float, colour: Color
) -> None:
    canvas.setStrokeColor(colour)
    canvas.setLineWidth(thickness)
    canvas.line(0, y, width, y)
