"""Chapters of results: every reading, every line, words, comparisons."""

from __future__ import annotations

from collections.abc import Mapping

from matplotlib.figure import Figure
from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import MeasuredSeries
from stability.model.estimate import Drift, Forecast, NoFit
from stability.report.figures import attribute_figure
from stability.report.fonts import ReportFonts
from stability.report.readings_table import readings_table
from stability.report.renderer import FigureFlowable
from stability.report.styles import ReportStyles, anchor_name, heading, paragraph
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
from stability.report.wording import mark, plus_minus, significant


def results_chapter(
    evaluation: Evaluation, styles: ReportStyles, fonts: ReportFonts
) -> list[Flowable]:
    """Return every reading, attribute by attribute, with a figure where measured."""
    order = {
        name: at for at, name in enumerate(evaluation.identity.protocol.conditions)
    }
    story: list[Flowable] = []
    for attribute in evaluation.identity.protocol.attributes:
        seen = [one for one in evaluation.judged if one.attribute == attribute]
        if not seen:
            continue
        figure = attribute_figure(evaluation, attribute)
        keep_mm = 60.0 if figure is None else _height_mm(figure) + 30
        if not story:
            story += heading("Readings", 1, styles, anchor="readings", keep_mm=keep_mm)
        anchor = anchor_name("readings", attribute)
        story += heading(attribute, 2, styles, anchor=anchor, keep_mm=keep_mm)
        if figure is not None:
            story += [FigureFlowable(figure, fonts), _figure_note(styles)]
        seen.sort(key=lambda one: _place(one, order))
        story.append(readings_table(seen, styles))
    return story


def _height_mm(figure: Figure) -> float:
    return float(figure.get_size_inches()[1]) * 25.4


