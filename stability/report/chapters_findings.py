"""Chapters that come first: the table of findings, what failed, what happened."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from stability.evaluation.explanations import Beside, beside_of
from stability.evaluation.findings import (
    Evaluation,
    OutsideFinding,
    OutsideGroup,
    RecordKind,
    RecordRemark,
)
from stability.model.age import check_text
from stability.model.names import in_words
from stability.report.chapters_follow_ups import finding_follow_ups
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.front_page import (
    OUTSIDE,
    RECORD,
    finding_anchor,
    outside_none_text,
)
from stability.report.outside_table import outside_table
from stability.report.styles import (
    ReportStyles,
    anchor_name,
    caution_box,
    heading,
    paragraph,
)
from stability.report.tables import (
    Column,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
    record_table,
)
from stability.report.wording import MEANING_TITLES, mark, sentence_case

#: Titles of the kinds of record remarks, in the order of printing.
RECORD_TITLES: dict[RecordKind, str] = {
    "failed": "Samples that failed as a container",
    "lost": "Samples lost",
    "replaced": "Samples replaced",
    "swapped": "Samples swapped or kept elsewhere",
    "doubtful": "Doubtful, not corrected: the instrument failed a calibration",
    "not calibrated": "Read without a valid calibration",
    "retired instrument": "Read with an instrument after it was retired",
    "missed": "Checks missed, with reason",
    "not recorded": "Checks not recorded by the end of their window",
    "not measured": "Not measured, with reason",
    "corrected": "Corrected",
    "set aside": "Set aside, with cause",
    "repeated": "Repeated",
    "deviation": "Other method, setting or age",
    "late": "Late: a remark inside the window, a deviation beyond it",
    "early": "Early: a remark inside the window, a deviation beyond it",
    "placed late": "Placed late",
    "cycle": "Cycles",
    "excursion": "Excursions of storage places, with what was decided",
    "at make": "Read before the structure had settled",
    "extra": "Extra readings",
    "follow-up": "Follow-ups of what lies outside its limit",
    "stopped": "Stopped",
    "amended": "Plan amended",
    "lodged": "Plan record lodged",
    "taken over": "Taken over from older notes",
}


def outside_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return every reading outside its limit, grouped by what it means."""
    keep_mm = 90 if evaluation.outside else 40
    story = heading("Outside limits", 1, styles, anchor=OUTSIDE, keep_mm=keep_mm)
    if not evaluation.outside:
        return [*story, paragraph(outside_none_text(evaluation), styles.body, styles)]
    beside = beside_of(evaluation)
    for group in evaluation.outside:
        story += heading(MEANING_TITLES[group.meaning], 2, styles, keep_mm=65)
        story += _meanings(group, styles)
        for finding in group.findings:
            story += _finding(finding, _unit(evaluation, finding), beside, styles)
            story += finding_follow_ups(evaluation, finding, styles)
    return story


def _meanings(group: OutsideGroup, styles: ReportStyles) -> list[Flowable]:
    """Return what the protocol says a failure means, once for each condition."""
    found = {
        one.condition: one.meaning_text for one in group.findings if one.meaning_text
    }
    return [
        paragraph(f"Protocol on {name}: {text}", styles.small, styles)
        for name, text in found.items()
    ]


def _unit(evaluation: Evaluation, finding: OutsideFinding) -> str:
    attribute = evaluation.identity.protocol.attributes.get(finding.attribute)
    if attribute is None:
        return ""
    return "%" if attribute.from_weights else attribute.unit


def _finding(
    finding: OutsideFinding, unit: str, beside: Beside, styles: ReportStyles
) -> list[Flowable]:
    story: list[Flowable] = [
        *heading(
            f"{_subject(finding)} at {finding.condition}, batch {finding.batch}"
            + (f", {finding.pack}" if finding.pack else ""),
            3,
            styles,
            anchor=finding_anchor(finding),
            keep_mm=32,
        ),
        paragraph(_what(finding), styles.body, styles),
    ]
    if finding.observations:
        story.append(outside_table(finding.observations, beside, styles, unit))
    return story


def _what(finding: OutsideFinding) -> str:
    """Return what was seen, without the place that stands in the heading."""
    place, _, said = finding.text.partition(f"batch {finding.batch}: ")
    whole = not said or not place.startswith(
        (f"{in_words(finding.attribute)},", f"{_subject(finding)},")
    )
    return finding.text if whole else sentence_case(said)


def _subject(finding: OutsideFinding) -> str:
    """Return what left its limit: an attribute, or a container by its code."""
    if finding.retired:
        return f"sample {finding.retired[0].sample.code}"
    return in_words(finding.attribute)


