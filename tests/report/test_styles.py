"""Headings, boxes, links and anchors."""

from __future__ import annotations

import io
from collections.abc import Callable

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.platypus import Flowable, Spacer

from stability.report.pages import PageSetup
from stability.report.styles import (
    ReportStyles,
    anchor_name,
    anchor_point,
    bold,
    caution_box,
    face_of,
    heading,
    link,
    note_box,
)

Pages = Callable[..., list[str]]


def test_a_box_begins_with_its_bold_word(styles: ReportStyles, pages: Pages) -> None:
    story = [
        note_box("Note", ["first <passage>", "second & last"], styles),
        caution_box("Caution", "stays closed", styles),
    ]

    text = pages(story)[0]

    assert text.startswith("Note first <passage>\nsecond & last\nCaution stays closed")


def test_a_long_box_goes_on_over_pages(styles: ReportStyles, pages: Pages) -> None:
    words = [f"w{number:04d}" for number in range(1500)]

    texts = pages([caution_box("Caution", " ".join(words), styles)])

    assert len(texts) > 1
    assert all(word in "\n".join(texts) for word in words)


def test_a_heading_moves_on_if_too_little_room_is_left(
    styles: ReportStyles, pages: Pages
) -> None:
    # room of about 40 mm is left above the lower margin
    def chapter(keep_mm: float) -> list[Flowable]:
        before = Spacer(1, PageSetup().frame_height - 113)
        return [before, *heading("Chapter", 1, styles, keep_mm=keep_mm)]

    assert "Chapter" in pages(chapter(30))[0]
    assert "Chapter" in pages(chapter(50))[1]


def test_a_heading_over_a_page_end_is_found_where_it_begins(
    styles: ReportStyles, render: Callable[..., bytes]
) -> None:
    content = render(heading("very long heading " * 400, 1, styles))
    document = pypdf.PdfReader(io.BytesIO(content))
    (entry,) = document.outline

    assert len(document.pages) > 1
    assert document.get_destination_page_number(entry) == 0  # type: ignore[arg-type]  # no entry is nested


def test_bold_markup_is_escaped(styles: ReportStyles) -> None:
    assert bold("a<b", styles) == "<b>a&lt;b</b>"


def test_a_style_tells_its_face(styles: ReportStyles) -> None:
    assert face_of(styles.body, styles.fonts) == "regular"
    assert face_of(styles.headings[0], styles.fonts) == "bold"


@pytest.mark.parametrize("anchor", ["", "a b", "1a", '"><b>', "é", "a" * 99])
def test_an_anchor_of_loose_text_is_a_broken_contract(
    styles: ReportStyles, anchor: str
) -> None:
    with pytest.raises(ValueError, match="anchor_name"):
        link("x", anchor, styles)
    with pytest.raises(ValueError, match="anchor_name"):
        anchor_point(anchor)


@given(st.lists(st.text(st.characters(), max_size=80), min_size=1, max_size=3))
def test_any_text_makes_an_anchor_and_always_the_same(parts: list[str]) -> None:
    assert anchor_point(anchor_name(*parts)) == anchor_point(anchor_name(*parts))


def test_different_texts_make_different_anchors() -> None:
    names = {
        anchor_name("sample", text) for text in ("A", "B", "é", "è", "a b", "a  b")
    }

    assert len(names) == 6
