"""Which series a report prints and draws where a study has more than can be read.

Every line of a large study, drawn and listed, fills hundreds of pages that nobody
reads, and what matters drowns in them. Above the sizes declared here the report prints
what fails, drifts towards its limit, is out of trend or governs, says how many others
there are, and leaves those to the files inside it. Below them nothing is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Final

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import AttributeLife, LifeFindings
from stability.evaluation.series import MeasuredSeries, SeriesKey, TrendTest
from stability.model.estimate import Drift, Forecast
from stability.model.shelf_life import Bearing

#: Above so many series of numbers not all are printed and drawn: about 10 pages of
#: lines and 15 of figures. Our choice.
MOST_SERIES: Final = 300
#: Above so many results out of trend those between the 95 % and the 99 % limits, of
#: which chance alone gives four in a hundred tests, are not printed: about 20 pages
#: of them. Our choice.
MOST_ALERTS: Final = 400
#: Above so many lines, batch by batch, that bear the request only the shortest of each
#: attribute and pack is printed: about 10 pages of them. Our choice.
MOST_BEARINGS: Final = 200
#: Names of the files inside the report that hold what is not printed.
LINES_FILE, TREND_FILE, LIFE_FILE = "drift.csv", "out_of_trend.csv", "shelf_life.csv"


def has_many_series(evaluation: Evaluation) -> bool:
    """Say whether there are more series of numbers than are all printed and drawn."""
    return len(evaluation.measured) > MOST_SERIES


def lines_in_print(evaluation: Evaluation) -> frozenset[SeriesKey]:
    """Return the series whose lines are printed.

    Of very many: those that have something to tell, those that govern a pack, and of
    each attribute, condition and pack the one that comes nearest to its limit.
    """
    series = evaluation.measured
    if not has_many_series(evaluation):
        return frozenset(one.key for one in series)
    return _telling(evaluation) | _nearest(
        series, lambda key: (key.attribute, key.condition, key.pack)
    )


def series_drawn(evaluation: Evaluation) -> frozenset[SeriesKey]:
    """Return the series whose panels are drawn.

    Of very many: those that have something to tell, those that govern a pack, and of
    each attribute and condition the one that comes nearest to its limit.
    """
    series = evaluation.measured
    if not has_many_series(evaluation):
        return frozenset(one.key for one in series)
    return _telling(evaluation) | _nearest(
        series, lambda key: (key.attribute, key.condition)
    )


def has_something_to_tell(one: MeasuredSeries) -> bool:
    """Say whether a series is of note by itself.

    It fails, or cannot be judged; its line meets a limit within the time over which
    its drift is told; or its newest check is an alarm.
    """
    newest = one.newest_trend
    return (
        one.state in {"outside", "undecided"}
        or (newest is not None and newest.result.outcome == "alarm")
        or any(
            isinstance(each, Forecast)
            and (
                each.outcome == "outside"
                or (each.months is not None and each.months <= one.horizon_months)
            )
            for each in one.forecasts
        )
    )


def only_alarms(evaluation: Evaluation) -> bool:
    """Say whether there are so many results out of trend that alarms alone print."""
    out = (
        test.result.is_out for one in evaluation.measured for test in one.trend_tests
    )
    return sum(out) > MOST_ALERTS


def trend_in_print(one: MeasuredSeries, *, alarms: bool) -> list[TrendTest]:
    """Return what is out of trend of a series and printed.

    Parameters
    ----------
    one
        The series.
    alarms
        Whether alarms alone are printed.
    """
    return [
        test
        for test in one.trend_tests
        if test.result.is_out and (test.result.outcome == "alarm" or not alarms)
    ]


def lives_in_print(life: LifeFindings) -> list[AttributeLife]:
    """Return what each attribute brings to the request, as far as it is printed.

    Of very many batches: the one that supports the fewest months, and those that end.
    """
    if not is_long(life):
        return list(life.attributes)
    return [
        replace(one, bearings=tuple(_shortest(one.bearings)))
        for one in life.attributes
        if one.bearings
    ]


def estimates_in_print(life: LifeFindings) -> list[AttributeLife]:
    """Return the attributes whose estimates are printed.

    Of very many: in each pack and condition the one that supports the fewest months.
    """
    if not is_long(life):
        return list(life.attributes)
    fewest: dict[tuple[str, str], AttributeLife] = {}
    for one in life.attributes:
        place = (one.condition, one.pack)
        if place not in fewest or _least(one) < _least(fewest[place]):
            fewest[place] = one
    return [one for one in life.attributes if one in fewest.values()]


def is_long(life: LifeFindings) -> bool:
    """Say whether there are more lines behind a request than are printed."""
    return sum(len(one.bearings) for one in life.attributes) > MOST_BEARINGS


def _shortest(bearings: Sequence[Bearing]) -> list[Bearing]:
    least = min(bearings, key=_months)
    return [one for one in bearings if one is least or one.ends_at is not None]


def _least(life: AttributeLife) -> tuple[float, float]:
    return min(map(_months, life.bearings), default=(math.inf, math.inf))


def _months(one: Bearing) -> tuple[float, float]:
    """Return what a batch supports, and its estimate where caps are alike [months]."""
    return one.limit, math.inf if one.estimate is None else one.estimate


def _telling(evaluation: Evaluation) -> frozenset[SeriesKey]:
    found = {one.key for one in evaluation.measured if has_something_to_tell(one)}
    life = evaluation.shelf_life
    governing = [] if life is None else [one.supported.governing for one in life.packs]
    places = {
        (one.attribute, one.condition, one.pack, one.batch) for one in governing if one
    }
    return frozenset(found) | {
        one.key
        for one in evaluation.measured
        if (one.key.attribute, one.key.condition, one.key.pack, one.key.batch) in places
    }


def _nearest(
    series: Iterable[MeasuredSeries],
    place: Callable[[SeriesKey], tuple[str, ...]],
) -> frozenset[SeriesKey]:
    """Return of each place the series whose line comes nearest to its limit."""
    found: dict[tuple[str, ...], tuple[float, SeriesKey]] = {}
    for one in series:
        if isinstance(one.drift, Drift):
            here = (_room(one.drift), one.key)
            found[place(one.key)] = min(found.get(place(one.key), here), here)
    return frozenset(key for _, key in found.values())


def _room(drift: Drift) -> float:
    """Return how far the line stays from its limits over its life [its unit].

    Without a limit the fastest counts as the nearest.
    """
    change = drift.drift_over_life or 0.0
    rooms = [] if drift.room_down is None else [drift.room_down + change]
    rooms += [] if drift.room_up is None else [drift.room_up - change]
    return min(rooms, default=-abs(drift.slope))
