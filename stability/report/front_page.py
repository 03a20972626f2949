"""The first page: all that an assessor must know, in a fixed order."""

from __future__ import annotations

from collections.abc import Iterable

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation, OutsideFinding, OutsideGroup
from stability.evaluation.life_cautions import SILENT
from stability.evaluation.opened import opened_text
from stability.model.names import in_words
from stability.model.study import Study
from stability.report.chapters_follow_ups import follow_ups_text
from stability.report.chapters_life import (
    SHELF_LIFE,
    estimate_line,
    supported_lines,
)
from stability.report.chapters_storage import storage_text
from stability.report.microbiology import (
    CERTIFICATES,
    CERTIFIED_OUTSIDE,
    microbiology_lines,
    outside_lines,
)
from stability.report.page_leads import PageLead
from stability.report.readings_leads import undecided_leads
from stability.report.record_counts import record_text
from stability.report.styles import (
    ReportStyles,
    anchor_name,
    bold,
    link,
    marked_paragraph,
    note_box,
    paragraph,
)
from stability.report.tables import key_values
from stability.report.text import printable, shortened
from stability.report.wording import (
    MEANING_TITLES,
    STUDY_LIMITS,
    by_pack,
    count,
    day,
    months,
    sentence_case,
    yes_no,
)

#: Anchors of the chapters that the first page leads to.
OUTSIDE, RECORD, PROTOCOL = "outside", "record", "protocol"
FINDINGS, CONCLUSION, CLOSING = "findings", "conclusion", "assessed"
_SHOWN_FINDINGS = 4
# About five lines of the page's width [points].
_TITLE_ROOM = 5 * 450.0


