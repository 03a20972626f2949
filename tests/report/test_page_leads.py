"""Words that lead to a page, with the number that is known only at the end."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pypdf
from reportlab.platypus import Flowable, PageBreak

from stability.report.page_leads import PageLead
from stability.report.styles import ReportStyles, heading, paragraph


def story(
    styles: ReportStyles, words: str = "the end", breaks: int = 11
) -> list[Flowable]:
    """Return a lead on page 1 and its place after so many page breaks."""
    between = [
        part
        for _ in range(breaks)
        for part in (paragraph("Between.", styles.body, styles), PageBreak())
    ]
    return [
        *heading("First", 1, styles),
        PageLead("See", words, "there", styles),
        *between,
        *heading("There", 1, styles, anchor="there"),
    ]


def test_the_number_is_that_of_the_page_on_which_the_place_stands(
    pages: Callable[..., list[str]], styles: ReportStyles
) -> None:
    read = pages(story(styles))
    assert "See the end, page 12" in read[0]
    assert "There" in read[11]


def test_a_place_cited_twice_has_one_number_and_citations_differ(
    pages: Callable[..., list[str]], styles: ReportStyles
) -> None:
    both = [
        *heading("First", 1, styles, anchor="first"),
        PageLead("See", "this", "first", styles),
        PageLead("", "that", "there", styles),
        PageLead("Again", "that", "there", styles),
        PageBreak(),
        *heading("There", 1, styles, anchor="there"),
    ]
    (first, _) = pages(both)
    for words in ("See this, page 1", "that, page 2", "Again that, page 2"):
        assert words in first.splitlines()


def test_words_that_need_two_lines_are_left_without_a_number(
    pages: Callable[..., list[str]], styles: ReportStyles
) -> None:
    first = pages(story(styles, "very many words " * 20))[0]
    assert "very many words" in first
    assert "page 12" not in first


def test_the_words_are_a_link_to_the_place(
    render: Callable[..., bytes], styles: ReportStyles
) -> None:
    reader = pypdf.PdfReader(io.BytesIO(render(story(styles, breaks=1))))
    notes: list[Any] = list(reader.pages[0]["/Annots"])  # type: ignore[call-overload]
    assert [str(one.get_object()["/Subtype"]) for one in notes] == ["/Link"]


def test_the_same_story_gives_the_same_bytes(
    render: Callable[..., bytes], styles: ReportStyles
) -> None:
    assert render(story(styles)) == render(story(styles))
