"""The chapter of heat beside real time: rules of thumb and Arrhenius, supportive."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.ageing_findings import (
    AgeingFindings,
    HeatFinding,
    HeatTranslation,
    KineticFinding,
)
from stability.evaluation.findings import Evaluation
from stability.model.names import all_in_words, in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import TableRow, record_table
from stability.report.wording import sentence_case

#: Title of the chapter.
TITLE: Final = "Accelerated and real time"
_NONE: Final = "–"


def ageing_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return heat beside real time; nothing where a study has none of it."""
    found = evaluation.ageing
    if found is None or not (found.heat or found.kinetics):
        return []
    lead = " ".join(one.text for one in found.cautions)
    return [
        *heading(TITLE, 1, styles, keep_mm=min(55 + 9 * len(found.heat), 150)),
        paragraph(lead, styles.body, styles),
        *_limit(found, styles),
        *_heat(found.heat, styles),
        *_kinetics(found, styles),
    ]


def _limit(found: AgeingFindings, styles: ReportStyles) -> list[Flowable]:
    limit = found.structural_limit
    if limit is None:
        return []
    text = f"Structural limit declared: {limit.temperature} °C ({limit.reason})."
    return [paragraph(text, styles.body, styles)]


def _heat(heat: Sequence[HeatFinding], styles: ReportStyles) -> list[Flowable]:
    if not heat:
        return []
    rows: list[TableRow] = [_heat_row(one) for one in heat]
    columns = (
        Fitted("Condition", 30, strong=True),
        shared("Attributes", 1.1),
        Fitted("Inside to", 24),
        Fitted("Q10 2 [d]", 22, align="right"),
        Fitted("Q10 2.5 [d]", 22, align="right"),
        Fitted("Q10 3 [d]", 22, align="right"),
        shared("What stands beside it", 1.4),
    )
    return [
        record_table(fitted_columns(columns, rows, styles), rows, styles),
        *_brackets(heat, styles),
    ]


def _brackets(heat: Sequence[HeatFinding], styles: ReportStyles) -> list[Flowable]:
    spans = {
        f"{one.against.lowest:g} to {one.against.highest:g} °C in "
        f"{one.against.condition}"
        for one in heat
        if one.translations and one.against.lowest < one.against.highest
    }
    if not spans:
        return []
    words = f"In brackets: the same over {'; '.join(sorted(spans))}."
    return [paragraph(words, styles.small, styles)]


def _heat_row(one: HeatFinding) -> list[str]:
    degrees = "" if one.celsius is None else f" ({one.celsius:g} °C)"
    inside = _NONE if one.days is None else f"{one.check}, {one.days:.0f} d"
    days = [translation_text(each) for each in one.translations]
    text = one.text if one.translations else f"not translated: {one.text}"
    return [
        f"{one.condition}{degrees}",
        ", ".join(all_in_words(one.attributes)) or "all",
        inside,
        *(days or [_NONE] * 3),
        sentence_case(text),
    ]


def translation_text(one: HeatTranslation) -> str:
    """Return days in storage, with how far the range of the storage moves them."""
    if round(one.lowest_days) == round(one.highest_days):
        return f"{one.days:.0f}"
    return f"{one.days:.0f}\n({one.lowest_days:.0f} to {one.highest_days:.0f})"


def _kinetics(found: AgeingFindings, styles: ReportStyles) -> list[Flowable]:
    if not found.kinetics:
        return [paragraph(found.no_kinetics, styles.small, styles)]
    rows: list[TableRow] = [_kinetic_row(one) for one in found.kinetics]
    columns = (
        Fitted("Attribute, pack, batch", 44),
        shared("Arrhenius fit, supportive only"),
    )
    return [
        *heading("Arrhenius", 2, styles, keep_mm=40),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def _kinetic_row(one: KineticFinding) -> list[str]:
    key = one.key
    settings = [f"{name} {value}" for name, value in key.settings]
    place = [
        in_words(key.attribute),
        key.pack or "bulk",
        f"batch {key.batch}",
        *settings,
    ]
    told = [one.text, *(caution.text for caution in one.cautions)]
    told += [f"{name} is left out: {why}." for name, why in one.left_out]
    return [", ".join(place), " ".join(told)]
