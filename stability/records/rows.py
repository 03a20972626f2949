"""A file of rows with named columns, split into cells before they are understood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from stability.errors.files import RowsError
from stability.errors.samples import ReadingsError
from stability.model.nearest import did_you_mean
from stability.model.quick import quick
from stability.records.sheet_table import SheetTable, read_csv

COLUMNS: Final = (
    "kind", "done", "entered", "person", "sample", "check", "attribute", "reading",
    "unit", "settings", "observers", "refers_to", "because",
)  # fmt: skip


@quick
@dataclass(frozen=True, slots=True)
class Row:
    """One row of the file."""

    #: Line or row of the file on which it begins.
    line: int
    #: Column -> text, without blanks around it; only what is not empty.
    cells: Mapping[str, str]
    #: How a message names it where that is more than its line; "" where it is not.
    place: str = ""
    #: What is wrong with it already; it is read no further.
    faults: tuple[str, ...] = ()

    @property
    def where(self) -> str:
        """Return how a message names it."""
        return self.place or f"line {self.line}"

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


def read_rows(
    text: str, file: str, columns: Sequence[str] = COLUMNS
) -> tuple[Row, ...]:
    """Read a file of rows.

    Parameters
    ----------
    text
        The file's text: comma or semicolon between cells.
    file
        Its name, for messages.
    columns
        Those that it may have.

    Raises
    ------
    RowsError
        If its header holds unknown columns, or a row has more cells than the header.
    """
    table = read_csv(text, file)
    _check_header(table.header, file, columns)
    return tuple(rows_of(table, table.header))


def rows_of(table: SheetTable, columns: Sequence[str]) -> list[Row]:
    """Return the rows of a table whose columns are known by their names.

    Parameters
    ----------
    table
        One row of it is one entry.
    columns
        Name of each column; "" for one that is left out.
    """
    told = table.sheet is not None
    return [
        Row(
            row.number,
            {
                name: cell
                for name, cell in zip(columns, row.cells, strict=False)
                if name and cell
            },
            table.row_place(row.number) if told else "",
        )
        for row in table.rows
    ]


def _check_header(header: Sequence[str], file: str, columns: Sequence[str]) -> None:
    faults = [
        f"line 1: there is no column {name!r}; {did_you_mean(name, columns)}"
        for name in header
        if name not in columns
    ]
    twice = sorted({name for name in header if header.count(name) > 1})
    faults += [f"line 1: column {name} stands there twice" for name in twice]
    if not header:
        faults.append(f"line 1: a header is missing: {','.join(columns)}")
    if faults:
        raise RowsError(file, faults)
