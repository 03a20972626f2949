"""Chapters of what was fixed beforehand: protocol, limits with reasons, samples."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.phrases import count_text
from stability.evaluation.readings import SampleFate
from stability.model.age import check_text
from stability.model.attribute import Attribute, Setting
from stability.model.limit import Limit
from stability.model.names import in_words
from stability.model.protocol import USUAL_WINDOWS, Protocol, Window
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.front_page import PROTOCOL
from stability.report.making_table import formula_text, process_text, reads_ph
from stability.report.page_leads import PageLead
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import (
    Column,
    Millimetres,
    Share,
    TableRow,
    key_values,
    record_table,
)
from stability.report.wording import STUDY_LIMITS, day, sentence_case


def protocol_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the protocol as frozen at the opening."""
    identity = evaluation.identity
    protocol = identity.protocol
    return [
        *heading("Protocol", 1, styles, anchor=PROTOCOL, keep_mm=60),
        paragraph(f"{protocol.title}. {protocol.purpose}", styles.body, styles),
        key_values(_protocol_rows(evaluation), styles),
        *heading("Conditions", 2, styles),
        condition_table(protocol, identity.study.omit, styles),
        *heading("Attributes, limits and reasons", 2, styles),
        paragraph(STUDY_LIMITS, styles.small, styles),
        attribute_table(protocol, identity.study.omit, styles),
        *_sources(protocol, styles),
    ]


def _protocol_rows(
    evaluation: Evaluation,
) -> list[tuple[str, str | Flowable | list[Flowable]]]:
    identity = evaluation.identity
    protocol = identity.protocol
    t0 = protocol.t0
    analysis = protocol.analysis
    waits = ", ".join(analysis.evaluate_at) or "none named"
    windows = "; ".join(
        f"{_until_text(one)}: {one.before} before to {one.after} after"
        for one in protocol.windows
    )
    omitted = "; ".join(
        f"{in_words(key)}: {why}" for key, why in identity.study.omit.items()
    )
    return [
        ("Version", f"{protocol.name}, version {protocol.version}"),
        ("Digest of its text", identity.protocol_digest),
        (
            "T0",
            (
                f"read {t0.read_after} to {t0.read_before} after making; placed within "
                f"{t0.place_within} of the T0 readings; age counts from placing"
                f"{_own_clocks(protocol)}. "
                f"{sentence_case(t0.reason)}"
            ),
        ),
        ("Windows", windows),
        (
            "Evaluation",
            (
                f"confidence {analysis.confidence:g}; {analysis.carries_request} "
                f"carries the request; two limits: {analysis.two_limits}; request "
                f"evaluated at: {waits}; other evaluations are interim"
            ),
        ),
        ("Left out, with reason", omitted or "nothing"),
    ]


def _own_clocks(protocol: Protocol) -> str:
    """Return which conditions count age from the first opening; "" where none does."""
    names = [
        name
        for name, one in protocol.conditions.items()
        if one.age_from == "first opening"
    ]
    return f", in {' and '.join(names)} from the first opening" if names else ""


def condition_table(
    protocol: Protocol, omit: Collection[str], styles: ReportStyles
) -> Flowable:
    """Return the conditions with role, storage, checks and reasons.

    Those left out stand in the plan with their reason, and nowhere as if they were
    kept.
    """
    rows: list[TableRow] = [
        [
            one.name,
            one.role,
            one.words(),
            ", ".join(check_text(check) for check in one.all_checks),
            _joined(
                one.reason,
                one.checks_reason,
                f"Kind: {one.reason_kind}" if one.reason_kind else "",
                one.if_outside_limit and f"If outside: {one.if_outside_limit}",
                one.source and f"Source: {one.source}",
            ),
        ]
        for one in protocol.conditions.values()
        if one.name not in omit
    ]
    columns = (
        Column("Condition", Millimetres(18), strong=True),
        Column("Role", Millimetres(19)),
        Column("Kept at", Share(1)),
        Column("Checks", Share(0.8)),
        Column("Reason (kind); what a failure means; source", Share(2.8)),
    )
    return record_table(columns, rows, styles)


def attribute_table(
    protocol: Protocol, omit: Collection[str], styles: ReportStyles
) -> Flowable:
    """Return the attributes with method, limit and reason, but what is left out.

    Left out are attributes, and the limits of conditions that the study does not have.
    """
    rows: list[TableRow] = []
    for one in protocol.attributes.values():
        if one.name in omit:
            continue
        rows.append(
            [
                in_words(one.name),
                method_text(one),
                one.limit.words(one.unit),
                _reason(one.limit),
            ]
        )
        rows += [
            [
                f"{in_words(one.name)} at {name}",
                "",
                limit.words(one.unit),
                _reason(limit),
            ]
            for name, limit in one.limit_at.items()
            if name not in omit
        ]
    columns = fitted_columns(
        (
            Fitted("Attribute", 36, strong=True),
            Column("Method and settings", Share(1.9)),
            Column("Limit", Share(0.8)),
            Column("Reason (kind); source", Share(1.9)),
        ),
        rows,
        styles,
    )
    return record_table(columns, rows, styles)


def _reason(limit: Limit) -> str:
    kind = limit.reason_kind and f"Kind: {limit.reason_kind}"
    return _joined(limit.reason, kind, limit.source and f"Source: {limit.source}")


