"""What a figure of shelf life shows of one attribute in one pack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stability.evaluation.curves import judged_curve
from stability.evaluation.findings import Evaluation
from stability.evaluation.fitted_lives import named_series
from stability.evaluation.life_findings import AttributeLife
from stability.evaluation.series import MeasuredSeries
from stability.model.estimate import Bound, Terms, back
from stability.model.forecast_words import FARTHEST_MONTHS
from stability.model.names import in_words
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import BatchLife, Bearing, Crossing, ShelfLife
from stability.report.outlook_panels import (
    AgeMark,
    MarkKind,
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

# Bounds are drawn for each of so many batches; of more, for the governing one only.
_MOST_BOUNDS = 4
# So many meetings are named where they are; of more the first, the others beside.
_MOST_MEETINGS = 4


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One attribute in one pack, in the terms of its limit."""

    #: what the evaluation says of it
    life: AttributeLife
    #: its estimates
    fitted: ShelfLife
    #: name -> series, batches in order
    named: Mapping[str, MeasuredSeries]
    #: name -> place in the order of looks
    looks: Mapping[str, int]
    #: terms of the limit
    terms: Terms
    #: where the axis ends [months]
    end: float

    @property
    def batches(self) -> dict[str, BatchLife]:
        """Name -> life by the estimate that carries the request."""
        return {one.batch: one for one in self.fitted.carrying.batches}

    @property
    def bearings(self) -> dict[str, Bearing]:
        """Name -> what it brings to the request."""
        return {one.batch: one for one in self.life.bearings}

    def amount(self, bound: Bound) -> str:
        """Return a bound of the limit in words."""
        return amount_words(bound, self.life.limit, self.life.unit)


def life_panels(evaluation: Evaluation, life: AttributeLife) -> list[OutlookPanel]:
    """Return a panel for each way in which the limit of an attribute is stated.

    Parameters
    ----------
    evaluation
        The evaluation.
    life
        One attribute in one pack.

    Returns
    -------
    list of OutlookPanel
        Empty for words, and where no line could be fitted.
    """
    named = _named(evaluation, life)
    if not any(one.points for one in named.values()):
        return []
    looks = looks_of(named, evaluation.identity.study.batches)
    asked = evaluation.identity.study.request.months
    marks = _marks(life, asked)
    if isinstance(life.weight_loss, WeightLossLife):
        return [_weight_panel(life, life.weight_loss, named, looks, marks)]
    if not isinstance(life.life, ShelfLife):
        return []
    ages = [mark.age for mark in marks]
    meets = [one.months for _, one in _crossings(life.life) if one.months is not None]
    end = axis_end(ages, named.values(), meets)
    return [
        _panel(_Drawn(life, life.life, named, looks, terms, end), marks)
        for terms in dict.fromkeys(one.bound.kind for _, one in _crossings(life.life))
    ]


def _named(evaluation: Evaluation, life: AttributeLife) -> dict[str, MeasuredSeries]:
    series = [
        one
        for one in evaluation.measured
        if one.key.attribute == life.attribute
        and one.key.condition == life.condition
        and one.key.pack == life.pack
        and one.role == "long-term"
    ]
    bearing = {one.batch for one in life.bearings}
    found = named_series(series)
    if life.kind == "fitted":
        return {name: one for name, one in found.items() if name in bearing}
    return found


def _crossings(fitted: ShelfLife) -> list[tuple[str, Crossing]]:
    return [
        (batch.batch, crossing)
        for batch in fitted.carrying.batches
        for crossing in batch.crossings
    ]


def _marks(life: AttributeLife, asked: int) -> tuple[AgeMark, ...]:
    """Return what is asked for, each cap, and what real time shows in every batch."""
    marks: list[tuple[float, str, MarkKind]] = [(asked, "asked for", "asked")]
    caps: dict[float, list[str]] = {}
    for one in life.bearings:
        caps.setdefault(one.cap.months, []).append(one.batch)
    marks += [
        (months, "cap" if len(caps) == 1 else f"cap of {listed(names)}", "cap")
        for months, names in caps.items()
    ]
    marks.append((life.shown.months, "shown", "shown"))
    ends = [one.ends_at for one in life.bearings if one.ends_at is not None]
    if ends:
        marks.append((min(ends), "last pass before a failure", "other"))
    return months_marks(marks)


def _panel(drawn: _Drawn, marks: tuple[AgeMark, ...]) -> OutlookPanel:
    meetings = _meetings(drawn)
    inside = [one for one in meetings if one.age <= drawn.end]
    in_place = inside if len(inside) <= _MOST_MEETINGS else inside[:1]
    said = {one.text for one in in_place}
    life = drawn.life
    return OutlookPanel(
        title=_title(life),
        value_title=value_title(life.attribute, life.unit, drawn.terms),
        lines=tuple(_line(drawn, name, said) for name in drawn.named),
        limits=limit_lines(life.bounds, life.limit, life.unit, drawn.terms),
        meetings=tuple(
            one if one in in_place else replace(one, text="") for one in inside
        ),
        marks=marks,
        end=drawn.end,
        edge_text=_edge_text(drawn),
    )


def _title(life: AttributeLife) -> str:
    return f"{in_words(life.attribute)} · {life.pack or 'bulk'} at {life.condition}"


def _meetings(drawn: _Drawn) -> list[Meeting]:
    """Return where bounds meet limits, the earliest first, equal ones as one."""
    found: dict[tuple[Bound, str, bool], list[tuple[str, float]]] = {}
    for name, one in _crossings(drawn.fitted):
        if one.bound.kind == drawn.terms and one.outcome == "crossing" and one.months:
            key = one.bound, f"{one.months:.1f}", _counts(drawn, name)
            found.setdefault(key, []).append((name, one.months))
    meetings = [
        Meeting(
            batches[0][1],
            drawn_as(bound.amount, drawn.terms),
            f"{listed([name for name, _ in batches])}: bound meets "
            f"{drawn.amount(bound)} at {months} months",
            counts,
        )
        for (bound, months, counts), batches in found.items()
    ]
    return sorted(meetings, key=lambda one: one.age)


