"""A heading stays with the beginning of what it names, however tall that is."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from reportlab.platypus import Flowable, Spacer

from stability.report.pages import PageSetup
from stability.report.styles import ReportStyles, caution_box, heading, paragraph
from stability.report.tables import Column, Group, Share, TableRow, record_table

Pages = Callable[[Sequence[Flowable]], list[str]]

COLUMNS = (Column("Sample", Share()), Column("Note", Share(0.4)))
LONG = "a name of very many words " * 8


def story(room: float, rows: list[TableRow], styles: ReportStyles) -> list[Flowable]:
    """Return so much room left on the page, then a heading over a table."""
    return [
        *heading("First", 1, styles),
        Spacer(1, PageSetup().frame_height - room - 40),
        *heading("Parts", 2, styles, keep_mm=10),
        paragraph("Said before.", styles.small, styles),
        record_table(COLUMNS, rows, styles),
    ]


@pytest.mark.parametrize("room", range(40, 300, 20))
def test_a_heading_goes_with_its_table_where_rows_are_tall(
    room: int, styles: ReportStyles, pages: Pages
) -> None:
    rows: list[TableRow] = [Group("40 °C"), *([f"S{at}", LONG] for at in range(6))]
    made = pages(story(room, rows, styles))
    (page,) = [text for text in made if "\nParts" in text or text.startswith("Parts")]

    assert "Said before." in page
    assert "S0 a name" in page
    assert "S1 a name" in page


def test_two_headings_go_with_the_table_under_them(
    styles: ReportStyles, pages: Pages
) -> None:
    rows: list[TableRow] = [[f"S{at}", LONG] for at in range(6)]
    for room in range(40, 300, 20):
        parts = story(room, rows, styles)
        outer = heading("Chapter", 1, styles, keep_mm=10)
        made = pages([*parts[:3], *outer, *parts[3:]])
        (page,) = [text for text in made if "Chapter" in text]
        assert "Parts" in page
        assert "S0 a name" in page


def test_cautions_are_parted_by_no_page(styles: ReportStyles, pages: Pages) -> None:
    texts = [f"caution {at} {'word ' * 30}" for at in range(8)]
    for room in range(20, 200, 30):
        before = Spacer(1, PageSetup().frame_height - room)
        made = pages([before, caution_box("Caution.", texts, styles)])
        (page,) = [text for text in made if "caution 0" in text]
        assert "caution 7" in page


def test_cautions_taller_than_a_page_are_parted(
    styles: ReportStyles, pages: Pages
) -> None:
    made = pages([caution_box("Caution.", ["word " * 700] * 8, styles)])

    assert len(made) > 1


def test_room_wanted_beyond_a_page_leaves_no_empty_page(
    styles: ReportStyles, pages: Pages
) -> None:
    rows: list[TableRow] = [["S", "word " * 6000]]
    made = pages([*heading("Parts", 1, styles), record_table(COLUMNS, rows, styles)])

    assert "word" in made[0]
