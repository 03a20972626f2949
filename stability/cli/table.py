"""A table as lines of plain text that fit the terminal; nothing is cut off."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import le

_GAP = "  "
_INDENT = "    "
#: No column is made narrower than this [characters].
_NARROWEST = 8
#: Words longer than this may be broken [characters].
_LONGEST_WORD = 20
#: Below this a table that would break words is told row by row, as on a telephone
#: [characters].
_NARROW = 60


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a listing."""

    #: Stable key in JSON and CSV, with its unit where a bare number stands under it.
    key: str
    #: Heading of the table; "" leaves the column out of the table.
    title: str
    #: True where figures are set to the right.
    right: bool = False
    #: True where the cell is said in a line of its own above the rows that share it.
    above: bool = False
    #: True where the cell is said in a line of its own below the row.
    below: bool = False
    #: True where it holds a day or a time, which a table shows without its offset.
    moment: bool = False

    @property
    def is_inside(self) -> bool:
        """Say whether it stands in the table proper."""
        return not (self.above or self.below)


def table_lines(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int | None
) -> list[str]:
    """Return a table as lines of text, wide cells wrapped to fit.

    Parameters
    ----------
    columns
        With a title each.
    cells
        One sequence a row, as many cells as columns.
    width
        Columns of the terminal [characters]; None lets every column be as wide as
        its widest cell.
    """
    inside = [place for place, one in enumerate(columns) if one.is_inside]
    shown = [columns[place] for place in inside]
    rows = [[row[place] for place in inside] for row in cells]
    titles = [column.title for column in shown]
    widths = _widths([titles, *rows], width)
    if _is_too_wide(widths, rows, width):
        return _told_lines(columns, cells, width or 0)
    lines = _row_lines(titles, shown, widths)
    lines.append(_GAP.join("─" * one for one in widths))
    if len(inside) == len(columns):
        for row in rows:
            lines += _row_lines(row, shown, widths)
        return lines
    heading = ""
    for row, whole in zip(rows, cells, strict=True):
        above, below = _beside(columns, whole)
        if above != heading:
            heading = above
            lines += wrapped(heading, width)
        lines += _row_lines(row, shown, widths)
        room = None if width is None else width - len(_INDENT)
        lines += [f"{_INDENT}{line}" for line in wrapped(below, room) if line]
    return lines


def _is_too_wide(
    widths: Sequence[int], rows: Sequence[Sequence[str]], width: int | None
) -> bool:
    """Say whether a telephone shows columns that break a word, or do not fit at all.

    Two columns are read with ease however narrow they are.
    """
    if width is None or width >= _NARROW or len(widths) < 3:
        return False
    if sum(widths) + len(_GAP) * (len(widths) - 1) > width:
        return True
    return any(
        columns_of(word) > size
        for row in rows
        for cell, size in zip(row, widths, strict=True)
        for word in cell.split()
    )


def _told_lines(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int
) -> list[str]:
    """Return each row as a line of titles and cells, set in where it goes on."""
    lines = []
    heading = ""
    for row in cells:
        above, below = _beside(columns, row)
        if above != heading:
            heading = above
            lines += hanging(heading, width)
        told = " · ".join(
            f"{one.title} {cell}"
            for one, cell in zip(columns, row, strict=True)
            if one.is_inside and cell
        )
        lines += hanging(f"  {told}", width)
        lines += hanging(f"{_INDENT}{below}", width) if below else []
    return lines


def _beside(columns: Sequence[Column], row: Sequence[str]) -> tuple[str, str]:
    """Return what is said above and below a row."""
    above = [cell for one, cell in zip(columns, row, strict=True) if one.above and cell]
    below = [cell for one, cell in zip(columns, row, strict=True) if one.below and cell]
    return ", ".join(dict.fromkeys(above)), "; ".join(below)


def _widths(rows: Sequence[Sequence[str]], width: int | None) -> list[int]:
    """Return how wide each column is: as its widest cell, or narrower to fit."""
    places = range(len(rows[0]))
    widths = [max(columns_of(row[place]) for row in rows) for place in places]
    if width is None:
        return widths
    words = [
        max(columns_of(word) for row in rows for word in (row[place].split() or [""]))
        for place in places
    ]
    least = [min(max(word, _NARROWEST), _LONGEST_WORD) for word in words]
    return _narrowed(_narrowed(widths, least, width), [_NARROWEST] * len(widths), width)


def _narrowed(widths: Sequence[int], least: Sequence[int], width: int) -> list[int]:
    """Take from the widest column that can give, until the table fits."""
    found = list(widths)
    while sum(found) + len(_GAP) * (len(found) - 1) > width:
        giving = [place for place, one in enumerate(found) if one > least[place]]
        if not giving:
            break
        found[max(giving, key=lambda place: found[place])] -= 1
    return found


def _row_lines(
    row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]
) -> list[str]:
    sizes = list(map(columns_of, row))
    if all(map(le, sizes, widths)):
        spaces = [
            " " * (width - size) for size, width in zip(sizes, widths, strict=True)
        ]
        return [_GAP.join(map(_side_by_side, row, spaces, columns)).rstrip()]
    parts = [wrapped(cell, width) for cell, width in zip(row, widths, strict=True)]
    lines = []
    for level in range(max(map(len, parts))):
        line = [
            _padded(part[level] if level < len(part) else "", width, column)
            for part, width, column in zip(parts, widths, columns, strict=True)
        ]
        lines.append(_GAP.join(line).rstrip())
    return lines


def _padded(text: str, width: int, column: Column) -> str:
    return _side_by_side(text, " " * (width - columns_of(text)), column)


def _side_by_side(text: str, space: str, column: Column) -> str:
    return space + text if column.right else text + space


def wrapped(text: str, width: int | None) -> list[str]:
    """Return a text as lines of at most so many columns, at spaces where it can."""
    if width is None or columns_of(text) <= width:
        return [text]
    lines = [""]
    for word in text.split():
        for piece in _pieces(word, width):
            joined = f"{lines[-1]} {piece}".strip()
            if columns_of(joined) <= width:
                lines[-1] = joined
            else:
                lines.append(piece)
    return lines


def hanging(text: str, width: int | None) -> list[str]:
    """Return a line as lines of at most so many columns, those after it set in.

    Gaps inside it stay as they are.

    Examples
    --------
    >>> hanging("  last 5.47 / 5.49; limit 5.0 to 6.0", 26)
    ['  last 5.47 / 5.49; limit', '    5.0 to 6.0']
    """
    if width is None or columns_of(text) <= width:
        return [text]
    set_in = " " * (len(text) - len(text.lstrip()))
    lines, begun = [], set_in
    for word in re.findall(r"\S+\s*", text):
        for piece in _pieces(word.rstrip(), max(1, width - len(set_in) - 2)):
            if begun.strip() and columns_of(begun + piece) > width:
                lines.append(begun.rstrip())
                begun = f"{set_in}  "
            begun += piece
        begun += word[len(word.rstrip()) :]
    return [*lines, begun.rstrip()]


def _pieces(word: str, width: int) -> Iterator[str]:
    """Break a word that is wider than a line."""
    piece = ""
    for sign in word:
        if columns_of(piece + sign) > width:
            yield piece
            piece = ""
        piece += sign
    yield piece


def columns_of(text: str) -> int:
    """Return how many columns a text takes on a terminal [characters]."""
    return len(text) if text.isascii() else sum(map(_columns_of_sign, text))


def _columns_of_sign(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1
