"""Chapters that come first: the table of findings, what failed, what happened."""

from __future__ import annotations

from reportlab.platypus import Flowable

from stability.evaluation.findings import (
    Evaluation,
    OutsideFinding,
    RecordKind,
    SummaryCell,
)
from stability.model.age import check_text
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.front_page import OUTSIDE, RECORD, outside_none_text
from stability.report.readings_table import readings_table
from stability.report.styles import (
    ReportStyles,
    anchor_name,
    caution_box,
    heading,
    paragraph,
)
from stability.report.tables import (
    Cell,
    Column,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
    record_table,
)
from stability.report.wording import MEANING_TITLES, mark

#: Titles of the kinds of record remarks, in the order of printing.
RECORD_TITLES: dict[RecordKind, str] = {
    "failed": "Samples that failed as a container",
    "lost": "Samples lost",
    "replaced": "Samples replaced",
    "swapped": "Samples swapped or kept elsewhere",
    "doubtful": "Doubtful, not corrected: the instrument failed a calibration",
    "not calibrated": "Read without a valid calibration",
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
    "at make": "Read before the structure had settled",
    "extra": "Extra readings",
    "stopped": "Stopped",
    "amended": "Plan amended",
    "lodged": "Plan record lodged",
    "taken over": "Taken over from older notes",
}


def summary_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the table attribute × condition, in words and marks."""
    conditions = list(dict.fromkeys(cell.condition for cell in evaluation.summary))
    cells = {(one.attribute, one.condition): one for one in evaluation.summary}
    columns = [
        Column("Attribute", Millimetres(23), strong=True),
        *(Column(one, Share()) for one in conditions),
    ]
    omitted = evaluation.identity.study.omit
    rows: list[TableRow] = [
        ["", *(_role(evaluation, one) for one in conditions)],
        *(
            [name, *(_summary_cell(cells.get((name, one))) for one in conditions)]
            for name in dict.fromkeys(cell.attribute for cell in evaluation.summary)
            if name not in omitted
        ),
    ]
    return [
        *heading("Findings by attribute and condition", 1, styles, keep_mm=60),
        record_table(columns, rows, styles),
        paragraph(
            "■ outside its limit; △ changed, inside; ? undecided or without an initial "
            "value; × planned but not read. Counts are observations outside of those "
            "read. A failure under stress gives storage, transport and pack words; "
            "it does not shorten the shelf life by itself.",
            styles.small,
            styles,
        ),
    ]


def _role(evaluation: Evaluation, condition: str) -> str:
    known = evaluation.identity.protocol.conditions.get(condition)
    return "initial" if known is None else known.role


def _summary_cell(cell: SummaryCell | None) -> Cell:
    if cell is None or cell.state == "not planned":
        return ""
    word = cell.state
    shape = mark(word).shape
    return Mark(cell.text or word, shape, strong=word == "outside")


def outside_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return every reading outside its limit, grouped by what it means."""
    story = heading("Outside limits", 1, styles, anchor=OUTSIDE, keep_mm=50)
    if not evaluation.outside:
        return [*story, paragraph(outside_none_text(evaluation), styles.body, styles)]
    for group in evaluation.outside:
        story += heading(MEANING_TITLES[group.meaning], 2, styles, keep_mm=45)
        for finding in group.findings:
            story += _finding(finding, _unit(evaluation, finding), styles)
    return story


def _unit(evaluation: Evaluation, finding: OutsideFinding) -> str:
    attribute = evaluation.identity.protocol.attributes.get(finding.attribute)
    if attribute is None:
        return ""
    return "%" if attribute.from_weights else attribute.unit


def _finding(
    finding: OutsideFinding, unit: str, styles: ReportStyles
) -> list[Flowable]:
    story: list[Flowable] = [
        *heading(
            f"{finding.attribute} at {finding.condition}, batch {finding.batch}"
            + (f", {finding.pack}" if finding.pack else ""),
            3,
            styles,
            keep_mm=32,
        ),
        paragraph(finding.text, styles.body, styles),
    ]
    if finding.meaning_text:
        story.append(
            paragraph(f"Protocol: {finding.meaning_text}", styles.small, styles)
        )
    if finding.observations:
        story.append(readings_table(finding.observations, styles, unit))
    story += [
        paragraph(
            f"Sample {fate.sample.code} left the study: "
            f"{fate.left.reason if fate.left else ''} "
            f"({fate.left.because if fate.left else ''}).",
            styles.body,
            styles,
        )
        for fate in finding.retired
    ]
    return story


def record_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what was missed, late, corrected, lost; deviations are marked."""
    story = heading("What happened in the record", 1, styles, anchor=RECORD, keep_mm=50)
    rows: list[TableRow] = []
    for kind, title in RECORD_TITLES.items():
        found = evaluation.record.of(kind)
        if not found:
            continue
        rows.append(Group(f"{title} ({len(found)})"))
        rows += [
            [
                one.sample or "–",
                check_text(one.check) if one.check else "–",
                one.attribute or "–",
                one.text,
                one.person or "derived",
                one.done.for_people() if one.done else "–",
                str(one.position) if one.position else "–",
                Mark("deviation", "◆", strong=True)
                if one.weight == "deviation"
                else "remark",
            ]
            for one in found
        ]
    if not rows:
        words = "Nothing was missed, late, corrected, set aside or lost."
        return [*story, paragraph(words, styles.body, styles)]
    columns = fitted_columns(
        (
            Fitted("Sample"),
            Fitted("Check", 26),
            Fitted("Attribute"),
            shared("What, and why"),
            Fitted("Person", 20),
            Fitted("When", 28),
            Fitted("Entry", align="right"),
            Fitted("Weight"),
        ),
        rows,
        styles,
    )
    return [*story, record_table(columns, rows, styles), *_notes(evaluation, styles)]


def _notes(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    if not evaluation.cycles:
        return []
    rows: list[TableRow] = [
        [run.sample, run.condition, run.text] for run in evaluation.cycles
    ]
    columns = (
        Column("Sample", Millimetres(22)),
        Column("Condition", Millimetres(22)),
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
