"""Readings outside their limits, with what stands beside each and may explain it."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from stability.evaluation.explanations import Beside, explanations
from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_text
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_table import (
    own_remarks,
    reading_mark,
    readings_text,
    titled,
)
from stability.report.styles import ReportStyles
from stability.report.tables import TableRow, record_table


def outside_table(
    observations: Sequence[JudgedObservation],
    beside: Beside,
    styles: ReportStyles,
    value_unit: str = "",
) -> Flowable:
    """Return a table of readings outside their limit.

    Parameters
    ----------
    observations
        In the order in which they are printed.
    beside
        What may stand beside a reading of this study.
    styles
        The report's styles.
    value_unit
        Unit of the values judged; "" for words.
    """
    rows: list[TableRow] = [_row(one, beside) for one in observations]
    columns = (
        Fitted("Sample"),
        Fitted("Check", 22),
        Fitted("Read"),
        Fitted("Age", 18, align="right"),
        Fitted("Readings", 34),
        Fitted(titled("Value", value_unit), 26, align="right"),
        Fitted("Mark", 27),
        shared("Explained by"),
        Fitted("Entry", align="right"),
    )
    return record_table(fitted_columns(columns, rows, styles), rows, styles)


def _row(seen: JudgedObservation, beside: Beside) -> TableRow:
    return [
        seen.sample.code,
        check_text(seen.check or "extra"),
        seen.observation.done.day.isoformat(),
        seen.age_text,
        readings_text(seen),
        seen.value_text,
        reading_mark(seen),
        explained_text(seen, beside),
        str(seen.position),
    ]


def explained_text(seen: JudgedObservation, beside: Beside) -> str:
    """Return remarks of a reading, then what stands beside it, as one text."""
    control = seen.observation.control
    judged = [f"judged beside {control}"] if control else []
    # What was passed stands in the words above the table.
    own = [one for one in own_remarks(seen) if one != seen.detail]
    return "; ".join([*own, *judged, *explanations(beside, seen)])
