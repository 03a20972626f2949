"""The pages of a document: their size, head and foot, number and time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import md5
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString
from reportlab.pdfgen.canvas import Canvas

from stability.model.program import program_name
from stability.report.fonts import ReportFonts
from stability.report.styles import INK, QUIET, RULE
from stability.report.text import (
    draw_runs,
    metadata_text,
    shortened,
    text_runs,
    text_width,
)

#: Key of a document's information that carries the anchors of the record.
ANCHORS_KEY = "StabilityAnchors"
#: Key that carries the as-of date.
AS_OF_KEY = "StabilityAsOf"
#: Size of a page's number in a citation: that of a table's cell [points].
CITED_SIZE = 7.4
#: draws on each page: canvas, number of the page, number of pages
PageDrawing = Callable[[Canvas, int, int], None]


@dataclass(frozen=True, slots=True)
class PdfDescription:
    """What the document's information says about it."""

    #: title, as readers show it
    title: str
    #: who made it
    author: str
    #: what it is about
    subject: str
    #: moment it speaks of, with its offset; printed as the date of making
    moment: datetime
    #: language of its texts, such as en-GB
    language: str = "en-GB"
    #: program and version that wrote it
    creator: str = field(default_factory=program_name)
    #: words to find it by
    keywords: tuple[str, ...] = ()
    #: further entries by name (ASCII letters only), such as the record's digest
    entries: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PageSetup:
    """Size of the pages and what stands on each."""

    #: head of each page, at the left; empty for none
    header_left: str = ""
    #: head of each page, at the right; empty for none
    header_right: str = ""
    #: note at the foot of each page; empty for none
    footer_note: str = ""
    #: width and height [points]
    size: tuple[float, float] = A4
    #: margins left, top, right, bottom [mm]
    margins_mm: tuple[float, float, float, float] = (20, 24, 18, 22)
    #: whether the foot names the program and says "page n of N"
    numbered: bool = True
    #: draws besides, on each page; None for nothing
    drawing: PageDrawing | None = None

    @property
    def frame_width(self) -> float:
        """Width of the text [points]."""
        left, _, right, _ = self.margins_mm
        return self.size[0] - (left + right) * mm

    @property
    def frame_height(self) -> float:
        """Height of the text [points]."""
        _, top, _, bottom = self.margins_mm
        return self.size[1] - (top + bottom) * mm


class _Moment:
    """The document's time in the form in which the PDF library asks for it."""

    def __init__(self, moment: datetime) -> None:
        moment = moment.astimezone(UTC)
        self.t = moment.timestamp()
        self.lt = moment.timetuple()
        self.YMDhms = tuple(self.lt)[:6]
        self.dhh = self.dmm = 0
        self.tzname = "UTC"
        self.datetime = moment
        self.asctime = moment.isoformat()


class _Information(PDFInfo):
    """Document information with entries of our own."""

    entries: tuple[tuple[str, str], ...] = ()

    def format(self, document: Any) -> Any:
        own = PDFDictionary({name: PDFString(text) for name, text in self.entries})
        standard = super().format(document)
        return standard[:-2].rstrip() + b"\n" + own.format(document)[2:].lstrip()


