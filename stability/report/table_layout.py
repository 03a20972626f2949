"""How a table's rows are laid out and parted over pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Table

from stability.report.styles import HAIRLINE, INK, RULE, TINT, ReportStyles, paragraph
from stability.report.text import plain_text

Align = Literal["left", "right", "center"]

_SIDE = 4.0
_TOP = 2.6
_BOTTOM = 3.2
# A row taller than a page is only cut where so much of it can be shown.
_LEAST_CUT = 60.0
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
class _Row:
    """A row as it will be drawn."""

    cells: tuple[Any, ...]
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
        self.head: _Row | None = None
        self._rows = rows
        self._laid_out: dict[int, _Row] = {}

    def fit(self, width: float) -> None:
        """Divide a width among the columns; what was laid out in another is dropped."""
        if self.widths and abs(sum(self.widths) - width) < 0.01:
            return
        self.widths = _divided([column.width for column in self.columns], width)
        self._laid_out.clear()
        self.head = self._lay_out_head()

    def row(self, at: int) -> _Row:
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

    def group_row(self, text: str, *, continued: bool = False) -> _Row:
        """Lay out a row that names a group."""
        words = f"{text} (continued)" if continued else text
        block = paragraph(words, self.styles.cell_bold, self.styles)
        height = block.wrap(sum(self.widths) - 2 * _SIDE, 1e6)[1] + _TOP + _BOTTOM
        blanks = [""] * (len(self.columns) - 1)
        return _Row((block, *blanks), height, group=text)

    def measured(self, cells: Sequence[Any], strong: tuple[int, ...] = ()) -> _Row:
        """Make a row of cells that are ready to be drawn."""
        pairs = zip(cells, self.widths, strict=True)
        tallest = max(self._height(cell, width - 2 * _SIDE) for cell, width in pairs)
        return _Row(tuple(cells), tallest + _TOP + _BOTTOM, strong)

    def _lay_out_head(self) -> _Row | None:
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

    def _lay_out(self, row: Sequence[Cell]) -> _Row:
        cells: list[Any] = []
        strong: list[int] = []
        for at, (cell, column) in enumerate(zip(row, self.columns, strict=True)):
            if not isinstance(cell, str | Mark):
                cells.append(cell)
                continue
            text, bold = _words(cell)
            bold = bold or column.strong
            drawn = self._drawn(text, column, self.widths[at] - 2 * _SIDE, bold)
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


class RecordTable(Flowable):
    """Some rows of a grid: prepared ones first, then those of a range."""

    def __init__(
        self, grid: Grid, lead: tuple[_Row, ...], first: int, last: int
    ) -> None:
        super().__init__()
        self._grid = grid
        self._lead = lead
        self._first = first
        self._last = last
        self.spaceBefore = 2
        self.spaceAfter = 8

    def _count(self) -> int:
        return len(self._lead) + self._last - self._first

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 -- the library's names
        """Return the size, or, of a table too tall, a height that forces a split."""
        self._grid.fit(aW)
        height = self._head_height()
        for at in range(self._count()):
            height += self._row(at).height
            if height > aH:
                break
        self.width, self.height = aW, height
        return aW, height

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803 -- the library's names
        """Part the table where a page ends."""
        self._grid.fit(aW)
        room = aH - self._head_height()
        fitting = self._fitting(room)
        if fitting == self._count():
            return [self]
        if self._row(fitting).height > self._page_room(room):
            parts = self._cut(fitting, room)
            if parts:
                return parts
        fitting = self._without_orphans(fitting)
        return self._parted(fitting) if fitting else []

    def draw(self) -> None:
        """Draw all rows."""
        grid = self._grid
        rows = [self._row(at) for at in range(self._count())]
        if grid.head:
            rows.insert(0, grid.head)
        if not rows:
            return
        table = Table(
            [row.cells for row in rows],
            colWidths=grid.widths,
            rowHeights=[row.height for row in rows],
            style=_table_style(grid, rows),
        )
        table.wrapOn(self.canv, self.width, self.height)
        table.drawOn(self.canv, 0, 0)
        grid.forget(self._last)

    def _row(self, at: int) -> _Row:
        if at < len(self._lead):
            return self._lead[at]
        return self._grid.row(self._first + at - len(self._lead))

    def _head_height(self) -> float:
        return self._grid.head.height if self._grid.head else 0.0

    def _fitting(self, room: float) -> int:
        for at in range(self._count()):
            room -= self._row(at).height
            if room < 0:
                return at
        return self._count()

    def _without_orphans(self, fitting: int) -> int:
        """Leave no group's name at the foot and no lone row at the head of a page."""
        if self._count() - fitting == 1 and fitting > 2:
            fitting -= 1
        while fitting and self._row(fitting - 1).group is not None:
            fitting -= 1
        if fitting == 1 and self._count() > 2 and not self._at_top():
            return 0
        return fitting

    def _at_top(self) -> bool:
        frame = getattr(self, "_frame", None)
        return frame is None or bool(getattr(frame, "_atTop", True))

    def _parted(self, fitting: int) -> list[Flowable]:
        upper = self._piece(0, fitting)
        lower = self._piece(fitting, self._count(), self._carried(fitting))
        return [upper, lower]

    def _piece(
        self, start: int, end: int, before: tuple[_Row, ...] = ()
    ) -> RecordTable:
        leads = len(self._lead)
        first = self._first + max(0, start - leads)
        last = self._first + max(0, end - leads)
        return RecordTable(
            self._grid, before + self._lead[min(start, leads) : end], first, last
        )

    def _carried(self, at: int) -> tuple[_Row, ...]:
        """Return the name of the group that a page begins in the middle of."""
        if at < self._count() and self._row(at).group is not None:
            return ()
        for before in range(at - 1, -1, -1):
            group = self._row(before).group
            if group is not None:
                return (self._grid.group_row(group, continued=True),)
        return ()

    def _cut(self, at: int, room: float) -> list[Flowable]:
        """Part within a row that is taller than a page."""
        room -= sum(self._row(before).height for before in range(at))
        if room < _LEAST_CUT:
            return []
        halves = self._halves(self._row(at), room - _TOP - _BOTTOM)
        if not halves:
            return []
        upper, lower = halves
        before = tuple(self._row(above) for above in range(at))
        first = self._first + max(0, at - len(self._lead))
        whole = RecordTable(self._grid, (*before, upper), first, first)
        rest = self._piece(at + 1, self._count(), (*self._carried(at), lower))
        return [whole, rest]

    def _page_room(self, room: float) -> float:
        """Return the height that an empty page gives to rows."""
        frame: Any = getattr(self, "_frame", None)
        if frame is None:
            return room
        page = frame._height - frame._topPadding - frame._bottomPadding  # noqa: SLF001 -- no public name
        return float(page) - self._head_height()

    def _halves(self, row: _Row, room: float) -> tuple[_Row, _Row] | None:
        upper: list[Any] = []
        lower: list[Any] = []
        for cell, width in zip(row.cells, self._grid.widths, strict=True):
            above, below = _divided_cell(cell, width - 2 * _SIDE, room)
            upper.append(above)
            lower.append(below)
        if not any(lower):
            return None
        return (
            self._grid.measured(upper, row.strong),
            self._grid.measured(lower, row.strong),
        )


