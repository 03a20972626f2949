"""From recorded readings to points that a line can be fitted to.

The only place where a recorded `Decimal` becomes a float.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from stability.model.age import DAYS_PER_MONTH
from stability.model.estimate import Bound, Side
from stability.model.limit import Band, Limit


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of one container, as a number."""

    #: Check it belongs to, such as "3M"; an extra reading has a name of its own.
    check: str
    #: Container it was read from.
    container: str
    #: Actual age [months].
    age: float
    #: Value [attribute's unit].
    value: float


@dataclass(frozen=True, slots=True)
class Points:
    """One point per check of one series, with the spread behind it."""

    #: Names of the checks, in the order of age.
    checks: tuple[str, ...]
    #: Mean age of the containers of each check [months].
    ages: tuple[float, ...]
    #: Mean of the containers' means of each check [attribute's unit].
    values: tuple[float, ...]
    #: Containers behind each point [-].
    containers: tuple[int, ...]
    #: Standard deviation of readings within a container [attribute's unit]; None
    #: without repeated readings. For planning; no interval of a line uses it.
    reading_sd: float | None
    #: Standard deviation of containers' means within a check [attribute's unit]; None
    #: where each check had one container. For planning.
    container_sd: float | None


def months(days: float) -> float:
    """Return an age in months, for fits only.

    Parameters
    ----------
    days : float
        From placing to the reading. [days]

    Returns
    -------
    float
        Days / 30.4375. [months]

    Examples
    --------
    >>> months(365.25)
    12.0
    """
    return days / DAYS_PER_MONTH


def check_points(readings: Iterable[Reading]) -> Points:
    """Average readings to one point per check: the unit of the fit.

    Parameters
    ----------
    readings : iterable of Reading
        Of one series, none with a qualifier.

    Returns
    -------
    Points
        Readings of one container are averaged, then the containers of one check.

    Notes
    -----
    Containers read on one day share that day's error. As separate points they would
    raise the degrees of freedom without adding what those claim. Common practice.

    Examples
    --------
    >>> read = [Reading("T0", "a", 0, 5.5), Reading("T0", "b", 0, 5.3)]
    >>> check_points(read).values
    (5.4,)
    """
    grouped: dict[str, dict[str, list[Reading]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for reading in readings:
        grouped[reading.check][reading.container].append(reading)
    rows = []
    within: list[list[float]] = []
    between: list[list[float]] = []
    for check, containers in grouped.items():
        means = [_mean([r.value for r in one]) for one in containers.values()]
        ages = [_mean([r.age for r in one]) for one in containers.values()]
        within.extend([r.value for r in one] for one in containers.values())
        between.append(means)
        rows.append((_mean(ages), check, _mean(means), len(means)))
    rows.sort()
    return Points(
        checks=tuple(row[1] for row in rows),
        ages=tuple(row[0] for row in rows),
        values=tuple(row[2] for row in rows),
        containers=tuple(row[3] for row in rows),
        reading_sd=_pooled_sd(within),
        container_sd=_pooled_sd(between),
    )


def _mean(values: Sequence[float]) -> float:
    if len(set(values)) == 1:
        return float(values[0])
    return math.fsum(values) / len(values)


def _pooled_sd(groups: Sequence[Sequence[float]]) -> float | None:
    df = sum(len(group) - 1 for group in groups)
    if df < 1:
        return None
    squares = math.fsum(
        (value - _mean(group)) ** 2 for group in groups for value in group
    )
    return math.sqrt(squares / df)


def bounds_of(limit: Limit) -> tuple[Bound, ...]:
    """Return the sides of a limit as numbers; none for scores and statements.

    Parameters
    ----------
    limit : Limit
        As the protocol states it.

    Returns
    -------
    tuple of Bound
        Absolute first, then change, then share of initial.

    Examples
    --------
    >>> bounds_of(Limit(absolute=Band(lowest=Decimal("5.0"))))
    (Bound(kind='absolute', side='lower', amount=5.0),)
    """
    if limit.recorded_only:
        return ()
    found = [Bound("absolute", *end) for end in _ends(limit.absolute)]
    found += [Bound("change", *end) for end in _ends(limit.change)]
    found += [
        Bound("share", side, amount / 100)
        for side, amount in _ends(limit.percent_of_initial)
    ]
    return tuple(found)


def _ends(band: Band | None) -> list[tuple[Side, float]]:
    ends: list[tuple[Side, float]] = []
    if band is not None and band.lowest is not None:
        ends.append(("lower", float(band.lowest)))
    if band is not None and band.highest is not None:
        ends.append(("upper", float(band.highest)))
    return ends


def frozen_at_start(
    bounds: Sequence[Bound], initial: Decimal | float
) -> tuple[Bound, ...]:
    """Return bounds relative to initial as the numbers they became at T0.

    Parameters
    ----------
    bounds : sequence of Bound
        Of a limit that the protocol declares frozen at T0.
    initial : Decimal or float
        The initial value. [attribute's unit]

    Returns
    -------
    tuple of Bound
        All absolute.

    Examples
    --------
    >>> frozen_at_start([Bound("share", "lower", 0.8)], 100.0)
    (Bound(kind='absolute', side='lower', amount=80.0),)
    """
    start = float(initial)
    amounts = {
        "absolute": lambda amount: amount,
        "change": lambda amount: start + amount,
        "share": lambda amount: start * amount,
    }
    return tuple(
        Bound("absolute", bound.side, amounts[bound.kind](bound.amount))
        for bound in bounds
    )


def step_as_written(values: Iterable[Decimal]) -> float | None:
    """Return the step that readings were written to, where none is declared.

    Parameters
    ----------
    values : iterable of Decimal
        Single readings as typed. [attribute's unit]

    Returns
    -------
    float or None
        One unit of the last digit of the finest reading; None without readings.
        [attribute's unit]

    Examples
    --------
    >>> step_as_written([Decimal("5.50"), Decimal("5.4")])
    0.01
    """
    exponents = [value.as_tuple().exponent for value in values]
    finest = min((e for e in exponents if isinstance(e, int)), default=None)
    return None if finest is None else float(Decimal(1).scaleb(finest))
