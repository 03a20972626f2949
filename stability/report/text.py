"""The only way for text into a paragraph, a table cell or a figure.

Text of users is data: it prints as typed, in any script for which a font is at
hand. What cannot print, or would print falsely, shows as its code point, such as
``[U+1F9F4]``; never as an empty box. Right-to-left text is put into visual order, so
a passage that wraps over lines has its lines in the wrong order, and text copied out
of the document comes in the order in which it is seen.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from reportlab.pdfbase.pdfmetrics import stringWidth

from stability.report.fonts import UNSEEN, Face, FontFace, ReportFonts

if TYPE_CHECKING:
    from arabic_reshaper import ArabicReshaper
    from reportlab.pdfgen.canvas import Canvas

# Most cells of a report: printable ASCII without markup, no space at the beginning and
# no two in a row.
_PLAIN = re.compile(r"(?! )(?:[!-%'-;=?-~]| (?! ))*\Z")
_LINE_ENDS = re.compile("\r\n|[\r\x85\u2028\u2029]")
_SPACES = re.compile(r" {2,}")
# Letters and digits written from right to left, below U+10000.
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_JOINERS = "\u200c\u200d"
_TAB = "    "
_NO_BREAK_SPACE = "\u00a0"


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one font."""

    #: name of the font
    font: str
    #: the characters, in the order in which they are seen
    text: str


@dataclass(frozen=True, slots=True)
class PlainText:
    """Text for a cell that is drawn as a bare string."""

    #: the characters, in the order in which they are seen
    text: str
    #: whether one line in the asked font prints it; if not, it needs a paragraph
    one_font: bool


def printable(text: str, fonts: ReportFonts, face: Face = "regular") -> str:
    """Turn text into markup that a paragraph prints as typed.

    Parameters
    ----------
    text
        Anything at all.
    fonts
        The report's fonts.
    face
        Face of the paragraph that the markup goes into.

    Returns
    -------
    str
        Markup: escaped, in visual order, with a font named where the face lacks a
        character; line ends become line breaks.
    """
    if _PLAIN.match(text):
        return text
    lines = (_markup(line, fonts, face) for line in _lines(text))
    return "<br/>".join(lines)


def plain_text(text: str, fonts: ReportFonts, face: Face = "regular") -> PlainText:
    """Turn text into a bare string for a cell, and say whether one font prints it."""
    if _PLAIN.match(text):
        return PlainText(text, one_font=True)
    lines = [text_runs(line, fonts, face) for line in _lines(text)]
    own = fonts.face(face).name
    one_font = len(lines) == 1 and all(run.font == own for run in lines[0])
    return PlainText(
        " ".join("".join(run.text for run in line) for line in lines), one_font
    )


def text_runs(text: str, fonts: ReportFonts, face: Face = "regular") -> list[Run]:
    """Split one line of text into stretches of one font, in visual order.

    Line ends count as spaces.
    """
    if _PLAIN.match(text):
        return [Run(fonts.face(face).name, text)] if text else []
    order = tuple(fonts.in_order(face))
    line = _LINE_ENDS.sub(" ", text).replace("\n", " ").replace("\t", _TAB)
    line = _visual(_seen(unicodedata.normalize("NFC", line), order))
    if _all_in(line, order[0]):
        return [Run(order[0].name, line)]
    return list(_joined((_font_of(letter, order), letter) for letter in line))


def text_width(
    text: str, size: float, fonts: ReportFonts, face: Face = "regular"
) -> float:
    """Return the width of one line of text in points."""
    runs = text_runs(text, fonts, face)
    return sum(stringWidth(run.text, run.font, size) for run in runs)


def shortened(
    text: str, size: float, width: float, fonts: ReportFonts, face: Face = "regular"
) -> str:
    """Shorten one line of text with an ellipsis until it fits.

    Parameters
    ----------
    text
        Anything at all.
    size
        Size of the font [points].
    width
        Room for the line [points].
    fonts, face
        What it prints in.

    Returns
    -------
    str
        The text itself where it fits; "" where not even the ellipsis does.
    """
    if text_width(text, size, fonts, face) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if text_width(text[:middle] + "…", size, fonts, face) <= width:
            low = middle
        else:
            high = middle - 1
    short = text[:low].rstrip() + "…"
    return short if text_width(short, size, fonts, face) <= width else ""


