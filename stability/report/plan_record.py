"""The plan record: what was fixed before the first reading, on two pages.

It is handed to somebody outside, who can witness later that the limits stood first;
so it carries the plan fingerprint, which the report prints too.
"""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from pypdf import PdfReader
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from stability.model.age import check_text
from stability.model.names import in_words
from stability.model.study import Pack, Sample, Study
from stability.model.study_record import StudyRecord
from stability.report.chapters_plan import attribute_table, condition_table
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.fonts import load_fonts
from stability.report.front_page import asked_text
from stability.report.pages import ANCHORS_KEY, PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes
from stability.report.styles import ReportStyles, heading, paragraph, report_styles
from stability.report.tables import Column, Share, TableRow, key_values, record_table
from stability.report.whole_file import check_place, write_whole
from stability.report.wording import FOOTER, STUDY_LIMITS, count, yes_no

#: Type sizes against those of the report, the first that fits two pages is taken [-].
_SIZES: Final = (0.84, 0.79, 0.74)
_PAGES: Final = 2
_CARRIED: Final = {
    "batch by batch": "each batch by itself",
    "pooled": "batches together where they are alike",
}
_LODGED: Final = (
    "Whoever receives this record before the first reading can witness that limits, "
    "reasons, samples and request were fixed by then. The fingerprint stands for both "
    "files of the plan, word for word; the study report prints it again."
)


