"""Fonts and documents for the tests of reports."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]  # ships no types
from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import-untyped]  # ships no types
from reportlab.platypus import Flowable

from stability.report.fonts import ReportFonts, load_fonts
from stability.report.pages import PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes
from stability.report.styles import ReportStyles, report_styles

KANA = "クリームナイト漢字"
MOMENT = datetime(2026, 11, 25, 9, 15, tzinfo=UTC)


def square_font(path: Path, characters: str, name: str = "Squares") -> Path:
    """Write a TrueType font whose every glyph is a square."""
    names = [".notdef", *(f"uni{ord(letter):04X}" for letter in characters)]
    pen = TTGlyphPen(None)
    for step, corner in enumerate([(50, 0), (50, 700), (850, 700), (850, 0)]):
        (pen.lineTo if step else pen.moveTo)(corner)
    pen.closePath()
    square = pen.glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap(
        {ord(letter): f"uni{ord(letter):04X}" for letter in characters}
    )
    builder.setupGlyf(dict.fromkeys(names, square))
    builder.setupHorizontalMetrics(dict.fromkeys(names, (900, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": name, "styleName": "Regular", "psName": name})
    builder.setupOS2(fsType=0)
    builder.setupPost()
    builder.save(path)
    return path


@pytest.fixture(scope="session")
def kana_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a TrueType file with a few Japanese characters."""
    return square_font(tmp_path_factory.mktemp("font") / "squares.ttf", KANA)


@pytest.fixture(scope="session")
def namesake_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a TrueType file that calls itself what the shipped font is called."""
    path = tmp_path_factory.mktemp("font") / "namesake.ttf"
    return square_font(path, KANA, "DejaVuSans")


@pytest.fixture(scope="session")
def fonts() -> ReportFonts:
    """Return the shipped fonts alone."""
    return load_fonts()


@pytest.fixture(scope="session")
def kana_fonts(kana_file: Path) -> ReportFonts:
    """Return the shipped fonts and one that a user named."""
    return load_fonts(kana_file)


@pytest.fixture(scope="session")
def styles(kana_fonts: ReportFonts) -> ReportStyles:
    """Return the styles of a report."""
    return report_styles(kana_fonts)


@pytest.fixture(scope="session")
def description() -> PdfDescription:
    """Return what a document says of itself."""
    return PdfDescription("Title", "Author", "Subject", MOMENT)


@pytest.fixture
def render(
    description: PdfDescription, kana_fonts: ReportFonts
) -> Callable[..., bytes]:
    """Return a function that makes the bytes of a document."""

    def make(
        story: Sequence[Flowable], page: PageSetup | None = None, **more: Any
    ) -> bytes:
        return pdf_bytes(story, description, page or PageSetup(), kana_fonts, **more)

    return make


@pytest.fixture
def pages(render: Callable[..., bytes]) -> Callable[..., list[str]]:
    """Return a function that renders a story and reads its pages back."""

    def read(story: Sequence[Flowable], **more: Any) -> list[str]:
        with pdfplumber.open(io.BytesIO(render(story, **more))) as document:
            return [page.extract_text() for page in document.pages]

    return read
