"""What may be filled into a cell of a bench workbook, and what stands beside it.

Words of a scale are chosen from a list, numbers have the bounds of what is possible.
A rule warns and does not forbid, because `<10` and `not-measured` are readings too.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Final

from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from stability.model.attribute import Attribute, Setting
from stability.model.sheet_day import SheetDay, SheetSample, SheetTask
from stability.report.bench_columns import SheetColumn

_NOT_MEASURED: Final = "not-measured"
#: What a message beside a cell may hold, and its title [characters].
_MOST_TEXT: Final = 250
_MOST_TITLE: Final = 30
#: Column of the sheet Day from which lists of words stand, out of what is printed.
_FIRST_LIST: Final = 20
#: As far as a number may go where nothing is said.
_ANY: Final = Decimal(10) ** 9


def put(cell: Cell | MergedCell, value: str | date | None) -> None:
    """Put a value into a cell; a text that begins with `=` stays a text."""
    cell.value = value or None
    if isinstance(value, str) and value:
        cell.data_type = "s"


class Words:
    """Lists of words that cells choose from, each kept once."""

    def __init__(self, sheet: Worksheet) -> None:
        self._sheet = sheet
        self._kept: dict[tuple[str, ...], str] = {}

    def of(self, words: Sequence[str]) -> str:
        """Return where a list of words stands."""
        key = tuple(words)
        if key not in self._kept:
            column = _FIRST_LIST + len(self._kept)
            for row, word in enumerate(key, 1):
                put(self._sheet.cell(row, column), word)
            letter = get_column_letter(column)
            name = quote_sheetname(self._sheet.title)
            self._kept[key] = f"{name}!${letter}$1:${letter}${len(key)}"
        return self._kept[key]


def add_rules(
    sheet: Worksheet, day: SheetDay, columns: Sequence[SheetColumn], words: Words
) -> None:
    """Add to every cell that is to be filled what it may hold, and what is known.

    Parameters
    ----------
    sheet
        Of the study.
    day
        What is read.
    columns
        Of the sheet.
    words
        Takes the lists.
    """
    for row, one in enumerate(day.samples, 2):
        tasks = {each.task.due: each for each in one.tasks}
        for place, column in enumerate(columns, 1):
            rule = _rule(column, one, tasks.get(column.due), words)
            if rule is not None:
                rule.add(sheet.cell(row, place).coordinate)
                sheet.add_data_validation(rule)


def _rule(
    column: SheetColumn, one: SheetSample, task: SheetTask | None, words: Words
) -> DataValidation | None:
    if column.fact == "control" and one.controls:
        rule = DataValidation("list", words.of(one.controls), allow_blank=True)
        rule.promptTitle, rule.prompt = "control", "The sample it was compared with."
        rule.showInputMessage = True
        return rule
    if task is None:
        return None
    rule = _reading_rule(task.task.attribute, column, words)
    rule.promptTitle = column.heading[:_MOST_TITLE]
    rule.prompt = _beside(column, task)[:_MOST_TEXT]
    rule.showInputMessage = True
    rule.errorStyle = "warning"
    rule.showErrorMessage = rule.type is not None
    return rule


def _reading_rule(
    attribute: Attribute, column: SheetColumn, words: Words
) -> DataValidation:
    if column.setting:
        return _band_rule(attribute.settings[column.setting])
    if column.is_extra:
        return DataValidation()
    if attribute.kind != "measured":
        if not attribute.scale:
            return DataValidation()
        listed = words.of([*attribute.scale, _NOT_MEASURED])
        rule = DataValidation("list", listed, allow_blank=True)
        rule.error = "This is no word of the scale; choose one from the list."
        return rule
    low, high = _possible(attribute, weighed=column.due[1] is not None)
    rule = DataValidation(
        "decimal", str(low), operator="between", formula2=str(high), allow_blank=True
    )
    rule.error = f"A number from {low} to {high} is usual here; look again."
    return rule


def _band_rule(setting: Setting) -> DataValidation:
    """Return a rule that warns of what lies outside the band."""
    if not setting.band:
        return DataValidation()
    low = -_ANY if setting.lowest is None else setting.lowest
    high = _ANY if setting.highest is None else setting.highest
    rule = DataValidation(
        "decimal", str(low), operator="between", formula2=str(high), allow_blank=True
    )
    rule.error = (
        f"Outside {setting.band}: the reading beside it compares with no other. "
        "Read again before the container is put back."
    )
    return rule


def _possible(attribute: Attribute, *, weighed: bool) -> tuple[Decimal, Decimal]:
    """Return between what a reading is possible, without an exponent."""
    if weighed:
        return Decimal(0), _ANY
    low, high = attribute.lowest_possible, attribute.highest_possible
    if low is None:
        low = -_ANY if attribute.unit in {"°C", "1", "%"} else Decimal(0)
    if high is None:
        high = Decimal(14) if attribute.unit == "pH" else _ANY
    return low, high


def _beside(column: SheetColumn, task: SheetTask) -> str:
    """Return what stands beside a cell: last reading, limit, method."""
    if column.is_extra:
        return f"Only where {task.task.attribute.name} is not the best word."
    if column.setting:
        setting = task.task.attribute.settings[column.setting]
        band = f" Comparable only at {setting.band}." if setting.band else ""
        return f"The {column.setting} that belongs to this reading.{band}"
    lines = [f"limit: {task.limit}", last_words(task), task.task.attribute.method]
    return "\n".join(line for line in lines if line)


def last_words(task: SheetTask) -> str:
    """Return what was read last in words, and that nothing was."""
    last = task.last
    if last is None:
        return "not read before"
    unit = f" {task.task.unit}" if task.task.unit else ""
    read = " / ".join(
        f"{one.observer}: {one}" if one.observer else str(one) for one in last.readings
    )
    return f"last: {read}{unit} on {last.done.day}, {last.sample}"
