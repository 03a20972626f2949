"""Rows printed as a table, JSON or CSV; data to standard output, the rest beside it."""

from __future__ import annotations

import csv
import json
import os
import shutil
import sys
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import typer

from stability.cli.options import Format
from stability.cli.table import Column, table_lines, wrapped
from stability.model.inert_cell import inert

if TYPE_CHECKING:
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
_TURNING = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


@dataclass(frozen=True, slots=True)
class Listing:
    """Rows of one kind, ready to print in any format."""

    #: Key of the rows in JSON.
    name: str
    #: Columns in order.
    columns: Sequence[Column]
    #: One mapping a row, column key -> cell.
    rows: Sequence[Row]
    #: Printed instead of a table without rows; the first note in JSON.
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
                "notes": [*([] if listing.rows else [listing.empty]), *listing.notes],
            }
        )
    elif form is Format.csv:
        _print_csv(listing)
        tell(*listing.notes)
    else:
        _print_table(listing)


def print_listings(listings: Sequence[Listing], form: Format) -> None:
    """Print several listings: one after the other, or as one object in JSON.

    CSV holds one table: the first listing; the notes of all go to standard error.
    """
    if form is Format.json:
        print_json(
            {key: fact for one in listings for key, fact in one.facts.items()}
            | {one.name: [_complete(one, row) for row in one.rows] for one in listings}
            | {"notes": [note for one in listings for note in one.notes]}
        )
    elif form is Format.csv:
        _print_csv(listings[0])
        tell(*(note for one in listings for note in one.notes))
    else:
        told = [one for one in listings if one.rows or one.empty]
        for number, one in enumerate(told):
            if number:
                typer.echo()
            _print_table(one)


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
    remarks: Callable[[], Iterable[str]] = tuple[str, ...],
) -> None:
    """Say what was written, one line an entry, and where the record stands now.

    Parameters
    ----------
    written
        Entries that are stored.
    marks
        Holds readings against their limits; what is stored is told even if it fails.
    remarks
        Holds them against their history, which may load numerical libraries: called
        when all else is printed.
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
    for remark in remarks():
        tell(visible(remark))


def short_anchor(anchor: str) -> str:
    """Return an anchor with as many digits of the digest as are printed."""
    head, _, digest = anchor.rpartition(":")
    return f"{head}:{digest[:SHOWN_DIGITS]}"


def visible(text: str) -> str:
    """Return text without characters that would steer a terminal or turn its order."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        f"[U+{ord(sign):04X}]" if _steers(sign) else sign
        for sign in text.replace("\n", " ").replace("\t", " ")
    )


def _steers(sign: str) -> bool:
    turns = unicodedata.bidirectional(sign) in _TURNING
    return turns or unicodedata.category(sign) == "Cc"


def _complete(listing: Listing, row: Row) -> dict[str, Cell]:
    return {column.key: row.get(column.key) for column in listing.columns}


def _print_csv(listing: Listing) -> None:
    keys = [column.key for column in listing.columns]
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(keys)
    writer.writerows([_inert(row.get(key)) for key in keys] for row in listing.rows)


def _inert(cell: Cell) -> Cell:
    """Return a cell that no spreadsheet runs as a formula."""
    return inert(cell) if isinstance(cell, str) else cell


def _print_table(listing: Listing) -> None:
    width = _terminal_width()
    facts = [f"{key}: {_text(value)}" for key, value in listing.facts.items() if value]
    for line in wrapped(" · ".join(facts).replace("_", " "), width) if facts else ():
        typer.echo(line)
    columns = [one for one in listing.columns if one.title and _says(listing, one)]
    cells = [[_shown(one, row.get(one.key)) for one in columns] for row in listing.rows]
    lines = table_lines(columns, cells, width) if cells else [listing.empty]
    if listing.notes:
        lines.append("")
    for note in listing.notes:
        lines += wrapped(visible(note), width)
    typer.echo("\n".join(lines))


def _says(listing: Listing, column: Column) -> bool:
    """Say whether a column holds anything in any row."""
    return any(row.get(column.key) not in {None, ""} for row in listing.rows)


def _shown(column: Column, cell: Cell) -> str:
    """Return a cell as a table shows it: a time as the clock on the wall told it."""
    if column.moment and isinstance(cell, str):
        return cell[:16].replace("T", " ")
    return _text(cell)


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return visible(str(cell))


def _terminal_width() -> int | None:
    """Return the columns to fill; None where the output goes to a file or program."""
    known = sys.stdout.isatty() or "COLUMNS" in os.environ
    return shutil.get_terminal_size().columns if known else None
