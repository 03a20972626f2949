"""Cells of a workbook as the text that a person would have typed."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.cell.cell import Cell

from stability.records.workbook_cells import CellFault, cell_text, number_text


def cell(value: object, shown_as: str = "General") -> Cell:
    """Return a cell of a new workbook."""
    sheet = Workbook().active
    assert sheet is not None
    made = sheet.cell(1, 1)
    assert isinstance(made, Cell)
    made.value = value  # type: ignore[assignment]
    made.number_format = shown_as
    return made


def text(value: object, shown_as: str = "General", *, comma: bool = False) -> str:
    """Return what a cell says."""
    return cell_text(cell(value, shown_as), decimal_comma=comma)[0]


# Formats: ECMA-376 part 1, 18.8.31 (number formats): `0` prints a digit always, `#`
# only where there is one; what stands after the first `;` is for negative numbers.


@pytest.mark.parametrize(
    ("value", "shown_as", "told"),
    [
        (5.5, "0.00", "5.50"),
        (5.5, "General", "5.5"),
        (5, "0.00", "5.00"),
        (12000, "#,##0", "12000"),
        (12000.5, "#,##0.00_);(#,##0.00)", "12000.50"),
        (-3.5, "0.0;[Red]-0.0", "-3.5"),
        (5.47, "@", "5.47"),
        (5.47, '0.0" mm"', "5.47"),
        (1e-7, "General", "0.0000001"),
        (1e21, "General", "1000000000000000000000"),
    ],
)
def test_a_number_is_told_by_the_digits_it_shows(
    value: float, shown_as: str, told: str
) -> None:
    assert text(value, shown_as) == told


@pytest.mark.parametrize(
    ("value", "shown_as"), [(5.476, "0.00"), (5.5, "0"), (0.03, "0%"), (2.25, "0.0")]
)
def test_a_cell_that_shows_another_number_than_it_holds_is_refused(
    value: float, shown_as: str
) -> None:
    with pytest.raises(CellFault, match=str(value)):
        text(value, shown_as)


def test_numbers_follow_the_comma_of_the_file() -> None:
    assert text(5.5, "0.00", comma=True) == "5,50"


@pytest.mark.parametrize(
    ("value", "told"),
    # What a library gives for a cell has no time zone.
    [
        (datetime(2026, 3, 26), "2026-03-26"),  # noqa: DTZ001
        (date(2026, 3, 26), "2026-03-26"),
        (datetime(2026, 3, 26, 9, 14, 59, 999_999), "2026-03-26T09:15:00"),  # noqa: DTZ001
    ],
)
def test_a_day_is_told_as_a_day(value: object, told: str) -> None:
    assert cell_text(cell(value, "d mmm"), decimal_comma=False) == (told, True)


@pytest.mark.parametrize(
    ("value", "why"),
    [
        ("=A1+1", "formula"),
        ("#DIV/0!", "error"),
        (True, "TRUE"),
        (time(9, 15), "time without a day"),
    ],
)
def test_what_is_no_reading_is_refused(value: object, why: str) -> None:
    with pytest.raises(CellFault, match=why):
        text(value)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(CellFault):
        number_text(value, "General")


@pytest.mark.parametrize(
    ("value", "told"), [(None, ""), (" 5.50\xa0", "5.50"), ("a\xa0b", "a b")]
)
def test_texts_stay_as_typed_without_blanks_around_them(
    value: str | None, told: str
) -> None:
    assert text(value) == told


@given(st.decimals("-99999", "99999", places=2))
def test_two_decimals_come_back_as_they_were_typed(typed: Decimal) -> None:
    # What a spreadsheet keeps of 5.50 is the nearest floating-point number.
    assert Decimal(number_text(float(typed), "General")) == typed
    shown = number_text(float(typed), "0.00")
    assert Decimal(shown) == typed
    assert shown.partition(".")[2] == f"{typed:.2f}".partition(".")[2]
