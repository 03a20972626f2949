"""Follow-ups in print: what was looked at first, what came of it, and what is open."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation, OutsideFinding
from stability.evaluation.follow_up_findings import FollowUp
from stability.model.follow_up import Answer
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, paragraph
from stability.report.tables import Mark, TableRow, record_table
from stability.report.wording import count

_OPEN = "follow-up open"


def follow_ups_text(evaluation: Evaluation) -> str:
    """Return how many follow-ups there are and how many are open; "" without any."""
    asked = evaluation.follow_ups
    if not asked:
        return ""
    waiting = sum(one.is_open for one in asked)
    opened = f"{waiting} open" if waiting else "none open"
    return f"{count(len(asked), 'follow-up')} of what lies outside: {opened}."


def finding_follow_ups(
    evaluation: Evaluation, finding: OutsideFinding, styles: ReportStyles
) -> list[Flowable]:
    """Return the follow-ups of one finding: checks, outcome and reason, or open."""
    positions = {one.position for one in finding.observations}
    positions |= {fate.left.position for fate in finding.retired if fate.left}
    asked = [
        one for one in evaluation.follow_ups if positions.intersection(one.positions)
    ]
    if not asked:
        return []
    if all(one.is_open and not one.repeats for one in asked):
        entries = ", ".join(str(one.position) for one in asked)
        word = "entry" if len(asked) == 1 else "entries"
        return [paragraph(f"◆ Follow-up open ({word} {entries}).", styles.body, styles)]
    rows = [row for one in asked for row in _rows(one)]
    columns = fitted_columns(
        (
            Fitted("Of", align="right"),
            Fitted("Follow-up", 30),
            shared("Looked at"),
            shared("Reason"),
            Fitted("Person", 20),
            Fitted("When", 28),
            Fitted("Entry", align="right"),
        ),
        rows,
        styles,
    )
    return [record_table(columns, rows, styles)]


def _rows(one: FollowUp) -> list[TableRow]:
    repeats = "; ".join(one.repeats)
    if one.is_open:
        words = Mark(_OPEN, "◆", strong=True)
        return [[str(one.position), words, repeats, "", "", "", ""]]
    last = len(one.answers) - 1
    return [
        _row(
            one, said, superseded=place < last, repeats="" if place < last else repeats
        )
        for place, said in enumerate(one.answers)
    ]


def _row(one: FollowUp, said: Answer, *, superseded: bool, repeats: str) -> TableRow:
    looked = "; ".join(part for part in (said.checks_text, repeats) if part)
    outcome = f"{said.outcome} (superseded)" if superseded else said.outcome
    return [
        str(one.position),
        outcome,
        looked,
        said.because,
        said.person,
        said.done.for_people(),
        str(said.position),
    ]


def follow_ups_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every follow-up as plain lists and mappings."""
    return [
        {
            "refers_to": one.position,
            "also_refers_to": list(one.also),
            "state": one.state,
            "sample": one.sample,
            "condition": one.condition,
            "check": one.check,
            "attribute": one.attribute,
            "text": one.text,
            "repeats": list(one.repeats),
            "answers": [
                {
                    "position": said.position,
                    "question": said.question,
                    "checks": dict(said.checks),
                    "outcome": said.outcome,
                    "because": said.because,
                    "done": str(said.done),
                    "person": said.person,
                }
                for said in one.answers
            ],
            "since": one.since or None,
        }
        for one in evaluation.follow_ups
    ]
