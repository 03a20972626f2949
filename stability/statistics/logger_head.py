"""The head of a logger's file: what stands between cells, and which column is what.

Nothing is guessed: what could be two things is asked for.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from stability.errors.storage import LoggerColumnsError
from stability.model.logger_form import DeclaredForm
from stability.statistics.logger_times import is_stamp

#: Lines that are looked at to recognise the columns.
HEAD_LINES: Final = 300
_DELIMITERS: Final = (",", ";", "\t", "|")
_NUMBER: Final = re.compile(
    r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?\s*(°?[CF]|%)?"
)
_CLOCK: Final = re.compile(
    r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2}([.,][0-9]+)?)?( ?[AaPp]\.?[Mm]\.?)?"
)
_TEMPERATURE: Final = re.compile(
    r"temp|°\s*[cf]\b|celsius|fahrenheit|^[tc]$|^deg ?[cf]$", re.IGNORECASE
)
_NOT_MEANT: Final = re.compile(r"dew|frost|set ?point|alarm|limit", re.IGNORECASE)
_HUMIDITY: Final = re.compile(r"humid|\brh\b|r\.h\.|%", re.IGNORECASE)
_FAHRENHEIT: Final = re.compile(r"°\s*f\b|fahrenheit|^deg ?f$", re.IGNORECASE)
_COUNTER: Final = re.compile(
    r"^(#|no\.?|nr\.?|number|index|id|record|row|sample)\b", re.IGNORECASE
)
_LEAST_ROWS: Final = 1


@dataclass(frozen=True, slots=True)
class Columns:
    """What a file's columns are."""

    #: Sign between cells.
    delimiter: str
    #: Line after which the readings begin; 0 where they begin at once.
    header_line: int
    #: Name of each column; one without a name of its own is `column 3`.
    names: tuple[str, ...]
    #: Columns of the time: one, or a date and a time of day.
    time: tuple[str, ...]
    #: Column of the temperature.
    temperature: str
    #: Column of the humidity; None where there is none.
    humidity: str | None
    #: Sign before the decimals.
    decimal: Literal[".", ","]
    #: Unit of the temperatures.
    unit: Literal["°C", "°F"]


@dataclass(frozen=True, slots=True)
class _Table:
    """Head of a file, split at one delimiter."""

    #: Sign between cells.
    delimiter: str
    #: Line after which the readings begin.
    header_line: int
    #: Name of each column.
    names: tuple[str, ...]
    #: Rows of readings, each with as many cells as names.
    rows: tuple[tuple[str, ...], ...]

    def column(self, place: int) -> list[str]:
        """Return the cells of a column that hold something."""
        return [row[place] for row in self.rows if row[place]]


def recognised(head: Sequence[str], file: str, declared: DeclaredForm) -> Columns:
    """Return which column is what.

    Parameters
    ----------
    head : sequence of str
        The first lines of the file.
    file : str
        Its name, for messages.
    declared : DeclaredForm
        What a person said of it.

    Returns
    -------
    Columns
        As declared, else as recognised.

    Raises
    ------
    LoggerColumnsError
        If no readings are found, a declared column is not there, or a column could be
        two things.

    Examples
    --------
    >>> lines = ["When;Temp. (°C)", "02.03.2026 09:15;21,5"]
    >>> found = recognised(lines, "shelf.csv", DeclaredForm())
    >>> found.time, found.temperature, found.decimal
    (('When',), 'Temp. (°C)', ',')
    """
    table = _table(head, declared)
    if table is None:
        raise LoggerColumnsError(
            file,
            ["no row with a date, a time and a number was found in its first lines"],
        )
    chosen = _Choice(table, declared)
    time = chosen.time()
    temperature = chosen.temperature(time)
    humidity = chosen.humidity(time, temperature)
    if chosen.faults:
        raise LoggerColumnsError(file, chosen.faults)
    unit = declared.unit or ("°F" if _FAHRENHEIT.search(temperature) else "°C")
    return Columns(
        delimiter=table.delimiter,
        header_line=table.header_line,
        names=table.names,
        time=time,
        temperature=temperature,
        humidity=humidity,
        decimal="," if declared.decimal_comma else chosen.decimal(temperature),
        unit=unit,
    )


def names_in(head: Sequence[str], header_line: int, delimiter: str) -> tuple[str, ...]:
    """Return the names of the columns of a file that was recognised before.

    Parameters
    ----------
    head : sequence of str
        The first lines of the file.
    header_line : int
        Line after which the readings begin. [-]
    delimiter : str
        Sign between cells.

    Returns
    -------
    tuple of str
        The same as when it was recognised.

    Examples
    --------
    >>> names_in(["No.,Time,Temp,Temp", "1,2026-03-02 09:15,21,22"], 1, ",")
    ('No.', 'Time', 'column 3', 'column 4')
    """
    rows = [_split(line, delimiter) for line in head[: header_line + 1]]
    width = len(rows[header_line]) if header_line < len(rows) else 0
    header = rows[header_line - 1] if header_line else []
    return _names(header, width)


def _names(header: Sequence[str], width: int) -> tuple[str, ...]:
    """Name columns by their header; one without a name of its own by its place."""
    given = [*header, *[""] * width][:width]
    if len(header) > width and any(header[width:]):
        given = [""] * width
    return tuple(
        name if name and given.count(name) == 1 else f"column {place}"
        for place, name in enumerate(given, 1)
    )


