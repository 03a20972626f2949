"""A table as it was received, split into cells before anything is understood."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from stability.errors.files import RowsError
from stability.model.quick import quick
from stability.records.headings import is_title, titles_above

_SEPARATORS: Final = (",", ";", "\t")
#: The first line with which some programs name what stands between cells.
_NAMED_SEPARATOR = re.compile(r"sep=([,;\t])")


@quick
@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table that is not empty."""

    #: Line of a text file on which it begins, or row of a sheet.
    number: int
    #: Its cells in the order of the columns, without blanks around them.
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table: a text file, or one sheet of a workbook."""

    #: Name of the file.
    file: str
    #: Name of the sheet; None for a text file.
    sheet: str | None
    #: Line or row of the header.
    header_number: int
    #: Headings, without blanks around them; "" where a column has none.
    header: tuple[str, ...]
    #: Rows below the header, empty ones left out.
    rows: tuple[TableRow, ...]
    #: Row and column (from 0) of cells that hold a day and no text.
    dated: frozenset[tuple[int, int]] = frozenset()
    #: Row and column (from 0) -> what is wrong with the cell.
    faults: dict[tuple[int, int], str] = field(default_factory=dict)
    #: Rows of a title above the header [-].
    titles: int = 0

    def row_place(self, number: int) -> str:
        """Return how a message names a row: `line 7`, or `sheet Readings, row 7`."""
        if self.sheet is None:
            return f"line {number}"
        return f"sheet {self.sheet}, row {number}"

    def cell_place(self, number: int, column: int) -> str:
        """Return how a message names a cell, by its row, its column and its heading."""
        heading = self.header[column] if column < len(self.header) else ""
        told = f" ({heading})" if heading else ""
        if self.sheet is None:
            named = heading or str(column + 1)
            return f"{self.row_place(number)}, column {named}"
        return f"{self.row_place(number)}, column {letters(column)}{told}"


def letters(column: int) -> str:
    """Return the letters by which a spreadsheet names a column, counted from 0.

    Examples
    --------
    >>> letters(0), letters(27)
    ('A', 'AB')
    """
    name = ""
    column += 1
    while column:
        column, place = divmod(column - 1, 26)
        name = chr(ord("A") + place) + name
    return name


def read_csv(text: str, file: str) -> SheetTable:
    """Split the text of a file into cells.

    Parameters
    ----------
    text
        With comma, semicolon or tab between cells.
    file
        Its name, for messages.

    Raises
    ------
    RowsError
        If a row has more cells than the header, or quotes are not closed.
    """
    first, _, rest = text.partition("\n")
    named = _NAMED_SEPARATOR.fullmatch(first.strip(" "))
    skipped = 1 if named else 0
    if named:
        text, delimiter = rest, named[1]
    else:
        delimiter = max(_SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    try:
        filled = list(_filled(reader, skipped))
    except csv.Error as error:
        number = reader.line_num + skipped
        raise RowsError(file, [f"line {number}: {error}"]) from error
    titles = titles_above(one.cells for one in filled)
    header = filled[titles].cells if filled else ()
    rows = tuple(_fitted(one, len(header)) for one in filled[titles + 1 :])
    number = filled[titles].number if filled else 1 + skipped
    table = SheetTable(file, None, number, header, rows, titles=titles)
    check_header(table)
    faults = [
        f"{table.row_place(row.number)}: it has more cells than the header has columns"
        for row in rows
        if len(row.cells) > len(header)
    ]
    if faults:
        raise RowsError(file, faults)
    return table


def check_header(table: SheetTable) -> None:
    """Refuse a table whose first row is a title and in which no header is found.

    Raises
    ------
    RowsError
        If its first row has one cell, and others more.
    """
    if is_title(table.header) and any(
        sum(map(bool, row.cells)) > 1 for row in table.rows
    ):
        fault = (
            f"{table.row_place(table.header_number)}: "
            f"{next(filter(None, table.header))!r} is a title, and no header was found "
            "below it; name the columns that tell sample and day sample and date"
        )
        raise RowsError(table.file, [fault])


def _filled(reader: Iterator[list[str]], skipped: int) -> Iterator[TableRow]:
    """Yield rows that hold something, without blanks around their cells."""
    number = getattr(reader, "line_num", 0) + 1
    for cells in reader:
        stripped = tuple(map(str.strip, cells))
        if any(stripped):
            yield TableRow(number + skipped, stripped)
        number = getattr(reader, "line_num", number) + 1


def _fitted(row: TableRow, width: int) -> TableRow:
    """Return a row filled up, or cut of empty cells, to the width of the header."""
    cells = row.cells
    while len(cells) > width and not cells[-1]:
        cells = cells[:-1]
    if cells is row.cells and len(cells) >= width:
        return row
    return TableRow(row.number, (*cells, *[""] * (width - len(cells))))
