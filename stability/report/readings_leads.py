"""Leads from the first page to the readings that are undecided."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.undecided import undecided_of, undecided_text
from stability.model.names import all_in_words
from stability.report.page_leads import PageLead
from stability.report.scores_table import beside_each_other
from stability.report.styles import ReportStyles, anchor_name, paragraph

#: Anchor of the chapter of readings.
READINGS: Final = "readings"
_SHOWN: Final = 3


def undecided_leads(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return how many readings are undecided and where they stand; [] for none."""
    words = undecided_text(evaluation)
    if not words:
        return []
    names = dict.fromkeys(one.attribute for one in undecided_of(evaluation))
    sections = list(dict.fromkeys(_section(evaluation, name) for name in names))
    leads = [
        PageLead(
            "See",
            f"the readings of {', '.join(all_in_words(section))}",
            readings_anchor(section),
            styles,
        )
        for section in sections[:_SHOWN]
    ]
    if len(sections) > _SHOWN:
        leads.append(PageLead("See", "all other readings", READINGS, styles))
    return [paragraph(f"? {words}", styles.cell_bold, styles), *leads]


def readings_anchor(names: Sequence[str]) -> str:
    """Return the anchor of the section that holds the readings of some attributes."""
    return anchor_name(READINGS, *names)


def _section(evaluation: Evaluation, name: str) -> tuple[str, ...]:
    """Return the attributes whose readings share a section with those of one."""
    read = {one.attribute for one in evaluation.judged}
    worded = [
        one.name
        for one in evaluation.identity.protocol.attributes.values()
        if one.kind != "measured" and one.name in read
    ]
    shared = (names for names in beside_each_other(worded) if name in names)
    return next(shared, (name,))
