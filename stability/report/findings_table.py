"""The table attribute × condition: what failed first, by what it means."""

from __future__ import annotations

from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation, Meaning, SummaryCell
from stability.model.condition import Role
from stability.model.names import in_words
from stability.report.front_page import FINDINGS, OUTSIDE, finding_anchor
from stability.report.styles import (
    ReportStyles,
    bold,
    heading,
    link,
    marked_paragraph,
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

#: Roles of conditions in the order of their columns; None for the initial values.
ROLES: Final[tuple[Role | None, ...]] = (
    None,
    "long-term",
    "intermediate",
    "accelerated",
    "stress",
    "control",
)
#: Title of the attributes without a reading outside.
INSIDE_TITLE: Final = "No reading outside its limit"
_NOTE: Final = (
    "■ outside its limit; △ changed, inside; ? undecided or without an initial "
    "value; × planned but not read. Counts are observations outside of those "
    "read. A failure under stress gives storage, transport and pack words; "
    "it does not shorten the shelf life by itself."
)


def summary_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the table attribute × condition, in words and marks."""
    conditions = conditions_in_order(evaluation)
    cells = {(one.attribute, one.condition): one for one in evaluation.summary}
    columns = [
        Column("Attribute", Millimetres(23), strong=True),
        *(Column(one, Share()) for one in conditions),
    ]
    rows: list[TableRow] = [["", *(_role(evaluation, one) for one in conditions)]]
    for title, names in attributes_in_order(evaluation):
        rows += [Group(title)] if title else []
        rows += [
            [
                in_words(name),
                *(
                    _summary_cell(evaluation, cells.get((name, one)), styles)
                    for one in conditions
                ),
            ]
            for name in names
        ]
    return [
        *heading(
            "Findings by attribute and condition",
            1,
            styles,
            anchor=FINDINGS,
            keep_mm=60,
        ),
        record_table(columns, rows, styles),
        paragraph(_NOTE, styles.small, styles),
    ]


def conditions_in_order(evaluation: Evaluation) -> list[str]:
    """Return the conditions by role: what carries the request before what warns."""
    roles = {one.condition: one.role for one in evaluation.summary}
    return sorted(roles, key=lambda one: ROLES.index(roles[one]))


def attributes_in_order(evaluation: Evaluation) -> list[tuple[str, list[str]]]:
    """Return titles with their attributes, what failed first.

    An attribute stands under the gravest meaning of what lies outside, in the order in
    which the meanings are told everywhere.

    Returns
    -------
    list of (str, list of str)
        One title of "" where nothing lies outside.
    """
    omitted = evaluation.identity.study.omit
    told = (
        cell.attribute
        for cell in evaluation.summary
        if cell.state == "outside"
        or (cell.state != "not planned" and cell.attribute not in omitted)
    )
    left = list(dict.fromkeys(told))
    found: list[tuple[str, list[str]]] = []
    for meaning, conditions in _failed_in(evaluation).items():
        here = {
            cell.attribute
            for cell in evaluation.summary
            if cell.state == "outside" and cell.condition in conditions
        }
        names = [name for name in left if name in here]
        if names:
            found.append((f"Outside: {MEANING_TITLES[meaning]}", names))
            left = [name for name in left if name not in here]
    if left:
        found.append((INSIDE_TITLE if found else "", left))
    return found


def _failed_in(evaluation: Evaluation) -> dict[Meaning, set[str]]:
    """Return meaning -> conditions in which something lies outside, gravest first."""
    return {
        group.meaning: {one.condition for one in group.findings}
        for group in sorted(
            evaluation.outside,
            key=lambda group: list(MEANING_TITLES).index(group.meaning),
        )
    }


def _role(evaluation: Evaluation, condition: str) -> str:
    known = evaluation.identity.protocol.conditions.get(condition)
    return "initial" if known is None else known.role


def _summary_cell(
    evaluation: Evaluation, cell: SummaryCell | None, styles: ReportStyles
) -> Cell:
    if cell is None or cell.state == "not planned":
        return ""
    words, shape = cell.text or cell.state, mark(cell.state).shape
    if cell.state != "outside":
        return Mark(words, shape)
    lead = link(words, _anchor(evaluation, cell), styles)
    return [marked_paragraph(f"{bold(shape, styles)} <b>{lead}</b>", styles.cell)]


def _anchor(evaluation: Evaluation, cell: SummaryCell) -> str:
    """Return the place of the readings behind a cell."""
    found = (
        one
        for group in evaluation.outside
        for one in group.findings
        if (one.attribute, one.condition) == (cell.attribute, cell.condition)
    )
    first = next(found, None)
    return OUTSIDE if first is None else finding_anchor(first)
