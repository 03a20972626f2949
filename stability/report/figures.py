"""One drift figure per measured attribute, with conditions as panels on one scale."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from functools import partial

from matplotlib.figure import Figure

from stability.evaluation.curves import curve
from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries, SeriesKey
from stability.model.age import T0, check_order
from stability.model.estimate import Bound, Drift
from stability.report.figure_marks import (
    Beside,
    beside_of,
    mark_of,
    missed_ages,
    nominal_months,
)
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.panels import (
    AgeAxis,
    FittedBand,
    LimitLine,
    Panel,
    PanelPoint,
    PanelSeries,
)
from stability.report.plotting import drift_figure
from stability.report.readings_table import PLAIN_UNITS, titled
from stability.report.renderer import PlannedFigure
from stability.report.series_in_print import series_drawn
from stability.report.text import shortened

_STEPS = 24
# A band behind one degree of freedom is so wide that it hides what was read.
_LEAST_DF = 2
_MOST_BANDS = 4
_LONGEST_NAME, _NAME_SIZE = 28, 6.0
# Mean width of a letter, in shares of its size.
_LETTER = 0.62
# Series that one panel holds, so that each can be read.
_MOST_TOGETHER = 4
# Panels drawn as one piece: one row, so that pieces fill a page that text has begun.
_MOST_PANELS = 2
_WIDTH_MM = 170.0


def attribute_figures(evaluation: Evaluation, attribute: str) -> list[Figure]:
    """Draw the readings of one measured attribute; see `planned_figures`."""
    return [one.make() for one in planned_figures(evaluation, attribute)]


def planned_figures(
    evaluation: Evaluation, attribute: str, fonts: ReportFonts | None = None
) -> list[PlannedFigure]:
    """Plan the readings of one measured attribute against age, condition by condition.

    A condition with many series is drawn in several panels: pack by pack, and a few
    batches at a time where a pack has many. Of a study with very many, the panels are
    drawn that hold a series of note.

    Parameters
    ----------
    evaluation
        What is drawn.
    attribute
        Name of the attribute.
    fonts
        In which names are printed; None: those of the report alone.

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
    drawn = series_drawn(evaluation)
    batches = tuple(evaluation.identity.study.batches)
    beside = beside_of(evaluation, attribute, fonts or load_fonts())
    panels, axes = [], []
    for condition in dict.fromkeys(one.key.condition for one in series):
        here = [one for one in series if one.key.condition == condition]
        for where, part in _parts(here, drawn):
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
    series: Sequence[MeasuredSeries], drawn: Collection[SeriesKey]
) -> list[tuple[str, list[MeasuredSeries]]]:
    """Return the series of each panel that holds one drawn, with what sets it apart."""
    return [
        (where, part)
        for where, part in _every_part(series)
        if any(one.key in drawn for one in part)
    ]


def _every_part(
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
    beside: Beside,
) -> AgeAxis:
    """Return ages at checks of the condition, up to the first check not yet reached."""
    rule = evaluation.identity.protocol.conditions.get(condition)
    ages = [point.age_months for one in series for point in one.points]
    ages += [age for one in series for age in missed_ages(evaluation, one, beside)]
    last = max(ages)
    ticks, labels = [0.0], [T0]
    for check in sorted(rule.all_checks if rule else (), key=check_order):
        ticks.append(nominal_months(check, rule.hours_per_cycle if rule else 0.0))
        labels.append(check)
        if ticks[-1] > last:
            break
    end = max(last, ticks[-1], 0.1)
    return AgeAxis(tuple(ticks), tuple(labels), "age from placing", end * 1.02)


def _panel(
    evaluation: Evaluation,
    condition: str,
    where: str,
    series: Sequence[MeasuredSeries],
    beside: Beside,
    *,
    looks: Mapping[SeriesKey, int],
) -> Panel:
    first, fonts = series[0], beside.fonts
    rule = evaluation.identity.protocol.conditions.get(condition)
    role = f" ({rule.role})" if rule else ""
    banded = [one for one in series if _has_band(one)]
    few = len(banded) <= _MOST_BANDS
    bands = [_line(one, looks[one.key], banded=few and one in banded) for one in series]
    several = _several_containers(series)
    return Panel(
        title=_short(f"{condition}{role}", fonts)
        + (f" · {_short(where, fonts)}" if where else ""),
        value_title=_short(titled(first.key.attribute, first.unit), fonts),
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
    beside: Beside,
    *,
    numbered: bool,
) -> PanelSeries:
    label = _label(one, beside.fonts)
    if numbered and one.key.sample:
        code = one.key.sample.removeprefix(f"{evaluation.identity.study.code}-")
        label = f"{label} {code}"
    return PanelSeries(
        label=label,
        look=look,
        points=tuple(
            PanelPoint(
                point.age_months, float(point.value), mark_of(one, point, beside)
            )
            for point in one.points
            if point.value is not None
        ),
        missed=missed_ages(evaluation, one, beside),
        joined=not isinstance(one.drift, Drift),
    )


def _label(one: MeasuredSeries, fonts: ReportFonts) -> str:
    parts = [one.key.batch, one.key.pack]
    if one.key.twin_of:
        parts.append("twin")
    return _short(" ".join(part for part in parts if part), fonts)


def _short(text: str, fonts: ReportFonts) -> str:
    """Cut a name that would leave its panel no room; the tables print it whole.

    What no font has is printed as its code point, and takes the room of eight letters.
    """
    return shortened(text, _NAME_SIZE, _LONGEST_NAME * _NAME_SIZE * _LETTER, fonts)


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
