"""Tables that repeat their head on each page and let no text leave its cell.

A table lays out its rows one by one, in the width that the page gives it, and never
more rows than a page needs: the cost grows with the rows, not with their square. Text
that fits on one line is drawn as a bare string, which is five times as quick as a
paragraph; whatever is wider, or needs another font, wraps.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from stability.report.styles import ReportStyles
from stability.report.table_grid import (
    Cell,
    Column,
    Grid,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
)
from stability.report.table_layout import RecordTable

__all__ = [
    "Cell",
    "Column",
    "Group",
    "Mark",
    "Millimetres",
    "Share",
    "TableRow",
    "key_values",
    "record_table",
]


def record_table(
    columns: Sequence[Column],
    rows: Sequence[TableRow],
    styles: ReportStyles,
    *,
    ruled: bool = True,
) -> Flowable:
    """Lay out rows under columns.

    Parameters
    ----------
    columns
        From left to right. Shares divide what fixed widths leave; a table too wide
        for the page shrinks in proportion.
    rows
        Cells from left to right, as raw text, marks or blocks; or a group's name.
    styles
        The report's styles.
    ruled
        Whether a thin rule parts the rows.

    Returns
    -------
    Flowable
        Splits over pages with its head and the current group repeated, leaves no
        group's name at the foot of a page, and cuts a row only if it is taller than a
        page.

    Raises
    ------
    ValueError
        When a row has not as many cells as there are columns.
    """
    for at, row in enumerate(rows):
        if not isinstance(row, Group) and len(row) != len(columns):
            msg = f"row {at} has {len(row)} cells for {len(columns)} columns"
            raise ValueError(msg)
    return RecordTable(Grid(tuple(columns), rows, styles, ruled), (), 0, len(rows))


def key_values(
    rows: Sequence[tuple[str, str | Flowable | list[Flowable]]],
    styles: ReportStyles,
    key_mm: float = 42,
) -> Flowable:
    """Lay out names in bold with their values, as on the first page."""
    columns = (Column("", Millimetres(key_mm), strong=True), Column("", Share()))
    return record_table(columns, rows, styles)
