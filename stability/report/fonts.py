"""Fonts of a report: DejaVu Sans, which matplotlib ships, and one that the user names.

System fonts are never searched, so that the same records give the same bytes on
every machine. A font that the user names is known by its digest, which the report
prints.
"""

from __future__ import annotations

import hashlib
import io
import struct
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, cast

import matplotlib as mpl
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from stability.errors.reports import (
    FontFileMissingError,
    FontFileUnreadableError,
    FontForbidsEmbeddingError,
    FontNotTrueTypeError,
)

Face = Literal["regular", "bold", "oblique", "bold oblique"]

# Controls, formats (which include overrides of direction), surrogates, private use,
# unassigned: nothing that a reader could see or trust.
UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})

_FILES: dict[Face, str] = {
    "regular": "DejaVuSans",
    "bold": "DejaVuSans-Bold",
    "oblique": "DejaVuSans-Oblique",
    "bold oblique": "DejaVuSans-BoldOblique",
}
# What a damaged file can raise while its tables are read.
_DAMAGED = (TTFError, struct.error, ValueError, LookupError, TypeError, ArithmeticError)


@dataclass(frozen=True, slots=True, eq=False)
class FontFace:
    """One TrueType font as the PDF library knows it."""

    #: name under which it is registered
    name: str
    #: code points that it prints so that a reader sees them, below U+10000 (the PDF
    #: library writes a false text map for those above)
    characters: frozenset[int]


@dataclass(frozen=True, slots=True, eq=False)
class ReportFonts:
    """The fonts of one report."""

    #: DejaVu Sans upright
    regular: FontFace
    #: DejaVu Sans bold
    bold: FontFace
    #: DejaVu Sans slanted
    oblique: FontFace
    #: DejaVu Sans bold and slanted
    bold_oblique: FontFace
    #: the font that the user named; None if none was named
    fallback: FontFace | None
    #: family name of that font as written in its file; None if none was named
    fallback_family: str | None
    #: SHA-256 of that font's file, hexadecimal; None if none was named
    fallback_digest: str | None

    def face(self, face: Face) -> FontFace:
        """Return the font of one face."""
        return {
            "regular": self.regular,
            "bold": self.bold,
            "oblique": self.oblique,
            "bold oblique": self.bold_oblique,
        }[face]

    def in_order(self, face: Face) -> Iterator[FontFace]:
        """Yield the fonts in which a character is looked up, first hit wins."""
        yield self.face(face)
        if face != "regular":
            yield self.regular
        if self.fallback:
            yield self.fallback


def load_fonts(fallback: Path | None = None) -> ReportFonts:
    """Register the report's fonts and say which characters they have.

    Parameters
    ----------
    fallback
        TrueType file for scripts that DejaVu Sans lacks, such as Chinese, Japanese
        and Korean; None for none.

    Raises
    ------
    FontFileMissingError, FontFileUnreadableError
        When there is no such file, or it cannot be read.
    FontNotTrueTypeError, FontForbidsEmbeddingError
        When the fallback font cannot be put into a document.
    """
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    faces = {
        face: _face(_registered(name, (folder / f"{name}.ttf").read_bytes()))
        for face, name in _FILES.items()
    }
    pdfmetrics.registerFontFamily("DejaVuSans", *_FILES.values())
    named, family, digest = _load_fallback(fallback) if fallback else (None, None, None)
    return ReportFonts(
        regular=faces["regular"],
        bold=faces["bold"],
        oblique=faces["oblique"],
        bold_oblique=faces["bold oblique"],
        fallback=named,
        fallback_family=family,
        fallback_digest=digest,
    )


def _load_fallback(path: Path) -> tuple[FontFace, str, str]:
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise FontFileMissingError(path) from None
    except OSError as fault:
        raise FontFileUnreadableError(
            path, fault.strerror or "cannot be read"
        ) from None
    digest = hashlib.sha256(content).hexdigest()
    # The name of the font as registered: two files never share one.
    name = f"Named-{digest[:16]}"
    try:
        font = _registered(name, content)
        forbidden = _forbids_embedding(font)
    except _DAMAGED as fault:
        raise _refusal(path, content, str(fault)) from None
    if forbidden:
        raise FontForbidsEmbeddingError(path)
    pdfmetrics.registerFontFamily(name, name, name, name, name)
    family = _as_text(font.face.familyName) or _as_text(font.face.name)
    return _face(font), family, digest


def _forbids_embedding(font: TTFont) -> bool:
    """Whether the font's licence bits forbid a subset of outlines in a document.

    OpenType specification, OS/2 table, fsType: 0x0002 restricted licence (unless 0x0004
    or 0x0008 allow it), 0x0100 no subsets, 0x0200 bitmaps only.
    """
    face: Any = font.face
    if "OS/2" not in face.table:
        return False
    (bits,) = struct.unpack(">H", face.get_table("OS/2")[8:10])
    return bool(bits & 0x0300) or bits & 0x000E == 0x0002


def _refusal(path: Path, content: bytes, fault: str) -> Exception:
    """Say which of the three reasons for refusing a font file applies."""
    if "postscript outlines" in fault or content[:4] == b"OTTO":
        return FontNotTrueTypeError(path, "its outlines are PostScript (CFF)")
    if "subsetting/embedding" in fault:
        return FontForbidsEmbeddingError(path)
    if content[:4] not in (b"\0\1\0\0", b"true", b"ttcf"):
        return FontNotTrueTypeError(path, "it does not begin like one")
    return FontFileUnreadableError(path, "its tables are damaged")


def _registered(name: str, content: bytes) -> TTFont:
    if name in pdfmetrics.getRegisteredFontNames():
        return cast("TTFont", pdfmetrics.getFont(name))
    font = TTFont(name, io.BytesIO(content), asciiReadable=True, shapable=False)
    if name not in _FILES.values() and _as_text(font.face.name) in _FILES.values():
        # Two fonts of one inner name would share their tables in the file.
        font.face.name = name.encode()
    pdfmetrics.registerFont(font)
    return font


def _face(font: TTFont) -> FontFace:
    glyphs = font.face.charToGlyph
    return FontFace(
        font.fontName,
        frozenset(
            code
            for code, glyph in glyphs.items()
            if glyph
            and code <= 0xFFFF
            and unicodedata.category(chr(code)) not in UNSEEN
        ),
    )


def _as_text(name: bytes | str) -> str:
    return name.decode("utf-8", "replace") if isinstance(name, bytes) else name
