"""Figures in a file of their own: PDF, PNG or SVG, told by the ending of its name.

The same records, as-of date and versions give the same bytes. Every file says whose
figures they are, where the record stands, and that they support and do not replace
assessment.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontEntry, fontManager, weight_dict
from matplotlib.text import Text
from reportlab.platypus import Flowable

from stability.errors.reports import (
    FigureEndingError,
    FigureNotWrittenError,
    FigureTooTallError,
)
from stability.evaluation.findings import Evaluation
from stability.model.program import program_name
from stability.report.fonts import Face, ReportFonts, load_fonts
from stability.report.outlook_layout import WIDTH, wrapped
from stability.report.outlook_panels import OutlookPanel
from stability.report.outlook_plotting import outlook_figure
from stability.report.pages import (
    ANCHORS_KEY,
    AS_OF_KEY,
    PageSetup,
    PdfDescription,
)
from stability.report.pdf import pdf_bytes
from stability.report.renderer import FigureFlowable, figure_style
from stability.report.styles import paragraph, report_styles
from stability.report.text import text_runs
from stability.report.wording import FOOTER

#: Endings of the names of files that can be drawn.
ENDINGS = (".pdf", ".png", ".svg")
_DOTS_PER_INCH = 200
# An image has at most 2 ** 16 dots in each direction.
_TALLEST = 2**16 / _DOTS_PER_INCH * 72 - 100


def write_figure(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    target: Path,
    *,
    font: Path | None = None,
) -> None:
    """Write panels into a file of their own.

    Parameters
    ----------
    evaluation
        Whose panels they are.
    what
        What is drawn, such as "drift".
    panels
        At least one.
    target
        The file; written whole or not at all.
    font
        TrueType font for characters that the report's own font lacks.

    Raises
    ------
    StabilityError
        If the font cannot be used.
    FigureEndingError
        If the name does not end as a PDF, PNG or SVG file does.
    FigureTooTallError
        If one image cannot hold so many panels.
    FigureNotWrittenError
        If the system refuses.
    """
    makers: dict[str, Callable[..., bytes]] = {
        ".pdf": _pdf,
        ".png": _png,
        ".svg": _svg,
    }
    make = makers.get(target.suffix.lower())
    if make is None:
        raise FigureEndingError(target)
    fonts = load_fonts(font)
    with _families(fonts, font):
        content = make(evaluation, what, panels, fonts)
    _put(target, content)


@contextmanager
def _families(fonts: ReportFonts, font: Path | None) -> Iterator[None]:
    """Let the drawing library find the user's font, under a name of its own.

    A file may call itself like any other; under that name it could take its place.
    """
    if font is None or fonts.fallback is None:
        yield
        return
    known = fontManager.ttflist
    file, name = str(font.resolve()), fonts.fallback.name
    # It stands in for bold letters too: one file has one weight.
    faces = [FontEntry(fname=file, name=name, weight=weight) for weight in (400, 700)]
    known.extend(faces)
    try:
        yield
    finally:
        for face in faces:
            known.remove(face)


def _families_of(fonts: ReportFonts) -> list[str]:
    """Return where characters are looked up: in our font, then in the user's."""
    return ["DejaVu Sans", *([fonts.fallback.name] if fonts.fallback else [])]


def _pdf(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    fonts: ReportFonts,
) -> bytes:
    """Return pages of panels, with the head and foot of a report on each."""
    identity, styles = evaluation.identity, report_styles(fonts)
    title, *more = _head(evaluation, what)
    story: list[Flowable] = [paragraph(title, styles.finding, styles)]
    story += [paragraph(row, styles.small, styles) for row in more]
    story += [FigureFlowable(outlook_figure([one], fonts), fonts) for one in panels]
    story.append(paragraph(evaluation.note, styles.small, styles))
    description = PdfDescription(
        title=title,
        author=identity.study.maker or identity.opened_by,
        subject=f"{what} as of {identity.as_of.isoformat()}",
        moment=datetime.combine(identity.as_of, time(12), tzinfo=UTC),
        entries=(
            (ANCHORS_KEY, str(identity.head)),
            (AS_OF_KEY, identity.as_of.isoformat()),
        ),
    )
    head = identity.head
    page = PageSetup(
        header_left=title,
        header_right=(
            f"as of {identity.as_of.isoformat()} · {identity.study.code}/"
            f"{head.position} {head.digest[:16]}"
        ),
        footer_note=FOOTER,
    )
    return pdf_bytes(story, description, page, fonts)


