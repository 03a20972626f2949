"""Chapters of words and of comparisons: never averaged, never fitted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.series import (
    Comparison,
    WordSeries,
)
from stability.model.age import check_text
from stability.model.names import in_words
from stability.report.chapters_contrasts import drift_differences
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_summary import JUDGED_FILE
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Cell, Group, TableRow, record_table
from stability.report.wording import state_mark

#: Above so many comparisons check by check those of numbers, which tell nothing from
#: chance one by one, are not printed: about 20 pages of them. Our choice.
MOST_COMPARISONS: Final = 1_000


def words_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return scores and statements: never averaged, never fitted."""
    if not evaluation.worded:
        return []
    rows: list[TableRow] = []
    for name in dict.fromkeys(one.key.attribute for one in evaluation.worded):
        here = [one for one in evaluation.worded if one.key.attribute == name]
        observers = "; ".join(
            dict.fromkeys(one.observers_text for one in here if one.observers_text)
        )
        rows.append(Group(f"{name}. {observers}" if observers else name))
        rows += _word_rows(here)
    columns = fitted_columns(
        (
            shared("Series", 1.3),
            shared("In words", 1.2),
            Fitted("Containers failed", 20, align="right"),
            Fitted("May fail", 22, align="right"),
            Fitted("State", 27),
        ),
        rows,
        styles,
    )
    return [
        *heading("Scores and statements", 1, styles, anchor="scores", keep_mm=50),
        paragraph(
            "Scores are not averaged and no line is fitted to them. Series of which "
            "the same can be said share a row. ‘May fail’ is the exact one-sided "
            "95 % bound on the share of containers that may fail, by those read in one "
            "series. Tau-b is Kendall’s, over the worst word of each check, and stands "
            "where words moved over five checks or more."
            + (f" {evaluation.worse_by_chance}" if evaluation.worse_by_chance else ""),
            styles.body,
            styles,
        ),
        record_table(columns, rows, styles),
    ]


def _word_rows(series: Sequence[WordSeries]) -> list[TableRow]:
    """Return one row for all series of which the same is said."""
    alike: dict[tuple[Cell, ...], list[str]] = {}
    for one in series:
        share = one.share
        may_fail = "–" if share is None else f"{100 * share.at_most:.0f} %"
        said = (
            one.whole_text,
            f"{one.failed} of {one.read}",
            may_fail,
            state_mark(one.state),
        )
        place = f"{one.key.condition} {one.key.pack} {one.key.batch}"
        if one.key.twin_of:
            place = f"{place} (twin of {one.key.twin_of})"
        alike.setdefault(said, []).append(place)
    return [["; ".join(places), *said] for said, places in alike.items()]


def comparisons_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return what stands beside each other: drifts over all checks, check by check."""
    drifts = drift_differences(evaluation.contrasts, styles)
    checks = _check_by_check(evaluation, styles)
    if not drifts and not checks:
        return []
    keep = 100 if drifts else 60
    return [
        *heading("Comparisons", 1, styles, anchor="comparisons", keep_mm=keep),
        *drifts,
        *checks,
    ]


def _check_by_check(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return cycles, light and heat beside their twins and the cold control."""
    if not evaluation.comparisons:
        return []
    rows: list[TableRow] = []
    found: dict[str, dict[tuple[str, ...], list[str]]] = {}
    printed = printed_comparisons(evaluation.comparisons)
    for one in printed:
        kind = f"{one.kind[0].upper()}{one.kind[1:]}"
        here = found.setdefault(f"{kind}: {one.condition} beside {one.against}", {})
        place = f"{one.batch} {one.pack}".strip()
        said = (one.text, one.against_text, comparison_text(one))
        here.setdefault((one.attribute, place, *said), []).append(check_text(one.check))
    for group, alike in found.items():
        rows.append(Group(group))
        rows += [
            [in_words(attribute), place, ", ".join(checks), *said]
            for (attribute, place, *said), checks in alike.items()
        ]
    columns = fitted_columns(
        (
            Fitted("Attribute"),
            Fitted("Batch, pack"),
            Fitted("Checks", 30),
            Fitted("Sample", 32),
            Fitted("Comparison", 32),
            shared("What can be said"),
        ),
        rows,
        styles,
    )
    return [
        *heading("Check by check", 2, styles, keep_mm=50),
        paragraph(
            "Means of the containers, or the worst word. One check by itself does not "
            "tell a difference of numbers from chance. Checks of which the same is "
            "said share a row." + _left(len(evaluation.comparisons) - len(printed)),
            styles.body,
            styles,
        ),
        *([record_table(columns, rows, styles)] if rows else []),
    ]


def printed_comparisons(comparisons: Sequence[Comparison]) -> list[Comparison]:
    """Return the comparisons that are printed: of very many, those of words."""
    if len(comparisons) <= MOST_COMPARISONS:
        return list(comparisons)
    return [one for one in comparisons if one.difference is None]


def _left(away: int) -> str:
    if not away:
        return ""
    return (
        f" {away} comparisons of numbers are not printed; both values of each stand in "
        f"{JUDGED_FILE} inside this document."
    )


def comparison_text(one: Comparison) -> str:
    """Return what a comparison says beyond the two values it stands beside."""
    if one.difference is not None:
        return one.statement.partition("; ")[0]
    return one.statement.removeprefix(f"“{one.text}” beside “{one.against_text}”; ")
