"""Amendments of the plan: what changed, why, and what it would judge otherwise."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable

from stability.evaluation.amendment_findings import AmendmentFinding
from stability.evaluation.findings import Evaluation
from stability.model.age import check_text
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import TableRow, record_table

_KEPT = (
    "Readings are judged by the limits of their day. Below stand those that the "
    "amended limits judge otherwise, with both judgements; the shorter shelf life of "
    "all versions governs."
)


def amendments_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return every amendment of the plan; nothing where there is none."""
    if not evaluation.amendments:
        return []
    story = heading("Amendments of the plan", 1, styles, anchor="amended", keep_mm=50)
    story.append(paragraph(_KEPT, styles.body, styles))
    for one in evaluation.amendments:
        story += _amendment(one, styles)
    return story


def _amendment(found: AmendmentFinding, styles: ReportStyles) -> list[Flowable]:
    day = found.done.for_people()
    story = [
        *heading(f"Amended on {day} by {found.person}", 2, styles, keep_mm=30),
        paragraph(f"Because: {found.because}", styles.body, styles),
        *(paragraph(f"– {one}", styles.body, styles) for one in found.changes),
        paragraph(
            f"Entry {found.position}; {found.before} observations were made before it.",
            styles.small,
            styles,
        ),
    ]
    rows: list[TableRow] = [
        [
            one.sample,
            check_text(one.check) if one.check else "extra",
            one.attribute,
            one.value_text,
            f"{one.mark} ({one.limit_text})",
            f"{one.mark_otherwise} ({one.limit_otherwise})",
        ]
        for one in found.otherwise
    ]
    if not rows:
        words = "By its limits no reading is judged otherwise."
        return [*story, paragraph(words, styles.body, styles)]
    columns = fitted_columns(
        (
            Fitted("Sample"),
            Fitted("Check", 26),
            Fitted("Attribute"),
            Fitted("Value", align="right"),
            shared("By the limit of its day"),
            shared("By the amended limit"),
        ),
        rows,
        styles,
    )
    return [*story, record_table(columns, rows, styles)]


def amendments_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every amendment as plain lists and mappings."""
    return [
        {
            "position": one.position,
            "done": str(one.done),
            "person": one.person,
            "because": one.because,
            "changes": list(one.changes),
            "observations_before": one.before,
            "judged_otherwise": [
                {
                    "position": seen.position,
                    "sample": seen.sample,
                    "attribute": seen.attribute,
                    "check": seen.check,
                    "value": seen.value_text,
                    "mark": seen.mark,
                    "limit": seen.limit_text,
                    "mark_by_amended_limit": seen.mark_otherwise,
                    "amended_limit": seen.limit_otherwise,
                }
                for seen in one.otherwise
            ],
        }
        for one in evaluation.amendments
    ]
