"""A file of rows, split into cells."""

from __future__ import annotations

import pytest

from stability.errors.files import RowsError
from stability.errors.samples import ReadingsError
from stability.records.rows import read_rows


def test_cells_go_by_the_header_in_any_order() -> None:
    rows = read_rows("reading,sample\n5.5, 001-5 \n", "log.csv")

    assert rows[0].line == 2
    assert (rows[0].cell("sample"), rows[0].cell("reading")) == ("001-5", "5.5")
    assert rows[0].maybe("check") is None


def test_a_semicolon_may_stand_between_cells() -> None:
    rows = read_rows("sample;attribute;reading\n001-5;pH;5,47\n", "log.csv")

    assert rows[0].cell("reading") == "5,47"


def test_blank_lines_are_left_out_and_lines_stay_right() -> None:
    rows = read_rows('sample,because\n\n001-5,"two\nlines"\n002-3,\n', "log.csv")

    assert [one.line for one in rows] == [3, 5]


def test_every_fault_of_the_header_is_told() -> None:
    with pytest.raises(RowsError) as caught:
        read_rows("sampel,sample,sample\n", "log.csv")

    assert caught.value.faults == (
        "line 1: there is no column 'sampel'; did you mean “sample”?",
        "line 1: column sample stands there twice",
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "a header is missing"),
        ("sample\n001-5,pH\n", "line 2: it has more cells"),
        ('sample\n"001-5\n', "line 2"),
    ],
)
def test_what_is_no_table_is_refused(text: str, told: str) -> None:
    with pytest.raises(RowsError, match=told):
        read_rows(text, "log.csv")


def test_the_settings_column_holds_names_with_values() -> None:
    row = read_rows("settings\n at=OVEN ; step=2/1;x=1\n", "log.csv")[0]

    assert row.settings(("at", "step")) == ({"at": "OVEN", "step": "2/1"}, ["x=1"])
    with pytest.raises(ReadingsError, match="'x=1' is not one of at, step"):
        row.only_settings(("at", "step"))


@pytest.mark.parametrize(
    ("typed", "position"), [("12", 12), ("HDC/12", 12), ("x", None), ("", None)]
)
def test_a_row_refers_to_a_position(typed: str, position: int | None) -> None:
    row = read_rows(f"sample,refers_to\n001-5,{typed}\n", "log.csv")[0]

    assert row.refers_to == position


def test_a_column_that_is_needed_is_named() -> None:
    row = read_rows("sample,reading\n001-5,\n", "log.csv")[0]

    with pytest.raises(ReadingsError, match="column reading is empty"):
        row.needed("reading")
