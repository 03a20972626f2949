"""Boxes to be filled in with a pen: cells side by side, in blocks that stay whole.

A cell holds empty boxes or numbers to circle, with words above and below them that
wrap inside it. Cells stand in rows of four columns; a row is never cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from reportlab.lib.colors import black, white
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph

from stability.report.fonts import Face, ReportFonts
from stability.report.qr_code import draw_qr
from stability.report.styles import ReportStyles, paragraph
from stability.report.text import draw_runs, shortened, text_runs, text_width

#: Columns of a row [-].
COLUMNS: Final = 4
#: Height of a box that takes a pen [mm].
BOX_HEIGHT: Final = 9.0
#: Height of a line of numbers to circle [mm].
CIRCLE_HEIGHT: Final = 8.0
_PAD: Final = 1.4 * mm
_GAP: Final = 1.2 * mm
_LEAD: Final = 6.4
_CHOICE: Final = 10.0
_CORNER: Final = 6.2
#: Least distance between the middles of two things to circle [mm].
_APART: Final = 6.5
#: Width of a box that stands beside numbers to circle [mm].
_BESIDE: Final = 14.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One thing to be filled in."""

    #: What.
    title: str
    #: Small words above it, such as the stage; "" for none.
    lead: str = ""
    #: Words in the corner of each empty box, such as a unit.
    boxes: tuple[str, ...] = ()
    #: Height of each empty box [mm].
    box_height: float = BOX_HEIGHT
    #: Words or numbers to circle.
    choices: tuple[str, ...] = ()
    #: Before each line of choices, such as an observer; one empty word for one line.
    lines: tuple[str, ...] = ("",)
    #: Small words below, one paragraph each.
    notes: tuple[str, ...] = ()
    #: Columns that it takes [-].
    span: int = 1


@dataclass(frozen=True, slots=True)
class BlockHead:
    """What stands at the head of a block of cells."""

    #: In large letters, such as a sample code; also what the QR code holds.
    code: str
    #: Further lines, the first in bold.
    lines: tuple[str, ...] = ()
    #: Words in the corners of the boxes at the right.
    boxes: tuple[str, ...] = ()


_HEAD_HEIGHT: Final = 15.2 * mm
_QR: Final = 14 * mm
_HEAD_BOX: Final = 20 * mm


class CellBlock(Flowable):
    """A frame around a head and rows of cells; split between rows, if at all.

    Parameters
    ----------
    head
        What stands above the cells; None for nothing.
    rows
        Cells row by row, as `in_rows` makes them.
    styles
        The sheet's styles.
    room
        Height of an empty page [points]; a lower block is not split.
    """

    def __init__(
        self,
        head: BlockHead | None,
        rows: Sequence[Sequence[Cell]],
        styles: ReportStyles,
        room: float,
    ) -> None:
        super().__init__()
        self._head = head
        self._rows = rows
        self._styles = styles
        self._room = room
        self.spaceAfter = 2 * mm
        self._laid_out: list[list[_LaidOut]] = []

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 -- the library's names
        """Return the size in the width that there is."""
        del aH
        self.width = aW
        self._laid_out = [
            _laid_out(row, aW / COLUMNS, self._styles) for row in self._rows
        ]
        self.height = self._head_height + sum(map(_row_height, self._laid_out))
        return aW, self.height

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803 -- the library's names
        """Go to the next page whole, or part where no page holds it."""
        self.wrap(aW, aH)
        if self.height <= self._room:
            return []
        left, fitting = aH - self._head_height, 0
        for row in self._laid_out:
            left -= _row_height(row)
            if left < 0:
                break
            fitting += 1
        if fitting == 0:
            return []
        return [
            CellBlock(self._head, self._rows[:fitting], self._styles, self._room),
            CellBlock(self._goes_on(), self._rows[fitting:], self._styles, self._room),
        ]

    def draw(self) -> None:
        """Draw frame, head and cells."""
        canvas = self.canv
        canvas.saveState()
        canvas.setStrokeColor(black)
        canvas.setFillColor(black)
        top = self.height
        if self._head is not None:
            self._draw_head(self._head, top)
            top -= _HEAD_HEIGHT
        for row in self._laid_out:
            height, left = _row_height(row), 0.0
            canvas.setLineWidth(0.3)
            canvas.line(0, top, self.width, top)
            for one in row:
                one.draw(canvas, left, top)
                left += one.width
                if left < self.width - 1:
                    canvas.setLineWidth(0.3)
                    canvas.line(left, top, left, top - height)
            top -= height
        canvas.setLineWidth(0.9)
        canvas.rect(0, 0, self.width, self.height)
        canvas.restoreState()

    @property
    def _head_height(self) -> float:
        return 0.0 if self._head is None else _HEAD_HEIGHT

    def _goes_on(self) -> BlockHead | None:
        if self._head is None:
            return None
        first, *rest = self._head.lines or ("",)
        return BlockHead(self._head.code, (f"{first} (continued)", *rest))

    def _draw_head(self, head: BlockHead, top: float) -> None:
        canvas, fonts = self.canv, self._styles.fonts
        draw_qr(canvas, head.code, 0.2 * mm, top - 0.2 * mm, _QR)
        left = _QR + 1.5 * mm
        end = self.width - _PAD
        for word in reversed(head.boxes):
            end -= _HEAD_BOX
            corner = (end, top - (1.2 + BOX_HEIGHT) * mm)
            size = (_HEAD_BOX - 1 * mm, BOX_HEIGHT * mm)
            _draw_box(canvas, corner, size, word, fonts)
        draw_runs(canvas, left, top - 5 * mm, text_runs(head.code, fonts, "bold"), 14)
        base = top - 8.2 * mm
        for number, line in enumerate(head.lines):
            # The boxes stand beside the code and the first line only.
            room = (end if number == 0 else self.width - _PAD) - left - 1 * mm
            face: Face = "regular" if number else "bold"
            words = shortened(line, 7, room, fonts, face)
            draw_runs(canvas, left, base, text_runs(words, fonts, face), 7)
            base -= 2.8 * mm


