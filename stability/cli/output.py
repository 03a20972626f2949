"""Rows printed as a table, JSON or CSV; data to standard output, the rest beside it."""

from __future__ import annotations

import csv
import json
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import typer

from stability.cli.options import Format
from stability.workflow.written import Written

#: A cell: text, number, yes or no, or nothing.
Cell = str | int | float | bool | None
Row = Mapping[str, Cell]

#: Printed wherever statistics or a report are printed.
ASSESSMENT = (
    "This supports, and does not replace, assessment by a qualified safety assessor; "
    "follow the rules of the place of sale."
)
#: Digits of a digest that are printed; enough for `verify --against`.
SHOWN_DIGITS = 16
_GAP = "  "
_NARROWEST = 8
_TURNING = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a listing."""

    #: Stable key in JSON and CSV, with its unit where a bare number stands under it.
    key: str
    #: Heading of the table; "" leaves the column out of the table.
    title: str
    #: True where figures are set to the right.
    right: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """Rows of one kind, ready to print in any format."""

    #: Key of the rows in JSON.
    name: str
    #: Columns in order.
    columns: Sequence[Column]
    #: One mapping a row, column key -> cell.
    rows: Sequence[Row]
    #: Printed instead of a table without rows.
    empty: str
    #: Facts about all rows: keys beside them in JSON, a line above the table.
    facts: Mapping[str, Cell] = field(default_factory=dict)
    #: Lines below the table; key "notes" in JSON; to standard error with CSV.
    notes: Sequence[str] = ()


def print_listing(listing: Listing, form: Format) -> None:
    """Print a listing to standard output in the format asked for."""
    if form is Format.json:
        print_json(
            {
                **listing.facts,
                listing.name: [_complete(listing, row) for row in listing.rows],
                "notes": list(listing.notes),
            }
        )
    elif form is Format.csv:
        _print_csv(listing)
        tell(*listing.notes)
    else:
        _print_table(listing)


def print_json(content: object) -> None:
    """Print JSON to standard output."""
    typer.echo(json.dumps(content, ensure_ascii=False, indent=2, allow_nan=False))


def tell(*lines: str) -> None:
    """Print lines for people to standard error."""
    for line in lines:
        typer.echo(line, err=True)


def tell_written(
    written: Sequence[Written],
    marks: Callable[[], Mapping[str, str]] = dict[str, str],
) -> None:
    """Say what was written, one line an entry, and where the record stands now.

    Parameters
    ----------
    written
        Entries that are stored.
    marks
        Holds readings against their limits; what is stored is told even if it fails.
    """
    judged: Mapping[str, str] = {}
    try:
        judged = marks()
    finally:
        for one in written:
            mark = judged.get(one.reference)
            tell(f"{one.reference}  {visible(one.text)}{f'; {mark}' if mark else ''}")
            tell(*(f"    {visible(remark)}" for remark in one.remarks))
        if written:
            tell(f"record: {short_anchor(written[-1].anchor)}")
        sys.stderr.flush()


def short_anchor(anchor: str) -> str:
    """Return an anchor with as many digits of the digest as are printed."""
    head, _, digest = anchor.rpartition(":")
    return f"{head}:{digest[:SHOWN_DIGITS]}"


def visible(text: str) -> str:
    """Return text without characters that would steer a terminal or turn its order."""
    return "".join(f"[U+{ord(sign):04X}]" if _steers(sign) else sign for sign in text)


def _steers(sign: str) -> bool:
    turns = unicodedata.bidirectional(sign) in _TURNING
    return turns or unicodedata.category(sign) == "Cc"


def _complete(listing: Listing, row: Row) -> dict[str, Cell]:
    return {column.key: row.get(column.key) for column in listing.columns}


def _print_csv(listing: Listing) -> None:
    keys = [column.key for column in listing.columns]
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(keys)
    writer.writerows([row.get(key) for key in keys] for row in listing.rows)


def _print_table(listing: Listing) -> None:
    facts = [f"{key}: {value}" for key, value in listing.facts.items() if value]
    if facts:
        typer.echo(" · ".join(facts).replace("_", " "))
    columns = [column for column in listing.columns if column.title]
    if listing.rows:
        cells = [
            [_text(row.get(column.key)) for column in columns] for row in listing.rows
        ]
        for line in table_lines(columns, cells, _terminal_width()):
            typer.echo(line)
    else:
        typer.echo(listing.empty)
    for note in listing.notes:
        typer.echo(f"\n{note}" if note == listing.notes[0] else note)


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return visible(str(cell))


def _terminal_width() -> int | None:
    """Return the columns of the terminal; None where the output goes elsewhere."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


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
    titles = [column.title for column in columns]
    widths = [
        max(_columns_of(row[place]) for row in [titles, *cells])
        for place in range(len(columns))
    ]
    if width is not None:
        widths = _narrowed(widths, width)
    lines = _row_lines(titles, columns, widths)
    lines.append(_GAP.join("─" * one for one in widths))
    for row in cells:
        lines += _row_lines(row, columns, widths)
    return lines


def _narrowed(widths: list[int], width: int) -> list[int]:
    """Take from the widest column until the table fits or every column is narrow."""
    widths = list(widths)
    while sum(widths) + len(_GAP) * (len(widths) - 1) > width:
        widest = widths.index(max(widths))
        if widths[widest] <= _NARROWEST:
            break
        widths[widest] -= 1
    return widths


def _row_lines(
    row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]
) -> list[str]:
    wrapped = [
        textwrap.wrap(cell, width) or [""] if _columns_of(cell) > width else [cell]
        for cell, width in zip(row, widths, strict=True)
    ]
    lines = []
    for level in range(max(len(cell) for cell in wrapped)):
        parts = [
            _padded(cell[level] if level < len(cell) else "", width, column.right)
            for cell, width, column in zip(wrapped, widths, columns, strict=True)
        ]
        lines.append(_GAP.join(parts).rstrip())
    return lines


def _padded(text: str, width: int, right: bool) -> str:
    space = " " * max(0, width - _columns_of(text))
    return space + text if right else text + space


def _columns_of(text: str) -> int:
    """Return how many columns a text takes on a terminal."""
    return sum(
        0
        if unicodedata.combining(sign)
        else 2
        if unicodedata.east_asian_width(sign) in "WF"
        else 1
        for sign in text
    )
