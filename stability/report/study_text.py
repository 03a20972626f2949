"""The evaluation as plain text: the first page and the table of findings."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from stability.evaluation.conclusion import DRAFT, DRAFT_MEANS
from stability.evaluation.findings import Evaluation
from stability.evaluation.undecided import undecided_text
from stability.model.names import in_words
from stability.model.program import program_name
from stability.report.chapters_conclusion import TITLE, by_topic
from stability.report.chapters_follow_ups import follow_ups_text
from stability.report.chapters_where import label_lines
from stability.report.findings_table import attributes_in_order, conditions_in_order
from stability.report.front_page import (
    after_opening_text,
    as_sold_text,
    asked_text,
    beyond_lines,
    identity_lines,
    outside_none_text,
    precision_lines,
    record_lines,
    shown_lines,
)
from stability.report.microbiology import (
    CERTIFIED_OUTSIDE,
    microbiology_lines,
    outside_lines,
)
from stability.report.wording import MEANING_TITLES, STUDY_LIMITS

_WIDTH = 88
_KEY = 22


def study_text(evaluation: Evaluation) -> str:
    """Return what an assessor must know as plain text, in the order of the report."""
    identity = evaluation.identity
    study = identity.study
    parts = [
        f"{study.product}, version {study.version}",
        f"Study {study.code}, {identity.state}, data up to {identity.as_of}",
        "",
        *_entry("What it is", identity_lines(evaluation)),
        *_entry("As sold?", [as_sold_text(study)]),
        *_entry("Asked", [asked_text(study)]),
        *_entry("On the label", label_lines(evaluation)),
        *_entry("Outside limits", _outside_lines(evaluation)),
        *_entry("Shown in real time", shown_lines(evaluation)),
        *_entry("Beyond what is shown", beyond_lines(evaluation)),
        *_entry("Precision", precision_lines(evaluation)),
        *_entry("Microbiology", microbiology_lines(evaluation)),
        *_entry("After opening", [after_opening_text(evaluation)]),
        *_entry("Limits", [identity.limits_recorded, STUDY_LIMITS]),
        *_entry("Record", record_lines(evaluation)),
        "",
        "Findings by attribute and condition",
        *_summary_lines(evaluation),
        "",
        *_conclusion_lines(evaluation),
        "",
        *textwrap.wrap(f"Note. {evaluation.note}", _WIDTH),
        f"Written by {program_name()}.",
    ]
    return "\n".join(parts) + "\n"


def _outside_lines(evaluation: Evaluation) -> list[str]:
    certified = [f"- {one}" for one in outside_lines(evaluation)]
    lines = [f"{CERTIFIED_OUTSIDE}:", *certified] if certified else []
    if not evaluation.outside:
        return [outside_none_text(evaluation), undecided_text(evaluation), *lines]
    for group in evaluation.outside:
        lines.append(f"{MEANING_TITLES[group.meaning]}:")
        lines += [f"- {finding.text}" for finding in group.findings]
    return [*lines, undecided_text(evaluation), follow_ups_text(evaluation)]


def _summary_lines(evaluation: Evaluation) -> list[str]:
    """Return the cells attribute by attribute, those of which the same is said once."""
    cells = {(one.attribute, one.condition): one for one in evaluation.summary}
    lines: list[str] = []
    for title, names in attributes_in_order(evaluation):
        lines += [f"{title}:"] if title else []
        for name in names:
            alike: dict[str, list[str]] = {}
            for condition in conditions_in_order(evaluation):
                cell = cells.get((name, condition))
                if cell is not None and cell.state != "not planned":
                    alike.setdefault(cell.text or cell.state, []).append(condition)
            told = [f"{', '.join(here)}: {text}" for text, here in alike.items()]
            lines += _entry(in_words(name), told)
    return lines


def _conclusion_lines(evaluation: Evaluation) -> list[str]:
    """Return the drafted conclusion topic by topic, a line before each passage."""
    lines = [TITLE, *textwrap.wrap(f"{DRAFT} {DRAFT_MEANS}", _WIDTH)]
    for topic, passages in by_topic(evaluation).items():
        lines += ["", f"{topic}:"]
        for one in passages:
            lines += textwrap.wrap(f"- {one.text}", _WIDTH, subsequent_indent="  ")
    return lines


def _entry(key: str, lines: Iterable[str]) -> list[str]:
    """Return a key with its lines hanging beside it; nothing where there are none."""
    wrapped: list[str] = []
    for line in filter(None, lines):
        wrapped += textwrap.wrap(line, _WIDTH - _KEY) or [""]
    if not wrapped:
        return []
    if len(key) >= _KEY:
        wrapped.insert(0, "")
    heads = [key, *[""] * (len(wrapped) - 1)]
    return [
        f"{head:<{_KEY}}{line}".rstrip()
        for head, line in zip(heads, wrapped, strict=True)
    ]
