"""Words and scales that figures of an outlook share: titles, limits, marks, points."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from stability.evaluation.curves import judged_value
from stability.evaluation.series import MeasuredSeries, Point
from stability.model.estimate import Bound, Terms
from stability.model.limit import Band, Limit
from stability.model.names import in_words
from stability.report.outlook_panels import AgeMark, MarkKind
from stability.report.panels import LimitLine, PanelPoint, PointMark
from stability.report.readings_table import PLAIN_UNITS

#: Steps in which a line is drawn [-].
STEPS = 40
# An axis is made so much longer where a line or bound meets its limit there [-].
_LONGER = 1.35
_LONGEST_LIST = 24
_ORDER = ("asked", "cap", "shown", "other")


def value_title(attribute: str, unit: str, terms: Terms) -> str:
    """Return what the values of a panel are."""
    if terms == "share":
        return f"{in_words(attribute)}\n[% of fitted start]"
    suffix = "" if unit in PLAIN_UNITS else f" [{unit}]"
    if terms == "change":
        return f"{in_words(attribute)}, change\nfrom fitted start{suffix}"
    return f"{in_words(attribute)}{suffix}"


def drawn_as(value: float, terms: Terms) -> float:
    """Return a value in the terms of a limit as it is drawn: shares in per cent."""
    return 100 * value if terms == "share" else value


def amount_words(bound: Bound, limit: Limit, unit: str) -> str:
    """Return the value of a bound in words, with its digits as the protocol has it."""
    suffix = "" if unit in PLAIN_UNITS else f" {unit}"
    amount = _as_typed(bound, limit)
    if bound.kind == "share":
        return f"{amount} % of initial"
    if bound.kind == "change":
        sign = "−" if amount.startswith("-") else "+"
        return f"initial {sign} {amount.lstrip('+-')}{suffix}"
    return f"{amount}{suffix}"


def _as_typed(bound: Bound, limit: Limit) -> str:
    bands: dict[Terms, Band | None] = {
        "absolute": limit.absolute,
        "change": limit.change,
        "share": limit.percent_of_initial,
    }
    band = bands[bound.kind]
    drawn = drawn_as(bound.amount, bound.kind)
    if band is not None:
        typed = band.lowest if bound.side == "lower" else band.highest
        if typed is not None and abs(float(typed) - drawn) < 1e-9 * max(1, abs(drawn)):
            return str(typed)
    return f"{drawn:.4g}"


def limit_lines(
    bounds: Iterable[Bound], limit: Limit, unit: str, terms: Terms
) -> tuple[LimitLine, ...]:
    """Return the bounds that are stated in some terms, each named in words."""
    words = {"lower": "lowest", "upper": "highest"}
    return tuple(
        LimitLine(
            drawn_as(bound.amount, terms),
            f"{words[bound.side]}: {amount_words(bound, limit, unit)}",
            "below" if bound.side == "lower" else "above",
        )
        for bound in bounds
        if bound.kind == terms
    )


def panel_points(
    series: MeasuredSeries, start: float | None, terms: Terms
) -> tuple[PanelPoint, ...]:
    """Return the points of a series in the terms of a limit.

    Parameters
    ----------
    series
        The series.
    start
        Fitted start [attribute's unit]; None where there is no line: then the initial
        value stands for it.
    terms
        Terms of the limit.
    """
    if start is None:
        first = series.points[0] if series.points else None
        known = first is not None and first.age_days <= 0 and first.value is not None
        start = float(first.value) if known and first and first.value else None
    if start is None and terms != "absolute":
        return ()
    found = []
    for point in series.points:
        if point.value is None:
            continue
        value = judged_value(float(point.value), start or 0.0, terms)
        if value is not None:
            mark = _mark(series, point)
            found.append(PanelPoint(point.age_months, drawn_as(value, terms), mark))
    return tuple(found)


def _mark(series: MeasuredSeries, point: Point) -> PointMark:
    if point.outside:
        return "outside"
    out = any(
        test.result.is_out and (test.check, test.day) == (point.check, point.day)
        for test in series.trend_tests
    )
    return "out of trend" if out else ""


def looks_of(
    named: Mapping[str, MeasuredSeries], batches: Iterable[str]
) -> dict[str, int]:
    """Return name -> look: a batch looks as in every figure, its containers differ."""
    order = {batch: at for at, batch in enumerate(batches)}
    found: dict[str, int] = {}
    further = len(order)
    for name, one in named.items():
        look = order.get(one.key.batch, further)
        if look in found.values():
            look, further = further, further + 1
        found[name] = look
    return found


def listed(names: Sequence[str]) -> str:
    """Return names with commas; where that is long, how many there are.

    Examples
    --------
    >>> listed(["A", "B"]), listed(["first kettle", "second kettle", "third kettle"])
    ('A, B', '3 of them')
    """
    text = ", ".join(names)
    if len(text) <= _LONGEST_LIST:
        return text
    if len(names) > 1:
        return f"{len(names)} of them"
    return f"{text[: _LONGEST_LIST - 1].rstrip()}…"


def axis_end(
    ages: Iterable[float], series: Iterable[MeasuredSeries], meets: Iterable[float]
) -> float:
    """Return where the axis ends [months].

    It holds every mark and reading, and what meets a limit a little further on.

    Parameters
    ----------
    ages
        Ages that are marked [months].
    series
        The series that are drawn.
    meets
        Ages at which lines or bounds meet their limits [months].
    """
    read = [one.points[-1].age_months for one in series if one.points]
    end = max([*ages, *read, 0.5])
    near = [age for age in meets if age <= _LONGER * end]
    return 1.04 * max([end, *near])


def months_marks(
    marks: Sequence[tuple[float, str, MarkKind]],
) -> tuple[AgeMark, ...]:
    """Return marks in order of age, those of one age as one.

    Parameters
    ----------
    marks
        Age [months], name such as "cap", and what it is.

    Examples
    --------
    >>> marks = months_marks([(24, "asked for", "asked"), (24, "cap", "cap")])
    >>> [mark.text for mark in marks]
    ['asked for, cap: 24 months']
    """
    found: dict[float, list[tuple[str, MarkKind]]] = {}
    for age, name, kind in marks:
        if age > 0:
            found.setdefault(round(age, 6), []).append((name, kind))
    return tuple(
        AgeMark(
            age,
            f"{', '.join(name for name, _ in here)}: {age:g} months",
            min((kind for _, kind in here), key=_ORDER.index),
        )
        for age, here in sorted(found.items())
    )