def _split(line: str, delimiter: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return []
    return [cell.strip() for cell in cells]


def _table(head: Sequence[str], declared: DeclaredForm) -> _Table | None:
    """Return the head split at the delimiter that gives most rows of readings."""
    found = [_split_at(head, delimiter, declared) for delimiter in _DELIMITERS]
    tables = [one for one in found if one is not None]
    return max(tables, key=lambda one: len(one.rows), default=None)


def _split_at(
    head: Sequence[str], delimiter: str, declared: DeclaredForm
) -> _Table | None:
    rows = [_split(line, delimiter) for line in head]
    start = next((at for at, row in enumerate(rows) if _is_reading(row)), None)
    if start is None and declared.time:
        start = _below_header(rows, declared)
    if start is None:
        return None
    width = len(rows[start])
    whole = [tuple(row) for row in rows[start:] if len(row) == width]
    if len(whole) < _LEAST_ROWS:
        return None
    header = rows[start - 1] if start else []
    return _Table(delimiter, start, _names(header, width), tuple(whole))


def _below_header(rows: Sequence[Sequence[str]], declared: DeclaredForm) -> int | None:
    """Return the first row below the header that holds the declared columns."""
    wanted = {name.casefold() for name in declared.time}
    for at, row in enumerate(rows[:-1]):
        if wanted <= {cell.casefold() for cell in row}:
            return at + 1
    return None


def _is_reading(row: Sequence[str]) -> bool:
    dated = any(is_stamp(cell) for cell in row)
    return len(row) > 1 and dated and any(map(_NUMBER.fullmatch, row))


class _Choice:
    """Columns chosen one after the other, with every fault kept."""

    def __init__(self, table: _Table, declared: DeclaredForm) -> None:
        self.table = table
        self.declared = declared
        self.faults: list[str] = []

    def time(self) -> tuple[str, ...]:
        """Return the columns of the time."""
        if self.declared.time:
            return tuple(self._named(name, "time") for name in self.declared.time)
        dated = self._columns(is_stamp)
        clocked = self._columns(lambda cell: bool(_CLOCK.fullmatch(cell)))
        whole = [
            name
            for name in dated
            if any(":" in cell for cell in self.table.column(self._place(name)))
        ]
        if len(whole) == 1:
            return (whole[0],)
        if not whole and len(dated) == 1:
            return (dated[0], *clocked) if len(clocked) < 2 else self._ask_time(clocked)
        return self._ask_time(whole or dated)

    def temperature(self, time: Sequence[str]) -> str:
        """Return the column of the temperature."""
        if self.declared.temperature is not None:
            return self._named(self.declared.temperature, "temperature")
        numbers = [name for name in self._numbers() if name not in time]
        named = [
            name
            for name in numbers
            if _TEMPERATURE.search(name) and not _NOT_MEANT.search(name)
        ]
        left = named or [
            name
            for name in numbers
            if not _HUMIDITY.search(name)
            and not _NOT_MEANT.search(name)
            and not self._counts(name)
        ]
        if len(left) == 1:
            return left[0]
        self._ask("temperature", left or numbers)
        return ""

    def humidity(self, time: Sequence[str], temperature: str) -> str | None:
        """Return the column of the humidity; None where there is no one such column."""
        if self.declared.humidity is not None:
            return self._named(self.declared.humidity, "humidity")
        taken = {*time, temperature}
        named = [
            name
            for name in self._numbers()
            if name not in taken and _HUMIDITY.search(name)
        ]
        return named[0] if len(named) == 1 else None

    def decimal(self, temperature: str) -> Literal[".", ","]:
        """Return the sign before the decimals of the temperatures."""
        if temperature not in self.table.names:
            return "."
        cells = self.table.column(self._place(temperature))
        comma = any("," in cell for cell in cells)
        return "," if comma and not any("." in cell for cell in cells) else "."

    def _ask_time(self, names: Sequence[str]) -> tuple[str, ...]:
        self._ask("time", names)
        return ()

    def _ask(self, what: str, names: Iterable[str]) -> None:
        there = ", ".join(names) or "none of its columns"
        every = ", ".join(self.table.names)
        self.faults.append(
            f"which column is the {what} cannot be told ({there} could be); its "
            f"columns are {every}; declare it with --{what}"
        )

    def _named(self, typed: str, what: str) -> str:
        """Return a column by its name as typed, capitals aside."""
        close = typed.strip().casefold()
        exact = [name for name in self.table.names if name.casefold() == close]
        near = [name for name in self.table.names if name.casefold().startswith(close)]
        meant = exact or near
        if len(meant) == 1:
            return meant[0]
        every = ", ".join(self.table.names)
        self.faults.append(f"--{what} {typed}: no one column; its columns are {every}")
        return ""

    def _place(self, name: str) -> int:
        return self.table.names.index(name)

    def _columns(self, holds: Callable[[str], bool]) -> list[str]:
        """Return the columns half of whose cells or more are of a form."""
        found = []
        for place, name in enumerate(self.table.names):
            cells = self.table.column(place)
            held = sum(map(holds, cells))
            if held and 2 * held >= len(cells):
                found.append(name)
        return found

    def _numbers(self) -> list[str]:
        return self._columns(lambda cell: bool(_NUMBER.fullmatch(cell)))

    def _counts(self, name: str) -> bool:
        """Say whether a column only counts the rows."""
        if _COUNTER.search(name):
            return True
        cells = self.table.column(self._place(name))
        if len(cells) < 3 or not all(cell.isdecimal() for cell in cells):
            return False
        numbers = [int(cell) for cell in cells]
        steps = {after - one for one, after in pairwise(numbers)}
        return steps == {1}
