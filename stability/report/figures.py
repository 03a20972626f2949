"""One drift figure per measured attribute, with conditions as panels on one scale."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from matplotlib.figure import Figure

from stability.evaluation.curves import curve
from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import CheckStatus
from stability.evaluation.series import MeasuredSeries, Point, SeriesKey
from stability.model.age import DAYS_PER_MONTH, T0, check_order, cycle_of, parse_age
from stability.model.estimate import Bound, Drift
from stability.report.panels import (
    AgeAxis,
    FittedBand,
    LimitLine,
    Panel,
    PanelPoint,
    PanelSeries,
    PointMark,
)
from stability.report.plotting import drift_figure
from stability.report.readings_table import PLAIN_UNITS, titled
from stability.report.renderer import PlannedFigure

_STEPS = 24
# A band behind one degree of freedom is so wide that it hides what was read.
_LEAST_DF = 2
_MOST_BANDS = 4
_LONGEST_NAME = 28
# Series that one panel holds, so that each can be read.
_MOST_TOGETHER = 4
# Panels drawn as one piece: one row, so that pieces fill a page that text has begun.
_MOST_PANELS = 2
_WIDTH_MM = 170.0


@dataclass(frozen=True, slots=True)
class _Beside:
    """What stands beside the readings of one attribute, gathered once."""

    #: positions of doubtful readings
    doubtful: frozenset[int]
    #: positions of readings with a deviation
    deviating: frozenset[int]
    #: sample code, or condition, batch, pack and whether a twin -> checks not made
    not_made: Mapping[object, Sequence[str]]


def attribute_figures(evaluation: Evaluation, attribute: str) -> list[Figure]:
    """Draw the readings of one measured attribute; see `planned_figures`."""
    return [one.make() for one in planned_figures(evaluation, attribute)]


def planned_figures(evaluation: Evaluation, attribute: str) -> list[PlannedFigure]:
    """Plan the readings of one measured attribute against age, condition by condition.

    A condition with many series is drawn in several panels: pack by pack, and a few
    batches at a time where a pack has many.

    Returns
    -------
    list of PlannedFigure
        Empty where nothing was read; a few panels each, all on one scale.
    """
    series = [
        one
        for one in evaluation.measured
        if one.key.attribute == attribute and one.points
    ]
    batches = tuple(evaluation.identity.study.batches)
    beside = _beside(evaluation, attribute)
    panels, axes = [], []
    for condition in dict.fromkeys(one.key.condition for one in series):
        here = [one for one in series if one.key.condition == condition]
        for where, part in _parts(here):
            looks = _looks(part, batches)
            panels.append(
                _panel(evaluation, condition, where, part, beside, looks=looks)
            )
            axes.append(_axis(evaluation, condition, part, beside))
    columns = 2 if len(panels) > 1 else 1
    height_mm = 46 if len(panels) > 2 else 58
    pieces = [
        slice(first, first + _MOST_PANELS)
        for first in range(0, len(panels), _MOST_PANELS)
    ]
    return [
        PlannedFigure(
            _WIDTH_MM,
            height_mm * math.ceil(len(panels[piece]) / columns),
            partial(
                drift_figure,
                panels[piece],
                axes[piece],
                width_mm=_WIDTH_MM,
                columns=columns,
                panel_height_mm=height_mm,
                on_scale_of=panels,
            ),
        )
        for piece in pieces
    ]


def _parts(
    series: Sequence[MeasuredSeries],
) -> list[tuple[str, list[MeasuredSeries]]]:
    """Return the series of each panel of a condition, with what sets it apart."""
    if len(series) <= _MOST_TOGETHER:
        return [("", list(series))]
    packs: dict[str, list[MeasuredSeries]] = {}
    for one in series:
        twin = "untreated twin" if one.key.twin_of else ""
        where = ", ".join(part for part in (one.key.pack or "bulk", twin) if part)
        packs.setdefault(where, []).append(one)
    return [
        (where if len(parts) == 1 else f"{where}, {_batches(part)}", part)
        for where, here in packs.items()
        for parts in [_evenly(here)]
        for part in parts
    ]


def _evenly(series: Sequence[MeasuredSeries]) -> list[list[MeasuredSeries]]:
    """Return series in parts of about the same size that one panel holds."""
    size = math.ceil(len(series) / math.ceil(len(series) / _MOST_TOGETHER))
    return [list(series[at : at + size]) for at in range(0, len(series), size)]


def _batches(series: Sequence[MeasuredSeries]) -> str:
    """Name the batches of some series: the first and the last."""
    first, last = series[0].key.batch, series[-1].key.batch
    return first if first == last else f"{first} to {last}"


def _looks(
    series: Sequence[MeasuredSeries], batches: Sequence[str]
) -> dict[SeriesKey, int]:
    """Return the look of each series: its batch's, or a further one if taken."""
    found: dict[SeriesKey, int] = {}
    further = len(batches)
    for one in series:
        look = batches.index(one.key.batch) if one.key.batch in batches else further
        if look in found.values():
            look, further = further, further + 1
        found[one.key] = look
    return found


