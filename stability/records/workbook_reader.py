"""Tables of an XLSX workbook: values only, nothing worked out and nothing fetched."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Final

from stability.errors.archives import AnchorFormError
from stability.errors.files import ReceivedFileError, RowsError
from stability.model.entry import Head, parse_anchor
from stability.records.anchors import WORKBOOK_ANCHORS
from stability.records.headings import titles_above
from stability.records.received_file import ReceivedTable
from stability.records.sheet_table import (
    SheetTable,
    TableRow,
    check_header,
    letters,
)
from stability.records.workbook_cells import CellFault, cell_text
from stability.records.workbook_safety import check_workbook

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

#: Sheet of a workbook of ours that says what holds for the whole day.
DAY_SHEET: Final = "Day"
#: Ends the name of a cell that holds where a study's record stood.
_RECORD: Final = " record"
#: Rows of that sheet in which names stand [-].
_MOST_NAMES: Final = 2_000
_MOST_ROWS: Final = 100_000
_MOST_COLUMNS: Final = 300
_MOST_CELLS: Final = 1_000_000


def read_workbook(
    content: bytes, name: str, sheet: str | None, *, decimal_comma: bool
) -> tuple[ReceivedTable, ...]:
    """Return the tables of a workbook.

    Parameters
    ----------
    content
        Its bytes.
    name
        Its name, for messages.
    sheet
        The sheet to read; None for the only one, or for all of a workbook of ours.
    decimal_comma
        Whether its texts write numbers with a comma.

    Raises
    ------
    StabilityError
        If it cannot be opened, something in it is hidden or merged, or it is not
        clear which sheet is meant.
    """
    check_workbook(content, name)
    book = _opened(content, name)
    heads = _heads(book)
    sheets = _sheets(book, name, sheet, ours=bool(heads))
    day = _day_rows(book, decimal_comma=decimal_comma) if heads else {}
    return tuple(
        _received(_table(one, name, decimal_comma=decimal_comma), heads, day)
        for one in sheets
    )


def _opened(content: bytes, name: str) -> Workbook:
    from openpyxl import load_workbook  # noqa: PLC0415  (only where one is read)

    try:
        with warnings.catch_warnings():
            # What the library says of parts that it leaves out is of no use here.
            warnings.simplefilter("ignore")
            return load_workbook(io.BytesIO(content), keep_links=False, rich_text=False)
    # What it raises depends on where the file is damaged.
    except Exception as error:
        reason = "it is damaged or no workbook; save it anew as .xlsx"
        raise ReceivedFileError(name, reason) from error


def _heads(book: Workbook) -> dict[str, Head]:
    """Return study -> where its record stood, of a workbook of ours."""
    # The library has them, its published types do not.
    properties: Iterable[Any] = getattr(book, "custom_doc_props", ())
    named = (str(one.value) for one in properties if one.name == WORKBOOK_ANCHORS)
    text = next(named, "") or " ".join(_told_anchors(book))
    try:
        anchors = [parse_anchor(one) for one in text.split()]
    except AnchorFormError:
        return {}
    return {
        one.subject.partition(":")[2]: one for one in anchors if isinstance(one, Head)
    }


def _told_anchors(book: Workbook) -> Iterator[str]:
    """Yield the anchors in the cells of a workbook whose properties were lost."""
    if DAY_SHEET not in book.sheetnames:
        return
    for name, value in book[DAY_SHEET].iter_rows(
        max_row=_MOST_NAMES, max_col=2, values_only=True
    ):
        if isinstance(name, str) and name.endswith(_RECORD) and isinstance(value, str):
            yield value


def _sheets(
    book: Workbook, name: str, wanted: str | None, *, ours: bool
) -> list[Worksheet]:
    from openpyxl.worksheet.worksheet import Worksheet  # noqa: PLC0415

    every: list[Worksheet] = [
        one for one in book.worksheets if isinstance(one, Worksheet)
    ]
    titles = [one.title for one in every]
    if wanted is not None:
        meant = [one for one in every if one.title == wanted]
        if not meant:
            reason = f"it has no sheet {wanted!r}; its sheets are {', '.join(titles)}"
            raise ReceivedFileError(name, reason)
    else:
        meant = [one for one in every if one.title != DAY_SHEET or not ours]
    hidden = [one.title for one in meant if one.sheet_state != "visible"]
    if hidden:
        reason = (
            f"its sheet {hidden[0]!r} is hidden; show it and look, or name the sheet "
            "to be read with --sheet"
        )
        raise ReceivedFileError(name, reason)
    if ours or wanted is not None:
        return meant
    filled = [one for one in meant if one.max_row > 1 or one["A1"].value is not None]
    if len(filled) != 1:
        reason = (
            f"it has {len(filled)} filled sheets ({', '.join(titles)}); name the one "
            "to be read with --sheet"
        )
        raise ReceivedFileError(name, reason)
    return filled


def _table(sheet: Worksheet, name: str, *, decimal_comma: bool) -> SheetTable:
    _check_extent(sheet, name)
    faults: dict[tuple[int, int], str] = {}
    dated: set[tuple[int, int]] = set()
    faulty: set[int] = set()
    rows: list[TableRow] = []
    for number, cells in enumerate(sheet.iter_rows(), 1):
        texts: list[str] = []
        for column, cell in enumerate(cells):
            try:
                text, is_day = cell_text(cell, decimal_comma=decimal_comma)
            except CellFault as fault:
                text, is_day = "", False
                faults[number, column] = str(fault)
                faulty.add(number)
            texts.append(text)
            if is_day:
                dated.add((number, column))
        if any(texts) or number in faulty:
            rows.append(TableRow(number, tuple(texts)))
    titles = titles_above(one.cells for one in rows)
    header = rows[titles] if rows else TableRow(1, ())
    width = len(header.cells)
    while width and not header.cells[width - 1]:
        width -= 1
    table = SheetTable(
        name,
        sheet.title,
        header.number,
        header.cells[:width],
        tuple(rows[titles + 1 :]),
        frozenset(dated),
        faults,
        titles,
    )
    _check_table(sheet, table)
    return table


def _check_extent(sheet: Worksheet, name: str) -> None:
    rows, columns = sheet.max_row, sheet.max_column
    if rows > _MOST_ROWS or columns > _MOST_COLUMNS or rows * columns > _MOST_CELLS:
        reason = (
            f"its sheet {sheet.title!r} is filled or formatted down to cell "
            f"{letters(columns - 1)}{rows}; delete the empty rows and columns, or copy "
            "the table into a new workbook"
        )
        raise ReceivedFileError(name, reason)


def _check_table(sheet: Worksheet, table: SheetTable) -> None:
    """Refuse what a person would not see, or what is outside the header."""
    check_header(table)
    faults = [
        f"{table.row_place(one.min_row)}: cells {one.coord} are merged; divide them, "
        "so that each row has its own"
        for one in sheet.merged_cells.ranges
        if one.max_row >= table.header_number
    ]
    numbers = {table.header_number, *(row.number for row in table.rows)}
    faults += [
        f"{table.row_place(number)}: it is hidden, by hand or by a filter; show all "
        "rows"
        for number in sorted(numbers)
        if sheet.row_dimensions[number].hidden
    ]
    faults += [
        f"{table.cell_place(table.header_number, place)}: the column is hidden; show it"
        for place in _hidden_columns(sheet, len(table.header))
    ]
    faults += [
        f"{table.cell_place(row.number, place)}: {row.cells[place]!r} stands in a "
        "column without a heading; give it one, or delete it"
        for row in table.rows
        for place in range(len(row.cells))
        if row.cells[place] and not _headed(table, place)
    ]
    faults += [
        f"{table.cell_place(number, place)}: {fault}"
        for (number, place), fault in table.faults.items()
        if number == table.header_number
        or (number > table.header_number and not _headed(table, place))
    ]
    if faults:
        raise RowsError(table.file, faults)


def _headed(table: SheetTable, place: int) -> bool:
    return place < len(table.header) and bool(table.header[place])


def _hidden_columns(sheet: Worksheet, width: int) -> Iterator[int]:
    for dimension in sheet.column_dimensions.values():
        first, last = dimension.min or 1, dimension.max or width
        if dimension.hidden:
            yield from range(first - 1, min(last, width))


_SETTING = re.compile(r"[^.=;]+\.[^.=;]+")


def _day_rows(book: Workbook, *, decimal_comma: bool) -> dict[str, str]:
    """Return name -> value of the sheet that says what holds for the whole day."""
    if DAY_SHEET not in book.sheetnames:
        return {}
    sheet = book[DAY_SHEET]
    _check_extent(sheet, DAY_SHEET)
    told: dict[str, str] = {}
    for number, cells in enumerate(sheet.iter_rows(max_col=2), 1):
        try:
            name, value = (
                cell_text(cell, decimal_comma=decimal_comma)[0] for cell in cells
            )
        except CellFault as fault:
            where = f"sheet {DAY_SHEET}, row {number}"
            raise ReceivedFileError(where, str(fault)) from fault
        if name and value:
            told[name] = value
    return told


def _received(
    table: SheetTable, heads: Mapping[str, Head], day: Mapping[str, str]
) -> ReceivedTable:
    """Return a table with what a workbook of ours says of it."""
    code = (table.sheet or "").strip().upper()
    if code not in heads:
        return ReceivedTable(table)
    own = f"{code} "
    named = {
        name.removeprefix(own): value
        for name, value in day.items()
        if name.startswith(own)
    }
    settings = tuple(
        f"{name}={value}" for name, value in named.items() if _SETTING.fullmatch(name)
    )
    facts = {
        name: value
        for name, value in named.items()
        if name in {"observers", "control", "blind", "person"}
    }
    return ReceivedTable(table, code, heads[code], settings, facts)