def _divided_cell(cell: Any, width: float, room: float) -> tuple[Any, Any]:
    """Part a cell at a height into what stays and what goes to the next page."""
    if isinstance(cell, str):
        return cell, ""
    blocks = list(cell) if isinstance(cell, list) else [cell]
    above: list[Any] = []
    while blocks:
        height = float(blocks[0].wrap(width, 1e6)[1])
        if height > room:
            parts = blocks[0].split(width, room)
            if len(parts) > 1:
                above.append(parts[0])
                blocks[:1] = parts[1:]
            break
        room -= height
        above.append(blocks.pop(0))
    return above or "", blocks or ""


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


def _table_style(grid: Grid, rows: Sequence[_Row]) -> list[tuple[Any, ...]]:
    cell, bold = grid.styles.cell, grid.styles.cell_bold
    whole = ((0, 0), (-1, -1))
    style: list[tuple[Any, ...]] = [
        ("FONT", *whole, cell.fontName, cell.fontSize, cell.leading),
        ("TEXTCOLOR", *whole, INK),
        ("VALIGN", *whole, "TOP"),
        ("LEFTPADDING", *whole, _SIDE),
        ("RIGHTPADDING", *whole, _SIDE),
        ("TOPPADDING", *whole, _TOP),
        ("BOTTOMPADDING", *whole, _BOTTOM),
        ("LINEBELOW", (0, -1), (-1, -1), 0.6, RULE),
    ]
    if grid.ruled:
        style.append(("LINEBELOW", (0, 0), (-1, -2), 0.4, HAIRLINE))
    if grid.head:
        style.append(("LINEBELOW", (0, 0), (-1, 0), 0.9, INK))
    else:
        style.append(("LINEABOVE", (0, 0), (-1, 0), 0.6, RULE))
    for at, column in enumerate(grid.columns):
        if column.align != "left":
            style.append(("ALIGN", (at, 0), (at, -1), column.align.upper()))
    for at, row in enumerate(rows):
        style += (
            ("FONTNAME", (col, at), (col, at), bold.fontName) for col in row.strong
        )
        if row.group is not None:
            style += [
                ("SPAN", (0, at), (-1, at)),
                ("BACKGROUND", (0, at), (-1, at), TINT),
            ]
    return style