def _png(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    fonts: ReportFonts,
) -> bytes:
    figure = _image(evaluation, what, panels, fonts)
    title, *more = _head(evaluation, what)
    said = {
        "Title": title,
        "Description": " · ".join([*more, evaluation.note]),
        "Software": program_name(),
    }
    buffer = io.BytesIO()
    with figure_style():
        figure.set_dpi(_DOTS_PER_INCH)
        canvas: Any = FigureCanvasAgg(figure)
        canvas.print_png(buffer, metadata=said)
    return buffer.getvalue()


def _svg(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    fonts: ReportFonts,
) -> bytes:
    """Return an image whose letters are outlines.

    Places of words are worked out from widths in our fonts; in another font, which a
    reader without ours would take, words would lie on each other, and names written
    from right to left would be turned round a second time. The words themselves stand
    beside the outlines as comments.
    """
    figure = _image(evaluation, what, panels, fonts)
    title, *more = _head(evaluation, what)
    said = {
        "Title": title,
        "Description": " · ".join([*more, evaluation.note]),
        "Creator": program_name(),
        "Date": None,
    }
    ours: Any = {
        "svg.hashsalt": evaluation.identity.head.digest,
        "svg.fonttype": "path",
    }
    buffer = io.BytesIO()
    with figure_style(), rc_context(ours):
        canvas: Any = FigureCanvasSVG(figure)
        canvas.print_svg(buffer, metadata=said)
    return buffer.getvalue()


def _image(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    fonts: ReportFonts,
) -> Figure:
    """Return all panels as one figure with head and foot, its texts printable."""
    room = WIDTH - 8
    head = _head(evaluation, what)
    figure = outlook_figure(
        panels,
        fonts,
        head=[
            head[0],
            *(row for text in head[1:] for row in wrapped(text, room, fonts)),
        ],
        foot=wrapped(evaluation.note, room, fonts),
    )
    if float(figure.get_figheight()) * 72 > _TALLEST:
        raise FigureTooTallError(len(panels))
    for text in figure.findobj(Text):
        if isinstance(text, Text):
            text.set_text(_printable(text, fonts))
            text.set_fontfamily(_families_of(fonts))
    return figure


def _printable(text: Text, fonts: ReportFonts) -> str:
    """Return the words of a text in the order and letters in which they print."""
    weight = text.get_fontweight()
    bold = (weight_dict[weight] if isinstance(weight, str) else weight) >= 600
    face: Face = "bold" if bold else "regular"
    rows = text.get_text().split("\n")
    return "\n".join(
        "".join(run.text for run in text_runs(row, fonts, face)) for row in rows
    )


def _head(evaluation: Evaluation, what: str) -> list[str]:
    """Return title, day and record, as rows."""
    identity = evaluation.identity
    study = identity.study
    head = identity.head
    day = f"{identity.state}, as of {identity.as_of.isoformat()}"
    record = f"record {head.subject}/{head.position}, digest {head.digest}"
    title = f"{study.product} {study.version} · study {study.code} · {what}"
    return [title, f"{day} · {record}"]


def _put(target: Path, content: bytes) -> None:
    """Write beside the target, then put the whole file in its place."""
    part = target.with_name(f".{target.name}.part")
    try:
        part.write_bytes(content)
        part.replace(target)
    except OSError as fault:
        part.unlink(missing_ok=True)
        reason = fault.strerror or str(fault)
        raise FigureNotWrittenError(target, reason) from None
