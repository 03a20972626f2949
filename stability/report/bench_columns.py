"""Columns of a bench workbook, in the order in which samples are handled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stability.model.attribute import Attribute
from stability.model.handling import Task
from stability.model.sheet_day import SheetDay

#: How weights are typed.
_WEIGHTS = {"before": "w", "after": "w2"}


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """One column."""

    #: What stands above it; how it is read back.
    heading: str
    #: Width [characters].
    width: int
    #: What it says of the sample; "" for a column of readings.
    fact: str = ""
    #: What is read; None for a fact.
    task: Task | None = None
    #: Format of its numbers.
    number_format: str = "General"
    #: Whether it holds a reading that is asked only where a score is not the best.
    is_extra: bool = False
    #: Setting that is told with each reading, such as a torque; "" for a reading.
    setting: str = ""

    @property
    def due(self) -> tuple[str, str | None]:
        """Return attribute and part; empty for a fact."""
        return ("", None) if self.task is None else self.task.due


def columns_of(day: SheetDay) -> tuple[SheetColumn, ...]:
    """Return the columns of a study's sheet."""
    compared = any(one.controls for one in day.samples)
    facts = [
        SheetColumn("sample", 13, "sample"),
        SheetColumn("check", 7, "check"),
        SheetColumn("date", 12, "date"),
        SheetColumn("batch", 8, "batch"),
        SheetColumn("pack", 9, "pack"),
        SheetColumn("condition", 11, "condition"),
        SheetColumn("due", 14, "due"),
    ]
    readings = [column for task in day.tasks for column in _columns(task)]
    return (
        *facts,
        *readings,
        *([SheetColumn("control", 13, "control")] if compared else []),
        SheetColumn("because", 24, "because"),
        SheetColumn("note", 30, "note"),
    )


def _columns(task: Task) -> Iterator[SheetColumn]:
    attribute = task.attribute
    if task.part is not None:
        shown = number_format(attribute)
        yield SheetColumn(f"{_WEIGHTS[task.part]} [g]", 10, "", task, shown)
        return
    measured = attribute.kind == "measured"
    count = attribute.readings if measured else attribute.observers
    unit = f" [{attribute.unit}]" if measured and attribute.unit != "1" else ""
    shown = number_format(attribute) if measured else "@"
    width = 11 if measured else 18
    for number in range(1, count + 1):
        place = f" {number}" if count > 1 else ""
        yield SheetColumn(f"{attribute.name}{place}{unit}", width, "", task, shown)
    for told in attribute.told_with_reading:
        heading = f"{attribute.name}.{told}"
        yield SheetColumn(heading, 17, "", task, "General", setting=told)
    for extra in attribute.extra:
        name = extra.partition(":")[0].strip()
        yield SheetColumn(name, 11, "", task, "General", is_extra=True)


def number_format(attribute: Attribute) -> str:
    """Return the format that shows as many decimals as the instrument does."""
    step = attribute.resolution
    if step is None:
        return "General"
    decimals = max(0, -int(step.normalize().as_tuple().exponent))
    return f"0.{'0' * decimals}" if decimals else "0"
