"""A text table split into cells."""

from __future__ import annotations

import pytest

from stability.errors.files import RowsError
from stability.records.sheet_table import SheetTable, TableRow, letters, read_csv


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_what_stands_between_cells_is_told_by_the_header(sign: str) -> None:
    text = "sample,pH\n001-5,5.5\n".replace(",", sign)

    table = read_csv(text, "day.csv")

    assert table.header == ("sample", "pH")
    assert table.rows == (TableRow(2, ("001-5", "5.5")),)


def test_a_first_line_that_names_the_separator_is_no_header() -> None:
    table = read_csv("sep=;\nsample;pH\n001-5;5,5\n", "day.csv")

    assert table.header == ("sample", "pH")
    assert (table.header_number, table.rows[0].number) == (2, 3)
    assert table.rows[0].cells == ("001-5", "5,5")


def test_short_rows_are_filled_and_empty_ones_left_out() -> None:
    table = read_csv("sample,pH,spread\n001-5\n,,\n002-3,5.5\n", "day.csv")

    assert [row.number for row in table.rows] == [2, 4]
    assert table.rows[0].cells == ("001-5", "", "")


def test_every_row_that_is_too_long_is_told() -> None:
    with pytest.raises(RowsError) as caught:
        read_csv("sample\n001-5,5.5\n002-3\n003-1,5.6\n", "day.csv")

    assert [one.split(":")[0] for one in caught.value.faults] == ["line 2", "line 4"]


def test_a_cell_is_named_by_its_line_or_sheet_and_its_heading() -> None:
    csv = read_csv("sample,pH\n001-5,5.5\n", "day.csv")
    sheet = SheetTable("day.xlsx", "HDC", 1, ("sample", "pH"), csv.rows)

    assert csv.cell_place(2, 1) == "line 2, column pH"
    assert sheet.cell_place(2, 1) == "sheet HDC, row 2, column B (pH)"
    assert sheet.cell_place(2, 5) == "sheet HDC, row 2, column F"


# ECMA-376 part 1, 18.17.2.1: columns are named A to XFD, which is the 16,384th.
@pytest.mark.parametrize(
    ("column", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (16_383, "XFD")]
)
def test_columns_have_the_letters_of_spreadsheets(column: int, name: str) -> None:
    assert letters(column) == name
