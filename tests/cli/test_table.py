"""Tables of plain text that fit the terminal."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.cli.table import Column, columns_of, hanging, table_lines, wrapped

COLUMNS = (
    Column("attribute", "attribute"),
    Column("slope_per_month", "per month", right=True),
)


def test_wide_signs_take_two_columns() -> None:
    lines = table_lines(COLUMNS, [["クリーム", "1"], ["pH", "2"]], None)

    assert lines[2:] == ["クリーム           1", "pH                 2"]


@given(
    st.lists(st.lists(st.text("ab ", max_size=60), min_size=2, max_size=2), max_size=5)
)
def test_a_table_fits_the_terminal_and_loses_no_letter(cells: list[list[str]]) -> None:
    lines = table_lines(COLUMNS, cells, 40)

    assert max(map(len, lines)) <= 40
    letters = "".join("".join(row) for row in cells)
    shown = "".join(lines[2:])
    assert all(shown.count(sign) == letters.count(sign) for sign in "ab")


def test_words_are_kept_whole_where_there_is_room_elsewhere() -> None:
    cells = [["viscosity", "a long sentence that can be told in several lines"]]

    lines = table_lines(COLUMNS, cells, 36)

    assert lines[2].startswith("viscosity  ")
    assert len(lines) > 3


def test_what_rows_share_stands_above_them_once() -> None:
    columns = (Column("unit", "unit", above=True), *COLUMNS)
    cells = [["pH", "A", "1"], ["pH", "B", "2"], ["mm", "A", "3"]]

    assert table_lines(columns, cells, None)[2:] == [
        "pH",
        "A                  1",
        "B                  2",
        "mm",
        "A                  3",
    ]


BENCH = (
    Column("state", "state", above=True),
    Column("due", "due"),
    Column("condition", "condition"),
    Column("what", "what"),
    Column("to", "until"),
    Column("note", "note", below=True),
)
CHECK = ["due, HDC", "2026-09-27", "ROOM", "check of all that was left", "2026-10-11"]


@pytest.mark.parametrize("width", [30, 40, 50])
def test_a_telephone_is_told_row_by_row_and_no_day_is_broken(width: int) -> None:
    lines = table_lines(BENCH, [[*CHECK, "x"], [*CHECK, ""]], width)

    assert max(map(columns_of, lines)) <= width
    assert sum("2026-09-27" in line for line in lines) == 2
    assert sum("2026-10-11" in line for line in lines) == 2
    assert lines.count("due, HDC") == 1
    told = " ".join(" ".join(lines).split())
    assert width == 50 or told.startswith(
        "due, HDC due 2026-09-27 · condition ROOM · what check of all that was left "
        "· until 2026-10-11 x due"
    )


def test_what_fits_a_telephone_stays_a_table() -> None:
    lines = table_lines(BENCH[1:4], [["2026-09-27", "ROOM", "4w"]], 40)

    assert lines[2] == "2026-09-27  ROOM       4w"


def test_a_wider_terminal_keeps_its_table() -> None:
    lines = table_lines(BENCH, [[*CHECK[:4], CHECK[3] * 4, "x"]], 60)

    assert "─" in lines[1]


def test_a_long_text_stands_below_its_row() -> None:
    columns = (*COLUMNS, Column("forecast", "forecast", below=True))

    lines = table_lines(columns, [["pH", "1", "not before 12 months"]], None)

    assert lines[2:] == ["pH                 1", "    not before 12 months"]


@given(st.text("ab クé ", max_size=80), st.integers(2, 30))
def test_wrapping_keeps_every_letter_within_the_width(text: str, width: int) -> None:
    lines = wrapped(text, width)

    assert all(columns_of(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(st.text("ab クé ", max_size=80), st.integers(8, 30))
def test_a_hanging_line_keeps_every_letter_within_the_width(
    text: str, width: int
) -> None:
    lines = hanging(f"  {text.strip()}".rstrip(), width)

    assert all(columns_of(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_hanging_line_keeps_its_gaps_and_sets_the_rest_in() -> None:
    lines = hanging("    QDC/8  weight 82 g, far from the last one", 26)

    assert lines == ["    QDC/8  weight 82 g,", "      far from the last", "      one"]
    assert hanging("as it is  " * 20, None) == ["as it is  " * 20]