def in_rows(cells: Iterable[Cell]) -> list[list[Cell]]:
    """Return cells in rows of four columns, in their order."""
    rows: list[list[Cell]] = []
    free = 0
    for cell in cells:
        if cell.span > free:
            rows.append([])
            free = COLUMNS
        rows[-1].append(cell)
        free -= cell.span
    return rows


def _laid_out(
    row: Sequence[Cell], column: float, styles: ReportStyles
) -> list[_LaidOut]:
    """Lay the cells of a row out; words above them take room only where there are."""
    above = _LEAD + 1.5 if any(cell.lead for cell in row) else 0.0
    return [_LaidOut(cell, column * cell.span, above, styles) for cell in row]


class _LaidOut:
    """A cell in the width that it has."""

    def __init__(
        self, cell: Cell, width: float, above: float, styles: ReportStyles
    ) -> None:
        self.cell = cell
        self.width = width
        self._above = above
        self._styles = styles
        self._inner = width - 2 * _PAD
        self._title = paragraph(cell.title, styles.cell_bold, styles)
        self._notes = [paragraph(one, styles.small, styles) for one in cell.notes]

    @cached_property
    def height(self) -> float:
        """Return the height that everything takes."""
        parts = [self._above, self._high(self._title), _GAP]
        if self.cell.choices:
            lines = self._choice_lines * len(self.cell.lines)
            parts.append(self._choice_height * lines)
        if self.cell.boxes and not self._is_beside:
            parts.append(self._box_room * self._box_lines)
        parts += [self._high(one) for one in self._notes]
        return sum(parts) + 2 * _PAD

    def draw(self, canvas: Canvas, left: float, top: float) -> None:
        """Draw the cell below a line, at the right of another."""
        x, y = left + _PAD, top - _PAD
        fonts = self._styles.fonts
        lead = shortened(self.cell.lead, _LEAD, self._inner, fonts)
        draw_runs(canvas, x, y - _LEAD + 1, text_runs(lead, fonts), _LEAD)
        y = self._draw_words(canvas, self._title, x, y - self._above) - _GAP
        if self.cell.choices:
            y = self._draw_choices(canvas, x, y)
        if self.cell.boxes:
            y = self._draw_boxes(canvas, x, y)
        for note in self._notes:
            y = self._draw_words(canvas, note, x, y)

    def _high(self, words: Paragraph) -> float:
        return float(words.wrap(self._inner, 1e6)[1])

    def _draw_words(
        self, canvas: Canvas, words: Paragraph, x: float, y: float
    ) -> float:
        height = self._high(words)
        words.drawOn(canvas, x, y - height)
        return y - height

    @property
    def _is_beside(self) -> bool:
        """Say whether one box stands at the right of one line of choices."""
        lone = len(self.cell.boxes) == len(self.cell.lines) == 1
        if not (lone and self.cell.choices):
            return False
        room = self._inner - _BESIDE * mm
        return len(self.cell.choices) * self._apart <= room

    @property
    def _apart(self) -> float:
        """Return the least distance between the middles of two choices."""
        fonts = self._styles.fonts
        widest = max(text_width(one, _CHOICE, fonts) for one in self.cell.choices)
        return max(widest + 3 * mm, _APART * mm)

    @property
    def _choice_height(self) -> float:
        return (BOX_HEIGHT * mm + _GAP) if self._is_beside else CIRCLE_HEIGHT * mm

    @property
    def _choice_room(self) -> float:
        beside = (_BESIDE + 1) * mm if self._is_beside else 0.0
        return self._inner - self._name_width - beside

    @property
    def _per_line(self) -> int:
        """Return how many choices stand on one line."""
        fitting = max(1, int(self._choice_room // self._apart))
        return min(fitting, len(self.cell.choices))

    @property
    def _name_width(self) -> float:
        """Return the room of the names before the lines of choices."""
        named = any(self.cell.lines)
        return min(self._inner * 0.4, 24 * mm) if named else 0.0

    @property
    def _choice_lines(self) -> int:
        return -(-len(self.cell.choices) // self._per_line)

    @property
    def _box_lines(self) -> int:
        return -(-len(self.cell.boxes) // self._boxes_per_line)

    @property
    def _box_room(self) -> float:
        """Return the height of a line of boxes with the gap below it."""
        return self.cell.box_height * mm + _GAP

    @property
    def _boxes_per_line(self) -> int:
        return 2 * self.cell.span

    def _draw_choices(self, canvas: Canvas, x: float, y: float) -> float:
        fonts, each = self._styles.fonts, self._per_line
        across = self._choice_room / each
        for name in self.cell.lines:
            if name:
                words = shortened(name, 7, self._name_width - 2, fonts)
                middle = y - self._choice_height / 2 - 2.5
                draw_runs(canvas, x, middle, text_runs(words, fonts), 7)
            for number, choice in enumerate(self.cell.choices):
                down, place = divmod(number, each)
                room = across - 1 * mm
                words = shortened(choice, _CHOICE, room, fonts)
                wide = text_width(words, _CHOICE, fonts)
                at = x + self._name_width + place * across + (across - wide) / 2
                base = y - (down + 0.5) * self._choice_height - _CHOICE * 0.36
                draw_runs(canvas, at, base, text_runs(words, fonts), _CHOICE)
            y -= self._choice_height * self._choice_lines
        return y

    def _draw_boxes(self, canvas: Canvas, x: float, y: float) -> float:
        fonts = self._styles.fonts
        if self._is_beside:
            right = x + self._inner - _BESIDE * mm
            corner = (right, y + _GAP)
            size = (_BESIDE * mm, BOX_HEIGHT * mm)
            _draw_box(canvas, corner, size, self.cell.boxes[0], fonts)
            return y
        each = min(self._boxes_per_line, len(self.cell.boxes))
        width = (self._inner - (each - 1) * _GAP) / each
        for number, word in enumerate(self.cell.boxes):
            down, place = divmod(number, each)
            left = x + place * (width + _GAP)
            bottom = y - (down + 1) * self._box_room + _GAP
            size = (width, self.cell.box_height * mm)
            _draw_box(canvas, (left, bottom), size, word, fonts)
        return y - self._box_lines * self._box_room


def _row_height(row: Sequence[_LaidOut]) -> float:
    return max(one.height for one in row)


def _draw_box(
    canvas: Canvas,
    corner: tuple[float, float],
    size: tuple[float, float],
    word: str,
    fonts: ReportFonts,
) -> None:
    """Draw an empty box with a small word in its lower right corner."""
    width, height = size
    left, bottom = corner
    canvas.setLineWidth(0.7)
    canvas.setFillColor(white)
    canvas.rect(left, bottom, width, height, fill=1)
    canvas.setFillColor(black)
    shown = shortened(word, _CORNER, width - 1.5 * mm, fonts)
    at = left + width - text_width(shown, _CORNER, fonts) - 0.7 * mm
    draw_runs(canvas, at, bottom + 0.8 * mm, text_runs(shown, fonts), _CORNER)
