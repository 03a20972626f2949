"""Certificates of laboratories: of what they are, and what they amount to."""

from __future__ import annotations

from reportlab.platypus import Flowable

from stability.evaluation.certificate_findings import CertificateFinding, Certificates
from stability.evaluation.findings import Evaluation
from stability.model.names import in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.microbiology import CERTIFICATES, LOW_RISK
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import TableRow, key_values, record_table
from stability.report.wording import sentence_case

_LEAD = (
    "What a laboratory found holds for the batch, version, pack and age that it "
    "tested. A certificate of anything else prints as a mismatch and is no evidence "
    "for this study. Challenges are held against the table of ISO 11930:2019, counts "
    "against the limits of ISO 17516:2014, as laboratories and authorities report "
    "both. Where this differs from what the laboratory concludes, both are told and "
    "the worse of them governs."
)


def certificates_chapter(
    evaluation: Evaluation, styles: ReportStyles
) -> list[Flowable]:
    """Return every certificate and what is asked for; nothing without either."""
    found = evaluation.certificates
    if not (found.findings or found.asked):
        return []
    story = heading("Certificates", 1, styles, anchor=CERTIFICATES, keep_mm=50)
    story.append(paragraph(_LEAD, styles.body, styles))
    for one in found.findings:
        story += _certificate(one, evaluation.identity.study.code, styles)
    story += _asked(found, styles)
    if any(one.microbiological for one in found.findings) or not found.findings:
        story.append(paragraph(LOW_RISK, styles.small, styles))
    return story


def _certificate(
    found: CertificateFinding, study: str, styles: ReportStyles
) -> list[Flowable]:
    one = found.certificate
    sample = f", sample {one.sample}" if one.sample else ""
    of_what = (
        f"version {one.version}, batch {one.batch}, {one.pack or 'no pack named'}"
        f"{sample}, age {one.age}"
    )
    file = (
        f"{one.file.name}, SHA-256 {one.file.sha256}" if one.file else "none was given"
    )
    rows = [
        ("Of", of_what),
        ("From", f"{one.title}, issued {one.issued.isoformat()}"),
        ("Method", one.standard or "not named"),
        ("Mismatch", "; ".join(found.mismatches)),
        ("Values", "\n".join(found.results) or "none given"),
        ("Here", "" if found.mismatches else _here(found)),
        ("Laboratory", found.laboratory_verdict),
        ("Why", "" if found.mismatches else "\n".join(found.reasons)),
        ("Series", _series(found)),
        (
            "Record",
            f"{study}/{one.position}, received {one.done.for_people()}, {one.person}",
        ),
        ("File", file),
    ]
    title = f"{sentence_case(in_words(one.attribute))}, no. {one.number}: {found.mark}"
    return [
        *heading(title, 2, styles, keep_mm=40),
        key_values([(key, value) for key, value in rows if value], styles, key_mm=26),
    ]


def _here(found: CertificateFinding) -> str:
    parts = (found.verdict, found.by_protocol)
    return "; ".join(part for part in parts if part)


def _series(found: CertificateFinding) -> str:
    """Say where else it is counted."""
    one = found.certificate
    if found.among_readings:
        return f"stands among the readings of {one.sample}, at the age stated"
    told = "judged alone, in no series"
    return "" if one.kind in {"challenge", "count"} or found.mismatches else told


def _asked(found: Certificates, styles: ReportStyles) -> list[Flowable]:
    if not found.asked:
        return []
    rows: list[TableRow] = [
        [
            in_words(one.attribute),
            one.check,
            one.state,
            ", ".join(f"entry {position}" for position in one.positions),
        ]
        for one in found.asked
    ]
    columns = fitted_columns(
        (Fitted("Attribute", 60), Fitted("Check"), Fitted("State"), shared("By")),
        rows,
        styles,
    )
    return [
        *heading("Certificates that the protocol asks for", 2, styles, keep_mm=30),
        record_table(columns, rows, styles),
    ]