def method_text(attribute: Attribute) -> str:
    """Return method, settings, readings and observers of an attribute in words."""
    parts = [attribute.method]
    parts += [setting_text(one) for one in attribute.settings.values()]
    if attribute.readings > 1:
        parts.append(f"{attribute.readings} readings per check, each kept, mean judged")
    if attribute.observers > 1:
        parts.append(f"{attribute.observers} observers, rule: {attribute.rule}")
    if attribute.compared_with:
        parts.append(f"compared with the sample at {attribute.compared_with}")
    parts += [*_values(attribute), *_used_up(attribute)]
    if attribute.when:
        checks = ", ".join(check_text(one) for one in attribute.when)
        parts.append(f"at these checks only: {checks}")
    if attribute.read_at != "room":
        parts.append(f"read {attribute.read_at}")
    if not attribute.bears_request:
        parts.append("does not bear the request")
    return "; ".join(part for part in parts if part)


def _values(attribute: Attribute) -> Iterator[str]:
    """Yield what may be read: words of the scale, statements, or steps of a number."""
    if attribute.kind == "scored":
        yield "scale: " + " < ".join(attribute.scale)
    if attribute.kind == "stated":
        yield "one of: " + ", ".join(attribute.scale)
    if attribute.resolution is not None:
        unit = "g" if attribute.from_weights else attribute.unit
        yield f"read to {attribute.resolution} {unit}"


def _used_up(attribute: Attribute) -> Iterator[str]:
    if attribute.takes_g is not None:
        yield f"uses up {attribute.takes_g} g each time"
    if attribute.takes_surfaces:
        surfaces = count_text(attribute.takes_surfaces, "surface", "surfaces")
        yield f"uses up {surfaces} each time"


def setting_text(setting: Setting) -> str:
    """Return a setting in words, with how another value is treated."""
    if setting.kind == "band":
        source = f"; source: {setting.source}" if setting.source else ""
        why = f": {setting.reason}{source}" if setting.reason else ""
        inside = f"{setting.band} {setting.unit}".rstrip()
        return f"{in_words(setting.name)} {inside} (band{why})"
    value = f" {setting.value}" if setting.value else ""
    return f"{in_words(setting.name)}{value} ({setting.kind})"


def _until_text(window: Window) -> str:
    """Return up to which age a window holds; the last usual one holds for ever."""
    last = window.up_to == USUAL_WINDOWS[-1].up_to
    return "later" if last else f"up to {window.up_to}"


def _sources(protocol: Protocol, styles: ReportStyles) -> list[Flowable]:
    if not protocol.sources:
        return []
    return [
        *heading("Sources of the protocol", 2, styles),
        *(paragraph(one, styles.small, styles) for one in protocol.sources),
    ]


def _joined(*parts: str) -> str:
    """Put parts into sentences of their own."""
    return " ".join(
        part if part.endswith((".", ")")) else f"{part}."
        for part in map(sentence_case, parts)
        if part
    )


def samples_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return every sample: made, placed, left, replaced."""
    rows: list[TableRow] = [_sample_row(fate) for fate in evaluation.samples]
    columns = fitted_columns(
        (
            Fitted("Sample", strong=True),
            Fitted("Batch", 24),
            Fitted("Pack", 24),
            Fitted("Condition"),
            Fitted("Use", 44),
            Fitted("Placed"),
            shared("What became of it"),
        ),
        rows,
        styles,
    )
    return [
        *heading("Samples", 1, styles, anchor="samples", keep_mm=50),
        *_batches(evaluation, styles),
        record_table(columns, rows, styles),
    ]


def _sample_row(fate: SampleFate) -> list[str]:
    sample = fate.sample
    return [
        sample.code,
        sample.batch,
        sample.pack or sample.kind,
        sample.condition or "–",
        sample.use + (f" (twin of {sample.twin_of})" if sample.twin_of else ""),
        day(fate.placed.done.day if fate.placed else None),
        fate_text(fate),
    ]


def fate_text(fate: SampleFate) -> str:
    """Return what became of a sample, in words."""
    parts = []
    if fate.replaces:
        parts.append(f"replaces {fate.replaces}")
    if fate.left:
        parts.append(
            f"left {fate.left.done.day}: {fate.left.reason} ({fate.left.because})"
        )
    if fate.stopped:
        parts.append(f"stopped {fate.stopped.done.day}: {fate.stopped.because}")
    if fate.replaced_by:
        parts.append(f"replaced by {fate.replaced_by}")
    parts += [
        f"{one.days:.1f} days in {one.condition} from {one.start.day}"
        for one in fate.exposures
    ]
    if fate.sample.keep_until:
        parts.append(f"keep until {fate.sample.keep_until}")
    return "; ".join(parts) or ("in the study" if fate.placed else "not placed")


def _batches(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    study = evaluation.identity.study
    rows: list[TableRow] = [
        [
            one.name,
            one.made.isoformat(),
            day(one.filled),
            f"{one.grams} g" if one.grams is not None else "–",
            str(one.pH_at_make) if one.pH_at_make is not None else "–",
            process_text(one) or "–",
        ]
        for one in study.batches.values()
    ]
    columns = (
        Column("Batch", Millimetres(18), strong=True),
        Column("Made", Millimetres(20)),
        Column("Filled", Millimetres(20)),
        Column("Mass", Millimetres(20), align="right"),
        Column("pH at make", Millimetres(20), align="right"),
        Column("Process", Share()),
    )
    story: list[Flowable] = [record_table(columns, rows, styles)]
    if study.formula and reads_ph(evaluation):
        words = "beside the readings of pH"
        story.append(PageLead("Formula:", words, "readings", styles))
    elif study.formula:
        words = f"Formula: {formula_text(study)}"
        story.append(paragraph(words, styles.body, styles))
    return story
