"""A received table turned into rows, each of which becomes one entry.

What is certain is read, what is not is refused with its cell: an empty cell is not
recorded and never zero, a comma counts only where it was declared, a day only where its
order is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from stability.errors import StabilityError
from stability.errors.files import DayOrderError, RowsError
from stability.errors.samples import ReadingsError
from stability.model.sheet_day import NOT_DUE
from stability.model.study_record import StudyRecord
from stability.records.day_forms import DayForms, Order, day_forms
from stability.records.rows import Row, rows_of
from stability.records.sample_choice import SampleChoice
from stability.records.sheet_table import SheetTable, TableRow
from stability.records.table_cells import A_DAY, comma_fault, reading_fault
from stability.records.table_layout import (
    Layout,
    ReadingColumn,
    layout_of,
)
from stability.records.typed import NOT_MEASURED

#: Facts of a row that a row of the long form holds among its settings.
_IN_SETTINGS: Final = ("control", "blind")


@dataclass(frozen=True, slots=True)
class TableRules:
    """How a table is to be read."""

    #: Whether its numbers are written with a decimal comma.
    decimal_comma: bool = False
    #: Order of day, month and year; None where the days themselves must tell it.
    order: Order | None = None
    #: Settings as typed that hold for the whole table where a row states none.
    settings: tuple[str, ...] = ()
    #: Facts by column that hold for the whole table where a row states none.
    facts: Mapping[str, str] = field(default_factory=dict)
    #: Facts that were told beside the table and that it may not state itself.
    told: Mapping[str, str] = field(default_factory=dict)


def table_rows(
    table: SheetTable, record: StudyRecord, rules: TableRules
) -> tuple[Row, ...]:
    """Return the rows of a table in the form in which entries are made of them.

    Parameters
    ----------
    table
        As received, in the long or the wide form.
    record
        The study.
    rules
        How it is to be read.

    Returns
    -------
    tuple of Row
        A row with faults holds them.

    Raises
    ------
    RowsError
        If the header, or the form of the days, cannot be understood.
    """
    layout = layout_of(table, record.protocol.attributes, record.study.omit, rules.told)
    days = _days(table, layout, rules.order)
    if layout.long:
        rows = rows_of(table, layout.long)
        return tuple(_checked(table, layout, days, rules, row) for row in rows)
    wide = _Wide(table, layout, record, days, rules)
    return tuple(one for row in table.rows for one in wide.rows(row))


def _days(table: SheetTable, layout: Layout, told: Order | None) -> DayForms:
    place = layout.facts.get("done")
    if place is None:
        return DayForms(told)
    typed = [row.cells[place] for row in table.rows if row.cells[place]]
    try:
        return day_forms(typed, told)
    except DayOrderError as error:
        where = next(
            (
                table.cell_place(row.number, place)
                for row in table.rows
                if row.cells[place] == error.typed
            ),
            table.row_place(table.header_number),
        )
        raise RowsError(table.file, [f"{where}: {error}"]) from error


def _checked(
    table: SheetTable, layout: Layout, days: DayForms, rules: TableRules, row: Row
) -> Row:
    """Return a row of the long form with its day read and its cells looked at."""
    cells = row.cells
    faults: list[str] = []
    if "entered" in cells:
        faults.append(
            "column entered: the record itself keeps when it was stored; leave the "
            "column out and say with done when it was read"
        )
    if "done" in cells:
        try:
            day = days.iso(cells["done"])
        except ReadingsError as error:
            faults += [f"column done: {one}" for one in error.faults]
        else:
            cells = cells if day == cells["done"] else {**cells, "done": day}
    reading = cells.get("reading", "")
    if reading and cells.get("kind", "observed") in {"observed", "corrected"}:
        fault = reading_fault(reading, rules.decimal_comma)
        faults += [f"column reading: {fault}"] if fault else []
    if table.sheet is not None:
        faults += _cell_faults(table, layout, row.line)
    if rules.told:
        cells = {**cells, **rules.told}
    if cells is row.cells and not faults:
        return row
    return replace(row, cells=cells, faults=tuple(faults))


def _cell_faults(table: SheetTable, layout: Layout, line: int) -> Iterator[str]:
    """Yield what is wrong with the cells of a row of a workbook."""
    for place in layout.facts.values():
        if (line, place) in table.faults:
            yield f"column {table.header[place]}: {table.faults[line, place]}"
    if (line, layout.facts.get("reading", -1)) in table.dated:
        yield f"column reading: {A_DAY}"


class _Wide:
    """Rows of the wide form, each split into one row for each observation."""

    def __init__(
        self,
        table: SheetTable,
        layout: Layout,
        record: StudyRecord,
        days: DayForms,
        rules: TableRules,
    ) -> None:
        self.table = table
        self.layout = layout
        self.record = record
        self.days = days
        self.rules = rules
        self.chooser = SampleChoice(record)

    def rows(self, row: TableRow) -> Iterator[Row]:
        """Yield a row for each observation, and one for a note."""
        facts = {
            name: cell
            for name, place in self.layout.facts.items()
            if (cell := self._cell(row, place))
        }
        for name, value in (*self.rules.facts.items(), *self.rules.told.items()):
            facts.setdefault(name, value)
        readings = [
            (columns, found)
            for columns in self.layout.readings.values()
            if (found := self._readings(row, columns))
        ]
        note = facts.pop("note", "")
        if not readings and not note:
            return
        shared, faults = self._shared(row, facts)
        faults += self._strays(row, facts, readings)
        if faults:
            yield Row(row.number, {}, self.table.row_place(row.number), faults)
            return
        for columns, found in readings:
            yield self._observation(row, shared, columns, found)
        if note:
            yield self._note(row, shared, note)

    def _cell(self, row: TableRow, place: int) -> str:
        cell = row.cells[place]
        return "" if cell.casefold() == NOT_DUE else cell

    def _readings(
        self, row: TableRow, columns: Sequence[ReadingColumn]
    ) -> list[tuple[ReadingColumn, str]]:
        """Return the columns that hold something, or hold what cannot be read."""
        return [
            (column, cell)
            for column in columns
            if (cell := self._cell(row, column.place))
            or (row.number, column.place) in self.table.faults
        ]

    def _shared(
        self, row: TableRow, facts: dict[str, str]
    ) -> tuple[dict[str, str], tuple[str, ...]]:
        """Return the cells that all rows of this one share, and what is wrong."""
        faults = [
            f"column {self.table.header[place]}: {fault}"
            for place in self.layout.facts.values()
            if (fault := self.table.faults.get((row.number, place)))
        ]
        cells: dict[str, str] = {
            name: facts[name]
            for name in ("check", "person", "observers", "because", *_IN_SETTINGS)
            if name in facts
        }
        if "done" in facts:
            try:
                cells["done"] = self.days.iso(facts["done"])
            except ReadingsError as error:
                faults += [f"column date: {one}" for one in error.faults]
        elif not faults:
            faults.append("column date is empty; say on which day it was read")
        try:
            cells["sample"] = self._sample(facts, cells)
        except StabilityError as error:
            faults.append(str(error))
        return cells, tuple(faults)

    def _strays(
        self,
        row: TableRow,
        facts: Mapping[str, str],
        readings: Sequence[
            tuple[Sequence[ReadingColumn], Sequence[tuple[ReadingColumn, str]]]
        ],
    ) -> tuple[str, ...]:
        """Return what a row says of readings that it does not hold."""
        strays = []
        read = {columns[0].attribute.name for columns, _ in readings}
        typed = [cell for _, found in readings for _, cell in found]
        if "because" in facts and NOT_MEASURED not in typed:
            strays.append(
                f"column because: nothing in this row is {NOT_MEASURED}; write what "
                "is to be remembered into a column note"
            )
        strays += [
            f"column {one.name}: it belongs to {one.attribute}, which this row does "
            "not hold"
            for one in self.layout.settings
            if "." not in one.name
            and self._cell(row, one.place)
            and one.attribute not in read
        ]
        return tuple(strays)

    def _sample(self, facts: Mapping[str, str], cells: Mapping[str, str]) -> str:
        named = facts.get("batch"), facts.get("pack"), facts.get("condition")
        if "sample" in facts:
            self.chooser.check_named(facts["sample"], *named)
            return facts["sample"]
        return self.chooser.choose(*named, facts.get("check"), cells.get("done"))

    def _observation(
        self,
        row: TableRow,
        shared: Mapping[str, str],
        columns: Sequence[ReadingColumn],
        found: Sequence[tuple[ReadingColumn, str]],
    ) -> Row:
        first = columns[0]
        cells = dict(shared)
        faults = list(self._faults(row, columns, found))
        reading = "/".join(cell for _, cell in found)
        if len(found) > 1 and all(cell == NOT_MEASURED for _, cell in found):
            reading = NOT_MEASURED
        cells |= {"attribute": first.name, "reading": reading}
        settings = list(self._settings(row, first.attribute.name, faults))
        settings += [f"{one}={cells.pop(one)}" for one in _IN_SETTINGS if one in cells]
        if settings:
            cells["settings"] = ";".join(settings)
        where = self.table.cell_place(row.number, found[0][0].place)
        return Row(row.number, cells, where, tuple(faults))

    def _faults(
        self,
        row: TableRow,
        columns: Sequence[ReadingColumn],
        found: Sequence[tuple[ReadingColumn, str]],
    ) -> Iterator[str]:
        attribute = columns[0].attribute
        for column, cell in found:
            fault = self._cell_fault(row, column, cell)
            if fault:
                other = "" if column is found[0][0] else self.table.header[column.place]
                yield f"{other}: {fault}" if other else fault
        gap = [one.number for one, _ in found] != [
            one.number for one in columns[: len(found)]
        ]
        # With a gap the second observer's word would pass for the first one's.
        if (
            gap
            and attribute.kind != "measured"
            and not all(":" in one for _, one in found)
        ):
            yield (
                f"{columns[0].name}: a column before this one is empty; name who "
                "observed, such as Ana:0"
            )

    def _cell_fault(
        self, row: TableRow, column: ReadingColumn, cell: str
    ) -> str | None:
        known = self.table.faults.get((row.number, column.place))
        if known or (row.number, column.place) in self.table.dated:
            return known or A_DAY
        return reading_fault(cell, self.rules.decimal_comma, column.attribute.scale)

    def _settings(
        self, row: TableRow, attribute: str, faults: list[str]
    ) -> Iterable[str]:
        stated = {
            one.partition("=")[0]: one
            for one in (*self.rules.settings, *self.layout.stated)
            if one.partition(".")[0] == attribute
        }
        for column in self.layout.settings:
            if column.attribute != attribute:
                continue
            value = self._cell(row, column.place)
            fault = self.table.faults.get((row.number, column.place))
            fault = fault or self._setting_fault(value)
            if fault:
                faults.append(f"{column.name}: {fault}")
            elif value:
                stated[column.name] = f"{column.name}={value}"
        return stated.values()

    def _setting_fault(self, value: str) -> str | None:
        if ";" in value:
            return f"{value!r} holds a semicolon; write it without"
        return None if self.rules.decimal_comma else comma_fault(value)

    def _note(self, row: TableRow, shared: Mapping[str, str], note: str) -> Row:
        kept = {
            key: shared[key] for key in ("done", "sample", "person") if key in shared
        }
        where = self.table.cell_place(row.number, self.layout.facts["note"])
        return Row(row.number, {"kind": "noted", "because": note, **kept}, where)
