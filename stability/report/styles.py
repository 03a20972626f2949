"""How a report looks: type sizes, ink, boxes, headings and links.

Every function here that takes ``text`` takes it raw, as a person typed it. Markup is
assembled only from :func:`bold`, :func:`link`, :func:`anchor_point` and
:func:`stability.report.text.printable`.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Paragraph

from stability.report.fonts import Face, ReportFonts
from stability.report.text import metadata_text, printable

INK = HexColor(0x1D2733)
ACCENT = HexColor(0x24465F)
QUIET = HexColor(0x56616B)
RULE = HexColor(0xA9B3BC)
HAIRLINE = HexColor(0xD3D9DE)
TINT = HexColor(0xF1F4F6)

# More passages than these stand in a box of small letters.
_FEW_PASSAGES = 4
_ANCHOR = re.compile(r"[A-Za-z][A-Za-z0-9._-]{0,60}\Z")


@dataclass(frozen=True, slots=True, eq=False)
class ReportStyles:
    """The paragraph styles of one report and the fonts behind them."""

    #: the report's fonts
    fonts: ReportFonts
    #: the report's title
    title: ParagraphStyle
    #: one line under the title
    subtitle: ParagraphStyle
    #: headings of the first, second and third level
    headings: tuple[ParagraphStyle, ParagraphStyle, ParagraphStyle]
    #: running text
    body: ParagraphStyle
    #: sources, captions, asides
    small: ParagraphStyle
    #: words that carry a finding: larger and bold
    finding: ParagraphStyle
    #: table cell
    cell: ParagraphStyle
    #: table cell set to the right
    cell_right: ParagraphStyle
    #: table cell set in the middle
    cell_center: ParagraphStyle
    #: table cell in bold
    cell_bold: ParagraphStyle
    #: head of a table column
    column: ParagraphStyle
    #: head of a table column set to the right
    column_right: ParagraphStyle
    #: head of a table column set in the middle
    column_center: ParagraphStyle
    #: box with a thin border
    note: ParagraphStyle
    #: box with a strong border
    caution: ParagraphStyle


def report_styles(fonts: ReportFonts) -> ReportStyles:
    """Build the styles of one report."""
    strong = {"fontName": fonts.bold.name}
    words = {"fontName": fonts.regular.name}
    cell = {**words, "allowWidows": 1, "allowOrphans": 1}
    column = {**cell, **strong, "textColor": ACCENT}
    box = {**words, "borderPadding": (6, 8, 7, 8), "leftIndent": 8.5}
    box |= {"rightIndent": 8.5, "spaceBefore": 20, "spaceAfter": 21}
    right, center = {"alignment": TA_RIGHT}, {"alignment": TA_CENTER}
    return ReportStyles(
        fonts=fonts,
        title=_style("title", 19, 24, strong, textColor=ACCENT, spaceAfter=3),
        subtitle=_style("subtitle", 10, 14, words, textColor=QUIET, spaceAfter=12),
        headings=_heading_styles(strong),
        body=_style("body", 8.6, 12.4, words, spaceAfter=6),
        small=_style("small", 7.2, 10, words, textColor=QUIET, spaceAfter=4),
        finding=_style("finding", 9.6, 14, strong, spaceAfter=4),
        cell=_style("cell", 7.4, 9.2, cell),
        cell_right=_style("cell right", 7.4, 9.2, cell, **right),
        cell_center=_style("cell center", 7.4, 9.2, cell, **center),
        cell_bold=_style("cell bold", 7.4, 9.2, {**cell, **strong}),
        column=_style("column", 7.2, 9.2, column),
        column_right=_style("column right", 7.2, 9.2, column, **right),
        column_center=_style("column center", 7.2, 9.2, column, **center),
        note=_style(
            "note", 8.4, 12, box, borderWidth=0.6, borderColor=RULE, backColor=TINT
        ),
        caution=_style("caution", 8.4, 12, box, borderWidth=1.4, borderColor=INK),
    )


def _heading_styles(
    strong: dict[str, Any],
) -> tuple[ParagraphStyle, ParagraphStyle, ParagraphStyle]:
    first = {**strong, "textColor": ACCENT}
    return (
        _style("heading 1", 14, 18, first, spaceBefore=18, spaceAfter=8),
        _style("heading 2", 10.5, 14, strong, spaceBefore=12, spaceAfter=4),
        _style("heading 3", 8.8, 12, strong, spaceBefore=9, spaceAfter=3),
    )


def _style(
    name: str, size: float, leading: float, shared: dict[str, Any], **own: Any
) -> ParagraphStyle:
    settings: dict[str, Any] = {"textColor": INK, "splitLongWords": 1, "allowWidows": 0}
    settings |= {"allowOrphans": 0, **shared, **own}
    return ParagraphStyle(name, fontSize=size, leading=leading, **settings)


def face_of(style: ParagraphStyle, fonts: ReportFonts) -> Face:
    """Return the face in which a paragraph style prints."""
    faces: tuple[Face, ...] = ("bold", "oblique", "bold oblique")
    for face in faces:
        if style.fontName == fonts.face(face).name:
            return face
    return "regular"


def paragraph(text: str, style: ParagraphStyle, styles: ReportStyles) -> Paragraph:
    """Return a paragraph of raw text."""
    return Paragraph(printable(text, styles.fonts, face_of(style, styles.fonts)), style)


def marked_paragraph(markup: str, style: ParagraphStyle) -> Paragraph:
    """Return a paragraph of markup assembled from this module's pieces."""
    return Paragraph(markup, style)


