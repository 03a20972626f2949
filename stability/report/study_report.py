"""The study report as a PDF: one evaluation, printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, time
from pathlib import Path

from reportlab.platypus import Flowable, PageBreak

from stability.evaluation.findings import Evaluation
from stability.model.entry import Head
from stability.model.program import program_name
from stability.report.attachments import Attachment
from stability.report.chapters_ageing import ageing_chapter
from stability.report.chapters_amended import amendments_chapter
from stability.report.chapters_certificates import certificates_chapter
from stability.report.chapters_compared import comparisons_chapter, words_chapter
from stability.report.chapters_conclusion import conclusion_chapter
from stability.report.chapters_drift import drift_chapter, trend_chapter
from stability.report.chapters_files import files_chapter, judged_files
from stability.report.chapters_findings import (
    cautions_chapter,
    coming_chapter,
    outside_chapter,
    record_chapter,
)
from stability.report.chapters_instruments import anchor_rows, instruments_chapter
from stability.report.chapters_life import life_chapter
from stability.report.chapters_photographs import photographs_chapter
from stability.report.chapters_plan import protocol_chapter, samples_chapter
from stability.report.chapters_results import results_chapter
from stability.report.chapters_storage import storage_anchors, storage_chapter
from stability.report.chapters_where import label_chapter, where_chapter
from stability.report.findings_table import summary_chapter
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.front_page import CLOSING, front_page
from stability.report.in_print import PrintWish, left_to_files
from stability.report.pages import (
    ANCHORS_KEY,
    AS_OF_KEY,
    PageSetup,
    PdfDescription,
)
from stability.report.pdf import Progress, write_pdf
from stability.report.series_left import size_note
from stability.report.styles import ReportStyles, heading, paragraph, report_styles
from stability.report.tables import key_values
from stability.report.wording import CHAIN_TEXT, FOOTER, NOT_TAGGED


def write_report(
    evaluation: Evaluation,
    target: Path,
    *,
    font: Path | None = None,
    photographs: Mapping[str, bytes] | None = None,
    attachments: Sequence[Attachment] = (),
    readings: PrintWish = "auto",
    progress: Progress | None = None,
) -> None:
    """Write the study report.

    Parameters
    ----------
    evaluation
        What is printed; nothing is computed here.
    target
        The PDF file; written whole or not at all.
    font
        TrueType font for characters that the report's own font lacks.
    photographs
        SHA-256 -> bytes of the cleaned copies; None where there are none.
    attachments
        Files to put inside, beside the readings as judged.
    readings
        Which readings are printed one by one.
    progress
        Told how far it is; None: nobody watches.

    Raises
    ------
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    fonts = load_fonts(font)
    styles = report_styles(fonts)
    left = left_to_files(evaluation, readings)
    inside = (*judged_files(evaluation, left), *attachments)
    write_pdf(
        target,
        story(evaluation, styles, fonts, photographs, left=left, inside=inside),
        report_description(evaluation),
        report_page(evaluation),
        fonts,
        attachments=inside,
        progress=progress,
    )


def story(
    evaluation: Evaluation,
    styles: ReportStyles,
    fonts: ReportFonts,
    photographs: Mapping[str, bytes] | None = None,
    *,
    left: frozenset[int] = frozenset(),
    inside: Sequence[Attachment] = (),
) -> list[Flowable]:
    """Return the report's chapters in order: findings first, evidence behind them."""
    return [
        *front_page(evaluation, styles),
        PageBreak(),
        *summary_chapter(evaluation, styles),
        *size_note(evaluation, styles),
        *where_chapter(evaluation, styles),
        *label_chapter(evaluation, styles),
        *outside_chapter(evaluation, styles),
        *record_chapter(evaluation, styles),
        *conclusion_chapter(evaluation, styles),
        *amendments_chapter(evaluation, styles),
        *certificates_chapter(evaluation, styles),
        *life_chapter(evaluation, styles),
        *ageing_chapter(evaluation, styles),
        *cautions_chapter(evaluation, styles),
        *coming_chapter(evaluation, styles),
        *protocol_chapter(evaluation, styles),
        *samples_chapter(evaluation, styles),
        *instruments_chapter(evaluation, styles),
        *storage_chapter(evaluation, styles, fonts),
        *results_chapter(evaluation, styles, fonts, left),
        *photographs_chapter(evaluation, photographs or {}, styles),
        *words_chapter(evaluation, styles),
        *comparisons_chapter(evaluation, styles),
        *drift_chapter(evaluation, styles),
        *trend_chapter(evaluation, styles),
        *_closing(evaluation, styles, fonts, inside),
    ]


