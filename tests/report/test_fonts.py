"""Which fonts a report takes, and which it refuses."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pypdf
import pytest
from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]  # ships no types
from fontTools.pens.t2CharStringPen import T2CharStringPen  # type: ignore[import-untyped]  # ships no types
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # ships no types

from stability.errors.reports import (
    FontFileMissingError,
    FontFileUnreadableError,
    FontForbidsEmbeddingError,
    FontNotTrueTypeError,
)
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.pages import PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes
from stability.report.styles import paragraph, report_styles


@pytest.mark.parametrize("letter", "Aéψжשệ≤°±■◇▲")
def test_the_shipped_font_has_the_scripts_a_report_promises(
    fonts: ReportFonts, letter: str
) -> None:
    assert ord(letter) in fonts.regular.characters


def test_no_font_counts_a_character_that_a_reader_would_not_see(
    kana_fonts: ReportFonts,
) -> None:
    for font in kana_fonts.in_order("bold"):
        assert not {0x202E, 0xAD, 0x200B, 0xF6C5, 0x2028, 0x1F600} & font.characters


def test_without_a_named_font_there_is_no_digest(fonts: ReportFonts) -> None:
    assert fonts.fallback is None
    assert fonts.fallback_digest is None
    assert [font.name for font in fonts.in_order("bold")] == [
        "DejaVuSans-Bold",
        "DejaVuSans",
    ]


def test_a_named_font_is_known_by_its_family_and_digest(
    kana_fonts: ReportFonts, kana_file: Path
) -> None:
    digest = hashlib.sha256(kana_file.read_bytes()).hexdigest()

    assert kana_fonts.fallback_digest == digest
    assert kana_fonts.fallback_family == "Squares"
    assert kana_fonts.fallback is not None
    assert ord("ク") in kana_fonts.fallback.characters


def test_the_same_font_may_be_loaded_again(kana_file: Path) -> None:
    again = load_fonts(kana_file).fallback

    assert again is not None
    assert again.name == load_fonts(kana_file).fallback.name  # type: ignore[union-attr]  # a font was named


def test_a_missing_font_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(FontFileMissingError, match=r"no font file .*none\.ttf"):
        load_fonts(tmp_path / "none.ttf")


def test_a_folder_is_no_font(tmp_path: Path) -> None:
    with pytest.raises(FontFileUnreadableError, match="directory"):
        load_fonts(tmp_path)


@pytest.mark.parametrize("content", [b"", b"%PDF-1.4", b"PK\3\4" + bytes(200)])
def test_a_file_of_another_kind_is_no_truetype_font(
    tmp_path: Path, content: bytes
) -> None:
    path = tmp_path / "other.ttf"
    path.write_bytes(content)

    with pytest.raises(FontNotTrueTypeError, match="not a TrueType font"):
        load_fonts(path)


def test_postscript_outlines_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "outlines.otf"
    pen = T2CharStringPen(500, None)
    pen.moveTo((0, 0))
    pen.lineTo((0, 500))
    pen.lineTo((500, 500))
    pen.closePath()
    builder = FontBuilder(1000, isTTF=False)
    builder.setupGlyphOrder([".notdef", "A"])
    builder.setupCharacterMap({65: "A"})
    outline = pen.getCharString()
    builder.setupCFF("Outlines", {}, {".notdef": outline, "A": outline}, {})
    builder.setupHorizontalMetrics({".notdef": (500, 0), "A": (500, 0)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Outlines", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)

    with pytest.raises(FontNotTrueTypeError, match=r"PostScript \(CFF\)"):
        load_fonts(path)


# OpenType specification, OS/2 table, fsType: restricted licence; no subsets; bitmaps
@pytest.mark.parametrize("bits", [0x0002, 0x0100, 0x0200])
def test_a_font_that_forbids_embedding_is_refused(
    tmp_path: Path, kana_file: Path, bits: int
) -> None:
    font = TTFont(kana_file)
    font["OS/2"].fsType = bits
    font.save(tmp_path / "closed.ttf")

    with pytest.raises(FontForbidsEmbeddingError, match="forbids"):
        load_fonts(tmp_path / "closed.ttf")


@pytest.mark.parametrize("kept", [13, 200, 400, 700])
def test_a_damaged_font_is_refused(tmp_path: Path, kana_file: Path, kept: int) -> None:
    path = tmp_path / "damaged.ttf"
    path.write_bytes(kana_file.read_bytes()[:kept])

    with pytest.raises(FontFileUnreadableError, match="damaged"):
        load_fonts(path)


def test_a_namesake_of_the_shipped_font_prints_its_own_text(
    namesake_file: Path, description: PdfDescription
) -> None:
    fonts = load_fonts(namesake_file)
    styles = report_styles(fonts)

    content = pdf_bytes(
        [paragraph("Crème クリーム", styles.body, styles)],
        description,
        PageSetup(),
        fonts,
    )

    assert (
        pypdf.PdfReader(io.BytesIO(content))
        .pages[0]
        .extract_text()
        .startswith("Crème クリーム")
    )