def bold(text: str, styles: ReportStyles) -> str:
    """Return markup of raw text in bold."""
    return f"<b>{printable(text, styles.fonts, 'bold')}</b>"


def link(text: str, anchor: str, styles: ReportStyles) -> str:
    """Return markup of raw text that leads to an anchor of this document."""
    colour = f"#{ACCENT.hexval()[2:]}"
    words = printable(text, styles.fonts)
    return f'<a href="#{_checked(anchor)}" color="{colour}">{words}</a>'


def anchor_point(anchor: str) -> str:
    """Return markup of the place that links of this name lead to."""
    return f'<a name="{_checked(anchor)}"/>'


def anchor_name(*parts: str) -> str:
    """Make an anchor of any text; the same parts give the same anchor.

    >>> anchor_name("sample", "HDC-014-W")
    'sample-HDC-014-W'
    """
    name = "-".join(parts)
    if _ANCHOR.match(name):
        return name
    return f"at-{hashlib.sha256(name.encode('utf-8', 'replace')).hexdigest()[:20]}"


def _checked(anchor: str) -> str:
    if not _ANCHOR.match(anchor):
        msg = f"{anchor!r} is no anchor: make it with anchor_name"
        raise ValueError(msg)
    return anchor


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A place in the document's outline."""

    #: what links lead to
    anchor: str
    #: words of the outline
    title: str
    #: depth in the outline, 0 at the top
    depth: int


class Heading(Paragraph):
    """A heading that stands in the outline and can be linked to."""

    bookmark: Bookmark | None = None
    ruled = False

    def split(self, availWidth: float, availHeight: float) -> list[Flowable]:  # noqa: N803 -- the library's names
        """Split; the outline points to the first part."""
        parts = super().split(availWidth, availHeight)
        for part in parts[:1]:
            cast("Heading", part).bookmark = self.bookmark
        return list(parts)

    def draw(self) -> None:
        """Draw the words, note the place, rule off a chapter."""
        if self.bookmark:
            canvas = self.canv
            anchor, title = self.bookmark.anchor, metadata_text(self.bookmark.title)
            canvas.bookmarkHorizontal(anchor, 0, self.height + 4)
            canvas.addOutlineEntry(title, anchor, self.bookmark.depth, closed=False)
        super().draw()
        if self.ruled:
            self.canv.saveState()
            self.canv.setStrokeColor(RULE)
            self.canv.setLineWidth(0.6)
            self.canv.line(0, -3.5, self.width, -3.5)
            self.canv.restoreState()


def heading(
    text: str,
    level: int,
    styles: ReportStyles,
    anchor: str | None = None,
    keep_mm: float = 30,
) -> list[Flowable]:
    """Return a heading, bookmarked, that stays with what follows.

    Parameters
    ----------
    text
        The words.
    level
        1 to 3. The first heading is of level 1, and none skips a level.
    styles
        The report's styles.
    anchor
        What links lead to; None makes one of the words.
    keep_mm
        Room that must be left on the page, heading included; else the heading begins
        the next page.
    """
    style = styles.headings[level - 1]
    words = Heading(printable(text, styles.fonts, "bold"), style)
    name = _checked(anchor) if anchor else anchor_name(f"h{level}", text)
    words.bookmark = Bookmark(name, text, level - 1)
    words.ruled = level == 1
    return [CondPageBreak(keep_mm * mm), words]


def note_box(word: str, text: str | Sequence[str], styles: ReportStyles) -> Flowable:
    """Return a box with a thin border that begins with a bold word."""
    return _box(word, text, styles.note, styles)


def caution_box(word: str, text: str | Sequence[str], styles: ReportStyles) -> Flowable:
    """Return a box with a strong border that begins with a bold word.

    Of many passages the letters are those of a table, and a page parts none.
    """
    if isinstance(text, str) or len(text) <= _FEW_PASSAGES:
        return _box(word, text, styles.caution, styles)
    style = ParagraphStyle(
        "cautions",
        styles.caution,
        fontSize=styles.cell.fontSize,
        leading=styles.cell.leading + 1,
    )
    return WholeBox(_box_words(word, text, styles), style)


class WholeBox(Paragraph):
    """A box that no page parts, unless it is taller than a page."""

    def split(self, availWidth: float, availHeight: float) -> list[Flowable]:  # noqa: N803 -- the library's names
        """Part the box only where no page could hold it."""
        frame: Any = getattr(self, "_frame", None)
        page = 0.0 if frame is None else frame._aH  # noqa: SLF001 -- no public name
        if self.wrap(availWidth, 1e6)[1] <= page:
            return []
        return list(super().split(availWidth, availHeight))


def _box(
    word: str, text: str | Sequence[str], style: ParagraphStyle, styles: ReportStyles
) -> Flowable:
    return Paragraph(_box_words(word, text, styles), style)


def _box_words(word: str, text: str | Sequence[str], styles: ReportStyles) -> str:
    passages = [text] if isinstance(text, str) else text
    words = "<br/>".join(printable(passage, styles.fonts) for passage in passages)
    return f"{bold(word, styles)}\u2002{words}"