def _closing(
    evaluation: Evaluation,
    styles: ReportStyles,
    fonts: ReportFonts,
    inside: Sequence[Attachment],
) -> list[Flowable]:
    identity = evaluation.identity
    digest = fonts.fallback_digest
    fallback = f"SHA-256 {digest}" if digest else "none"
    return [
        *heading("The record behind this report", 1, styles, keep_mm=60),
        key_values(
            [
                ("Position", f"{identity.head.subject}/{identity.head.position}"),
                ("Digest", identity.head.digest),
                *anchor_rows(evaluation),
                *storage_anchors(evaluation),
                ("Plan fingerprint", identity.fingerprint),
                ("Protocol digest", identity.protocol_digest),
                ("Written by", program_name()),
                ("Opened", f"{identity.opened.for_people()} by {identity.opened_by}"),
                ("Font named by the user", fallback),
            ],
            styles,
        ),
        paragraph(CHAIN_TEXT, styles.body, styles),
        paragraph(NOT_TAGGED, styles.small, styles),
        *files_chapter(inside, styles),
        *heading("Measured, reviewed, assessed", 1, styles, anchor=CLOSING, keep_mm=70),
        key_values(
            [
                ("Measured by", _people(evaluation) or "–"),
                ("Reviewed by", "name, date, signature:"),
                ("Safety assessor", "name, qualification, date, signature:"),
                ("Assessor's conclusion", "\n" * 6),
            ],
            styles,
        ),
    ]


def _people(evaluation: Evaluation) -> str:
    """Name who logged, and whom they name as observers."""
    seen = [one.observation for one in evaluation.judged]
    names = dict.fromkeys(one.person for one in seen)
    observers = dict.fromkeys(
        each.observer
        for one in seen
        for each in one.readings
        if each.observer and each.observer not in names
    )
    told = ", ".join(names)
    return f"{told}; observed too: {', '.join(observers)}" if observers else told


def report_description(
    evaluation: Evaluation, what: str = "Stability study"
) -> PdfDescription:
    """Return what a document of this evaluation says of itself.

    Parameters
    ----------
    evaluation
        What is printed.
    what
        What the document is, before the study's code.
    """
    identity = evaluation.identity
    study = identity.study
    return PdfDescription(
        title=f"{what} {study.code}: {study.product} {study.version}",
        author=study.maker or identity.opened_by,
        subject=f"Stability study report as of {identity.as_of.isoformat()}",
        moment=datetime.combine(identity.as_of, time(12), tzinfo=UTC),
        entries=(
            (ANCHORS_KEY, " ".join(map(str, _heads(evaluation)))),
            (AS_OF_KEY, identity.as_of.isoformat()),
        ),
    )


def _heads(evaluation: Evaluation) -> tuple[Head, ...]:
    """Return where the record stood, and those of instruments and places it names."""
    instruments = evaluation.instruments.uses
    return (
        evaluation.identity.head,
        *(one.instrument.head for one in instruments),
        *(one.head for one in evaluation.storage.places),
    )


def report_page(evaluation: Evaluation) -> PageSetup:
    """Return head and foot of every page of this evaluation."""
    identity = evaluation.identity
    head = identity.head
    study = identity.study
    return PageSetup(
        header_left=f"{study.product} {study.version} · study {study.code}",
        header_right=(
            f"{identity.state} · as of {identity.as_of.isoformat()} · "
            f"{study.code}/{head.position} {head.digest[:16]}"
        ),
        footer_note=FOOTER,
        margins_mm=(20, 21, 18, 19),
    )
