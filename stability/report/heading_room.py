"""Room for a heading and the beginning of what it names, so that they never part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, Paragraph
from reportlab.platypus.doctemplate import FrameBreak

from stability.report.styles import Heading, WholeBox
from stability.report.table_layout import RecordTable

#: A heading and what it names take no more than this part of an empty page [-].
_MOST: Final = 0.9
#: Of running text so much has to stand under its heading [points].
_LEAST_TEXT: Final = 40.0


class HeadingRoom(CondPageBreak):
    """Begins a page unless a heading and the beginning of what it names fit.

    Parameters
    ----------
    least
        Room that must be left in any case [points].
    named
        From the heading to the first table or figure under it.
    """

    def __init__(self, least: float, named: Sequence[Flowable]) -> None:
        super().__init__(least)
        self.named = tuple(named)

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 -- the library's names
        """Take no room; begin a page where too little is left."""
        frame: Any = getattr(self, "_frame", None)
        if frame is not None:
            most = _MOST * frame._aH  # noqa: SLF001 -- no public name
            needed = max(self.height, needed_height(self.named, availWidth))
            if availHeight < min(needed, most):
                frame.add_generated_content(FrameBreak)
        return 0, 0


def with_room(story: Iterable[Flowable]) -> list[Flowable]:
    """Return a story in which each break before a heading knows what it names."""
    parts = list(story)
    return [
        HeadingRoom(one.height, _named(parts[at + 1 :]))
        if type(one) is CondPageBreak
        else one
        for at, one in enumerate(parts)
    ]


def _named(following: Iterable[Flowable]) -> list[Flowable]:
    """Return the heading and all up to the first table, figure or running text."""
    found: list[Flowable] = []
    for one in following:
        if isinstance(one, CondPageBreak):
            if found and not isinstance(found[-1], Heading):
                break
            continue
        found.append(one)
        if not isinstance(one, Paragraph):
            break
    return found


def needed_height(named: Sequence[Flowable], width: float) -> float:
    """Return how much of these has to stand together [points].

    Parameters
    ----------
    named
        A heading and what follows, the last one a table, a figure or text.
    width
        Of the page's text [points].
    """
    height = 0.0
    for one in named:
        height += one.getSpaceBefore() + _least(one, width) + one.getSpaceAfter()
    return height


def _least(one: Flowable, width: float) -> float:
    if isinstance(one, RecordTable):
        return one.least_height(width)
    height = float(one.wrap(width, 1e6)[1])
    is_text = isinstance(one, Paragraph) and not isinstance(one, Heading | WholeBox)
    return min(height, _LEAST_TEXT) if is_text else height