def draw_runs(canvas: Canvas, x: float, y: float, runs: list[Run], size: float) -> None:
    """Draw stretches of text one after the other from a point on the base line."""
    writer = canvas.beginText(x, y)
    for run in runs:
        writer.setFont(run.font, size)
        writer.textOut(run.text)
    canvas.drawText(writer)


def metadata_text(text: str) -> str:
    """Return text for document information and bookmarks, which have no fonts.

    One line, in the order in which it is read; controls and overrides of direction
    show as code points.
    """
    line = _LINE_ENDS.sub(" ", text).replace("\n", " ").replace("\t", " ")
    return "".join(
        _code_point(letter) if unicodedata.category(letter) in UNSEEN else letter
        for letter in line
    )


def _lines(text: str) -> list[str]:
    return _LINE_ENDS.sub("\n", text).split("\n")


def _markup(line: str, fonts: ReportFonts, face: Face) -> str:
    own = fonts.face(face).name
    return "".join(
        _escaped(run.text)
        if run.font == own
        else f'<font name="{run.font}">{_escaped(run.text)}</font>'
        for run in text_runs(_kept_spaces(line), fonts, face)
    )


def _kept_spaces(line: str) -> str:
    """Keep spaces that a paragraph would drop: repeated ones and those at the ends."""
    line = line.replace("\t", _TAB)
    if line.startswith(" "):
        line = _NO_BREAK_SPACE + line[1:]
    return _SPACES.sub(
        lambda spaces: " " + _NO_BREAK_SPACE * (len(spaces[0]) - 1), line
    )


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _code_point(letter: str) -> str:
    return f"[U+{ord(letter):04X}]"


def _all_in(line: str, font: FontFace) -> bool:
    return font.characters.issuperset(map(ord, line))


def _seen(line: str, order: tuple[FontFace, ...]) -> str:
    """Replace by its code point whatever cannot print or cannot be seen."""
    if _all_in(line, order[0]):
        return line
    return "".join(
        letter
        if any(ord(letter) in font.characters for font in order) or _joins(line, at)
        else _code_point(letter)
        for at, letter in enumerate(line)
    )


def _joins(line: str, at: int) -> bool:
    """Whether a joiner or non-joiner does its work between right-to-left letters."""
    return (
        line[at] in _JOINERS
        and 0 < at < len(line) - 1
        and bool(_RIGHT_TO_LEFT.match(line[at - 1]))
        and bool(_RIGHT_TO_LEFT.match(line[at + 1]))
    )


def _visual(line: str) -> str:
    if not _RIGHT_TO_LEFT.search(line):
        return line
    # Few reports hold right-to-left text; the others need not load its libraries.
    from bidi import get_display  # type: ignore[import-untyped]  # noqa: PLC0415 -- ships no types

    shaped = _shaper().reshape(line)
    for joiner in _JOINERS:
        shaped = shaped.replace(joiner, "")
    return str(get_display(shaped))


@cache
def _shaper() -> ArabicReshaper:
    from arabic_reshaper import ArabicReshaper  # noqa: PLC0415
    from arabic_reshaper.reshaper_config import default_config  # noqa: PLC0415

    # Every setting is given, or the library reads a file that the environment names.
    settings = {
        **default_config,
        "delete_harakat": False,
        "support_zwj": True,
        "ARABIC LIGATURE ALLAH": False,  # no glyph in DejaVu Sans
    }
    return ArabicReshaper(configuration=settings)


def _font_of(letter: str, order: tuple[FontFace, ...]) -> str:
    code = ord(letter)
    for font in order:
        if code in font.characters:
            return font.name
    return order[0].name


def _joined(letters: Iterator[tuple[str, str]]) -> Iterator[Run]:
    font, text = "", ""
    for name, letter in letters:
        if name != font and text:
            yield Run(font, text)
            text = ""
        font = name
        text += letter
    if text:
        yield Run(font, text)
