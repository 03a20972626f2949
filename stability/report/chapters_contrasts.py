"""Differences of drifts with their intervals, as a part of the comparisons."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.contrast_findings import Contrasts, DriftContrast
from stability.model.names import in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_summary import DIFFERENCES_FILE
from stability.report.series_left import few_named
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Group, Mark, TableRow, record_table

#: How a difference is found, printed above all of them.
HOW = (
    "A difference of drifts is that of the first less the second, a month, with its "
    "two-sided {level} % interval. Where three checks or more were read on both sides "
    "it is the slope of the differences of these pairs, which takes out what a day "
    "adds to both; a T0 that both share is left out. Else, and between batches, each "
    "side keeps its own line. On the ln scale relative rates are compared, in % a "
    "month."
)
#: Above so many differences only those that are shown are printed, and above so many
#: of these only those that stand when each is tested at the level divided by the number
#: made (Bonferroni), of which chance alone would let one through in twenty studies:
#: about 10 pages of them. Our choice.
MOST_DIFFERENCES: Final = 400
LEFT: Final = (
    "Printed are those that are shown; the other {left} of {every} stand in "
    "differences.csv inside this document."
)

LEFT_MANY: Final = (
    "Of {every} differences {shown} have an interval that excludes 0, many by chance. "
    "Printed are the {printed} of them that stand when each is tested at the level "
    "divided by {every} (Bonferroni); the other {left} stand in differences.csv inside "
    "this document."
)


def drift_differences(contrasts: Contrasts, styles: ReportStyles) -> list[Flowable]:
    """Return conditions, batches and packs beside each other; [] without any."""
    if not contrasts.drifts:
        return []
    every = [one for one in contrasts.drifts if one.contrast is not None]
    made = printed_differences(every)
    story = heading("Drifts beside each other", 2, styles, keep_mm=60)
    if contrasts.count is not None:
        level = f"{100 * (1 - contrasts.count.level):g}"
        words = [HOW.format(level=level), contrasts.count.text]
        words += [one.text for one in contrasts.cautions if one.code == "not-shown"]
        story.append(paragraph(" ".join(words), styles.body, styles))
        if len(made) < len(every):
            away = left_text(every, made)
            story.append(paragraph(away, styles.body, styles))
        story.append(_differences(made, styles))
    return [*story, *_cautions(made, styles), *_not_compared(contrasts, styles)]


def printed_differences(made: Sequence[DriftContrast]) -> list[DriftContrast]:
    """Return the differences that are printed.

    Of very many those that are shown; where these are very many still, those that
    stand with the level divided by the number of differences made.
    """
    if len(made) <= MOST_DIFFERENCES:
        return list(made)
    shown = [one for one in made if one.excludes_no_difference]
    if len(shown) <= MOST_DIFFERENCES:
        return shown
    return [one for one in shown if _stands(one, len(made))]


def _stands(one: DriftContrast, made: int) -> bool:
    contrast = one.contrast
    return contrast is not None and contrast.p < (1 - contrast.confidence) / made


def left_text(every: Sequence[DriftContrast], made: Sequence[DriftContrast]) -> str:
    """Return which differences are printed, and where the others stand.

    Parameters
    ----------
    every
        All differences.
    made
        Those that are printed.
    """
    left, shown = len(every) - len(made), sum(map(_is_shown, every))
    if shown == len(made):
        return LEFT.format(left=left, every=len(every))
    return LEFT_MANY.format(left=left, every=len(every), shown=shown, printed=len(made))


def _is_shown(one: DriftContrast) -> bool:
    return one.excludes_no_difference


def _differences(made: Sequence[DriftContrast], styles: ReportStyles) -> Flowable:
    rows: list[TableRow] = []
    group = ""
    for one in made:
        here = f"{one.sides.between.capitalize()}: {in_words(one.sides.attribute)}"
        if here != group:
            rows.append(Group(here))
            group = here
        rows.append(
            [
                one.sides.place,
                f"{one.sides.first.name} – {one.sides.second.name}",
                str(len(one.checks)) if one.method == "paired differences" else "–",
                one.numbers,
                _differ(one),
                "; ".join(one.explains) if one.excludes_no_difference else "",
            ]
        )
    columns = (
        Fitted("Where", 30),
        Fitted("First – second", 30),
        Fitted("Pairs", align="right"),
        Fitted("A month (interval)", 48, align="right"),
        Fitted("Shown", 22),
        shared("What may explain it"),
    )
    return record_table(fitted_columns(columns, rows, styles), rows, styles)


def _differ(one: DriftContrast) -> Mark:
    """Say whether the interval excludes 0; a word always goes with the sign."""
    return Mark("differ", "≠") if one.excludes_no_difference else Mark("not shown", "")


def _cautions(made: Sequence[DriftContrast], styles: ReportStyles) -> list[Flowable]:
    """Return each caution once, with the sides it holds for.

    That each side keeps its own line is told by the missing number of pairs.
    """
    found: dict[str, list[str]] = {}
    for one in made:
        for caution in one.cautions:
            if caution.code != "not-paired":
                place = f"{in_words(one.sides.attribute)}: {_sides(one)}"
                found.setdefault(caution.text, []).append(place)
    if not found:
        return []
    rows: list[TableRow] = [
        [text, few_named(sides, DIFFERENCES_FILE)] for text, sides in found.items()
    ]
    columns = fitted_columns([shared("Caution", 1.2), shared("Sides")], rows, styles)
    return [
        *heading("Cautions of these differences", 3, styles, keep_mm=40),
        record_table(columns, rows, styles),
    ]


def _not_compared(contrasts: Contrasts, styles: ReportStyles) -> list[Flowable]:
    """Return what has no difference, by the reason why."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in contrasts.drifts:
        if one.contrast is None:
            found.setdefault((in_words(one.sides.attribute), one.text), []).append(
                _sides(one)
            )
    if not found:
        return []
    rows: list[TableRow] = [
        [name, few_named(sides, DIFFERENCES_FILE), why]
        for (name, why), sides in found.items()
    ]
    columns = fitted_columns(
        [Fitted("Attribute"), shared("Sides"), shared("Why", 1.3)], rows, styles
    )
    return [
        *heading("Drifts that are not compared", 3, styles, keep_mm=40),
        record_table(columns, rows, styles),
    ]


def _sides(one: DriftContrast) -> str:
    return f"{one.sides.place}: {one.sides.first.name} – {one.sides.second.name}"