def record_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what was missed, late, corrected, lost; deviations are marked."""
    story = heading("What happened in the record", 1, styles, anchor=RECORD, keep_mm=50)
    rows: list[TableRow] = []
    for kind, title in RECORD_TITLES.items():
        found = evaluation.record.of(kind)
        if not found:
            continue
        rows.append(Group(f"{title} ({sum(one.count for one in found)})"))
        rows += [_record_row(ones) for ones in alike(found)]
    if not rows:
        words = "Nothing was missed, late, corrected, set aside or lost."
        return [*story, paragraph(words, styles.body, styles)]
    columns = fitted_columns(
        (
            Fitted("Sample", 22),
            Fitted("Check, attribute", 27),
            shared("What, and why"),
            Fitted("Person", 18),
            Fitted("When", 27),
            Fitted("Entry", 15, align="right"),
            Fitted("Weight"),
        ),
        rows,
        styles,
    )
    return [*story, record_table(columns, rows, styles), *_notes(evaluation, styles)]


def alike(found: Sequence[RecordRemark]) -> list[list[RecordRemark]]:
    """Put remarks together of which the same is said of the same day and person.

    Deviations stand alone; so does what has no day.
    """
    groups: dict[tuple[object, ...], list[RecordRemark]] = {}
    for one in found:
        joins = one.weight == "remark" and one.done is not None and one.sample
        day = one.done.day if one.done else None
        said = (one.check, one.attribute, one.text, one.person, day)
        key = said if joins else (one.position, len(groups))
        groups.setdefault(key, []).append(one)
    return list(groups.values())


def _record_row(ones: Sequence[RecordRemark]) -> TableRow:
    """Return one row for remarks that say the same, with every sample and entry."""
    one = ones[0]
    entries = [str(each.position) for each in ones if each.position]
    return [
        ", ".join(each.sample or "–" for each in ones),
        _of_what(one),
        one.text,
        one.person or "derived",
        _span(ones),
        ", ".join(entries) or "–",
        Mark("deviation", "◆", strong=True) if one.weight == "deviation" else "remark",
    ]


def _of_what(one: RecordRemark) -> str:
    """Return check and attribute that a remark is about; a dash where neither is."""
    check = check_text(one.check) if one.check else ""
    return (
        ", ".join(part for part in (check, in_words(one.attribute or "")) if part)
        or "–"
    )


def _span(ones: Sequence[RecordRemark]) -> str:
    """Return when remarks were made: a moment, or from the first to the last."""
    moments = sorted(each.done for each in ones if each.done)
    if not moments:
        return "–"
    first, last = moments[0], moments[-1]
    if first.time is None or last.time is None or first.time == last.time:
        return first.for_people()
    return f"{first.for_people()} to {last.time:%H:%M}"


def _notes(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    if not evaluation.cycles:
        return []
    alike_runs: dict[tuple[str, str], list[str]] = {}
    for run in evaluation.cycles:
        alike_runs.setdefault((run.condition, run.text), []).append(run.sample)
    rows: list[TableRow] = [
        [condition, ", ".join(samples), text]
        for (condition, text), samples in alike_runs.items()
    ]
    columns = (
        Column("Condition", Millimetres(22)),
        Column("Samples", Share()),
        Column("Cycles as they were run", Share()),
    )
    return [
        *heading("Cycles", 2, styles, anchor=anchor_name("cycles")),
        record_table(columns, rows, styles),
    ]


def cautions_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the cautions that apply to this product and these conditions."""
    story = heading("Cautions", 1, styles, anchor="cautions", keep_mm=40)
    texts = [one.text for one in evaluation.cautions]
    if texts:
        story.append(caution_box("Caution.", texts, styles))
    return story


def coming_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what is still running: checks that are due or coming."""
    story = heading("Still running", 1, styles, anchor="running", keep_mm=40)
    if not evaluation.coming:
        words = "No check is waiting: the study is complete as planned."
        return [*story, paragraph(words, styles.body, styles)]
    rows: list[TableRow] = [
        [
            check_text(one.check),
            one.condition or "T0",
            one.opens.isoformat(),
            one.due.isoformat() + (" (not placed yet)" if one.provisional else ""),
            one.closes.isoformat(),
            str(len(one.samples)),
            mark(one.state) if one.state == "not recorded" else one.state,
        ]
        for one in evaluation.coming
    ]
    columns = (
        Column("Check", Millimetres(26)),
        Column("Condition", Share()),
        Column("Window opens", Millimetres(24)),
        Column("Due", Millimetres(24)),
        Column("Window closes", Millimetres(24)),
        Column("Samples", Millimetres(16), align="right"),
        Column("State", Millimetres(26)),
    )
    return [*story, record_table(columns, rows, styles)]
