"""The columns of a table, their widths, and its rows laid out in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from stability.report.styles import ReportStyles, paragraph
from stability.report.text import plain_text

Align = Literal["left", "right", "center"]

SIDE = 4.0
TOP = 1.3
BOTTOM = 2.0
_LEAST_WIDTH = 8 * mm


@dataclass(frozen=True, slots=True)
class Share:
    """Width of a column as a part of what the fixed columns leave."""

    #: relative to the other shares of the table
    part: float = 1.0


@dataclass(frozen=True, slots=True)
class Millimetres:
    """Width of a column in millimetres, as long as the table fits the page."""

    #: width [mm]
    width: float


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    #: its head, raw text; a table without any head has none drawn
    title: str
    #: its width
    width: Share | Millimetres = field(default_factory=Share)
    #: to which side its cells keep
    align: Align = "left"
    #: whether its texts are bold
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A cell that judges: a word with a shape, so that no colour is needed."""

    #: the word, raw text
    word: str
    #: a sign before the word, such as ■ ▲ ◇; empty for none
    shape: str = ""
    #: whether it is bold, as what lies outside its limit is
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """A row across all columns that names the rows under it."""

    #: the words, raw text
    text: str


Cell = str | Mark | Flowable | list[Flowable]
TableRow = Group | Sequence[Cell]


@dataclass(frozen=True, slots=True)
class LaidOutRow:
    """A row as it will be drawn."""

    #: bare strings and blocks from left to right
    cells: tuple[Any, ...]
    #: height [points]
    height: float
    #: columns whose bare string is bold
    strong: tuple[int, ...] = ()
    #: name of the group if this row names one
    group: str | None = None


class Grid:
    """Columns with their widths, and rows as they are asked for."""

    def __init__(
        self,
        columns: tuple[Column, ...],
        rows: Sequence[TableRow],
        styles: ReportStyles,
        ruled: bool,
    ) -> None:
        self.columns = columns
        self.styles = styles
        self.ruled = ruled
        self.widths: list[float] = []
        self.head: LaidOutRow | None = None
        self._rows = rows
        self._laid_out: dict[int, LaidOutRow] = {}

    def fit(self, width: float) -> None:
        """Divide a width among the columns; what was laid out in another is dropped."""
        if self.widths and abs(sum(self.widths) - width) < 0.01:
            return
        self.widths = _divided([column.width for column in self.columns], width)
        self._laid_out.clear()
        self.head = self._lay_out_head()

    def row(self, at: int) -> LaidOutRow:
        """Return a row laid out."""
        if at not in self._laid_out:
            row = self._rows[at]
            self._laid_out[at] = (
                self.group_row(row.text)
                if isinstance(row, Group)
                else self._lay_out(row)
            )
        return self._laid_out[at]

    def forget(self, before: int) -> None:
        """Drop rows that were drawn."""
        for at in [at for at in self._laid_out if at < before]:
            del self._laid_out[at]

    def group_row(self, text: str, *, continued: bool = False) -> LaidOutRow:
        """Lay out a row that names a group."""
        words = f"{text} (continued)" if continued else text
        block = paragraph(words, self.styles.cell_bold, self.styles)
        height = block.wrap(sum(self.widths) - 2 * SIDE, 1e6)[1] + TOP + BOTTOM
        blanks = [""] * (len(self.columns) - 1)
        return LaidOutRow((block, *blanks), height, group=text)

    def measured(
        self, cells: Sequence[Any], strong: tuple[int, ...] = ()
    ) -> LaidOutRow:
        """Make a row of cells that are ready to be drawn."""
        pairs = zip(cells, self.widths, strict=True)
        tallest = max(self._height(cell, width - 2 * SIDE) for cell, width in pairs)
        return LaidOutRow(tuple(cells), tallest + TOP + BOTTOM, strong)

    def _lay_out_head(self) -> LaidOutRow | None:
        if not any(column.title for column in self.columns):
            return None
        styles = self.styles
        by_side = {
            "left": styles.column,
            "right": styles.column_right,
            "center": styles.column_center,
        }
        return self.measured(
            [
                paragraph(column.title, by_side[column.align], styles)
                for column in self.columns
            ]
        )

    def _lay_out(self, row: Sequence[Cell]) -> LaidOutRow:
        cells: list[Any] = []
        strong: list[int] = []
        for at, (cell, column) in enumerate(zip(row, self.columns, strict=True)):
            if not isinstance(cell, str | Mark):
                cells.append(cell)
                continue
            text, bold = _words(cell)
            bold = bold or column.strong
            drawn = self._drawn(text, column, self.widths[at] - 2 * SIDE, bold)
            cells.append(drawn)
            if bold and isinstance(drawn, str):
                strong.append(at)
        return self.measured(cells, tuple(strong))

    def _drawn(self, text: str, column: Column, width: float, bold: bool) -> Any:
        """Return text as a bare string if one line holds it, else as a paragraph."""
        styles = self.styles
        plain = plain_text(text, styles.fonts, "bold" if bold else "regular")
        if plain.one_font:
            style = styles.cell_bold if bold else styles.cell
            if stringWidth(plain.text, style.fontName, style.fontSize) <= width:
                return plain.text
        return paragraph(text, _cell_style(column, bold, styles), styles)

    def _height(self, cell: Any, width: float) -> float:
        if isinstance(cell, str):
            return float(self.styles.cell.leading)
        blocks = cell if isinstance(cell, list) else [cell]
        return sum(float(block.wrap(width, 1e6)[1]) for block in blocks)


def _words(cell: str | Mark) -> tuple[str, bool]:
    if isinstance(cell, str):
        return cell, False
    shape = f"{cell.shape} " if cell.shape else ""
    return f"{shape}{cell.word}", cell.strong


def _cell_style(column: Column, bold: bool, styles: ReportStyles) -> ParagraphStyle:
    if bold:
        return styles.cell_bold
    return {
        "left": styles.cell,
        "right": styles.cell_right,
        "center": styles.cell_center,
    }[column.align]


def _divided(widths: Sequence[Share | Millimetres], available: float) -> list[float]:
    """Give each column its width in points, together exactly what is available."""
    shares = [width.part for width in widths if isinstance(width, Share)]
    fixed = sum(width.width * mm for width in widths if isinstance(width, Millimetres))
    rest = available - fixed
    least = _LEAST_WIDTH * len(shares)
    rest = max(rest, least)
    wanted = [
        rest * width.part / sum(shares)
        if isinstance(width, Share)
        else width.width * mm
        for width in widths
    ]
    return [width * available / sum(wanted) for width in wanted]