def _axis(
    evaluation: Evaluation,
    condition: str,
    series: Sequence[MeasuredSeries],
    beside: _Beside,
) -> AgeAxis:
    """Return ages at checks of the condition, up to the first check not yet reached."""
    rule = evaluation.identity.protocol.conditions.get(condition)
    ages = [point.age_months for one in series for point in one.points]
    ages += [age for one in series for age in _missed(evaluation, one, beside)]
    last = max(ages)
    ticks, labels = [0.0], [T0]
    for check in sorted(rule.all_checks if rule else (), key=check_order):
        ticks.append(_nominal_months(check, rule.hours_per_cycle if rule else 0.0))
        labels.append(check)
        if ticks[-1] > last:
            break
    end = max(last, ticks[-1], 0.1)
    return AgeAxis(tuple(ticks), tuple(labels), "age from placing", end * 1.02)


def _nominal_months(check: str, hours_per_cycle: float) -> float:
    cycle = cycle_of(check)
    if cycle is not None:
        return cycle * hours_per_cycle / 24 / DAYS_PER_MONTH
    age = parse_age(check)
    return 0.0 if age is None else age.nominal_days / DAYS_PER_MONTH


def _panel(
    evaluation: Evaluation,
    condition: str,
    where: str,
    series: Sequence[MeasuredSeries],
    beside: _Beside,
    *,
    looks: Mapping[SeriesKey, int],
) -> Panel:
    first = series[0]
    rule = evaluation.identity.protocol.conditions.get(condition)
    role = f" ({rule.role})" if rule else ""
    banded = [one for one in series if _has_band(one)]
    few = len(banded) <= _MOST_BANDS
    bands = [_line(one, looks[one.key], banded=few and one in banded) for one in series]
    several = _several_containers(series)
    return Panel(
        title=_short(f"{condition}{role}") + (f" · {_short(where)}" if where else ""),
        value_title=_short(titled(first.key.attribute, first.unit)),
        series=tuple(
            _series(
                evaluation,
                one,
                looks[one.key],
                beside,
                numbered=_batch_and_pack(one) in several,
            )
            for one in series
        ),
        limits=_limits(series),
        bands=tuple(band for band in bands if band is not None),
    )


def _batch_and_pack(one: MeasuredSeries) -> tuple[str, str, str]:
    return one.key.batch, one.key.pack, one.key.twin_of


def _several_containers(
    series: Sequence[MeasuredSeries],
) -> set[tuple[str, str, str]]:
    """Return batch and pack of which more than one container is a series."""
    count = Counter(_batch_and_pack(one) for one in series)
    return {place for place, number in count.items() if number > 1}


def _series(
    evaluation: Evaluation,
    one: MeasuredSeries,
    look: int,
    beside: _Beside,
    *,
    numbered: bool,
) -> PanelSeries:
    label = _label(one)
    if numbered and one.key.sample:
        code = one.key.sample.removeprefix(f"{evaluation.identity.study.code}-")
        label = f"{label} {code}"
    return PanelSeries(
        label=label,
        look=look,
        points=tuple(
            PanelPoint(point.age_months, float(point.value), _mark(one, point, beside))
            for point in one.points
            if point.value is not None
        ),
        missed=_missed(evaluation, one, beside),
        joined=not isinstance(one.drift, Drift),
    )


def _label(one: MeasuredSeries) -> str:
    parts = [one.key.batch, one.key.pack]
    if one.key.twin_of:
        parts.append("twin")
    return _short(" ".join(part for part in parts if part))


def _short(text: str) -> str:
    """Cut a name that would leave its panel no room; the tables print it whole."""
    return text if len(text) <= _LONGEST_NAME else f"{text[: _LONGEST_NAME - 1]}…"


