"""The drafted conclusion in print, as text and as plain mappings."""

from __future__ import annotations

from typing import Any, Final

from reportlab.platypus import Flowable

from stability.evaluation.conclusion import DRAFT, DRAFT_MEANS, Drafted, conclusion_of
from stability.evaluation.findings import Evaluation
from stability.report.front_page import CLOSING, CONCLUSION
from stability.report.page_leads import PageLead
from stability.report.styles import ReportStyles, heading, note_box
from stability.report.tables import Column, Millimetres, Share, TableRow, record_table

#: Title of the chapter.
TITLE: Final = "Conclusion, drafted for the assessor"


def conclusion_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what each rule that applies writes, topic by topic."""
    rows: list[TableRow] = [
        [topic if one is passages[0] else "", one.text]
        for topic, passages in by_topic(evaluation).items()
        for one in passages
    ]
    columns = (Column("", Millimetres(41), strong=True), Column("", Share()))
    return [
        *heading(TITLE, 1, styles, anchor=CONCLUSION, keep_mm=70),
        note_box(DRAFT, DRAFT_MEANS, styles),
        record_table(columns, rows, styles),
        PageLead("See", "who measured, who reviewed, who assesses", CLOSING, styles),
    ]


def by_topic(evaluation: Evaluation) -> dict[str, list[Drafted]]:
    """Return topic -> passages, both in the order of the rules."""
    found: dict[str, list[Drafted]] = {}
    for one in conclusion_of(evaluation):
        found.setdefault(one.topic, []).append(one)
    return found


def conclusion_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return the conclusion as plain lists and mappings."""
    return {
        "draft": f"{DRAFT} {DRAFT_MEANS}",
        "passages": [
            {"rule": one.code, "topic": one.topic, "text": one.text}
            for one in conclusion_of(evaluation)
        ],
    }
