"""Tables: heads on each page, nothing out of its cell, nothing lost."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pdfplumber
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from stability.report.pages import PageSetup
from stability.report.styles import (
    ReportStyles,
    bold,
    heading,
    marked_paragraph,
    paragraph,
)
from stability.report.tables import (
    Cell,
    Column,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
    key_values,
    record_table,
)

Render = Callable[..., bytes]
Pages = Callable[..., list[str]]
COLUMNS = (
    Column("Sample", Millimetres(24)),
    Column("Value", Millimetres(16), align="right"),
    Column("Note"),
)


def numbered(count: int) -> list[TableRow]:
    """Return rows whose samples are told apart."""
    return [[f"S-{number:04d}", f"5.{number:02d}", "inside"] for number in range(count)]


def test_the_head_stands_on_every_page_once(styles: ReportStyles, pages: Pages) -> None:
    texts = pages([record_table(COLUMNS, numbered(250), styles)])

    assert len(texts) > 3
    assert [text.count("Sample Value Note") for text in texts] == [1] * len(texts)


def test_no_row_is_lost_or_printed_twice(styles: ReportStyles, pages: Pages) -> None:
    text = "\n".join(pages([record_table(COLUMNS, numbered(250), styles)]))

    for number in range(250):
        assert text.count(f"S-{number:04d} ") == 1


def test_a_table_without_rows_prints_its_head(
    styles: ReportStyles, pages: Pages
) -> None:
    assert "Sample Value Note" in pages([record_table(COLUMNS, [], styles)])[0]


def test_a_group_is_named_again_where_a_page_begins_in_its_middle(
    styles: ReportStyles, pages: Pages
) -> None:
    rows: list[TableRow] = [Group("40 °C"), *numbered(60), Group("45 °C"), *numbered(3)]

    first, second = pages([record_table(COLUMNS, rows, styles)])

    assert "40 °C\n" in first
    assert "(continued)" not in first
    assert "40 °C (continued)" in second
    assert "45 °C\n" in second


@pytest.mark.parametrize("before", range(41, 47))
def test_no_group_name_stands_alone_at_the_foot(
    styles: ReportStyles, pages: Pages, before: int
) -> None:
    rows: list[TableRow] = [*numbered(before), Group("45 °C"), *numbered(9)]

    for text in pages([record_table(COLUMNS, rows, styles)], page=PageSetup()):
        lines = text.splitlines()
        assert lines[-2] != "45 °C"


def test_no_lone_row_begins_the_last_page(styles: ReportStyles, pages: Pages) -> None:
    for count in range(42, 50):
        texts = pages([record_table(COLUMNS, numbered(count), styles)])
        assert texts[-1].count("S-0") != 1


def test_a_note_longer_than_a_page_is_printed_whole(
    styles: ReportStyles, pages: Pages
) -> None:
    words = [f"w{number:04d}" for number in range(2500)]
    rows: list[TableRow] = [
        *numbered(5),
        ["S-LONG", "5.00", " ".join(words)],
        *numbered(3),
    ]

    texts = pages([record_table(COLUMNS, rows, styles)])

    assert len(texts) > 2
    together = "\n".join(texts)
    assert all(together.count(word) == 1 for word in words)
    assert together.count("S-LONG") == 1
    assert all(text.count("Sample Value Note") == 1 for text in texts)


def test_the_group_of_a_note_longer_than_a_page_is_named_on_each_page(
    styles: ReportStyles, pages: Pages
) -> None:
    rows: list[TableRow] = [Group("40 °C"), ["S", "5.00", "word " * 3500]]

    first, *others = pages([record_table(COLUMNS, rows, styles)])

    assert len(others) > 1
    assert "40 °C (continued)" not in first
    assert all("40 °C (continued)" in text for text in others)


def test_no_table_begins_with_a_lone_row_at_the_foot(
    styles: ReportStyles, pages: Pages
) -> None:
    for room in range(20, 60, 2):
        before = Spacer(1, PageSetup().frame_height - room)
        texts = pages([before, record_table(COLUMNS, numbered(9), styles)])
        assert texts[0].count("S-0") != 1


@pytest.mark.parametrize("align", ["left", "center", "right"])
def test_a_cell_wraps_as_soon_as_one_line_is_too_narrow(
    styles: ReportStyles, render: Render, align: Any
) -> None:
    columns = [Column("a", Millimetres(20), align=align), Column("b")]
    rows: list[TableRow] = [["8" * length, ""] for length in range(1, 40)]
    content = render([record_table(columns, rows, styles)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        eights = [one for one in document.pages[0].chars if one["text"] == "8"]

    assert min(one["x0"] for one in eights) >= 20 * mm
    assert max(one["x1"] for one in eights) <= 40 * mm


def test_a_cell_of_many_blocks_longer_than_a_page_is_printed_whole(
    styles: ReportStyles, pages: Pages
) -> None:
    blocks: list[Flowable] = [
        paragraph(f"b{number:03d}", styles.cell, styles) for number in range(150)
    ]

    together = "\n".join(pages([record_table(COLUMNS, [["S", "", blocks]], styles)]))

    assert all(together.count(f"b{number:03d}") == 1 for number in range(150))


LONG = [
    "x" * 300,
    "クリーム" * 60,
    "ab" * 20 + "クリ" * 40 + " " + "שלום" * 30,
    "https://example.org/" + "path/" * 40,
    "<b>" * 80,
    "\U0001f9f4" * 40,
    "名" * 200,
]


@pytest.mark.parametrize("text", LONG)
@pytest.mark.parametrize("strong", [False, True])
def test_no_text_leaves_its_cell(
    styles: ReportStyles, render: Render, text: str, strong: bool
) -> None:
    columns = (Column("first" * 20, Millimetres(30)), Column("other"))
    cell: Cell = Mark(text, "■", strong=True) if strong else text
    content = render([record_table(columns, [[cell, text]], styles)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        for page in document.pages:
            left = 20 * mm
            edge = left + 30 * mm
            right = float(page.width) - 18 * mm
            for letter in page.chars:
                assert letter["x0"] >= left
                assert letter["x1"] <= right + 0.01
                assert letter["x1"] <= edge + 0.01 or letter["x0"] >= edge - 0.01


@pytest.mark.parametrize(
    "widths",
    [
        [Millimetres(100), Millimetres(100), Millimetres(100)],
        [Millimetres(170), Share(), Share(3)],
        [Share(1), Share(2), Share(100)],
        [Millimetres(10), Millimetres(10), Millimetres(10)],
    ],
)
def test_columns_always_fill_the_page(
    styles: ReportStyles, widths: list[Share | Millimetres]
) -> None:
    table: Any = record_table([Column("c", width) for width in widths], [], styles)

    width, _ = table.wrap(400, 700)

    assert width == 400
    assert sum(table._grid.widths) == pytest.approx(400)
    assert min(table._grid.widths) > 0


def test_shares_divide_what_fixed_columns_leave(styles: ReportStyles) -> None:
    columns = [Column("a", Millimetres(20)), Column("b"), Column("c", Share(3))]
    table: Any = record_table(columns, [], styles)

    table.wrap(120 * mm, 700)

    assert table._grid.widths == pytest.approx([20 * mm, 25 * mm, 75 * mm])


def test_marks_carry_shape_word_and_weight(
    styles: ReportStyles, render: Render
) -> None:
    rows: list[TableRow] = [
        [Mark("outside", "■", strong=True), Mark("out of trend", "◇"), "plain"]
    ]
    columns = [Column("a"), Column("b"), Column("c")]
    content = render([record_table(columns, rows, styles)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        letters = document.pages[0].chars
        text = document.pages[0].extract_text()
    bold_ones = {one["text"] for one in letters if "Bold" in one["fontname"]}

    assert "■ outside ◇ out of trend plain" in text
    assert "■" in bold_ones
    assert "◇" not in bold_ones


def test_numbers_are_set_to_the_right(styles: ReportStyles, render: Render) -> None:
    rows = [["a", "5.5", ""], ["b", "115.25", ""]]
    content = render([record_table(COLUMNS, rows, styles)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        ends = [
            word["x1"]
            for word in document.pages[0].extract_words()
            if word["text"] in {"5.5", "115.25"}
        ]

    assert ends[0] == pytest.approx(ends[1], abs=0.01)


def test_a_row_of_another_length_is_a_broken_contract(styles: ReportStyles) -> None:
    with pytest.raises(ValueError, match="row 1 has 2 cells for 3 columns"):
        record_table(COLUMNS, [["a", "b", "c"], ["a", "b"]], styles)


def test_names_and_values_stand_side_by_side(
    styles: ReportStyles, pages: Pages
) -> None:
    block = key_values(
        [
            ("Product", "<b>A & B</b>"),
            ("Asked", marked_paragraph(bold("12 months", styles), styles.cell)),
        ],
        styles,
    )

    text = pages([block])[0]

    assert "Product <b>A & B</b>" in text
    assert "Asked 12 months" in text


def test_a_table_after_a_heading_begins_on_the_same_page(
    styles: ReportStyles, pages: Pages
) -> None:
    story = [
        paragraph("before", styles.body, styles),
        *heading("Readings", 1, styles),
        record_table(COLUMNS, numbered(200), styles),
    ]

    assert "S-0000" in pages(story)[0]


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.text(st.characters(), max_size=400), min_size=1, max_size=6))
def test_any_text_fits_a_table(
    styles: ReportStyles, render: Render, texts: list[str]
) -> None:
    rows: list[TableRow] = [[text, Mark(text), text] for text in texts]

    assert render([record_table(COLUMNS, rows, styles)]).startswith(b"%PDF")
