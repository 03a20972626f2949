"""What was just read beside its own history: for a word at the bench.

Loads no library: whether a history is long enough to be held against must be known
before anything heavy is loaded.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from stability.evaluation.grouping import points_of, series_of
from stability.evaluation.index import Index, unit_judged
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import Point, SeriesKey
from stability.model.attribute import Attribute
from stability.model.estimate import NoFit, Scale
from stability.statistics.frame import step_as_written


@dataclass(frozen=True, slots=True)
class History:
    """One check of a series with all checks before it."""

    #: Which series.
    key: SeriesKey
    #: Unit of the values.
    unit: str
    #: Scale on which its line is straight.
    scale: Scale
    #: Smallest step of a single reading [attribute's unit]; None where unknown.
    resolution: float | None
    #: Ages of the earlier checks [months].
    ages: tuple[float, ...]
    #: Their values [attribute's unit].
    values: tuple[float, ...]
    #: The check that is held against them.
    point: Point
    #: Its value [attribute's unit].
    value: float


def histories_of(
    index: Index, judged: Sequence[JudgedObservation], positions: Collection[int]
) -> tuple[History, ...]:
    """Return the checks to which some entries belong, each with those before it.

    Parameters
    ----------
    index
        The record, looked up once.
    judged
        Every observation of the study.
    positions
        Of the entries that are meant.

    Returns
    -------
    tuple of History
        Of measured series that are fitted; none for scores, statements, weights,
        cycles and twins, and none where a reading is written with < or >.
    """
    series, _ = series_of(judged, index)
    return tuple(
        history
        for key, ones in series.items()
        if any(one.position in positions for one in ones)
        and refused(index, key) is None
        for history in _of_series(index, key, ones, positions)
    )


def _of_series(
    index: Index,
    key: SeriesKey,
    ones: Sequence[JudgedObservation],
    positions: Collection[int],
) -> Iterator[History]:
    attribute = index.attribute(key.attribute)
    points, _ = points_of(index, key, ones)
    known = [(point, float(point.value)) for point in points if point.value is not None]
    if len(known) < len(points):
        return
    for place, (point, value) in enumerate(known):
        if not set(point.positions).isdisjoint(positions):
            yield History(
                key=key,
                unit=unit_judged(attribute),
                scale=attribute.fit_scale,
                resolution=resolution_of(attribute, ones),
                ages=tuple(earlier.age_months for earlier, _ in known[:place]),
                values=tuple(earlier for _, earlier in known[:place]),
                point=point,
                value=value,
            )


def resolution_of(
    attribute: Attribute, observations: Sequence[JudgedObservation]
) -> float | None:
    """Return the smallest step of a single reading of a series.

    Parameters
    ----------
    attribute
        Whose resolution may be declared.
    observations
        Of the series; the step to which they are written where none is declared.

    Returns
    -------
    float or None
        [attribute's unit]; None for what is worked out from weights.
    """
    if attribute.from_weights:
        return None
    if attribute.resolution is not None:
        return float(attribute.resolution)
    return step_as_written(
        reading.number for one in observations for reading in one.observation.readings
    )


def step_of(index: Index, attribute: Attribute) -> float | None:
    """Return the smallest step of a single reading of an attribute.

    Parameters
    ----------
    index
        The record, looked up once.
    attribute
        Whose resolution may be declared.

    Returns
    -------
    float or None
        As declared, else the step to which its readings are written; None without any.
        [attribute's unit]
    """
    if attribute.resolution is not None:
        return float(attribute.resolution)
    return step_as_written(
        reading.number
        for seen in index.record.standing()
        if seen.attribute == attribute.name
        for reading in seen.readings
    )


def refused(index: Index, key: SeriesKey) -> NoFit | None:
    """Return why a series gets no line whatever its readings are; None if it may."""
    if index.attribute(key.attribute).from_weights:
        return NoFit(
            "zero-at-start",
            "A loss is 0 at the start by definition: it is judged at each check, and "
            "no line is fitted.",
        )
    if key.twin_of:
        return NoFit(
            "untreated-twin",
            f"An untreated twin is compared with the samples of {key.twin_of}; no line "
            "is fitted.",
        )
    if index.protocol.conditions[key.condition].steps:
        return NoFit(
            "cycles",
            "Cycles are counted and not fitted as time; they are compared with their "
            "untreated twins.",
        )
    return None
