"""A story written as a PDF file: pages, outline, information, attachments.

The same story, moment and library versions give the same bytes, whatever the
machine's clock, language, time zone or environment say. The file is not tagged for
screen readers.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from stability.report.attachments import Attachment, attach
from stability.report.fonts import ReportFonts
from stability.report.heading_room import with_room
from stability.report.pages import PageCanvas, PageSetup, PdfDescription, draw_head
from stability.report.text import metadata_text
from stability.report.whole_file import check_place, write_whole

#: Told how much is done, and of how much.
Progress = Callable[[int, int], None]


def write_pdf(
    target: Path,
    story: Sequence[Flowable],
    description: PdfDescription,
    page: PageSetup,
    fonts: ReportFonts,
    *,
    attachments: Sequence[Attachment] = (),
    progress: Progress | None = None,
) -> None:
    """Write a story as a PDF file, whole or not at all.

    Parameters
    ----------
    target
        The file; an older one of this name is replaced only when the new one is whole.
    story
        Flowables in order. They are used up.
    description, page, fonts
        What the document says of itself, its pages, its fonts.
    attachments
        Files to put inside.
    progress
        Told how many flowables are set, and of how many; None: nobody watches.

    Raises
    ------
    ReportFolderMissingError, ReportFolderReadOnlyError, ReportPlaceTakenError
        When the file cannot stand there.
    ReportDiskFullError, ReportNotWrittenError
        When the system refuses.
    """
    check_place(target)
    write_whole(
        target,
        pdf_bytes(
            story, description, page, fonts, attachments=attachments, progress=progress
        ),
    )


def pdf_bytes(
    story: Sequence[Flowable],
    description: PdfDescription,
    page: PageSetup,
    fonts: ReportFonts,
    *,
    attachments: Sequence[Attachment] = (),
    progress: Progress | None = None,
) -> bytes:
    """Return the bytes of the file that :func:`write_pdf` would write."""
    _check_moment(description)
    buffer = io.BytesIO()
    with _settled_library():
        document = _template(buffer, description, page, fonts)
        maker = _canvas_maker(description, page, fonts, attachments)
        if progress is not None:
            document.setProgressCallBack(_told(progress))
        document.build(with_room(story), canvasmaker=maker)
    return buffer.getvalue()


def _told(progress: Progress) -> Callable[[str, Any], None]:
    """Return what the library calls with each thing done."""
    whole = 1

    def note(kind: str, value: Any) -> None:
        nonlocal whole
        if kind == "SIZE_EST":
            whole = max(int(value), 1)
        elif kind == "PROGRESS":
            progress(min(int(value), whole), whole)

    return note


def drawn_pdf_bytes(
    draw: Callable[[PageCanvas], None],
    description: PdfDescription,
    page: PageSetup,
    fonts: ReportFonts,
) -> bytes:
    """Return the bytes of a document whose pages are drawn rather than set.

    Parameters
    ----------
    draw
        Draws every page and ends each with ``showPage``.
    description, page, fonts
        As for :func:`write_pdf`.
    """
    _check_moment(description)
    buffer = io.BytesIO()
    with _settled_library():
        maker = _canvas_maker(description, page, fonts, ())
        canvas = maker(buffer, pagesize=page.size)
        said = _information(description)
        canvas.setTitle(said["title"])
        canvas.setAuthor(said["author"])
        canvas.setSubject(said["subject"])
        canvas.setCreator(said["creator"])
        canvas.setKeywords(said["keywords"])
        draw(canvas)
        canvas.save()
    return buffer.getvalue()


def _check_moment(description: PdfDescription) -> None:
    if description.moment.tzinfo is None:
        msg = "the moment of a document needs its offset"
        raise ValueError(msg)


def _information(description: PdfDescription) -> dict[str, Any]:
    return {
        "title": metadata_text(description.title),
        "author": metadata_text(description.author),
        "subject": metadata_text(description.subject),
        "creator": metadata_text(description.creator),
        "keywords": [metadata_text(word) for word in description.keywords],
    }


def _template(
    buffer: io.BytesIO, description: PdfDescription, page: PageSetup, fonts: ReportFonts
) -> BaseDocTemplate:
    left, _, _, bottom = (edge * mm for edge in page.margins_mm)
    frame = Frame(
        left,
        bottom,
        page.frame_width,
        page.frame_height,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    return BaseDocTemplate(
        buffer,
        pagesize=page.size,
        pageTemplates=[
            PageTemplate(
                frames=[frame], onPage=lambda canvas, _: draw_head(canvas, page, fonts)
            )
        ],
        **_information(description),
    )


@contextmanager
def _settled_library() -> Iterator[None]:
    """Hold the PDF library's global settings, which files and environment can change.

    No paragraph may fetch an address or a file.
    """
    ours: dict[str, Any] = {
        "useA85": 0,
        "pageCompression": 1,
        "pdfComments": 0,
        "trustedHosts": [],
        "trustedSchemes": [],
    }
    before = {name: getattr(rl_config, name) for name in ours}
    try:
        for name, value in ours.items():
            setattr(rl_config, name, value)
        yield
    finally:
        for name, value in before.items():
            setattr(rl_config, name, value)


def _canvas_maker(
    description: PdfDescription,
    page: PageSetup,
    fonts: ReportFonts,
    attachments: Sequence[Attachment],
) -> Callable[..., PageCanvas]:
    def make(filename: Any, **settings: Any) -> PageCanvas:
        settings.update(
            initialFontName=fonts.regular.name,
            initialFontSize=8,
            lang=description.language,
            pageCompression=1,
            invariant=0,
        )
        canvas = PageCanvas(filename, description, page, fonts, settings)
        attach(canvas, attachments, description.moment)
        return canvas

    return make
