"""What a figure of drift shows: chosen series with lines, bands, limits, forecasts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stability.evaluation.curves import judged_curve, multiplier_of
from stability.evaluation.findings import Evaluation
from stability.evaluation.series import MeasuredSeries
from stability.model.estimate import Bound, Drift, Forecast, NoFit, Terms, back
from stability.model.forecast_words import (
    forecast_time,
    interval_text,
    naming_months,
)
from stability.model.names import in_words
from stability.report.outlook_panels import (
    AgeMark,
    Meeting,
    OutlookLine,
    OutlookPanel,
)
from stability.report.outlook_words import (
    STEPS,
    amount_words,
    axis_end,
    drawn_as,
    limit_lines,
    listed,
    looks_of,
    months_marks,
    panel_points,
    value_title,
)
from stability.report.panels import LimitLine

# Bands are drawn for each of so many series of a panel; of more, for none.
_MOST_BANDS = 4
_MOST_MEETINGS = 4
_LONGEST_REASON = 60


@dataclass(frozen=True, slots=True)
class _View:
    """What the lines of one panel have in common."""

    #: terms of the limit
    terms: Terms
    #: where the axis ends [months]
    end: float
    #: what is named in the panel
    meetings: tuple[Meeting, ...]
    #: whether bands are drawn
    banded: bool


def drift_panels(
    evaluation: Evaluation, series: Sequence[MeasuredSeries]
) -> list[OutlookPanel]:
    """Return a panel for each attribute, condition, pack and terms of the limit.

    Parameters
    ----------
    evaluation
        The evaluation.
    series
        Those to be drawn, in order; those without a point are left out.
    """
    groups: dict[tuple[str, ...], list[MeasuredSeries]] = {}
    for one in series:
        if one.points:
            key = one.key
            place = (key.attribute, key.condition, key.pack, key.twin_of)
            settings = tuple(f"{name} {value}" for name, value in key.settings)
            groups.setdefault((*place, *settings), []).append(one)
    return [
        _panel(evaluation, _named(here), terms)
        for here in groups.values()
        for terms in _terms(here)
    ]


def _terms(series: Iterable[MeasuredSeries]) -> list[Terms]:
    found = dict.fromkeys(bound.kind for one in series for bound in one.bounds)
    return list(found) or ["absolute"]


def _named(series: Sequence[MeasuredSeries]) -> dict[str, MeasuredSeries]:
    """Return name -> series: the batch, with the container where it has several."""
    batches = [one.key.batch for one in series]
    return {
        one.key.batch
        if batches.count(one.key.batch) == 1
        else f"{one.key.batch} ({one.key.sample or 'fresh containers'})": one
        for one in series
    }


def _panel(
    evaluation: Evaluation, named: Mapping[str, MeasuredSeries], terms: Terms
) -> OutlookPanel:
    first = next(iter(named.values()))
    fitted = [one for one in named.values() if isinstance(one.drift, Drift)]
    marks = _marks(first) if fitted else ()
    forecasts = [
        (name, one, each)
        for name, one in named.items()
        for each in one.forecasts
        if isinstance(each, Forecast) and each.bound.kind == terms
    ]
    meets = [each.months for *_, each in forecasts if each.months is not None]
    end = axis_end([mark.age for mark in marks], named.values(), meets)
    meetings = _meetings(forecasts, terms, end)
    looks = looks_of(named, evaluation.identity.study.batches)
    view = _View(terms, end, tuple(meetings), banded=len(fitted) <= _MOST_BANDS)
    return OutlookPanel(
        title=_title(first),
        value_title=value_title(first.key.attribute, first.unit, terms),
        lines=tuple(_line(name, one, looks[name], view) for name, one in named.items()),
        limits=_limits(named.values(), terms),
        meetings=tuple(meetings),
        marks=marks,
        end=end,
        edge_text=_edge_text(fitted) if view.banded else "",
    )


def _title(one: MeasuredSeries) -> str:
    key = one.key
    where = f"untreated twin of {key.twin_of}" if key.twin_of else key.condition
    parts = [f"{key.pack or 'bulk'} at {where} ({one.role})"]
    parts += [f"{name} {value}" for name, value in key.settings]
    return f"{in_words(key.attribute)} · {', '.join(parts)}"


def _marks(one: MeasuredSeries) -> tuple[AgeMark, ...]:
    """Return the life asked for, or the last check planned."""
    if one.horizon_months <= 0:
        return ()
    if one.horizon_text.endswith("asked for"):
        return months_marks([(one.horizon_months, "asked for", "asked")])
    return (AgeMark(one.horizon_months, one.horizon_text, "other"),)


def _limits(series: Iterable[MeasuredSeries], terms: Terms) -> tuple[LimitLine, ...]:
    found: dict[Bound, LimitLine] = {}
    for one in series:
        for bound in one.bounds:
            lines = limit_lines([bound], one.limit, one.unit, terms)
            found.update((bound, line) for line in lines)
    return tuple(found.values())


def _meetings(
    forecasts: Iterable[tuple[str, MeasuredSeries, Forecast]], terms: Terms, end: float
) -> list[Meeting]:
    """Return where lines meet limits inside the panel, the first ones named there."""
    found = [
        Meeting(
            each.months,
            drawn_as(each.bound.amount, terms),
            _meeting_text(name, one, each),
        )
        for name, one, each in forecasts
        if each.months is not None and each.months <= min(end, _until(one))
    ]
    return sorted(found, key=lambda one: one.age)[:_MOST_MEETINGS]


def _meeting_text(name: str, one: MeasuredSeries, each: Forecast) -> str:
    return f"{listed([name])}: {_forecast_words(one, each)}"


def _forecast_words(one: MeasuredSeries, each: Forecast) -> str:
    """Return when a line meets a bound, with the interval of that time."""
    text = f"line meets {amount_words(each.bound, one.limit, one.unit)}"
    text += f" at {each.months:.1f} months"
    if each.earliest is None:
        return text
    return f"{text} ({interval_text(each, _until(one))})"


def _until(one: MeasuredSeries) -> int:
    """Return up to which age a time is named [months]."""
    read = one.drift.last_age if isinstance(one.drift, Drift) else 0.0
    return naming_months(read, one.horizon_months)


def _line(name: str, one: MeasuredSeries, look: int, view: _View) -> OutlookLine:
    if isinstance(one.drift, NoFit):
        points = panel_points(one, None, view.terms)
        return OutlookLine(name, look, points, said=_no_line(one.drift))
    drift = one.drift
    points = panel_points(one, back(drift.intercept, drift.scale), view.terms)
    ages = [view.end * step / STEPS for step in range(STEPS + 1)]
    made = judged_curve(drift, view.terms, ages, multiplier_of(drift))
    said = _said(name, one, view)
    if made is None:
        return OutlookLine(name, look, points, said=said)
    line, lower, upper = (
        tuple(drawn_as(value, view.terms) for value in drawn)
        for drawn in (made.line, made.lower, made.upper)
    )
    edges = (lower, upper) if view.banded else ()
    return OutlookLine(name, look, points, made.ages, line, edges, said)


def _no_line(reason: NoFit) -> str:
    """Return why there is no line, where that is short; the listing says it whole."""
    text = reason.text.rstrip(".")
    short = len(text) <= _LONGEST_REASON
    return f"no line: {text[:1].lower()}{text[1:]}" if short else "no line"


def _said(name: str, one: MeasuredSeries, view: _View) -> str:
    """Return the forecast that the panel itself does not show."""
    words = [
        each.text if isinstance(each, NoFit) else _outlook(name, one, each, view)
        for each in one.forecasts
        if isinstance(each, NoFit) or each.bound.kind == view.terms
    ]
    ahead = [text for text in dict.fromkeys(words) if text]
    in_place = any(
        text.startswith(f"{listed([name])}: ") for text in _named_there(view)
    )
    if ahead or in_place or not words:
        return "; ".join(ahead)
    return "no limit ahead"


def _named_there(view: _View) -> set[str]:
    return {meeting.text for meeting in view.meetings}


def _outlook(name: str, one: MeasuredSeries, each: Forecast, view: _View) -> str:
    limit = amount_words(each.bound, one.limit, one.unit)
    if each.outcome == "outside":
        return f"fitted start beyond {limit}"
    until = _until(one)
    if each.months is not None and each.months <= until:
        text = _forecast_words(one, each)
        if each.months > view.end:
            return f"{text}, beyond this axis →"
        return "" if _meeting_text(name, one, each) in _named_there(view) else text
    if each.outcome in {"within", "from"}:
        return f"{limit}: {forecast_time(each, until)}"
    return f"{limit}: cannot be told from the start" if each.outcome == "now" else ""


def _edge_text(fitted: Sequence[MeasuredSeries]) -> str:
    shares = [one.drift.confidence for one in fitted if isinstance(one.drift, Drift)]
    return f"thin: two-sided {100 * shares[0]:g} % band of the line" if shares else ""
