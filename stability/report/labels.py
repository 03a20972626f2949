"""Labels of samples as a PDF, on sheets or for a label printer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from functools import partial
from pathlib import Path

from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from stability.errors.labels import LabelStartError
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.label_layout import (
    READABLE,
    FittedLabel,
    LabelFrame,
    fitted,
    frame_of,
)
from stability.report.label_sizes import LabelSheet
from stability.report.label_words import Label, labels_of
from stability.report.pages import ANCHORS_KEY, AS_OF_KEY, PageSetup, PdfDescription
from stability.report.pdf import drawn_pdf_bytes
from stability.report.qr_code import draw_qr
from stability.report.styles import QUIET
from stability.report.text import draw_runs, shortened, text_runs
from stability.report.whole_file import check_place, write_whole
from stability.report.wording import count


@dataclass(frozen=True, slots=True)
class LabelPrint:
    """How labels are to be printed."""

    #: The sheet, or one label a page.
    sheet: LabelSheet
    #: The first free label on the first page, from 1, row by row [-].
    start_at: int = 1
    #: Whether every label has its outline, to cut along or to try a sheet.
    outlines: bool = False


@dataclass(frozen=True, slots=True)
class PrintedLabels:
    """What was printed, and what had no room."""

    #: Labels [-].
    labels: int
    #: Pages [-].
    pages: int
    #: What the person should know before putting the sheet in.
    remarks: tuple[str, ...]


def write_labels(
    record: StudyRecord,
    samples: Sequence[Sample],
    day: date,
    target: Path,
    how: LabelPrint,
    *,
    font: Path | None = None,
) -> PrintedLabels:
    """Write the labels of samples as a PDF file.

    Parameters
    ----------
    record
        The study's record.
    samples
        Samples of the study in the order of their labels; at least one.
    day
        The as-of date.
    target
        The file; written whole or not at all.
    how
        How they are printed.
    font
        TrueType font for characters that the usual one lacks.

    Raises
    ------
    LabelStartError
        If the first label lies beyond the sheet.
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    if not 1 <= how.start_at <= how.sheet.count:
        raise LabelStartError(how.start_at, how.sheet.count)
    check_place(target)
    fonts = load_fonts(font)
    labels = labels_of(record, samples, day)
    content, printed = labels_pdf(labels, how, _description(record, day), fonts)
    write_whole(target, content)
    return printed


def labels_pdf(
    labels: Sequence[Label],
    how: LabelPrint,
    description: PdfDescription,
    fonts: ReportFonts,
) -> tuple[bytes, PrintedLabels]:
    """Return the bytes of the file, and what there is to say about it."""
    sheet = how.sheet
    frame = frame_of(sheet, [one.code for one in labels], fonts)
    drawn = [_Drawn(one.code, fitted(one, frame.lines, fonts)) for one in labels]
    pages = _pages(drawn, how)
    size = (sheet.page[0] * mm, sheet.page[1] * mm)
    content = drawn_pdf_bytes(
        partial(_draw_pages, pages, how, frame, fonts),
        description,
        PageSetup(size=size, numbered=False),
        fonts,
    )
    remarks = tuple(_remarks(sheet, frame, drawn))
    return content, PrintedLabels(len(labels), len(pages), remarks)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A label ready to be drawn."""

    #: Sample code.
    code: str
    #: Its lines.
    lines: FittedLabel


#: The places of one page; None where no label stands.
_Page = list[_Drawn | None]


def _pages(drawn: Sequence[_Drawn], how: LabelPrint) -> list[_Page]:
    count_on = how.sheet.count
    places: _Page = [*(None for _ in range(how.start_at - 1)), *drawn]
    places += [None] * (-len(places) % count_on)
    return [places[at : at + count_on] for at in range(0, len(places), count_on)]


def _draw_pages(
    pages: Sequence[_Page],
    how: LabelPrint,
    frame: LabelFrame,
    fonts: ReportFonts,
    canvas: Canvas,
) -> None:
    sheet = how.sheet
    # Viewers must not fit the page into the margins of the printer.
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        for place, drawn in enumerate(page):
            left, top = sheet.corner(place)
            canvas.saveState()
            canvas.translate(left * mm, (sheet.page[1] - top - sheet.label[1]) * mm)
            if drawn is not None:
                _draw_label(canvas, drawn, sheet, frame, fonts)
            if how.outlines:
                _draw_outline(canvas, sheet, fonts, None if drawn else place + 1)
            canvas.restoreState()
        canvas.showPage()


def _draw_label(
    canvas: Canvas,
    drawn: _Drawn,
    sheet: LabelSheet,
    frame: LabelFrame,
    fonts: ReportFonts,
) -> None:
    height = sheet.label[1] * mm
    canvas.setFillColor(black)
    base = height - frame.code.top - frame.code.height
    runs = text_runs(drawn.code, fonts, "bold")
    draw_runs(canvas, frame.code.left, base, runs, frame.code_size)
    if frame.qr is not None:
        qr = frame.qr
        draw_qr(canvas, drawn.code, qr.left, height - qr.top, qr.width)
    lines = drawn.lines
    base = height - frame.lines.top - lines.size
    for line in lines.lines:
        runs = text_runs(line.text, fonts, line.face)
        draw_runs(canvas, frame.lines.left, base, runs, lines.size)
        base -= lines.leading


def _draw_outline(
    canvas: Canvas, sheet: LabelSheet, fonts: ReportFonts, number: int | None
) -> None:
    """Draw the edge of a label, and in a free one its number and size."""
    width, height = (side * mm for side in sheet.label)
    canvas.setStrokeColor(QUIET)
    canvas.setLineWidth(0.25)
    canvas.rect(0, 0, width, height)
    if number is not None:
        words = shortened(f"{number} · {sheet.name} mm", 7, width - 6 * mm, fonts)
        canvas.setFillColor(QUIET)
        draw_runs(canvas, 3 * mm, height / 2 - 2.5, text_runs(words, fonts), 7)


def _remarks(
    sheet: LabelSheet, frame: LabelFrame, drawn: Sequence[_Drawn]
) -> Iterator[str]:
    high = f"codes in letters {frame.code_height:.1f} mm high"
    if frame.code_height < READABLE - 0.05:
        high += f", below the {READABLE:g} mm that are read at arm's length"
    yield high
    if frame.qr is None:
        yield "no room for a QR code; a larger label has it"
    else:
        yield f"QR codes {frame.qr_side:.1f} mm wide, edge included"
    left_off = Counter(name for one in drawn for name in one.lines.left_off)
    if left_off:
        names = (f"{name} on {count(n, 'label')}" for name, n in left_off.items())
        yield f"left off for want of room: {', '.join(names)}"
    if not sheet.printer:
        yield "print at actual size (100 %); try it on plain paper with --outlines"


def _description(record: StudyRecord, day: date) -> PdfDescription:
    study = record.study
    return PdfDescription(
        title=f"Labels of study {study.code}: {study.product} {study.version}",
        author=study.maker or record.opening.person,
        subject=f"Sample labels as of {day.isoformat()}",
        moment=datetime.combine(day, time(12), tzinfo=UTC),
        entries=(
            (ANCHORS_KEY, str(record.head)),
            (AS_OF_KEY, day.isoformat()),
        ),
    )
