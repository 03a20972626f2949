"""The study report as a PDF: one evaluation, printed."""

from __future__ import annotations

from datetime import UTC, datetime, time
from pathlib import Path

from reportlab.platypus import Flowable, PageBreak

from stability.evaluation.findings import Evaluation
from stability.model.entry import Head
from stability.report.chapters_ageing import ageing_chapter
from stability.report.chapters_amended import amendments_chapter
from stability.report.chapters_certificates import certificates_chapter
from stability.report.chapters_compared import comparisons_chapter, words_chapter
from stability.report.chapters_drift import drift_chapter, trend_chapter
from stability.report.chapters_findings import (
from stability.report.chapters_conclusion import conclusion_chapter
from stability.report.chapters_data import files_chapter, judged_file
    cautions_chapter,
    coming_chapter,
    outside_chapter,
    record_chapter,
    summary_chapter,
)
from stability.report.chapters_instruments import anchor_rows, instruments_chapter
from stability.report.chapters_life import life_chapter
from stability.report.chapters_plan import protocol_chapter, samples_chapter
from stability.report.chapters_results import results_chapter
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.front_page import CLOSING, front_page
from stability.report.in_print import PrintWish, left_to_files
from stability.report.pages import (
from stability.report.chapters_storage import storage_anchors, storage_chapter
from stability.report.chapters_where import label_chapter, where_chapter
    ANCHORS_KEY,
    AS_OF_KEY,
    PageSetup,
    PdfDescription,
)
from stability.report.pdf import write_pdf
from stability.report.styles import ReportStyles, heading, paragraph, report_styles
from stability.report.tables import key_values
from stability.report.wording import CHAIN_TEXT, FOOTER, NOT_TAGGED


def write_report(
    evaluation: Evaluation, target: Path, *, font: Path | None = None
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

    Raises
    ------
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    fonts = load_fonts(font)
    styles = report_styles(fonts)
    write_pdf(
        target,
        story(evaluation, styles, fonts, photographs, left=left, inside=inside),
        report_description(evaluation),
        report_page(evaluation),
        fonts,
    )


def story(
    evaluation: Evaluation, styles: ReportStyles, fonts: ReportFonts
) -> list[Flowable]:
    """Return the report's chapters in order: findings first, evidence behind them."""
    return [
        *front_page(evaluation, styles),
        PageBreak(),
        *summary_chapter(evaluation, styles),
        *outside_chapter(evaluation, styles),
        *record_chapter(evaluation, styles),
        *amendments_chapter(evaluation, styles),
        *certificates_chapter(evaluation, styles),
        *life_chapter(evaluation, styles),
        *ageing_chapter(evaluation, styles),
        *cautions_chapter(evaluation, styles),
        *coming_chapter(evaluation, styles),
        *protocol_chapter(evaluation, styles),
        *samples_chapter(evaluation, styles),
        *instruments_chapter(evaluation, styles),
        *results_chapter(evaluation, styles, fonts),
        *words_chapter(evaluation, styles),
        *comparisons_chapter(evaluation, styles),
        *drift_chapter(evaluation, styles),
        *trend_chapter(evaluation, styles),
        *_closing(evaluation, styles, fonts),
    ]


def _closing(
    evaluation: Evaluation, styles: ReportStyles, fonts: ReportFonts
) -> list[Flowable]:
    identity = evaluation.identity
    fallback = fonts.fallback_digest or "none named"
    return [
        *heading("The record behind this report", 1, styles, keep_mm=60),
        key_values(
        *where_chapter(evaluation, styles),
        *label_chapter(evaluation, styles),
            [
                ("Position", f"{identity.head.subject}/{identity.head.position}"),
        *conclusion_chapter(evaluation, styles),
                ("Digest", identity.head.digest),
                *anchor_rows(evaluation),
                ("Plan fingerprint", identity.fingerprint),
                ("Protocol digest", identity.protocol_digest),
                ("Opened", f"{identity.opened.for_people()} by {identity.opened_by}"),
                ("Font named by the user", f"SHA-256 {fallback}"),
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
                ("Assessor's conclusion", "\n\n\n"),
            ],
            styles,
        ),
    ]


def _people(evaluation: Evaluation) -> str:
    names = dict.fromkeys(one.observation.person for one in evaluation.judged)
    return ", ".join(names)


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
    """Return where the record stood, and those of the instruments that it names."""
    instruments = evaluation.instruments.uses
    return (evaluation.identity.head, *(one.instrument.head for one in instruments))


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
    )
