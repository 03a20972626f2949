"""The summary sheet: one page for the maker's file, of the same evaluation.

Whatever the size of a study, it stays one page: where a row has more lines than there
is room for, it tells how many are left to the report.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.phrases import named_check
from stability.evaluation.undecided import undecided_text
from stability.report.chapters_follow_ups import follow_ups_text
from stability.report.chapters_where import label_lines
from stability.report.fonts import load_fonts
from stability.report.front_page import (
    anchor_text,
    as_sold_text,
    asked_text,
    beyond_lines,
    identity_lines,
    outside_none_text,
    precision_lines,
    shown_lines,
)
from stability.report.microbiology import (
    CERTIFIED_OUTSIDE,
    microbiology_lines,
    outside_lines,
)
from stability.report.pages import PageSetup
from stability.report.pdf import write_pdf
from stability.report.study_report import report_description, report_page
from stability.report.styles import ReportStyles, note_box, paragraph, report_styles
from stability.report.tables import key_values
from stability.report.wording import MEANING_TITLES, count, sentence_case

#: (most lines of a row, most characters of a line) [-], the roomiest that fits is used.
_ROOM: Final = ((12, 600), (6, 400), (4, 240), (3, 150), (2, 90), (1, 60))
_NEXT: Final = 4
# A shortened digest would be an anchor of nothing.
_WHOLE: Final = "Record"
#: What stands in a row: its lines.
Lines = tuple[str, list[str]]


def write_summary(
    evaluation: Evaluation, target: Path, *, font: Path | None = None
) -> None:
    """Write the summary sheet.

    Parameters
    ----------
    evaluation
        What is printed; nothing is computed here.
    target
        The PDF file; written whole or not at all.
    font
        TrueType font for characters that the report's own font lacks.

    Raises
    ------
    StabilityError
        If the font cannot be used or the file cannot be written.
    """
    fonts = load_fonts(font)
    styles = report_styles(fonts)
    page = report_page(evaluation)
    story = fitting_story(evaluation, styles, page)
    description = report_description(evaluation, "Stability summary sheet")
    write_pdf(target, story, description, page, fonts)


def fitting_story(
    evaluation: Evaluation, styles: ReportStyles, page: PageSetup
) -> list[Flowable]:
    """Return the sheet with as many lines as one page holds."""
    story: list[Flowable] = []
    for most, longest in _ROOM:
        story = _story(evaluation, styles, most, longest)
        high = sum(one.wrap(page.frame_width, page.frame_height)[1] for one in story)
        spaces = sum(one.getSpaceBefore() + one.getSpaceAfter() for one in story)
        if high + spaces <= page.frame_height:
            return story
    return story


def _story(
    evaluation: Evaluation, styles: ReportStyles, most: int, longest: int
) -> list[Flowable]:
    identity = evaluation.identity
    study = identity.study
    title = shortened_line(f"{study.product}, version {study.version}", longest)
    rows: list[tuple[str, str | Flowable | list[Flowable]]] = [
        (
            key,
            [
                paragraph(line, styles.cell, styles)
                for line in (
                    lines if key == _WHOLE else kept_lines(lines, most, longest)
                )
            ],
        )
        for key, lines in summary_rows(evaluation)
    ]
    return [
        paragraph(title, styles.title, styles),
        paragraph(
            f"Summary sheet for the maker's file · study {study.code} · "
            f"{identity.state.upper()} · data up to {identity.as_of.isoformat()}",
            styles.subtitle,
            styles,
        ),
        key_values(rows, styles, key_mm=34),
        note_box("Note.", evaluation.note, styles),
    ]


def summary_rows(evaluation: Evaluation) -> list[Lines]:
    """Return the rows of the sheet, what lies outside before what was shown."""
    study = evaluation.identity.study
    rows = (
        ("What it is", [*identity_lines(evaluation), as_sold_text(study)]),
        ("Asked", [asked_text(study)]),
        ("Outside limits", list(_outside(evaluation))),
        ("Outcome", beyond_lines(evaluation)),
        ("Shown in real time", shown_lines(evaluation)),
        ("Precision", precision_lines(evaluation)),
        ("Microbiology", microbiology_lines(evaluation)),
        ("On the label", label_lines(evaluation)),
        ("Limits", [evaluation.identity.limits_recorded]),
        ("Next checks", next_lines(evaluation)),
        (_WHOLE, [anchor_text(evaluation)]),
    )
    told = ((key, [line for line in lines if line]) for key, lines in rows)
    return [(key, lines) for key, lines in told if lines]


def _outside(evaluation: Evaluation) -> Iterator[str]:
    if not evaluation.outside:
        yield outside_none_text(evaluation)
    for group in evaluation.outside:
        title = MEANING_TITLES[group.meaning]
        for finding in group.findings:
            yield f"■ {title}: {finding.text}"
    undecided = undecided_text(evaluation)
    yield f"? {undecided}" if undecided else ""
    for line in outside_lines(evaluation):
        yield f"■ {CERTIFIED_OUTSIDE}: {line}"
    yield follow_ups_text(evaluation)


def next_lines(evaluation: Evaluation) -> list[str]:
    """Return the next checks with their days."""
    coming = evaluation.coming
    if not coming:
        return ["None is waiting: the study is complete as planned."]
    lines = [
        f"{sentence_case(named_check(one.check))} at {one.condition or 'T0'}: due "
        f"{one.due.isoformat()}, until {one.closes.isoformat()} ({one.state}); "
        f"{count(len(one.samples), 'sample')}"
        for one in coming[:_NEXT]
    ]
    left = len(coming) - _NEXT
    return [*lines, f"and {count(left, 'later check')}"] if left > 0 else lines


def kept_lines(lines: Iterable[str], most: int, longest: int) -> list[str]:
    """Return lines shortened, and how many more stand in the report.

    Examples
    --------
    >>> kept_lines(["one", "two", "three"], 2, 40)
    ['one', 'and 2 more lines in the report']
    """
    told = [shortened_line(line, longest) for line in lines]
    if len(told) <= most:
        return told
    left = len(told) - max(most - 1, 1)
    return [*told[: max(most - 1, 1)], f"and {count(left, 'more line')} in the report"]


def shortened_line(line: str, longest: int) -> str:
    """Return a line of at most so many characters, cut between words where it can be.

    Examples
    --------
    >>> shortened_line("pH at T40 lies outside", 12)
    'pH at T40 …'
    """
    if len(line) <= longest:
        return line
    cut = textwrap.shorten(line, longest, placeholder=" …")
    return cut if len(cut) > 2 else f"{line[: longest - 2]} …"
