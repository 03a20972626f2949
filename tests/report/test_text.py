"""Text prints as typed, or says by its code point that it cannot."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pdfplumber
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.platypus import Paragraph

from stability.report.fonts import ReportFonts, load_fonts
from stability.report.styles import ReportStyles, paragraph
from stability.report.text import (
    metadata_text,
    plain_text,
    printable,
    text_runs,
    text_width,
)

SHIPPED = load_fonts()


def shown(text: str, fonts: ReportFonts) -> str:
    """Return the characters that would be drawn."""
    return "".join(run.text for run in text_runs(text, fonts))


@pytest.mark.parametrize(
    "text",
    [
        "<b>A & B</b>",
        "<img src=/etc/passwd>",
        "</para>",
        "a < b > c",
        "&alpha; &#65; &lt;",
        "<font name=x>",
        "<a href='file:///etc/passwd'>x</a>",
        "]]><!-- x -->",
        "$x^2$",
        "quotes \"and\" 'more'",
    ],
)
def test_markup_prints_as_typed(
    text: str, styles: ReportStyles, pages: Callable[..., list[str]]
) -> None:
    assert pages([paragraph(text, styles.body, styles)])[0].startswith(text)


def test_an_image_in_a_name_reads_no_file(
    styles: ReportStyles, render: Callable[..., bytes]
) -> None:
    content = render([paragraph("<img src='/etc/hostname'/>", styles.body, styles)])

    with pdfplumber.open(io.BytesIO(content)) as document:
        assert document.pages[0].images == []


def test_a_bare_number_is_left_alone(fonts: ReportFonts) -> None:
    assert printable("5.50", fonts) == "5.50"
    assert plain_text("5.50", fonts).one_font


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ("\U0001f9f4", "[U+1F9F4]"),
        ("\U0001d400", "[U+1D400]"),
        ("ク", "[U+30AF]"),
        ("\0", "[U+0000]"),
        ("\x1b[31m", "[U+001B][31m"),
        ("a\u202eb", "a[U+202E]b"),
        ("a\u2066b", "a[U+2066]b"),
        ("\u200b", "[U+200B]"),
        ("\ufeff", "[U+FEFF]"),
        ("\ud800", "[U+D800]"),
        ("\ue000", "[U+E000]"),
        ("\uffff", "[U+FFFF]"),
        ("e\u0301", "é"),
        ("\u0e01", "[U+0E01]"),
    ],
)
def test_what_cannot_print_shows_its_code_point(
    fonts: ReportFonts, text: str, seen: str
) -> None:
    assert shown(text, fonts) == seen


def test_a_named_font_prints_what_the_shipped_one_lacks(
    kana_fonts: ReportFonts,
) -> None:
    assert kana_fonts.fallback is not None
    name = kana_fonts.fallback.name

    assert (
        printable("クリーム A", kana_fonts) == f'<font name="{name}">クリーム</font> A'
    )
    assert not plain_text("クリーム", kana_fonts).one_font
    assert plain_text("Crème", kana_fonts).one_font


def test_arabic_in_bold_is_taken_from_a_face_that_has_it(fonts: ReportFonts) -> None:
    faces = {run.font for run in text_runs("شامبو", fonts, "oblique")}

    assert faces == {"DejaVuSans"}


@pytest.mark.parametrize(
    ("typed", "seen"),
    [
        # Unicode Bidirectional Algorithm (UAX #9): right-to-left runs are reversed,
        # numbers in them are not.
        ("שלום", "םולש"),
        ("Batch שלום 12", "Batch 12 םולש"),
        # Arabic letters take their joined forms: initial, medial, final.
        ("ببب", "\ufe90\ufe92\ufe91"),
        # lam with alef is one sign
        ("لا", "\ufefb"),
        # vowel signs are kept, before their letter, over which their glyph reaches
        ("بَ", "\u064e\ufe8f"),
        # a non-joiner parts letters and is itself not drawn
        ("ب\u200cب", "\ufe8f\ufe8f"),
    ],
)
def test_right_to_left_text_stands_in_visual_order(
    fonts: ReportFonts, typed: str, seen: str
) -> None:
    assert shown(typed, fonts) == seen


@pytest.mark.parametrize(
    "word",
    ["الله", "محمد", "بسم الله الرحمن الرحيم", "مُحَمَّد", "پژوهش", "می‌خواهم", "שָׁלוֹם"],
)
def test_right_to_left_words_have_a_glyph_for_every_sign(
    fonts: ReportFonts, word: str
) -> None:
    drawn = {ord(letter) for letter in shown(word, fonts)}

    assert drawn <= fonts.regular.characters
    assert "[U+" not in shown(word, fonts)


def test_latin_text_is_never_turned_round(fonts: ReportFonts) -> None:
    assert shown("Crème de jour (50 ml)", fonts) == "Crème de jour (50 ml)"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\u2028", "\x85"])
def test_line_ends_break_lines(fonts: ReportFonts, end: str) -> None:
    assert printable(f"a{end}b", fonts) == "a<br/>b"


def test_spaces_and_tabs_stay(fonts: ReportFonts) -> None:
    assert printable("a  b", fonts) == "a \u00a0b"
    assert printable(" a", fonts) == "\u00a0a"
    assert printable("a\tb", fonts) == "a \u00a0\u00a0\u00a0b"


def test_a_cell_of_two_lines_needs_a_paragraph(fonts: ReportFonts) -> None:
    assert not plain_text("a\nb", fonts).one_font


def test_width_counts_every_font(kana_fonts: ReportFonts) -> None:
    # the glyphs of the named font are 900 of 1,000 wide
    assert text_width("クリ", 10, kana_fonts) == pytest.approx(18.0)


def test_metadata_keeps_letters_and_shows_controls() -> None:
    assert (
        metadata_text("クリーム\n\U0001f9f4 שלום\u202e")
        == "クリーム \U0001f9f4 שלום[U+202E]"
    )
    assert metadata_text("\ud800") == "[U+D800]"


@given(st.text(st.characters(), max_size=60))
def test_any_text_becomes_a_paragraph(text: str) -> None:
    width, height = Paragraph(printable(text, SHIPPED)).wrap(200, 1000)

    assert width <= 200
    assert height >= 0


@given(st.text(st.characters(), max_size=60))
def test_every_character_drawn_has_a_glyph(text: str) -> None:
    for run in text_runs(text, SHIPPED):
        characters = {
            font.name: font.characters for font in SHIPPED.in_order("regular")
        }
        assert {ord(letter) for letter in run.text} <= characters[run.font]


@given(st.text(st.characters(min_codepoint=0x21, max_codepoint=0x24F), max_size=60))
def test_latin_text_prints_as_typed(text: str) -> None:
    text = re.sub("[\x7f-\xa0\xad]", "", text)

    assert shown(text, SHIPPED) == text
