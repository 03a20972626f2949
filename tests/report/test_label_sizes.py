"""Sheets of labels: what they hold lies on the page, and odd sizes are refused.

Sizes and numbers of labels on a page are common practice.
"""

from __future__ import annotations

import pytest

from stability.errors.labels import LabelKindError, LabelSheetError, LabelSizeError
from stability.report.label_sizes import SHEETS, USUAL_SHEET, LabelSheet, sheet_for


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_every_label_lies_on_its_page_and_on_no_other(sheet: LabelSheet) -> None:
    corners = [sheet.corner(place) for place in range(sheet.count)]
    (width, height), (page_width, page_height) = sheet.label, sheet.page

    assert all(
        left >= -0.01 and left + width <= page_width + 0.01 for left, _ in corners
    )
    assert all(
        top >= -0.01 and top + height <= page_height + 0.01 for _, top in corners
    )
    for at, (left, top) in enumerate(corners):
        for other_left, other_top in corners[at + 1 :]:
            apart_across = abs(left - other_left) >= width - 0.001
            assert apart_across or abs(top - other_top) >= height - 0.001


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_labels_stand_in_the_middle_of_the_page(sheet: LabelSheet) -> None:
    left, top = sheet.corner(0)
    last_left, last_top = sheet.corner(sheet.count - 1)

    assert sheet.page[0] - last_left - sheet.label[0] == pytest.approx(left, abs=0.02)
    assert sheet.page[1] - last_top - sheet.label[1] == pytest.approx(top, abs=0.02)


def test_the_usual_sheet_has_seven_rows_of_three() -> None:
    sheet = sheet_for()

    assert (sheet.name, sheet.columns, sheet.rows) == (USUAL_SHEET, 3, 7)
    assert sheet.page == (210, 297)


@pytest.mark.parametrize("typed", ["63.5x38.1", " 63.5 X 38.10 ", "63.5×38.1"])
def test_a_size_may_be_typed_in_several_ways(typed: str) -> None:
    assert sheet_for(typed) == SHEETS["63.5x38.1"]


def test_an_unknown_size_lists_the_known_ones() -> None:
    with pytest.raises(LabelSheetError) as caught:
        sheet_for("64x38")

    assert all(name in str(caught.value) for name in SHEETS)


def test_margin_and_pitch_move_the_labels() -> None:
    sheet = sheet_for("63.5x38.1", margin="8x14", pitch="65x38.5")

    assert sheet.corner(0) == (8, 14)
    assert sheet.corner(4) == (73, 52.5)


@pytest.mark.parametrize(
    ("margin", "pitch", "reason"),
    [
        ("8", None, "it is no size"),
        ("8x14 mm", None, "it is no size"),
        ("٨x٨", None, "it is no size"),
        (None, "60x38.1", "overlap"),
        (None, "66x38", "overlap"),
        (None, "80x38.1", "over the page"),
        ("30x15", None, "over the page"),
        ("7x60", None, "over the page"),
    ],
)
def test_labels_that_do_not_lie_on_the_page_are_refused(
    margin: str | None, pitch: str | None, reason: str
) -> None:
    with pytest.raises(LabelSizeError, match=reason):
        sheet_for("63.5x38.1", margin=margin, pitch=pitch)


def test_a_printer_has_one_label_a_page() -> None:
    sheet = sheet_for(printer="50x30")

    assert (sheet.page, sheet.label, sheet.count) == ((50, 30), (50, 30), 1)
    assert sheet.corner(0) == (0, 0)


@pytest.mark.parametrize(
    ("printer", "reason"),
    [("50", "no size"), ("10x30", "below"), ("30x7", "below"), ("500x30", "the most")],
)
def test_a_label_that_no_printer_takes_is_refused(printer: str, reason: str) -> None:
    with pytest.raises(LabelSizeError, match=reason):
        sheet_for(printer=printer)


@pytest.mark.parametrize("option", ["sheet", "margin", "pitch"])
def test_what_is_for_sheets_does_not_go_with_a_printer(option: str) -> None:
    with pytest.raises(LabelKindError, match=f"--{option}"):
        sheet_for(**{"printer": "50x30", option: "70x37"})
