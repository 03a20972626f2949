"""Cells of a workbook as the text that a person would have typed.

Spreadsheets keep numbers as floating-point values. What a person read off an instrument
is what the cell shows: where its format fixes the decimals these are taken, `5.50` and
not `5.5`; where it does not, the shortest digits that give the same value. A cell that
shows fewer digits than it holds is refused, because nobody can tell which was read.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell, MergedCell

_FIXED = re.compile(r"[#,0_()\s?*-]*0(?:\.(0+))?[_()\s?*-]*")
_GENERAL: Final = {"General", "@", ""}
#: More digits than any instrument shows.
_MOST_DECIMALS: Final = 15


class CellFault(Exception):  # noqa: N818 - no message of ours; its place is added
    """What is wrong with a cell."""


def cell_text(cell: Cell | MergedCell, *, decimal_comma: bool) -> tuple[str, bool]:
    """Return what a cell says, and whether it is a day.

    Parameters
    ----------
    cell
        Of a workbook that was opened with its formulas.
    decimal_comma
        Whether numbers are to be written with a comma, as the file's texts are.

    Raises
    ------
    CellFault
        If it holds a formula, an error, or what cannot be told as typed.
    """
    value = cell.value
    if value is None:
        return "", False
    if cell.data_type == "f":
        raise CellFault(
            "it holds a formula, and what a formula works out is no reading; paste "
            "the value alone, or leave it empty"
        )
    if cell.data_type == "e":
        raise CellFault(f"it holds the error {value}; mend it or leave it empty")
    if isinstance(value, bool):
        raise CellFault(f"it holds {str(value).upper()}; write the word instead")
    if isinstance(value, int | float | Decimal):
        text = number_text(value, str(cell.number_format))
        return (text.replace(".", ",") if decimal_comma else text), False
    if isinstance(value, datetime):
        return _moment_text(value), True
    if isinstance(value, date):
        return value.isoformat(), True
    if isinstance(value, time | timedelta):
        raise CellFault("it holds a time without a day; write both, or none")
    return " ".join(str(value).split("\xa0")).strip(), False


def number_text(value: float | Decimal, shown_as: str) -> str:
    """Return the digits of a number as its cell shows them.

    Parameters
    ----------
    value
        The number.
    shown_as
        Format of the cell, such as `0.00`.

    Raises
    ------
    CellFault
        If the cell shows something else than the number.

    Examples
    --------
    >>> number_text(5.5, "0.00"), number_text(5.5, "General")
    ('5.50', '5.5')
    >>> number_text(12000, "#,##0")
    '12000'
    """
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        raise CellFault("it holds no number")
    shortest = _plain(exact)
    first = shown_as.split(";", 1)[0].strip()
    if first in _GENERAL:
        return shortest
    if "%" in first:
        raise CellFault(
            f"it is shown as a percentage; format it as a number and write {shortest} "
            "or what is meant"
        )
    match = _FIXED.fullmatch(first)
    if match is None:
        return shortest
    decimals = min(len(match[1] or ""), _MOST_DECIMALS)
    shown = f"{exact:.{decimals}f}"
    if Decimal(shown) != exact:
        raise CellFault(
            f"it shows {shown} and holds {shortest}; write the one that was read"
        )
    return shown


def _plain(exact: Decimal) -> str:
    text = f"{exact:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _moment_text(value: datetime) -> str:
    """Return a day, with its time where it has one, to the second."""
    whole = (value + timedelta(microseconds=500_000)).replace(microsecond=0)
    if whole.time() == time():
        return whole.date().isoformat()
    return whole.isoformat()
