"""The chapter of readings: numbers by attribute with a figure, then words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.model.attribute import Attribute
from stability.model.names import all_in_words, in_words
from stability.report.figures import planned_figures
from stability.report.fonts import ReportFonts
from stability.report.making_table import making_beside
from stability.report.readings_leads import READINGS, readings_anchor
from stability.report.readings_summary import readings_summary
from stability.report.readings_table import readings_table
from stability.report.renderer import FigureFlowable, PlannedFigure
from stability.report.scores_table import (
    SIGNS_TEXT,
    beside_each_other,
    observers_text,
    scores_table,
)
from stability.report.series_left import drawn_text
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.weights_table import weights_table


def results_chapter(
    evaluation: Evaluation,
    styles: ReportStyles,
    fonts: ReportFonts,
    left: frozenset[int] = frozenset(),
) -> list[Flowable]:
    """Return every reading: numbers by attribute with a figure, then words.

    Parameters
    ----------
    evaluation
        What is printed.
    styles, fonts
        Of the report.
    left
        Positions of the entries that are not printed one by one; what they amount to
        is printed in their place.
    """
    order = {
        name: at for at, name in enumerate(evaluation.identity.protocol.conditions)
    }
    seen = sorted(evaluation.judged, key=lambda one: _place(one, order))
    read = {one.attribute for one in seen}
    attributes = [
        one
        for one in evaluation.identity.protocol.attributes.values()
        if one.name in read
    ]
    story: list[Flowable] = []
    figures: list[PlannedFigure] = []
    for attribute in attributes:
        if attribute.kind == "measured":
            here = [one for one in seen if one.attribute == attribute.name]
            drawn = planned_figures(evaluation, attribute.name, fonts)
            figures += drawn
            beside = _drawn_limit(evaluation, attribute.name, here, styles)
            beside += making_beside(evaluation, attribute, styles)
            beside += readings_summary(here, left, styles, attribute.unit)
            here = [one for one in here if one.position not in left]
            story += _numbers(attribute, here, drawn, styles, fonts, beside=beside)
    worded = [one.name for one in attributes if one.kind != "measured"]
    for names in beside_each_other(worded):
        here = [one for one in seen if one.attribute in names]
        beside = readings_summary(here, left, styles)
        here = [one for one in here if one.position not in left]
        story += _scores(names, here, styles, beside=beside)
    if not story:
        words = "Nothing has been read yet."
        story.append(paragraph(words, styles.body, styles))
    keep_mm = max((one.height_mm for one in figures[:1]), default=60.0) + 45
    title = heading("Readings", 1, styles, anchor=READINGS, keep_mm=keep_mm)
    note = [_figure_note(evaluation, styles)] if figures else []
    return [*title, *note, *story]


def _drawn_limit(
    evaluation: Evaluation,
    name: str,
    seen: Sequence[JudgedObservation],
    styles: ReportStyles,
) -> list[Flowable]:
    """Say where readings are judged by another limit than the lines of the figure."""
    drawn = {one.limit_text for one in evaluation.measured if one.key.attribute == name}
    of_their_day = dict.fromkeys(
        one.limit_text for one in seen if one.mark != "recorded only"
    )
    others = [text for text in of_their_day if text not in drawn]
    if not drawn or not others:
        return []
    words = (
        f"The plan was amended: the lines of the figure are the limit as amended "
        f"({'; '.join(sorted(drawn))}). Readings are marked by the limit of their day "
        f"({'; '.join(others)})."
    )
    return [paragraph(words, styles.small, styles)]


def _numbers(
    attribute: Attribute,
    observations: Sequence[JudgedObservation],
    figures: Sequence[PlannedFigure],
    styles: ReportStyles,
    fonts: ReportFonts,
    *,
    beside: Sequence[Flowable],
) -> list[Flowable]:
    name = attribute.name
    keep_mm = figures[0].height_mm + 16 if figures else 50.0
    anchor = readings_anchor([name])
    story = heading(in_words(name), 2, styles, anchor=anchor, keep_mm=keep_mm)
    if figures:
        story += [FigureFlowable(one, fonts) for one in figures]
    story += beside
    if not observations:
        return story
    if attribute.from_weights:
        return [*story, weights_table(observations, styles)]
    return [*story, readings_table(observations, styles, attribute.unit)]


def _scores(
    names: Sequence[str],
    observations: Sequence[JudgedObservation],
    styles: ReportStyles,
    *,
    beside: Sequence[Flowable],
) -> list[Flowable]:
    anchor = readings_anchor(names)
    title = heading(
        ", ".join(all_in_words(names)), 2, styles, anchor=anchor, keep_mm=60
    )
    if not observations:
        return [*title, *beside]
    observers = observers_text(observations, names)
    note = f"{SIGNS_TEXT} {observers}." if observers else SIGNS_TEXT
    return [
        *title,
        *beside,
        paragraph(note, styles.small, styles),
        scores_table(observations, names, styles),
    ]


def _figure_note(evaluation: Evaluation, styles: ReportStyles) -> Flowable:
    return paragraph(
        "Points are checks; where three or more allow it, a line is fitted by least "
        "squares, with the 95 % band of the mean where two degrees of freedom or more "
        "stand behind it. A square marks a reading outside its limit, a diamond one "
        "out of trend, a ring one that is doubtful, an upright stroke one with a "
        "deviation; a cross on the age axis is a check that was not made. A limit that "
        "counts from the initial value is drawn for each batch."
        + drawn_text(evaluation),
        styles.small,
        styles,
    )


def _place(
    seen: JudgedObservation, order: Mapping[str, int]
) -> tuple[int, str, str, str, str, float, int]:
    """Return a key that sorts by condition as the protocol has it, then by sample."""
    return (
        order.get(seen.condition or "", -1),
        seen.sample.twin_of or "",
        seen.sample.pack or "",
        seen.sample.batch,
        seen.sample.code,
        seen.age_days or 0.0,
        seen.position,
    )