def _figure_note(styles: ReportStyles) -> Flowable:
    return paragraph(
        "Points are checks; lines are fitted by least squares with the 95 % band of "
        "the mean. A square marks a reading outside its limit, a diamond one out of "
        "trend, a cross on the age axis a check that was not made.",
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


def drift_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the line of each series, or why there is none, with its cautions."""
    story = heading("Drift", 1, styles, anchor="drift", keep_mm=60)
    story.append(
        paragraph(
            "Least-squares lines of each series on its declared scale; ages in months "
            "of 30.4375 days from placing; intervals are two-sided 95 %. ‘Over’ is the "
            "change over the life asked for, or over the time planned under heat and "
            "stress. A line tells what was read and no shelf life.",
            styles.body,
            styles,
        )
    )
    if evaluation.multiplicity.text:
        story.append(paragraph(evaluation.multiplicity.text, styles.body, styles))
    rows: list[TableRow] = []
    for attribute in dict.fromkeys(one.key.attribute for one in evaluation.measured):
        here = [one for one in evaluation.measured if one.key.attribute == attribute]
        several = len({one.key.settings for one in here}) > 1
        rows.append(Group(_drift_group(here[0])))
        rows += [_drift_row(one, with_settings=several) for one in here]
    if rows:
        story.append(record_table(_drift_columns(), rows, styles))
    return [*story, *_drift_cautions(evaluation, styles)]


def _drift_group(one: MeasuredSeries) -> str:
    unit = f" [{one.unit}]" if one.unit not in {"", "1", "pH"} else ""
    scale = ", fitted as ln" if one.scale == "ln" else ""
    return f"{one.key.attribute}{unit}{scale}"


def _drift_columns() -> tuple[Column, ...]:
    return (
        Column("Series", Share(1)),
        Column("n", Millimetres(7), align="right"),
        Column("Start", Millimetres(13), align="right"),
        Column("Per month", Millimetres(18), align="right"),
        Column("95 % interval", Millimetres(31), align="right"),
        Column("s", Millimetres(14), align="right"),
        Column("Over", Millimetres(14), align="right"),
        Column("Line meets the limit", Share(1.15)),
        Column("State", Millimetres(19)),
    )


def series_place(one: MeasuredSeries, *, with_settings: bool) -> str:
    """Name condition, pack, batch and container of a series, without its attribute."""
    key = one.key
    parts = [" ".join(part for part in (key.condition, key.pack, key.batch) if part)]
    if key.twin_of:
        parts.append(f"twin of {key.twin_of}")
    if key.sample:
        parts.append(key.sample)
    if with_settings:
        parts += [f"{name} {value}" for name, value in key.settings]
    return ", ".join(parts)


def _drift_row(one: MeasuredSeries, *, with_settings: bool) -> list[Cell]:
    drift = one.drift
    state = Mark(one.state, mark(one.state).shape, strong=one.state == "outside")
    place = series_place(one, with_settings=with_settings)
    if not isinstance(drift, Drift):
        return [place, str(len(one.points)), "", "", "", "", "", drift.text, state]
    over = ""
    if drift.drift_over_life is not None:
        over = f"{drift.drift_over_life:+.3g}"
    return [
        place,
        str(drift.n),
        significant(drift.start),
        significant(drift.slope, 3),
        plus_minus(drift.slope_interval),
        significant(drift.s_used, 2) + ("*" if drift.floor_acted else ""),
        over,
        forecast_text(one),
        state,
    ]


def forecast_text(one: MeasuredSeries) -> str:
    """Return when the line meets each of its limits, shortly; months from placing."""
    texts = [_forecast(each) for each in one.forecasts]
    return "; ".join(text for text in texts if text) or (
        "never ahead" if one.forecasts else "no limit to meet"
    )


def _forecast(each: Forecast | NoFit) -> str:
    if isinstance(each, NoFit):
        return each.text
    side = "lowest" if each.bound.side == "lower" else "highest"
    if each.outcome == "within":
        return f"{side}: {each.months:.1f} M ({each.earliest:.1f} to {each.latest:.1f})"
    if each.outcome == "from":
        return f"{side}: not before {each.earliest:.1f} M"
    return "" if each.outcome == "empty" else each.text


def _drift_cautions(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    rows: list[TableRow] = [
        [
            one.key.text(),
            caution.text,
            Mark("no extrapolation", "◆")
            if caution.blocks_extrapolation
            else "caution",
        ]
        for one in evaluation.measured
        for caution in one.cautions
    ]
    floor = any(
        isinstance(one.drift, Drift) and one.drift.floor_acted
        for one in evaluation.measured
    )
    story: list[Flowable] = []
    if floor:
        story.append(
            paragraph(
                "* the scatter of the points is smaller than half the resolution of "
                "one reading, which stands in its place.",
                styles.small,
                styles,
            )
        )
    if not rows:
        return story
    columns = (
        Column("Series", Share(1)),
        Column("Caution", Share(2.4)),
        Column("Consequence", Millimetres(30)),
    )
    return [
        *story,
        *heading("Cautions of the lines", 2, styles, keep_mm=40),
        record_table(columns, rows, styles),
    ]


def trend_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return readings out of trend, with tests made and alerts expected by chance."""
    story = heading("Out of trend", 1, styles, anchor="trend", keep_mm=40)
    story.append(
        paragraph(
            evaluation.trend.text
            or "No series has the four earlier checks that a test needs.",
            styles.body,
            styles,
        )
    )
    rows: list[TableRow] = [
        [
            one.key.text(),
            test.check or "extra",
            test.day.isoformat(),
            Mark(test.result.outcome, "◇", strong=test.result.outcome == "alarm"),
            test.result.text,
        ]
        for one in evaluation.measured
        for test in one.trend_tests
        if test.result.is_out
    ]
    if rows:
        columns = (
            Column("Series", Share(1)),
            Column("Check", Millimetres(14)),
            Column("Read", Millimetres(19)),
            Column("Outcome", Millimetres(18)),
            Column("In words", Share(1.6)),
        )
        story.append(record_table(columns, rows, styles))
    story += [
        paragraph(
            f"{number} series were out of trend on {on.isoformat()}: look at the "
            "instrument first.",
            styles.body,
            styles,
        )
        for on, number in evaluation.trend_days
    ]
    return story


def words_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return scores and statements: never averaged, never fitted."""
    if not evaluation.worded:
        return []
    rows: list[TableRow] = []
    group = None
    for one in evaluation.worded:
        if one.key.attribute != group:
            group = one.key.attribute
            rows.append(Group(group))
        may_fail = "–" if one.may_fail is None else f"{100 * one.may_fail:.0f} %"
        rows.append(
            [
                one.key.text().removeprefix(f"{one.key.attribute}, "),
                one.text,
                f"{one.failed} of {one.read}",
                may_fail,
                Mark(one.state, mark(one.state).shape, strong=one.state == "outside"),
            ]
        )
    columns = (
        Column("Series", Share(1)),
        Column("In words", Share(1.7)),
        Column("Failed", Millimetres(16), align="right"),
        Column("May fail, up to", Millimetres(18), align="right"),
        Column("State", Millimetres(25)),
    )
    return [
        *heading("Scores and statements", 1, styles, anchor="scores", keep_mm=50),
        paragraph(
            "Scores are not averaged and no line is fitted to them. ‘May fail’ is the "
            "exact one-sided 95 % bound on the share of containers that may fail when "
            "none of those read did.",
            styles.body,
            styles,
        ),
        record_table(columns, rows, styles),
    ]


def comparisons_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return cycles, light and heat beside their twins and the cold control."""
    if not evaluation.comparisons:
        return []
    rows: list[TableRow] = []
    group = None
    for one in evaluation.comparisons:
        here = (
            f"{one.kind[0].upper()}{one.kind[1:]}: {one.condition} beside {one.against}"
        )
        if here != group:
            group = here
            rows.append(Group(here))
        rows.append(
            [
                one.attribute,
                f"{one.batch} {one.pack}".strip(),
                one.check,
                one.text,
                one.against_text,
                one.statement,
            ]
        )
    columns = (
        Column("Attribute", Millimetres(24)),
        Column("Batch, pack", Millimetres(20)),
        Column("Check", Millimetres(13)),
        Column("Sample", Share(1)),
        Column("Comparison", Share(1)),
        Column("What can be said", Share(2)),
    )
    return [
        *heading("Comparisons", 1, styles, anchor="comparisons", keep_mm=50),
        record_table(columns, rows, styles),
    ]
