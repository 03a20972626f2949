"""Every measured series fitted, tested for trend and held against its limit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from stability.evaluation.grouping import first_outside, points_of, state_of
from stability.evaluation.histories import refused, resolution_of
from stability.evaluation.index import Index, unit_judged
from stability.evaluation.over_series import bends_of, lack_of
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import (
    CurvatureFinding,
    MeasuredSeries,
    Point,
    SeriesKey,
    SeriesState,
    TrendTest,
)
from stability.model.age import DAYS_PER_MONTH, T0, parse_age
from stability.model.attribute import Attribute
from stability.model.condition import Role
from stability.model.estimate import (
    Bound,
    Caution,
    Curvature,
    Drift,
    Forecast,
    LackOfFit,
    NoFit,
    OutOfTrend,
    Scale,
)
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.statistics.drift import fit_drift, least_squares
from stability.statistics.forecast import forecast
from stability.statistics.frame import bounds_of, frozen_at_start
from stability.statistics.out_of_trend import (
    ALERT,
    out_of_trend,
    p_of_each,
)

#: Conditions under which the life asked for is the length over which drift is told.
_UNDER_LIFE = ("long-term", "intermediate", "control")


def measured_series(
    index: Index, grouped: Mapping[SeriesKey, Sequence[JudgedObservation]]
) -> tuple[tuple[MeasuredSeries, ...], tuple[CurvatureFinding, ...]]:
    """Fit every measured series, then judge bending once for each group of batches.

    Parameters
    ----------
    index
        The record, looked up once.
    grouped
        Series -> observations that take part.
    """
    points = {
        key: _points(index, key, grouped[key])
        for key in in_order(index.protocol, grouped)
    }
    together = _together(index, points, grouped)
    fitted = [
        _series(index, key, grouped[key], points[key], together.get(key))
        for key in points
    ]
    bent = bends_of(fitted)
    findings = tuple(finding for finding, _ in bent)
    cautions = {
        key: finding.result.cautions
        for finding, keys in bent
        if isinstance(finding.result, Curvature)
        for key in keys
    }
    complete = tuple(
        replace(one, cautions=(*one.cautions, *cautions[one.key]))
        if cautions.get(one.key)
        else one
        for one in fitted
    )
    return complete, findings


def in_order(protocol: Protocol, keys: Iterable[SeriesKey]) -> list[SeriesKey]:
    """Return series in the protocol's order of attributes and conditions."""
    attributes = {name: place for place, name in enumerate(protocol.attributes)}
    conditions = {name: place for place, name in enumerate(protocol.conditions)}
    return sorted(
        keys,
        key=lambda key: (
            attributes[key.attribute],
            conditions.get(key.condition, -1),
            key,
        ),
    )


@dataclass(frozen=True, slots=True)
class _Points:
    """The points of a series, ready to be fitted."""

    #: In order of age.
    points: tuple[Point, ...]
    #: Whose T0 readings the first one is.
    whose: str
    #: Ages of the points that have a value [months].
    ages: tuple[float, ...]
    #: Their values [attribute's unit].
    values: tuple[float, ...]

    @property
    def whole(self) -> bool:
        """Say whether every point has a value."""
        return len(self.values) == len(self.points)


def _points(
    index: Index, key: SeriesKey, observations: Sequence[JudgedObservation]
) -> _Points:
    points, whose = points_of(index, key, observations)
    known = [one for one in points if one.value is not None]
    return _Points(
        points,
        whose,
        tuple([one.age_months for one in known]),
        tuple([_as_float(one.value) for one in known if one.value is not None]),
    )


def _as_float(value: Fraction) -> float:
    """Return the nearest float, as `float` does by way of more calls."""
    return value.numerator / value.denominator


@dataclass(frozen=True, slots=True)
class _Fitted:
    """What is worked out at once for all series of the same ages."""

    #: Intercept and slope, on the scale.
    coefficients: tuple[float, float]
    #: Two-sided p of each point against all earlier ones [-]; None where too few.
    p_of_each: list[float | None]

    @property
    def tests(self) -> int:
        """Tests made [-]."""
        return sum(p is not None for p in self.p_of_each)


def _together(
    index: Index,
    points: Mapping[SeriesKey, _Points],
    grouped: Mapping[SeriesKey, Sequence[JudgedObservation]],
) -> dict[SeriesKey, _Fitted]:
    """Fit all series and hold them against their history, the same ages at once."""
    alike: dict[tuple[Scale, tuple[float, ...]], list[SeriesKey]] = {}
    for key, known in points.items():
        attribute = index.attribute(key.attribute)
        has_logarithm = attribute.fit_scale != "ln" or min(known.values, default=0) > 0
        fits = known.whole and has_logarithm and len(set(known.ages)) >= 3
        if fits and refused(index, key) is None:
            alike.setdefault((attribute.fit_scale, known.ages), []).append(key)
    found: dict[SeriesKey, _Fitted] = {}
    for (scale, ages), keys in alike.items():
        columns = [points[key].values for key in keys]
        steps = [
            resolution_of(index.attribute(key.attribute), grouped[key]) for key in keys
        ]
        lines = least_squares(ages, columns, scale)
        chances = p_of_each(ages, columns, scale=scale, resolutions=steps)
        for key, line, chance in zip(keys, lines, chances, strict=True):
            found[key] = _Fitted(line, chance)
    return found