def _mark(one: MeasuredSeries, point: Point, beside: _Beside) -> PointMark:
    if point.outside:
        return "outside"
    out = any(
        test.result.is_out and test.check == point.check and test.day == point.day
        for test in one.trend_tests
    )
    if out:
        return "out of trend"
    if beside.doubtful.intersection(point.positions):
        return "doubtful"
    return "deviation" if beside.deviating.intersection(point.positions) else ""


def _missed(
    evaluation: Evaluation, one: MeasuredSeries, beside: _Beside
) -> tuple[float, ...]:
    """Return nominal ages of checks of this series that are over and were not made."""
    rule = evaluation.identity.protocol.conditions.get(one.key.condition)
    hours = rule.hours_per_cycle if rule else 0.0
    key = one.key
    place = key.sample or (key.condition, key.batch, key.pack, bool(key.twin_of))
    checks = beside.not_made.get(place, ())
    return tuple(sorted({_nominal_months(check, hours) for check in checks}))


def _beside(evaluation: Evaluation, attribute: str) -> _Beside:
    here = [
        one
        for one in evaluation.judged
        if one.attribute == attribute and one.takes_part
    ]
    not_made: dict[object, list[str]] = {}
    for status in evaluation.checks:
        check, sample = status.planned.check, status.sample
        if check != T0 and _not_made(status, attribute):
            twin = sample.twin_of is not None
            place = (sample.condition, sample.batch, sample.pack or "", twin)
            not_made.setdefault(place, []).append(check)
            not_made.setdefault(sample.code, []).append(check)
    return _Beside(
        doubtful=frozenset(one.position for one in here if one.is_doubtful),
        deviating=frozenset(one.position for one in here if one.deviations),
        not_made=not_made,
    )


def _not_made(status: CheckStatus, attribute: str) -> bool:
    """Say whether one attribute of a check is over and was not read."""
    if any(due[0] == attribute for due, _ in status.not_measured):
        return True
    over = status.is_missed or status.is_unrecorded
    return over and any(due[0] == attribute for due in status.remaining)


def _has_band(one: MeasuredSeries) -> bool:
    return isinstance(one.drift, Drift) and one.drift.df >= _LEAST_DF


def _line(one: MeasuredSeries, look: int, *, banded: bool) -> FittedBand | None:
    if not isinstance(one.drift, Drift):
        return None
    last = one.drift.last_age
    ages = [last * step / _STEPS for step in range(_STEPS + 1)]
    drawn = curve(one.drift, ages)
    if not banded:
        return FittedBand(drawn.ages, drawn.line, look=look)
    return FittedBand(drawn.ages, drawn.line, drawn.lower, drawn.upper, look=look)


def _limits(series: Sequence[MeasuredSeries]) -> tuple[LimitLine, ...]:
    """Return each limit once; one relative to initial for each batch's own initial.

    Lines of one bound are named once, at the outermost, where none crosses the words.
    """
    by_bound: dict[Bound, set[float]] = {}
    for one in series:
        for bound in one.bounds:
            value = _bound_value(one, bound)
            if value is not None:
                by_bound.setdefault(bound, set()).add(round(value, 9))
    return tuple(
        LimitLine(
            value,
            _limit_text(bound, series[0].unit)
            if value == _outermost(bound, values)
            else "",
            "below" if bound.side == "lower" else "above",
        )
        for bound, values in by_bound.items()
        for value in sorted(values)
    )


def _outermost(bound: Bound, values: set[float]) -> float:
    return min(values) if bound.side == "lower" else max(values)


def _limit_text(bound: Bound, unit: str) -> str:
    words = "lowest" if bound.side == "lower" else "highest"
    return f"{words}: {_amount(bound, unit)}"


def _amount(bound: Bound, unit: str) -> str:
    suffix = "" if unit in PLAIN_UNITS else f" {unit}"
    if bound.kind == "share":
        return f"{100 * bound.amount:g} % of initial"
    if bound.kind == "change":
        sign = "+" if bound.amount >= 0 else "−"
        return f"initial {sign} {abs(bound.amount):g}{suffix}"
    return f"{bound.amount:g}{suffix}"


def _bound_value(one: MeasuredSeries, bound: Bound) -> float | None:
    if bound.kind == "absolute":
        return bound.amount
    first = one.points[0]
    if first.age_days > 0 or first.value is None:
        return None
    initial = float(first.value)
    return initial + bound.amount if bound.kind == "change" else initial * bound.amount
