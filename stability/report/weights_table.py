"""Weights before opening and after closing, with the loss that follows from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reportlab.platypus import Flowable

from stability.evaluation.judging import FIRST_WEIGHT
from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_text
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_table import (
    marked_cell,
    own_remarks,
    place_text,
    reading_mark,
    titled,
)
from stability.report.scores_table import entries_text
from stability.report.styles import ReportStyles
from stability.report.tables import Cell, Group, TableRow, record_table

_Parts = dict[str, JudgedObservation]


def weights_table(
    observations: Sequence[JudgedObservation], styles: ReportStyles
) -> Flowable:
    """Return a table of weighings, those before and after one opening in one row.

    Parameters
    ----------
    observations
        Of one attribute worked out from weights, in the order of printing.
    styles
        The report's styles.
    """
    units = {one.unit for one in observations if one.observation.readings}
    unit = units.pop() if len(units) == 1 else ""
    rows: list[TableRow] = []
    group = None
    for parts in _by_opening(observations):
        first = next(iter(parts.values()))
        here = f"{place_text(first)}; limit: {first.limit_text}"
        if here != group:
            rows.append(Group(here))
            group = here
        rows.append(_row(parts, styles, with_unit=not unit))
    columns = (
        Fitted("Sample"),
        Fitted("Check", 22),
        Fitted("Due"),
        Fitted("Read"),
        Fitted("Age", 18, align="right"),
        Fitted(titled("Before", unit), align="right"),
        Fitted(titled("After", unit), align="right"),
        Fitted("Loss [%]", align="right"),
        shared("Mark; remarks"),
        Fitted("Entries", 16, align="right"),
    )
    return record_table(fitted_columns(columns, rows, styles), rows, styles)


def _by_opening(observations: Sequence[JudgedObservation]) -> list[_Parts]:
    """Pair weighings of one sample, check and day; what is left out stands alone."""
    rows: dict[tuple[object, ...], _Parts] = {}
    for seen in observations:
        part = seen.observation.part or "before"
        number = 0 if seen.takes_part else seen.position
        while True:
            day = seen.observation.done.day
            key = (seen.sample.code, seen.check, day, seen.takes_part, number)
            row = rows.setdefault(key, {})
            if part not in row:
                row[part] = seen
                break
            number += 1
    return list(rows.values())


def _row(parts: _Parts, styles: ReportStyles, *, with_unit: bool) -> list[Cell]:
    first = next(iter(parts.values()))
    before = parts.get("before")
    return [
        first.sample.code,
        check_text(first.check or "extra"),
        first.planned.due.isoformat() if first.planned else "–",
        first.observation.done.day.isoformat(),
        first.age_text,
        _weight(parts, "before", with_unit=with_unit),
        _weight(parts, "after", with_unit=with_unit),
        "" if before is None else before.value_text,
        _judged(parts, before or first, styles),
        entries_text([one.position for one in parts.values()]),
    ]


def _judged(
    parts: Mapping[str, JudgedObservation],
    judged: JudgedObservation,
    styles: ReportStyles,
) -> Cell:
    """Return mark and remarks; of a first weight it is enough to name it."""
    remarks = _remarks(parts)
    if judged.mark == "recorded only" and remarks == FIRST_WEIGHT:
        return FIRST_WEIGHT.partition(":")[0]
    return marked_cell(reading_mark(judged), remarks, styles)


def _weight(
    parts: Mapping[str, JudgedObservation], part: str, *, with_unit: bool
) -> str:
    seen = parts.get(part)
    if seen is None:
        return ""
    if seen.observation.not_measured is not None:
        return "–"
    return f"{seen.readings_text} {seen.unit}" if with_unit else seen.readings_text


def _remarks(parts: Mapping[str, JudgedObservation]) -> str:
    """Return the remarks of both weighings; those of both are said once."""
    by_text: dict[str, list[str]] = {}
    for part, seen in parts.items():
        for text in own_remarks(seen):
            by_text.setdefault(text, []).append(part)
    return "; ".join(
        text
        if len(names) == len(parts) or names == ["before"]
        else f"{', '.join(names)}: {text}"
        for text, names in by_text.items()
    )