def _series(
    index: Index,
    key: SeriesKey,
    observations: Sequence[JudgedObservation],
    known: _Points,
    fitted: _Fitted | None,
) -> MeasuredSeries:
    attribute = index.attribute(key.attribute)
    limit, limit_text = index.limits[key.attribute, key.condition]
    role = index.roles[observations[0].sample.code] or "control"
    bounds = _bounds(limit, known.points)
    months, text = _horizon(index, key, role)
    resolution = resolution_of(attribute, observations)
    drift = refused(index, key) or _fit(
        known,
        attribute,
        resolution=resolution,
        months=months,
        bounds=bounds,
        confidence=index.protocol.analysis.confidence,
        coefficients=None if fitted is None else fitted.coefficients,
    )
    tests = () if fitted is None else _trend(known, attribute, resolution, fitted)
    lack = lack_of(known.points, drift)
    return MeasuredSeries(
        key=key,
        role=role,
        unit=unit_judged(attribute),
        scale=attribute.fit_scale,
        limit=limit,
        limit_text=limit_text,
        bounds=bounds,
        points=known.points,
        initial_text=known.whose,
        drift=drift,
        horizon_months=months,
        horizon_text=text,
        forecasts=_forecasts(drift, bounds, index.protocol),
        trend_tests=tests,
        trend_tests_made=0 if fitted is None else fitted.tests,
        state=_state(drift, observations),
        first_outside=first_outside(observations),
        cautions=_cautions(drift, lack),
        lack_of_fit=lack,
    )


def _cautions(drift: Drift | NoFit, lack: LackOfFit | None) -> tuple[Caution, ...]:
    of_line = drift.cautions if isinstance(drift, Drift) else ()
    return of_line if lack is None else (*of_line, *lack.cautions)


def _state(
    drift: Drift | NoFit, observations: Sequence[JudgedObservation]
) -> SeriesState:
    state = state_of(observations)
    moved = isinstance(drift, Drift) and drift.excludes_no_drift
    return "changed, inside" if state == "inside" and moved else state


def _bounds(limit: Limit, points: Sequence[Point]) -> tuple[Bound, ...]:
    bounds = bounds_of(limit)
    start = points[0]
    if limit.frozen_at == "T0" and start.check == T0 and start.value is not None:
        return frozen_at_start(bounds, float(start.value))
    return bounds


def _horizon(index: Index, key: SeriesKey, role: Role) -> tuple[float, str]:
    """Return the length over which drift is told [months], and what it is.

    A control that is read for some weeks only, such as a dark twin, says nothing of
    the life asked for: its drift is told to its last check, as that of what it is
    compared with.
    """
    asked = index.record.study.request.months
    planned = _last_planned(index.protocol.conditions[key.condition].checks)
    short = role == "control" and 0 < planned[0] < asked
    if role in _UNDER_LIFE and not short:
        return float(asked), f"{asked} months asked for"
    return planned


@lru_cache(maxsize=64)
def _last_planned(checks: tuple[str, ...]) -> tuple[float, str]:
    """Return the age of the last check of a condition [months], and what it is."""
    ages = [age for check in checks if (age := parse_age(check)) is not None]
    if not ages:
        return 0.0, ""
    last = max(ages, key=lambda age: age.nominal_days)
    return last.nominal_days / DAYS_PER_MONTH, f"{last}, the last check planned"


def _fit(
    known: _Points,
    attribute: Attribute,
    *,
    resolution: float | None,
    months: float,
    bounds: Sequence[Bound],
    confidence: float,
    coefficients: tuple[float, float] | None,
) -> Drift | NoFit:
    return fit_drift(
        known.ages,
        known.values,
        scale=attribute.fit_scale,
        resolution=resolution,
        life=months or None,
        bounds=bounds,
        qualified=not known.whole,
        confidence=confidence,
        coefficients=coefficients,
    )


def _forecasts(
    drift: Drift | NoFit, bounds: Sequence[Bound], protocol: Protocol
) -> tuple[Forecast | NoFit, ...]:
    if isinstance(drift, NoFit):
        return ()
    return tuple(
        forecast(drift, bound, protocol.analysis.confidence) for bound in bounds
    )


def _trend(
    known: _Points, attribute: Attribute, resolution: float | None, fitted: _Fitted
) -> tuple[TrendTest, ...]:
    """Return the tests worth telling.

    Told are the newest check and every earlier one that was out of trend.
    """
    points, ages, values = known.points, known.ages, known.values
    scale = attribute.fit_scale
    chances = fitted.p_of_each
    last = len(points) - 1
    found = []
    for place, p in enumerate(chances):
        if p is None or (place < last and p >= ALERT):
            continue
        result = out_of_trend(
            ages[:place],
            values[:place],
            ages[place],
            values[place],
            scale=scale,
            resolution=resolution,
        )
        if isinstance(result, OutOfTrend):
            point = points[place]
            found.append(TrendTest(point.check, point.day, result, place == last))
    return tuple(found)
