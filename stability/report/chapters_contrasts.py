"""Differences of drifts with their intervals, as a part of the comparisons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.contrast_findings import Contrasts, DriftContrast
from stability.report.column_widths import Fitted, fitted_columns, shared
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
#: Above so many differences only those that are shown are printed: about 10 pages of
#: them. Our choice.
MOST_DIFFERENCES: Final = 400
#: Sides named in one cell; the file inside the report names the rest.
MOST_NAMED: Final = 100
LEFT: Final = (
    "Printed are those that are shown; the other {left} of {every} stand in "
    "differences.csv inside this document."
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
            away = LEFT.format(left=len(every) - len(made), every=len(every))
            story.append(paragraph(away, styles.body, styles))
        story.append(_differences(made, styles))
    return [*story, *_cautions(made, styles), *_not_compared(contrasts, styles)]


def printed_differences(made: Sequence[DriftContrast]) -> list[DriftContrast]:
    """Return the differences that are printed: of very many, those that are shown."""
    if len(made) <= MOST_DIFFERENCES:
        return list(made)
    return [one for one in made if one.excludes_no_difference]


def _differences(made: Sequence[DriftContrast], styles: ReportStyles) -> Flowable:
    rows: list[TableRow] = []
    group = ""
    for one in made:
        here = f"{one.sides.between.capitalize()}: {one.sides.attribute}"
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
                place = f"{one.sides.attribute}: {_sides(one)}"
                found.setdefault(caution.text, []).append(place)
    if not found:
        return []
    rows: list[TableRow] = [[text, _few(sides)] for text, sides in found.items()]
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
            found.setdefault((one.sides.attribute, one.text), []).append(_sides(one))
    if not found:
        return []
    rows: list[TableRow] = [
        [name, _few(sides), why] for (name, why), sides in found.items()
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


def _few(texts: Iterable[str]) -> str:
    """Name the sides, or the first of very many with their number."""
    named = list(dict.fromkeys(texts))
    if len(named) <= MOST_NAMED:
        return "; ".join(named)
    first = "; ".join(named[:MOST_NAMED])
    return f"{first}; and {len(named) - MOST_NAMED} more, in differences.csv"
