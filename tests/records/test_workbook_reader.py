"""Workbooks of several programs, and all that is refused in them."""

from __future__ import annotations

import random
from datetime import date

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from stability.errors import StabilityError
from stability.errors.files import ReceivedFileError, RowsError
from stability.records.received_file import ReceivedTable
from stability.records.workbook_reader import read_workbook
from tests.records.workbooks import by_hand, new_sheet, packed, parts_of, saved

HEAD = ["sample", "date", "pH"]
ROW = ["001-5", date(2026, 3, 5), 5.5]


def read(
    content: bytes, sheet: str | None = None, *, decimal_comma: bool = False
) -> tuple[ReceivedTable, ...]:
    """Read a workbook."""
    return read_workbook(content, "day.xlsx", sheet, decimal_comma=decimal_comma)


def made(*rows: list[object]) -> tuple[object, Worksheet]:
    """Return a workbook with a header and rows."""
    return new_sheet([HEAD, *rows])


def test_a_table_is_read_with_its_days_and_digits() -> None:
    book, sheet = new_sheet([[], HEAD, ROW])
    sheet["C3"].number_format = "0.00"

    (one,) = read(saved(book))

    assert one.table.header == ("sample", "date", "pH")
    assert [row.cells for row in one.table.rows] == [("001-5", "2026-03-05", "5.50")]
    assert one.table.rows[0].number == 3
    assert one.table.dated == {(3, 1)}
    assert one.study is None


def test_texts_inside_cells_and_shared_ones_are_the_same() -> None:
    inside = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>sample</t></is></c>'
        '<c r="B1" t="inlineStr"><is><r><t>da</t></r><r><t>te</t></r></is></c>'
        '<c r="C1" t="str"><v>pH</v></c></row>'
        '<row r="2"><c r="A2" t="inlineStr"><is><t>001-5</t></is></c>'
        '<c r="B2" s="2"><v>46086</v></c><c r="C2" s="1"><v>5.5</v></c></row>'
    )
    shared = (
        '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c>'
        '<c r="C1" t="s"><v>2</v></c></row>'
        '<row r="2"><c r="A2" t="s"><v>3</v></c><c r="B2" s="2"><v>46086</v></c>'
        '<c r="C2" s="1"><v>5.4999999999999998</v></c></row>'
    )

    (one,) = read(packed(by_hand(inside)))
    (other,) = read(packed(by_hand(shared, shared=["sample", "date", "pH", "001-5"])))

    assert one.table == other.table
    # ECMA-376 part 1, 18.17.4.1: serial number 1 is 1 January 1900 in the 1900 system,
    # which has a 29 February 1900; 46,086 is then 5 March 2026 (counted by hand:
    # 126 years of 365 days, 31 leap days and that one, 31 + 28 + 5 days).
    assert one.table.rows[0].cells == ("001-5", "2026-03-05", "5.50")


def test_days_counted_from_1904_are_told_right() -> None:
    rows = (
        '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>'
        '<row r="2"><c r="A2" s="2"><v>1</v></c><c r="B2" s="2"><v>44624</v></c></row>'
    )
    content = packed(by_hand(rows, shared=["date", "day"], date_1904=True))

    # The same: serial number 0 is 1 January 1904, 1,462 days later than in the other.
    assert read(content)[0].table.rows[0].cells == ("1904-01-02", "2026-03-05")


def test_cells_that_cannot_be_taken_are_told_with_their_place() -> None:
    book, sheet = new_sheet([HEAD, ROW, ROW])
    sheet["C2"] = "=5.4+0.1"
    sheet["C3"] = "#N/A"

    (one,) = read(saved(book))

    assert sorted(one.table.faults) == [(2, 2), (3, 2)]
    assert "formula" in one.table.faults[2, 2]


def _merge(sheet: Worksheet) -> None:
    sheet.merge_cells("A2:A3")


def _hide_row(sheet: Worksheet) -> None:
    sheet.row_dimensions[3].hidden = True


def _hide_column(sheet: Worksheet) -> None:
    sheet.column_dimensions["B"].hidden = True


def _stray(sheet: Worksheet) -> None:
    sheet["E2"] = "what is this"


