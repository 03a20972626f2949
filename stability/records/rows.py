"""A file of rows with named columns, split into cells before they are understood."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from stability.errors import ReadingsError, RowsError
from stability.model.nearest import did_you_mean

COLUMNS: Final = (
    "kind", "done", "entered", "person", "sample", "check", "attribute", "reading",
    "unit", "settings", "observers", "refers_to", "because",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the file."""

    #: Line on which it begins.
    line: int
    #: Column -> text, without blanks around it; only what is not empty.
    cells: Mapping[str, str]

    def cell(self, column: str) -> str:
        """Return what stands in a column; "" where it is empty."""
        return self.cells.get(column, "")

    def needed(self, column: str) -> str:
        """Return what stands in a column that must not be empty.

        Raises
        ------
        ReadingsError
            If it is.
        """
        if not self.cell(column):
            fault = f"column {column} is empty; a row of this kind needs it"
            raise ReadingsError([fault])
        return self.cell(column)

    def maybe(self, column: str) -> str | None:
        """Return what stands in a column; None where it is empty."""
        return self.cells.get(column)

    @property
    def refers_to(self) -> int | None:
        """Return the position in `refers_to`; None where there is none."""
        typed = self.cell("refers_to").rpartition("/")[2]
        return int(typed) if typed.isascii() and typed.isdigit() else None

    def several(self, column: str) -> list[str]:
        """Return what stands in a column, separated by `;`."""
        return [one.strip() for one in self.cell(column).split(";") if one.strip()]

    def settings(self, reserved: Sequence[str]) -> tuple[dict[str, str], list[str]]:
        """Return the reserved names of the settings column, and the rest as typed.

        Raises
        ------
        ReadingsError
            If something there is no `name=value`.
        """
        known: dict[str, str] = {}
        rest: list[str] = []
        for one in self.several("settings"):
            name, equals, value = (part.strip() for part in one.partition("="))
            if not equals or not value:
                raise ReadingsError([f"column settings: write {one!r} as name=value"])
            if name in reserved:
                known[name] = value
            else:
                rest.append(one)
        return known, rest

    def only_settings(self, reserved: Sequence[str]) -> dict[str, str]:
        """Return the reserved names of the settings column, which holds no others.

        Raises
        ------
        ReadingsError
            If it does.
        """
        known, rest = self.settings(reserved)
        if rest:
            allowed = ", ".join(reserved)
            fault = f"column settings: {rest[0]!r} is not one of {allowed}"
            raise ReadingsError([fault])
        return known


def read_rows(text: str, file: str) -> tuple[Row, ...]:
    """Read a file of rows.

    Parameters
    ----------
    text
        The file's text: comma or semicolon between cells.
    file
        Its name, for messages.

    Raises
    ------
    RowsError
        If its header holds unknown columns, or a row has more cells than the header.
    """
    first = text.split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    try:
        header = [name.strip() for name in next(reader, [])]
        _check_header(header, file)
        rows = list(_rows(reader, header))
    except csv.Error as error:
        raise RowsError(file, [f"line {reader.line_num}: {error}"]) from error
    faults = [
        f"line {row.line}: it has more cells than the header has columns"
        for row in rows
        if "" in row.cells
    ]
    if faults:
        raise RowsError(file, faults)
    return tuple(rows)


def _check_header(header: Sequence[str], file: str) -> None:
    faults = [
        f"line 1: there is no column {name!r}; {did_you_mean(name, COLUMNS)}"
        for name in header
        if name not in COLUMNS
    ]
    twice = sorted({name for name in header if header.count(name) > 1})
    faults += [f"line 1: column {name} stands there twice" for name in twice]
    if not header:
        faults.append(f"line 1: a header is missing: {','.join(COLUMNS)}")
    if faults:
        raise RowsError(file, faults)


def _rows(reader: Iterator[list[str]], header: Sequence[str]) -> Iterator[Row]:
    line = 2
    for cells in reader:
        filled = {
            (header[number] if number < len(header) else ""): cell.strip()
            for number, cell in enumerate(cells)
            if cell.strip()
        }
        if filled:
            yield Row(line, filled)
        line = getattr(reader, "line_num", line) + 1
