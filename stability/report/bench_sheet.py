"""The bench sheet of a check day: printed in black, filled in with a pen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time
from pathlib import Path
from typing import Any, Final

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from stability.model.sheet_day import SheetDay
from stability.report.bench_cells import CellBlock, in_rows
from stability.report.bench_words import (
    day_cells,
    order_text,
    sample_cells,
    sample_head,
)
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.pages import ANCHORS_KEY, AS_OF_KEY, PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes
from stability.report.styles import ReportStyles, heading, paragraph, report_styles
from stability.report.whole_file import check_place, write_whole
from stability.report.wording import FOOTER

#: Digits of a digest in the foot; enough for `verify --against`.
_DIGITS: Final = 16
_MARGINS: Final = (14, 16, 14, 15)


def write_bench_sheet(
    days: Sequence[SheetDay], target: Path, *, font: Path | None = None
) -> None:
    """Write the bench sheet of one or more studies as a PDF file.

    Parameters
    ----------
    days
        The check day of each study; at least one.
    target
        The file; written whole or not at all.
    font
        TrueType font for characters that the usual one lacks.

    Raises
    ------
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    check_place(target)
    write_whole(target, bench_sheet_bytes(days, load_fonts(font)))


def bench_sheet_bytes(days: Sequence[SheetDay], fonts: ReportFonts) -> bytes:
    """Return the bytes of the file; the same days give the same bytes."""
    styles = _styles(fonts)
    page = _page(days)
    story: list[Flowable] = []
    for number, day in enumerate(days):
        if number:
            story.append(PageBreak())
        story += _story(day, styles, page.frame_height)
    return pdf_bytes(story, _description(days), page, fonts)


def _story(day: SheetDay, styles: ReportStyles, room: float) -> list[Flowable]:
    study = day.study
    samples = "1 sample" if len(day.samples) == 1 else f"{len(day.samples)} samples"
    title = (
        f"Bench sheet {day.day}: {study.product} {study.version}, study {study.code}"
    )
    return [
        *heading(title, 1, styles, keep_mm=10),
        paragraph(f"{samples} · in this order: {order_text(day)}", styles.body, styles),
        CellBlock(None, in_rows(day_cells(day)), styles, room),
        KeepTogether(
            [paragraph(f"– {one}", styles.small, styles) for one in day.cautions]
        ),
        Spacer(0, 2 * mm),
        *(
            CellBlock(
                sample_head(day, one), in_rows(sample_cells(day, one)), styles, room
            )
            for one in day.samples
        ),
    ]


def _styles(fonts: ReportFonts) -> ReportStyles:
    """Return the report's styles in black, smaller: most of a sheet is boxes."""
    styles = report_styles(fonts)

    def plain(one: ParagraphStyle, size: float, **own: Any) -> ParagraphStyle:
        settings: dict[str, Any] = {"spaceBefore": 0, "spaceAfter": 0, **own}
        return ParagraphStyle(
            f"{one.name} of a sheet", parent=one, fontSize=size, leading=size * 1.22,
            textColor=black, **settings,
        )  # fmt: skip

    first, second, third = styles.headings
    return replace(
        styles,
        headings=(plain(first, 12.5, spaceAfter=4), second, third),
        body=plain(styles.body, 8.2, spaceAfter=4),
        small=plain(styles.small, 7.2),
        cell_bold=plain(styles.cell_bold, 7.8),
    )


def _page(days: Sequence[SheetDay]) -> PageSetup:
    codes = ", ".join(one.study.code for one in days)
    records = ", ".join(
        f"{one.study.code}/{one.anchor.position}:{one.anchor.digest[:_DIGITS]}"
        for one in days
    )
    return PageSetup(
        header_left=f"bench sheet · study {codes} · {days[0].day}",
        header_right="sheet no. ______",
        footer_note=f"record {records} · {FOOTER}",
        margins_mm=_MARGINS,
    )


def _description(days: Sequence[SheetDay]) -> PdfDescription:
    first = days[0]
    codes = ", ".join(one.study.code for one in days)
    return PdfDescription(
        title=f"Bench sheet of study {codes}, {first.day}",
        author=first.study.maker,
        subject="Readings of a check day, to be filled in with a pen",
        moment=datetime.combine(first.day, time(12), tzinfo=UTC),
        entries=(
            (ANCHORS_KEY, " ".join(str(one.anchor) for one in days)),
            (AS_OF_KEY, first.day.isoformat()),
        ),
    )
