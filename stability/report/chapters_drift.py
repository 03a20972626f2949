"""Chapters of lines: drift with its cautions, and what is out of trend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries, SeriesKey
from stability.model.age import check_text
from stability.model.estimate import Drift
from stability.model.forecast_words import forecast_words
from stability.model.names import in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.series_in_print import (
    LINES_FILE,
    lines_in_print,
    only_alarms,
    trend_in_print,
)
from stability.report.series_left import (
    alerts_left_text,
    few_named,
    lines_left_text,
)
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import (
    Cell,
    Column,
    Group,
    Mark,
    Millimetres,
    TableRow,
    record_table,
)
from stability.report.wording import count, plus_minus, significant, state_mark

# Series of one attribute that are named one by one where all lack a line [-].
_MOST_NAMED: Final = 6


def drift_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the line of each series, or why there is none, with its cautions."""
    story = heading("Drift", 1, styles, anchor="drift", keep_mm=60)
    story.append(
        paragraph(
            "Least-squares lines of each series on its declared scale; ages in months "
            "of 30.4375 days from placing; intervals are two-sided 95 %. ‘Over’ is the "
            "change over the life asked for, or over the time planned under heat and "
            "stress. ‘Not before’ is the earliest time at which the line may meet a "
            "limit; it may also never. A line tells what was read and no shelf life.",
            styles.body,
            styles,
        )
    )
    if evaluation.multiplicity.text:
        story.append(paragraph(evaluation.multiplicity.text, styles.body, styles))
    printed = lines_in_print(evaluation)
    if away := sum(
        isinstance(one.drift, Drift) and one.key not in printed
        for one in evaluation.measured
    ):
        words = lines_left_text(away, len(evaluation.measured))
        story.append(paragraph(words, styles.body, styles))
    rows = _drift_rows(evaluation, printed)
    if rows:
        story.append(record_table(_drift_columns(rows, styles), rows, styles))
    return [
        *story,
        *_floor_note(evaluation, styles),
        *_without_line(evaluation, styles),
        *_drift_cautions(evaluation, printed, styles),
    ]


def _drift_rows(
    evaluation: Evaluation, printed: Collection[SeriesKey]
) -> list[TableRow]:
    rows: list[TableRow] = []
    group = None
    for one in evaluation.measured:
        if not isinstance(one.drift, Drift) or one.key not in printed:
            continue
        here = _drift_group(one)
        if here != group:
            rows.append(Group(here))
            group = here
        rows.append(
            _drift_row(one, one.drift, with_settings=_many_settings(evaluation, one))
        )
    return rows


def _many_settings(evaluation: Evaluation, one: MeasuredSeries) -> bool:
    """Say whether an attribute was read under more than one set of settings."""
    return any(
        other.key.attribute == one.key.attribute
        and other.key.settings != one.key.settings
        for other in evaluation.measured
    )