class PageCanvas(Canvas):
    """Keeps its pages until their number is known, and carries our time.

    Parameters
    ----------
    filename
        File to write to.
    description, page, fonts
        What the document says of itself, its pages, its fonts.
    settings
        Further settings of the PDF library's canvas.
    """

    # The library's own, which its type stubs leave out.
    _doc: Any
    _code: list[str]
    _startPage: Any  # noqa: N815 -- the library's name

    def __init__(
        self,
        filename: Any,
        description: PdfDescription,
        page: PageSetup,
        fonts: ReportFonts,
        settings: dict[str, Any],
    ) -> None:
        super().__init__(filename, **settings)
        self._kept: list[dict[str, Any]] = []
        self._pages_of: dict[str, int] = {}
        self._cited: set[str] = set()
        self._page = page
        self._fonts = fonts
        self._describe(description)

    def _describe(self, description: PdfDescription) -> None:
        document = self._doc
        document._timeStamp = _Moment(description.moment)  # noqa: SLF001 -- no public way to set the time
        document.signature = md5(usedforsecurity=False)
        document.info = _Information()
        document.info.entries = tuple(
            (name, metadata_text(text)) for name, text in description.entries
        )
        self.setViewerPreference("DisplayDocTitle", "true")
        self.showOutline()

    def showPage(self) -> None:  # noqa: N802 -- the library's name
        """Keep the page; anchors drawn so far point to its number."""
        self._kept.append(dict(self.__dict__))
        self._doc.pageCounter += 1
        self._doc.inObject = None
        self._startPage()

    def bookmarkHorizontal(  # noqa: N802 -- the library's name
        self,
        key: str,
        relativeX: float,  # noqa: N803 -- the library's name
        relativeY: float,  # noqa: N803 -- the library's name
        **settings: Any,
    ) -> None:
        """Note a place that links lead to, with its page."""
        self._pages_of.setdefault(key, len(self._kept) + 1)
        super().bookmarkHorizontal(key, relativeX, relativeY, **settings)

    def draw_page_of(self, anchor: str, x: float, y: float) -> None:
        """Draw a space and the number of a place's page, which is known at the end.

        Parameters
        ----------
        anchor
            The place; it has to be on some page.
        x, y
            Where the words before it end, on their base line [points].
        """
        self._cited.add(anchor)
        self.saveState()
        self.translate(x, y)
        self.doForm(f"page.{anchor}")
        self.restoreState()

    def _draw_cited(self) -> None:
        """Draw each page's number once, with the space before it.

        Every citation shows that drawing; the space keeps words apart when copied.
        """
        for anchor in sorted(self._cited):
            self.beginForm(f"page.{anchor}", 0, -3, 30, 10)
            self.setFillColor(INK)
            number = text_runs(f" {self._pages_of[anchor]}", self._fonts)
            draw_runs(self, 0, 0, number, CITED_SIZE)
            self.endForm()

    def save(self) -> None:
        """Write the document, its pages numbered."""
        self._draw_cited()
        kept, self._kept = self._kept, []
        self._doc.pageCounter = 1
        for number, state in enumerate(kept, start=1):
            self.__dict__.update(state)
            _draw_foot(self, self._page, self._fonts, number, len(kept))
            if self._page.drawing:
                self._page.drawing(self, number, len(kept))
            self._doc.updateSignature("".join(self._code))
            super().showPage()
        super().save()


def draw_head(canvas: Canvas, page: PageSetup, fonts: ReportFonts) -> None:
    """Draw the head of a page."""
    if not (page.header_left or page.header_right):
        return
    left, _, right, _ = (edge * mm for edge in page.margins_mm)
    width, height = page.size
    base = height - 14 * mm
    canvas.saveState()
    canvas.setFillColor(QUIET)
    end = width - right
    room = end - left
    shown = shortened(page.header_right, 7, room * 0.45, fonts)
    taken = text_width(shown, 7, fonts)
    draw_runs(canvas, end - taken, base, text_runs(shown, fonts), 7)
    words = shortened(page.header_left, 7, room - taken - 12, fonts)
    draw_runs(canvas, left, base, text_runs(words, fonts), 7)
    _rule(canvas, left, end, base - 4)
    canvas.restoreState()


def _draw_foot(
    canvas: Canvas, page: PageSetup, fonts: ReportFonts, number: int, pages: int
) -> None:
    if not (page.footer_note or page.numbered):
        return
    left, _, right, _ = (edge * mm for edge in page.margins_mm)
    base, end = 11 * mm, page.size[0] - right
    canvas.saveState()
    canvas.setFillColor(QUIET)
    _rule(canvas, left, end, base + 9)
    taken = 0.0
    if page.numbered:
        words = f"{program_name()} · page {number} of {pages}"
        taken = text_width(words, 7, fonts)
        draw_runs(canvas, end - taken, base, text_runs(words, fonts), 7)
    note = shortened(page.footer_note, 6.6, end - left - taken - 12, fonts)
    draw_runs(canvas, left, base, text_runs(note, fonts), 6.6)
    canvas.restoreState()


def _rule(canvas: Canvas, start: float, end: float, y: float) -> None:
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.4)
    canvas.line(start, y, end, y)
