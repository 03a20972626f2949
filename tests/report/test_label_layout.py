"""What comes first on a label, and what is left off."""

from __future__ import annotations

import pytest

from stability.report.fonts import ReportFonts
from stability.report.label_layout import READABLE, Box, fitted, frame_of
from stability.report.label_sizes import SHEETS, sheet_for
from stability.report.label_words import CAUTION, Label, LabelLine
from stability.report.text import text_width

CODE = "HDC-001-5"


def label(**words: str) -> Label:
    """Return a label with lines in the order given, ranked in that order."""
    lines = [
        LabelLine(name, text, rank)
        for rank, (name, text) in enumerate(words.items(), 2)
    ]
    return Label(CODE, (*lines, LabelLine("caution", CAUTION, 1, whole=True)))


def texts(one: Label, width: float, height: float, fonts: ReportFonts) -> list[str]:
    """Return the lines as they fit into a box [points]."""
    return [line.text for line in fitted(one, Box(0, 0, width, height), fonts).lines]


@pytest.mark.parametrize(
    "size", ["105x57", "99.1x38.1", "70x37", "63.5x38.1", "48.5x25.4"]
)
def test_codes_are_read_at_arms_length_on_usual_labels(
    size: str, fonts: ReportFonts
) -> None:
    frame = frame_of(SHEETS[size], [CODE], fonts)

    assert frame.code_height >= READABLE - 0.05
    assert frame.qr_side >= 11.5


def test_all_codes_of_a_print_share_the_size_of_the_longest(fonts: ReportFonts) -> None:
    sheet = SHEETS["38.1x21.2"]
    short = frame_of(sheet, [CODE], fonts)
    both = frame_of(sheet, [CODE, "HDCKX-1000-W"], fonts)

    assert both.code_size < short.code_size
    assert text_width("HDCKX-1000-W", both.code_size, fonts, "bold") <= (
        both.code.width + 1e-6
    )


def test_a_low_label_has_its_code_beside_the_qr_code(fonts: ReportFonts) -> None:
    frame = frame_of(sheet_for(printer="100x15"), [CODE], fonts)

    assert frame.qr is not None
    assert frame.code.left + frame.code.width <= frame.qr.left
    assert frame.lines.left + frame.lines.width <= frame.qr.left


@pytest.mark.parametrize("size", ["105x57", "70x37", "38.1x21.2"])
def test_code_qr_code_and_lines_do_not_meet(size: str, fonts: ReportFonts) -> None:
    frame = frame_of(SHEETS[size], [CODE], fonts)

    assert frame.qr is not None
    assert frame.lines.top >= frame.code.top + frame.code.height
    assert frame.lines.left + frame.lines.width <= frame.qr.left
    under = frame.qr.top >= frame.code.top + frame.code.height
    assert under or frame.code.left + frame.code.width <= frame.qr.left


def test_lines_that_fit_are_whole(fonts: ReportFonts) -> None:
    one = label(product="Heather day cream 1.0", batch="batch A · JAR")

    assert texts(one, 200, 60, fonts) == [
        "Heather day cream 1.0", "batch A · JAR", CAUTION,
    ]  # fmt: skip


def test_a_long_line_is_wrapped_between_words(fonts: ReportFonts) -> None:
    one = label(product="Heather day cream for the dry hands of gardeners")
    lines = texts(one, 100, 100, fonts)

    assert " ".join(lines) == f"{one.lines[0].text} {CAUTION}"
    assert len(lines) > 2


def test_no_line_begins_or_ends_with_a_separating_dot(fonts: ReportFonts) -> None:
    one = label(dates="placed\u00a02026-03-05 · made\u00a02026-03-02")
    lines = texts(one, 80, 100, fonts)

    assert lines[:2] == ["placed\u00a02026-03-05", "made\u00a02026-03-02"]


def test_too_long_a_line_is_shortened_and_the_caution_never(fonts: ReportFonts) -> None:
    one = label(product="Heather " * 40, batch="batch A")
    lines = texts(one, 110, 32, fonts)

    assert any(line.startswith("Heather") and line.endswith("…") for line in lines)
    assert CAUTION in " ".join(lines)
    assert "batch A" in lines


def test_the_last_ranks_are_left_off_first_and_told(fonts: ReportFonts) -> None:
    one = label(
        condition="T40 with a long and wordy name",
        use="reopened at each check",
        product="Heather day cream",
    )
    # Two print lines of 5 points.
    result = fitted(one, Box(0, 0, 100, 12), fonts)

    assert [line.text for line in result.lines][-1] == CAUTION
    assert result.lines[0].text.startswith("T40")
    assert result.left_off == ("use", "product")


def test_without_any_room_everything_is_told_as_left_off(fonts: ReportFonts) -> None:
    result = fitted(label(product="x"), Box(0, 0, 100, 2), fonts)

    assert (result.lines, result.left_off) == ((), ("product", "caution"))


def test_a_short_line_joins_another_where_there_is_width(fonts: ReportFonts) -> None:
    one = label(product="Heather day cream", batch="batch A")
    result = fitted(one, Box(0, 0, 300, 6), fonts)

    assert [line.text for line in result.lines] == [
        f"{CAUTION} · Heather day cream · batch A"
    ]
    assert result.left_off == ()


def test_a_word_wider_than_any_line_is_shortened(fonts: ReportFonts) -> None:
    one = label(product=f"{'W' * 200} 1.0")
    lines = texts(one, 110, 60, fonts)

    assert all(text_width(line, 5, fonts) <= 110 for line in lines)
    assert lines[0].startswith("W")
    assert lines[0].endswith("…")