def write_plan_record(
    record: StudyRecord, target: Path, *, font: Path | None = None
) -> None:
    """Write the plan record of a study as it stands.

    Parameters
    ----------
    record
        The study, opened or amended.
    target
        The PDF file; written whole or not at all.
    font
        TrueType font for characters that the report's own font lacks.

    Raises
    ------
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    check_place(target)
    fonts = load_fonts(font)
    usual = report_styles(fonts)
    said, page = _description(record), _page(record)
    sizes = [_compact(usual, size) for size in _SIZES]
    made = (pdf_bytes(_story(record, one), said, page, fonts) for one in sizes)
    first = next(made)
    fits = (one for one in (first, *made) if _pages(one) <= _PAGES)
    write_whole(target, next(fits, first))


def _pages(content: bytes) -> int:
    return len(PdfReader(io.BytesIO(content)).pages)


def _compact(styles: ReportStyles, size: float) -> ReportStyles:
    """Return the styles of the report, smaller: a plan fits on two pages."""

    def smaller(one: ParagraphStyle) -> ParagraphStyle:
        sizes: dict[str, Any] = {
            name: getattr(one, name) * size
            for name in ("fontSize", "leading", "spaceBefore", "spaceAfter")
        }
        return ParagraphStyle(f"{one.name} {size}", parent=one, **sizes)

    first, second, third = map(smaller, styles.headings)
    return replace(
        styles,
        title=smaller(styles.title),
        subtitle=smaller(styles.subtitle),
        headings=(first, second, third),
        body=smaller(styles.body),
        small=smaller(styles.small),
        cell=smaller(styles.cell),
        cell_right=smaller(styles.cell_right),
        cell_bold=smaller(styles.cell_bold),
        column=smaller(styles.column),
        column_right=smaller(styles.column_right),
    )


def _story(record: StudyRecord, styles: ReportStyles) -> list[Flowable]:
    study = record.study
    return [
        *heading(f"Plan record: {study.product}, version {study.version}", 1, styles),
        key_values(_facts(record), styles, key_mm=34),
        *heading("Samples", 2, styles, keep_mm=20),
        _samples(record, styles),
        *heading("Conditions and checks", 2, styles, keep_mm=20),
        condition_table(record.protocol, study.omit, styles),
        *heading("Attributes, limits and reasons", 2, styles, keep_mm=65),
        paragraph(STUDY_LIMITS, styles.small, styles),
        attribute_table(record.protocol, study.omit, styles),
        *heading("Received", 2, styles, keep_mm=26),
        paragraph(_LODGED, styles.small, styles),
        _received(styles),
    ]


def _facts(record: StudyRecord) -> list[tuple[str, str | Flowable | list[Flowable]]]:
    study, protocol = record.study, record.protocol
    opening = record.opening
    stored = opening.entered.astimezone(record.zone)
    facts: list[tuple[str, str | Flowable | list[Flowable]]] = [
        ("Plan fingerprint", _fingerprint(record)),
        (
            "Recorded",
            (
                f"{stored:%Y-%m-%d %H:%M} ({record.zone}) by {opening.person}, "
                f"study {study.code}"
            ),
        ),
        ("As sold?", _as_sold(study)),
        ("Asked for", asked_text(study)),
        ("Batches", _batches(study)),
        ("Packs", "; ".join(map(_pack, study.packs.values()))),
        (
            "Protocol",
            (
                f"{protocol.title}, version {protocol.version} ({protocol.name}), "
                f"SHA-256 {opening.protocol_digest}"
            ),
        ),
        ("T0 and evaluation", _evaluation(record)),
        ("Left out, with reason", _omitted(study)),
    ]
    facts += [
        (f"Amended {one.done.day}", f"{'; '.join(one.changes)}. Because: {one.because}")
        for one in record.amendments
    ]
    if record.taken_over is not None:
        facts.append(("Taken over", record.taken_over.because))
    return facts


def _omitted(study: Study) -> str:
    omitted = [f"{in_words(name)}: {why}" for name, why in study.omit.items()]
    return "; ".join(omitted) or "nothing"


def _fingerprint(record: StudyRecord) -> str:
    if record.amendments:
        return (
            f"{record.amendments[-1].fingerprint} (as amended; as opened "
            f"{record.opening.fingerprint})"
        )
    return record.opening.fingerprint


def _as_sold(study: Study) -> str:
    sold = study.as_sold
    return (
        f"Formula as sold: {yes_no(sold.formula)}. Pack as sold: {yes_no(sold.pack)}. "
        f"{sold.scale}"
    )


def _batches(study: Study) -> str:
    return "; ".join(
        f"{one.name} made {one.made}"
        + (f", filled {one.filled}" if one.filled else "")
        + (f", {one.grams} g" if one.grams else "")
        + (f", pH at make {one.pH_at_make}" if one.pH_at_make is not None else "")
        for one in study.batches.values()
    )


def _pack(pack: Pack) -> str:
    """Return a pack in words, with the masses from which weight loss is worked out."""
    parts = [f"{pack.name}: {pack.text}"]
    parts += ["inert"] if pack.inert else []
    parts += [f"fill {pack.fill_g} g"] if pack.fill_g is not None else []
    parts += [f"empty {pack.tare_g} g"] if pack.tare_g is not None else []
    return ", ".join(parts)


def _evaluation(record: StudyRecord) -> str:
    t0, analysis = record.protocol.t0, record.protocol.analysis
    looks = ", ".join(check_text(one) for one in analysis.evaluate_at) or "none named"
    said = (
        f"T0 read {t0.read_after} to {t0.read_before} after making. Request evaluated "
        f"at {looks}, {_CARRIED[analysis.carries_request]}, with "
        f"{100 * analysis.confidence:g} % confidence; where an attribute has two "
        f"limits, {analysis.two_limits}."
    )
    rule = analysis.provisional
    if rule is None:
        return said
    return (
        f"{said} Provisional rule: {rule.months} months if {rule.condition} holds to "
        f"{check_text(rule.check)} and real time to {check_text(rule.real_time_to)}; "
        f"confirmed at {', '.join(check_text(one) for one in rule.confirm_at)}."
    )


def _samples(record: StudyRecord, styles: ReportStyles) -> Flowable:
    groups: dict[tuple[str, ...], list[Sample]] = {}
    for one in record.samples.values():
        use = one.use + (f" (twin of {one.twin_of})" if one.twin_of else "")
        key = (one.condition or "–", one.pack or one.kind, use)
        groups.setdefault(key, []).append(one)
    rows: list[TableRow] = [
        [
            *key,
            count(len(ones), "sample"),
            ", ".join(f"{one.code} ({one.batch})" for one in ones),
        ]
        for key, ones in groups.items()
    ]
    columns = fitted_columns(
        (
            Fitted("Condition", strong=True),
            Fitted("Pack"),
            Fitted("Use", 40),
            Fitted("Number", align="right"),
            shared("Codes (batch)"),
        ),
        rows,
        styles,
    )
    return record_table(columns, rows, styles)


def _received(styles: ReportStyles) -> Flowable:
    columns = (
        Column("Received by (name, function)", Share(2)),
        Column("Date", Share(1)),
        Column("Signature", Share(2)),
    )
    return record_table(columns, [["\n\n", "", ""]], styles)


def _description(record: StudyRecord) -> PdfDescription:
    study = record.study
    last = record.amendments[-1] if record.amendments else record.opening
    position = record.amendments[-1].position if record.amendments else 1
    return PdfDescription(
        title=f"Plan record {study.code}: {study.product} {study.version}",
        author=study.maker or record.opening.person,
        subject="Stability study: what was fixed before the first reading",
        moment=last.entered,
        entries=((ANCHORS_KEY, f"study:{study.code}/{position}:{last.fingerprint}"),),
    )


def _page(record: StudyRecord) -> PageSetup:
    study = record.study
    stored: date = record.opening.entered.astimezone(record.zone).date()
    return PageSetup(
        header_left=f"{study.product} {study.version} · study {study.code}",
        header_right=f"plan record of {stored} · {_fingerprint(record)[:16]}",
        footer_note=FOOTER,
        margins_mm=(15, 17, 15, 16),
    )