def _formula_heading(sheet: Worksheet) -> None:
    sheet["C1"] = '="pH"'


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_merge, "cells A2:A3 are merged"),
        (_hide_row, "row 3: it is hidden"),
        (_hide_column, "column B (date): the column is hidden"),
        (_stray, "column E"),
        (_formula_heading, "row 1, column C"),
    ],
)
def test_what_a_person_would_not_see_is_refused(change: object, told: str) -> None:
    book, sheet = new_sheet([HEAD, ROW, ROW])
    assert callable(change)
    change(sheet)

    with pytest.raises(RowsError) as caught:
        read(saved(book))

    assert told in str(caught.value)


def test_all_that_is_hidden_or_merged_is_told_at_once() -> None:
    book, sheet = new_sheet([HEAD, ROW, ROW])
    for change in (_merge, _hide_row, _hide_column, _stray):
        change(sheet)

    with pytest.raises(RowsError) as caught:
        read(saved(book))

    assert len(caught.value.faults) == 4


def test_a_hidden_sheet_is_refused_unless_another_is_named() -> None:
    book, _ = new_sheet([HEAD, ROW])
    other = book.create_sheet("Old")
    other.append(HEAD)
    other.sheet_state = "hidden"
    content = saved(book)

    with pytest.raises(ReceivedFileError, match="'Old' is hidden"):
        read(content)
    with pytest.raises(ReceivedFileError, match="'Old' is hidden"):
        read(content, "Old")
    assert read(content, "Sheet")[0].table.rows


def test_of_several_sheets_one_must_be_named() -> None:
    book, _ = new_sheet([HEAD, ROW])
    book.create_sheet("April").append(HEAD)
    content = saved(book)

    with pytest.raises(ReceivedFileError, match="--sheet"):
        read(content)
    with pytest.raises(ReceivedFileError, match="Sheet, April"):
        read(content, "Mai")
    assert read(content, "April")[0].table.header == ("sample", "date", "pH")


def test_an_empty_sheet_beside_the_table_does_no_harm() -> None:
    book, _ = new_sheet([HEAD, ROW])
    book.create_sheet("Sheet2")

    assert read(saved(book))[0].table.rows


def test_a_sheet_that_reaches_far_down_is_refused_at_once() -> None:
    book, sheet = new_sheet([HEAD, ROW])
    sheet["XFD1048576"] = "x"

    with pytest.raises(ReceivedFileError, match="XFD1048576"):
        read(saved(book))


def test_links_to_other_files_are_never_followed() -> None:
    # A formula that names another file is a formula; the part that names it stays
    # unread.
    book, sheet = new_sheet([HEAD, ROW])
    sheet["C2"] = "='http://example.invalid/[x.xlsx]Sheet1'!A1"

    assert "formula" in read(saved(book))[0].table.faults[2, 2]


def test_numbers_are_given_the_comma_of_the_files_texts() -> None:
    book, _ = new_sheet([HEAD, ROW, ["002-3", date(2026, 3, 5), "5,4"]])

    (one,) = read(saved(book), decimal_comma=True)

    assert [row.cells[2] for row in one.table.rows] == ["5,5", "5,4"]


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet1.xml"])
def test_a_part_that_is_no_xml_gives_one_message(part: str) -> None:
    book, _ = new_sheet([HEAD, ROW])
    parts: dict[str, str | bytes] = {**parts_of(saved(book)), part: b"<a"}

    with pytest.raises(ReceivedFileError, match="damaged"):
        read(packed(parts))


def test_damaged_bytes_never_end_in_anything_but_a_message() -> None:
    book, _ = new_sheet([HEAD, ROW, ["002-3", "5/6/2026", "=A1"]])
    good = parts_of(saved(book))
    chance = random.Random(7)  # noqa: S311 - no secret
    refused = 0
    for _ in range(150):
        name = chance.choice(sorted(good))
        content = bytearray(good[name])
        for _ in range(chance.randint(1, 6)):
            place = chance.randrange(len(content))
            content[place] = chance.choice(b"<>&\"'=/0159AZaz \x00\xff")
        try:
            read(packed({**good, name: bytes(content)}))
        except StabilityError:
            refused += 1
    assert refused > 10