def _without_line(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return the series that have no line, by the reason why."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in evaluation.measured:
        if not isinstance(one.drift, Drift):
            place = series_place(one, with_settings=_many_settings(evaluation, one))
            key = (one.key.attribute, one.drift.text)
            found.setdefault(key, []).append(f"{place} ({_checks(one)})")
    if not found:
        return []
    whole = Counter(one.key.attribute for one in evaluation.measured)
    rows: list[TableRow] = [
        [in_words(name), _series_text(places, whole[name]), why]
        for (name, why), places in found.items()
    ]
    columns = fitted_columns(
        [Fitted("Attribute"), shared("Series", 1.3), shared("Why")], rows, styles
    )
    return [
        *heading("Series without a line", 2, styles, keep_mm=40),
        record_table(columns, rows, styles),
    ]


def _series_text(places: Sequence[str], of_attribute: int) -> str:
    """Return the series by name; where they are all of an attribute, their number."""
    if len(places) == of_attribute > _MOST_NAMED:
        return f"all {of_attribute} series"
    return few_named(places, LINES_FILE)


def _checks(one: MeasuredSeries) -> str:
    return count(len(one.points), "check")


def _drift_group(one: MeasuredSeries) -> str:
    unit = f" [{one.unit}]" if one.unit not in {"", "1", "pH"} else ""
    scale = ", fitted as ln" if one.scale == "ln" else ""
    return f"{in_words(one.key.attribute)}{unit}{scale}"


def _drift_columns(
    rows: Sequence[TableRow], styles: ReportStyles
) -> tuple[Column, ...]:
    columns = (
        shared("Series"),
        Fitted("n", align="right"),
        Fitted("Start", align="right"),
        Fitted("Per month", align="right"),
        Column("95 % interval", Millimetres(35), align="right"),
        Fitted("s", align="right"),
        Fitted("Over", align="right"),
        shared("Line meets the limit", 1.25),
        Fitted("State", 27),
    )
    return fitted_columns(columns, rows, styles)


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


def _drift_row(one: MeasuredSeries, drift: Drift, *, with_settings: bool) -> list[Cell]:
    over = ""
    if drift.drift_over_life is not None:
        over = f"{drift.drift_over_life:+.3g}"
    return [
        series_place(one, with_settings=with_settings),
        str(drift.n),
        significant(drift.start),
        significant(drift.slope, 3),
        plus_minus(drift.slope_interval),
        significant(drift.s_used, 2) + ("*" if drift.floor_acted else ""),
        over,
        forecast_text(one),
        state_mark(one.state),
    ]


def forecast_text(one: MeasuredSeries) -> str:
    """Return when the line meets each of its limits, shortly; months from placing."""
    sides = ("lower", "upper")
    texts = forecast_words(one.drift, one.forecasts, one.horizon_months, sides)
    ahead = [text for text in texts if not text.endswith("not ahead")]
    return "; ".join(ahead) or ("not ahead" if texts else "no limit to meet")


def _floor_note(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    if not any(
        isinstance(one.drift, Drift) and one.drift.floor_acted
        for one in evaluation.measured
    ):
        return []
    words = (
        "* the scatter of the points is smaller than half the resolution of one "
        "reading, which stands in its place."
    )
    return [paragraph(words, styles.small, styles)]


def _drift_cautions(
    evaluation: Evaluation, printed: Collection[SeriesKey], styles: ReportStyles
) -> list[Flowable]:
    """Return each caution of what is printed once, with the series it holds for."""
    found: dict[tuple[str, bool], list[str]] = {}
    for one in evaluation.measured:
        if isinstance(one.drift, Drift) and one.key not in printed:
            continue
        place = series_place(one, with_settings=_many_settings(evaluation, one))
        for caution in one.cautions:
            key = (caution.text, caution.blocks_extrapolation)
            found.setdefault(key, []).append(f"{in_words(one.key.attribute)}: {place}")
    if not found:
        return []
    rows: list[TableRow] = [
        [
            text,
            few_named(places, LINES_FILE),
            Mark("no extrapolation", "◆") if blocks else "caution",
        ]
        for (text, blocks), places in found.items()
    ]
    columns = (shared("Caution", 1.6), shared("Series"), Fitted("Consequence", 32))
    return [
        *heading("Cautions of the lines", 2, styles, keep_mm=40),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def trend_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return readings out of trend, with tests made and alerts expected by chance."""
    story = heading("Out of trend", 1, styles, anchor="trend", keep_mm=40)
    story.append(
        paragraph(
            evaluation.trend.text
            if evaluation.trend.made
            else "No series has the four earlier checks that a test needs.",
            styles.body,
            styles,
        )
    )
    alarms = only_alarms(evaluation)
    if alarms:
        words = alerts_left_text(evaluation.trend)
        story.append(paragraph(words, styles.body, styles))
    story += _alerts(evaluation, styles, alarms=alarms)
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


def _alerts(
    evaluation: Evaluation, styles: ReportStyles, *, alarms: bool
) -> list[Flowable]:
    rows: list[TableRow] = [
        [
            one.key.text(),
            check_text(test.check or "extra"),
            test.day.isoformat(),
            Mark(test.result.outcome, "◇", strong=test.result.outcome == "alarm"),
            test.result.text,
        ]
        for one in evaluation.measured
        for test in trend_in_print(one, alarms=alarms)
    ]
    if not rows:
        return []
    columns = (
        shared("Series"),
        Fitted("Check", 20),
        Fitted("Read"),
        Fitted("Outcome"),
        shared("In words", 1.6),
    )
    return [record_table(fitted_columns(columns, rows, styles), rows, styles)]
