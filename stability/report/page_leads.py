"""Words that lead to another place of the document, with its page for print."""

from __future__ import annotations

from typing import cast

from reportlab.platypus import Flowable, Paragraph

from stability.report.pages import CITED_SIZE, PageCanvas
from stability.report.styles import ReportStyles, link, marked_paragraph
from stability.report.text import text_width


class PageLead(Flowable):
    """Words such as `See every reading outside its limit, page 3`.

    The words are a link; the number is drawn when all pages are known. It stands on
    the words' own line, so the words are to be short: where they need two lines, the
    link alone is left.

    Parameters
    ----------
    before, words
        Raw text before the link and of the link.
    anchor
        Where it leads.
    styles
        The report's styles.
    """

    def __init__(
        self, before: str, words: str, anchor: str, styles: ReportStyles
    ) -> None:
        super().__init__()
        lead = f"{before} " if before else ""
        markup = f"{lead}{link(words, anchor, styles)}"
        self._text = marked_paragraph(f"{markup}, page", styles.cell)
        self._plain = f"{lead}{words}, page"
        self._alone = marked_paragraph(markup, styles.cell)
        self._anchor = anchor
        self._styles = styles
        self._shown: Paragraph = self._text

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 -- the library's names
        """Lay the words out; leave the number away where they need two lines."""
        room = text_width("0000", CITED_SIZE, self._styles.fonts)
        fits = self._number_at() + room <= availWidth
        self._shown = self._text if fits else self._alone
        self.width, self.height = self._shown.wrap(availWidth, availHeight)
        return self.width, self.height

    def _number_at(self) -> float:
        return text_width(self._plain, CITED_SIZE, self._styles.fonts)

    def draw(self) -> None:
        """Draw the words and, on their line, the number."""
        self._shown.drawOn(self.canv, 0, 0)
        if self._shown is self._text:
            base = self.height - self._styles.cell.leading + CITED_SIZE * 0.3
            canvas = cast("PageCanvas", self.canv)
            canvas.draw_page_of(self._anchor, self._number_at(), base)