def _counts(drawn: _Drawn, name: str) -> bool:
    """Say whether the estimate of a batch is brought to the request."""
    return drawn.bearings[name].estimate is not None


def _line(drawn: _Drawn, name: str, in_place: set[str]) -> OutlookLine:
    series, batch = drawn.named[name], drawn.batches.get(name)
    look = drawn.looks[name]
    if batch is None:
        points = panel_points(series, None, drawn.terms)
        return OutlookLine(
            name, look, points, said=_lowered(drawn.bearings[name].basis)
        )
    points = panel_points(
        series, back(batch.line.intercept, batch.line.scale), drawn.terms
    )
    judged = [one for one in batch.crossings if one.bound.kind == drawn.terms]
    ages = [drawn.end * step / STEPS for step in range(STEPS + 1)]
    made = judged_curve(batch.line, drawn.terms, ages, judged[0].multiplier)
    said = _said(drawn, batch, judged, in_place)
    if made is None:
        return OutlookLine(name, look, points, said=said)
    edges = [
        made.lower if side == "lower" else made.upper
        for side in dict.fromkeys(one.bound.side for one in judged)
    ]
    few = len(drawn.batches) <= _MOST_BOUNDS
    governs = drawn.fitted.carrying.governing.batch == name
    return OutlookLine(
        name,
        look,
        points,
        made.ages,
        _scaled(made.line, drawn.terms),
        tuple(_scaled(edge, drawn.terms) for edge in edges if few or governs),
        said,
    )


def _lowered(basis: str) -> str:
    """Return a basis as one run of words: its reason is a sentence of its own."""
    lead, colon, why = basis.partition(": ")
    return f"{lead}{colon}{why[:1].lower()}{why[1:]}"


def _scaled(values: Sequence[float], terms: Terms) -> tuple[float, ...]:
    return tuple(drawn_as(value, terms) for value in values)


def _said(
    drawn: _Drawn, batch: BatchLife, judged: Sequence[Crossing], in_place: set[str]
) -> str:
    """Return what the panel itself does not show of a batch."""
    words = [_OUTCOMES[one.outcome] for one in judged if one.outcome in _OUTCOMES]
    met = [one for one in judged if one.outcome == "crossing" and one.months]
    first = min(met, key=lambda one: one.months or 0.0, default=None)
    if first is not None and first.months is not None:
        limit = drawn.amount(first.bound)
        text = f"bound meets {limit} at {first.months:.1f} months"
        if first.months > FARTHEST_MONTHS:
            words.append(f"bound does not meet {limit} within {FARTHEST_MONTHS} months")
        elif first.months > drawn.end:
            words.append(f"{text}, beyond this axis →")
        elif not any(text in each for each in in_place):
            words.append(text)
        if not _counts(drawn, batch.batch):
            words.append(drawn.bearings[batch.batch].basis)
    elif not words:
        words.append("bound does not meet the limit")
    return "; ".join(dict.fromkeys(words))


_OUTCOMES = {
    "failed at T0": "failed at T0: 0 months",
    "start outside": "fitted start outside the limit: 0 months",
    "not precise enough": "not precise enough: no estimate",
}


def _edge_text(drawn: _Drawn) -> str:
    sided = "two-sided" if drawn.fitted.direction == "either" else "one-sided"
    share = f"{100 * drawn.fitted.confidence:g} %"
    whose = ""
    if len(drawn.batches) > _MOST_BOUNDS:
        whose = f", of {listed([drawn.fitted.carrying.governing.batch])} only"
    if sided == "two-sided":
        return f"thin: ends of the two-sided {share} interval of the mean{whose}"
    return f"thin: one-sided {share} bound of the mean{whose}"


def _weight_panel(
    life: AttributeLife,
    rates: WeightLossLife,
    named: Mapping[str, MeasuredSeries],
    looks: Mapping[str, int],
    marks: tuple[AgeMark, ...],
) -> OutlookPanel:
    """Return a panel of losses: one line through 0 for all containers together."""
    meets = [] if rates.months is None else [rates.months]
    end = axis_end([mark.age for mark in marks], named.values(), meets)
    words = "" if rates.months is None else _loss_words(rates, end)
    inside = rates.months is not None and rates.months <= end
    mean = OutlookLine(
        "mean of all containers",
        None,
        ages=(0.0, end),
        line=(0.0, rates.mean_rate * end),
        edges=((0.0, rates.upper_rate * end),),
        said="" if inside else words,
    )
    return OutlookPanel(
        title=_title(life),
        value_title=value_title(life.attribute, life.unit, "absolute"),
        lines=(
            *(
                OutlookLine(name, looks[name], panel_points(one, None, "absolute"))
                for name, one in named.items()
            ),
            mean,
        ),
        limits=limit_lines(life.bounds, life.limit, life.unit, "absolute"),
        meetings=(Meeting(rates.months, rates.limit, words),)
        if inside and rates.months is not None
        else (),
        marks=marks,
        end=end,
        edge_text=f"thin: one-sided {100 * rates.confidence:g} % bound of the mean",
    )


def _loss_words(rates: WeightLossLife, end: float) -> str:
    months = rates.months or 0.0
    if months > FARTHEST_MONTHS:
        return f"bound does not meet {rates.limit:g} % within {FARTHEST_MONTHS} months"
    beyond = ", beyond this axis →" if months > end else ""
    return f"bound meets {rates.limit:g} % at {months:.1f} months{beyond}"