def front_page(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return title, findings in the order in which an assessor asks, and the note."""
    identity = evaluation.identity
    study = identity.study
    state = identity.state.upper()
    waiting = (
        f" · {count(identity.checks_waiting, 'sample check')} waiting"
        if identity.checks_waiting
        else ""
    )
    return [
        paragraph(title_text(evaluation, styles), styles.title, styles),
        paragraph(
            f"Stability study report · study {study.code} · {state} · data up to "
            f"{identity.as_of.isoformat()}{waiting}",
            styles.subtitle,
            styles,
        ),
        key_values(_rows(evaluation, styles), styles, key_mm=34),
        note_box("Note.", evaluation.note, styles),
    ]


def title_text(evaluation: Evaluation, styles: ReportStyles) -> str:
    """Return product and version; a name longer than a few lines is cut.

    Letters that no font has print as code points and would fill the page; the whole
    name stands under the title then.
    """
    study = evaluation.identity.study
    return f"{_short_name(study.product, styles)}, version {study.version}"


def _short_name(product: str, styles: ReportStyles) -> str:
    return shortened(product, styles.title.fontSize, _TITLE_ROOM, styles.fonts, "bold")


def _whole_name(evaluation: Evaluation, styles: ReportStyles) -> list[str]:
    """Return the product's name where the title cut it."""
    product = evaluation.identity.study.product
    return [] if _short_name(product, styles) == product else [f"Product: {product}."]


def _rows(
    evaluation: Evaluation, styles: ReportStyles
) -> list[tuple[str, str | Flowable | list[Flowable]]]:
    identity = evaluation.identity
    study = identity.study
    return [
        (
            "What it is",
            _lines(
                [*_whole_name(evaluation, styles), *identity_lines(evaluation)], styles
            ),
        ),
        ("As sold?", as_sold_text(study)),
        ("Asked", asked_text(study)),
        ("Outside limits", _outside(evaluation, styles)),
        ("Shown in real time", _lines(shown_lines(evaluation), styles)),
        ("Beyond what is shown", _beyond(evaluation, styles)),
        ("Precision", _lines(precision_lines(evaluation), styles)),
        ("Microbiology", _microbiology(evaluation, styles)),
        ("After opening", after_opening_text(evaluation)),
        ("Limits", _limits(evaluation, styles)),
        ("Record", _record(evaluation, styles)),
    ]


def _lines(lines: Iterable[str], styles: ReportStyles) -> list[Flowable]:
    return [paragraph(line, styles.cell, styles) for line in lines if line]


def identity_lines(evaluation: Evaluation) -> list[str]:
    """Return what the product is, of which batches and packs, and its samples."""
    identity = evaluation.identity
    study = identity.study
    kind = f"{sentence_case(study.product_type)}. " if study.product_type else ""
    maker = f"Maker: {study.maker}. " if study.maker else ""
    batches = "; ".join(
        f"{batch.name} made {batch.made.isoformat()}"
        + (f", {batch.grams} g" if batch.grams is not None else "")
        for batch in study.batches.values()
    )
    packs = "; ".join(f"{pack.name}: {pack.text}" for pack in study.packs.values())
    counts = identity.samples
    follows = (
        f"Follows study {study.follows}; changed: {study.changed}."
        if study.follows
        else ""
    )
    return [
        f"{kind}{maker}".strip(),
        follows,
        f"{count(identity.batches, 'batch', 'batches')}: {batches}",
        f"{count(identity.packs, 'pack')}: {packs}",
        (
            f"{count(counts.assigned, 'sample')} assigned, {counts.placed} placed, "
            f"{counts.read} read, {counts.remaining} still in the study, "
            f"{counts.lost} lost, {counts.failed} failed as a container"
            + (f", {counts.used} used up or sent out" if counts.used else "")
            + (f", {counts.stopped} stopped" if counts.stopped else "")
        ),
    ]


def as_sold_text(study: Study) -> str:
    """Return whether what was tested is what will be sold."""
    sold = study.as_sold
    return (
        f"Formula as sold: {yes_no(sold.formula)}. "
        f"Pack as sold: {yes_no(sold.pack)}. Scale: {sold.scale}"
    )


def asked_text(study: Study) -> str:
    """Return the request in words."""
    request = study.request
    after = (
        f"{request.after_opening} after opening"
        if request.after_opening
        else "no period after opening"
    )
    storage = f"; storage words: {request.storage}" if request.storage else ""
    sold = f"; to be sold in {', '.join(request.markets)}" if request.markets else ""
    return f"{months(request.months)} unopened; {after}{storage}{sold}"


def _outside(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    found = _certified_outside(evaluation, styles)
    if not evaluation.outside:
        words = outside_none_text(evaluation)
        undecided = undecided_leads(evaluation, styles)
        return [paragraph(words, styles.cell_bold, styles), *found, *undecided]
    for group in evaluation.outside:
        found.append(
            marked_paragraph(bold(MEANING_TITLES[group.meaning], styles), styles.cell)
        )
        found += [
            marked_paragraph(
                link(f"■ {one.text}", finding_anchor(one), styles), styles.cell
            )
            for one in group.findings[:_SHOWN_FINDINGS]
        ]
        found += _more(group, styles)
    found += undecided_leads(evaluation, styles)
    found += _lines([follow_ups_text(evaluation)], styles)
    found.append(_lead("every reading outside its limit", OUTSIDE, styles))
    return found


def finding_anchor(finding: OutsideFinding) -> str:
    """Return the anchor of the readings behind a finding."""
    first = [str(one.position) for one in finding.observations[:1]]
    place = (finding.attribute, finding.condition, finding.pack, finding.batch)
    return anchor_name(OUTSIDE, *place, *first)


def _certified_outside(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    lines = outside_lines(evaluation)
    if not lines:
        return []
    return [
        paragraph(CERTIFIED_OUTSIDE, styles.cell_bold, styles),
        *(paragraph(f"■ {line}", styles.cell, styles) for line in lines),
    ]


def outside_none_text(evaluation: Evaluation) -> str:
    """Return the words for a study without a reading outside its limit."""
    read = sum(one.is_read for one in evaluation.judged)
    if not read:
        return "Nothing has been read yet."
    return f"None of {count(read, 'judged observation')} lies outside its limit."


def _more(group: OutsideGroup, styles: ReportStyles) -> list[Flowable]:
    left = len(group.findings) - _SHOWN_FINDINGS
    if left <= 0:
        return []
    return [paragraph(f"and {left} more", styles.cell, styles)]


def _lead(words: str, anchor: str, styles: ReportStyles) -> Flowable:
    return PageLead("See", words, anchor, styles)


def shown_lines(evaluation: Evaluation) -> list[str]:
    """Return what real time has shown, pack by pack, and of what it shows nothing."""
    shown = ((one.condition, one.pack, one.text) for one in evaluation.shown)
    life = evaluation.shelf_life
    silent = [one.text for one in life.cautions if one.code in SILENT] if life else []
    return [*(by_pack(shown) or [evaluation.months_shown_text]), *silent]


def _beyond(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    lines = _lines(beyond_lines(evaluation), styles)
    lines.append(_lead("the conclusion drafted from all of it", CONCLUSION, styles))
    if evaluation.shelf_life is None:
        return lines
    return [*lines, _lead("shelf life with its derivation", SHELF_LIFE, styles)]


def beyond_lines(evaluation: Evaluation) -> list[str]:
    """Return what is said beyond the months shown."""
    if evaluation.shelf_life is not None:
        return supported_lines(evaluation.shelf_life)
    asked = evaluation.identity.study.request.months
    return [
        (
            f"Not shown: {evaluation.months_shown} of {months(asked)} asked for are "
            "shown by real time. Nothing is extrapolated; what lies beyond is open "
            "until read."
        )
    ]


def precision_lines(evaluation: Evaluation) -> list[str]:
    """Return how much stands behind the findings."""
    identity = evaluation.identity
    made = sum(one.state in {"made", "partly"} for one in evaluation.checks)
    past = sum(one.state != "coming" for one in evaluation.checks)
    lines = [
        (
            f"{made} of {count(past, 'sample check')} due so far made; "
            f"{count(len(evaluation.checks) - past, 'check')} to come; "
            f"{count(identity.batches, 'batch', 'batches')}."
        )
    ]
    if evaluation.shelf_life is not None:
        lines.append(estimate_line(evaluation.shelf_life))
    if identity.batches == 1:
        lines.append("One batch cannot show how batches differ.")
    if evaluation.trend.made:
        lines.append(evaluation.trend.text)
    return [*lines, *evaluation.instruments.lines]


def _microbiology(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    lines = _lines(microbiology_lines(evaluation), styles)
    if not evaluation.certificates.findings:
        return lines
    return [*lines, _lead("certificates with their values", CERTIFICATES, styles)]


def after_opening_text(evaluation: Evaluation) -> str:
    """Return the evidence for a period after opening; it is never computed."""
    return (
        f"{opened_text(evaluation)} A period after opening is judged by the assessor "
        "and never computed."
    )


def _limits(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    identity = evaluation.identity
    return [
        *_lines([identity.limits_recorded, STUDY_LIMITS], styles),
        marked_paragraph(
            f"{printable(identity.protocol.title, styles.fonts)}, version "
            f"{printable(identity.protocol.version, styles.fonts)}: "
            f"{link('protocol with limits and reasons', PROTOCOL, styles)}.",
            styles.cell,
        ),
    ]


def _record(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    return [
        *_lines(record_lines(evaluation), styles),
        _lead("what was missed, late, corrected or lost", RECORD, styles),
    ]


def record_lines(evaluation: Evaluation) -> list[str]:
    """Return what happened, what is known of storage, and where the record stands."""
    happened = f"{record_text(evaluation)} {storage_text(evaluation)}"
    return [happened.strip(), anchor_text(evaluation)]


def anchor_text(evaluation: Evaluation) -> str:
    """Return position and digest of the record, and the plan fingerprint."""
    identity = evaluation.identity
    head = identity.head
    return (
        f"{head.subject}/{head.position}, digest {head.digest}. Plan fingerprint "
        f"{identity.fingerprint} of {day(identity.opened.day)}."
    )


def finding_names(findings: Iterable[OutsideFinding]) -> str:
    """Name findings shortly: `pH at T40, separation at T45`."""
    return ", ".join(
        dict.fromkeys(
            f"{in_words(one.attribute)} at {one.condition}" for one in findings
        )
    )
