"""The readings of a storage place over all its logger files, and figures of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stability.evaluation.storage_findings import PlaceFigures
from stability.model.place import PlaceRecord, Range
from stability.model.storage_figures import Excursion, LoggerFigures
from stability.statistics.logger_file import LoggerReadings, read_logger
from stability.statistics.temperature import (
    MOST_UNKNOWN,
    logger_figures,
    mean_kinetic_temperature,
)

#: Below this a place is frozen, and no mean kinetic temperature describes it [°C].
_FROZEN: Final = -10.0
#: Most stretches into which readings are thinned for a drawing [-].
STRETCHES: Final = 600


@dataclass(frozen=True, slots=True)
class PlaceReadings:
    """A place with the readings of its loggers."""

    #: The place.
    place: PlaceRecord
    #: Times since 1970, UTC, never going back [h].
    hours: NDArray[np.float64]
    #: One for each time [°C].
    celsius: NDArray[np.float64]
    #: Relative humidity [%]; not a number where there is none.
    humidity: NDArray[np.float64]
    #: Names of files of which nothing is at hand.
    lacking: tuple[str, ...] = ()


def read_place(place: PlaceRecord, files: Mapping[str, bytes]) -> PlaceReadings:
    """Return the readings of a place, by time.

    What two files tell of the same time is taken once.

    Parameters
    ----------
    place
        The place.
    files
        SHA-256 -> file of a logger as received.
    """
    logs = place.logs()
    read = [
        read_logger(files[one.sha256], one.name, one.form)
        for one in logs
        if one.sha256 in files
    ]
    lacking = tuple(one.name for one in logs if one.sha256 not in files)
    if not read:
        none = np.array([], dtype=float)
        return PlaceReadings(place, none, none, none, lacking)
    seconds = np.concatenate([one.seconds for one in read])
    celsius = np.concatenate([one.celsius for one in read])
    humidity = np.concatenate([_humidity(one) for one in read])
    if (np.diff(seconds) < 0).any():
        order = np.lexsort((celsius, seconds))
        seconds, celsius, humidity = seconds[order], celsius[order], humidity[order]
        new = np.ones(seconds.size, dtype=bool)
        new[1:] = (np.diff(seconds) != 0) | (np.diff(celsius) != 0)
        seconds, celsius, humidity = seconds[new], celsius[new], humidity[new]
    return PlaceReadings(place, seconds / 3600.0, celsius, humidity, lacking)


def _humidity(read: LoggerReadings) -> NDArray[np.float64]:
    if read.humidity is None:
        return np.full(read.seconds.size, np.nan)
    return read.humidity


def in_hours(moment: datetime) -> float:
    """Return a time as hours since 1970, UTC."""
    return moment.timestamp() / 3600


def from_hours(hours: float) -> datetime:
    """Return the time of hours since 1970, to the second."""
    return datetime.fromtimestamp(round(hours * 3600), UTC)


def excursions_logged(
    readings: PlaceReadings, meant: Range, start: datetime, end: datetime
) -> tuple[Excursion, ...]:
    """Return the excursions that loggers show between two times.

    Parameters
    ----------
    readings
        Of the place; hours of the excursions are those since 1970.
    meant
        The range that was meant, ends inside.
    start, end
        Of the time that is looked at.
    """
    found = _figures(readings, meant, start, end)
    return () if found is None else found.excursions


def figures_over(
    readings: PlaceReadings,
    meant: Range | None,
    periods: Sequence[tuple[datetime, datetime]],
) -> PlaceFigures:
    """Return the figures of a place over one or more periods together.

    Parameters
    ----------
    readings
        Of the place.
    meant
        The range that was meant; None where none was.
    periods
        From when to when, at least one, in order and apart.
    """
    parts = [_figures(readings, meant, start, end) for start, end in periods]
    known = [one for one in parts if one is not None and one.known_hours > 0]
    seen = [one for one in parts if one is not None]
    hours = sum((end - start).total_seconds() for start, end in periods) / 3600
    weights = [one.known_hours for one in known]
    within = meant is not None and bool(known)
    kinetic, reason = _kinetic(seen, known, hours)
    return PlaceFigures(
        start=periods[0][0],
        end=periods[-1][1],
        hours=hours,
        known_hours=sum(weights),
        within_share=_mean([one.within_share for one in known], weights)
        if within
        else None,
        hotter_hours=_outside(known, "hotter"),
        colder_hours=_outside(known, "colder"),
        lowest_c=min((one.lowest_c for one in seen), default=None),
        highest_c=max((one.highest_c for one in seen), default=None),
        mean_c=_mean([one.mean_c for one in known], weights),
        mean_kinetic_c=kinetic,
        not_stated=reason,
        humidity=_mean_humidity(readings, periods),
    )


def merged(
    parts: Sequence[PlaceFigures],
) -> PlaceFigures | None:
    """Return the figures of several places together; None without any."""
    if not parts:
        return None
    known = [one for one in parts if one.known_hours > 0]
    weights = [one.known_hours for one in known]
    hours = sum(one.hours for one in parts)
    reason = next((one.not_stated for one in parts if one.not_stated), "")
    kinetics = [one.mean_kinetic_c for one in known if one.mean_kinetic_c is not None]
    kinetic = None
    if hours - sum(weights) > MOST_UNKNOWN * hours:
        reason = _too_unknown()
    elif kinetics and len(kinetics) == len(known):
        kinetic = mean_kinetic_temperature(kinetics, weights)
    return PlaceFigures(
        start=min(one.start for one in parts),
        end=max(one.end for one in parts),
        hours=hours,
        known_hours=sum(weights),
        within_share=_mean([one.within_share for one in known], weights),
        hotter_hours=sum(one.hotter_hours for one in parts),
        colder_hours=sum(one.colder_hours for one in parts),
        lowest_c=min(
            (p.lowest_c for p in parts if p.lowest_c is not None), default=None
        ),
        highest_c=max(
            (p.highest_c for p in parts if p.highest_c is not None), default=None
        ),
        mean_c=_mean([one.mean_c for one in known], weights),
        mean_kinetic_c=kinetic,
        not_stated="" if kinetic is not None else reason,
        humidity=_mean([one.humidity for one in known], weights),
    )


def thinned(
    readings: PlaceReadings, start: datetime, end: datetime
) -> tuple[list[datetime], list[float], list[float], list[int]]:
    """Return readings between two times as lowest and highest of short stretches.

    Parameters
    ----------
    readings
        Of the place.
    start, end
        Of the time that is drawn.

    Returns
    -------
    tuple
        Middle of each stretch, lowest and highest [°C], and after which stretches
        nothing is known for longer than one reading stands for.
    """
    first, last = np.searchsorted(readings.hours, [in_hours(start), in_hours(end)])
    hours, celsius = readings.hours[first:last], readings.celsius[first:last]
    if not hours.size:
        return [], [], [], []
    gaps = np.flatnonzero(np.diff(hours) > readings.place.gap_hours) + 1
    width = max((in_hours(end) - in_hours(start)) / STRETCHES, 1e-9)
    stretch = np.floor((hours - in_hours(start)) / width)
    cuts = np.unique(np.concatenate([[0], np.flatnonzero(np.diff(stretch)) + 1, gaps]))
    cuts = cuts.astype(np.int64)
    ends = np.concatenate([cuts[1:], [hours.size]]) - 1
    middles = (hours[cuts] + hours[ends]) / 2
    breaks = np.flatnonzero(np.isin(cuts[1:], gaps))
    return (
        [from_hours(float(one)) for one in middles],
        np.minimum.reduceat(celsius, cuts).astype(float).tolist(),
        np.maximum.reduceat(celsius, cuts).astype(float).tolist(),
        [int(one) for one in breaks],
    )


def _figures(
    readings: PlaceReadings, meant: Range | None, start: datetime, end: datetime
) -> LoggerFigures | None:
    """Return figures of one period; None without a reading of it."""
    low, high = (None, None) if meant is None else (float(meant[0]), float(meant[1]))
    first, last = np.searchsorted(readings.hours, [in_hours(start), in_hours(end)])
    # One reading more on either side, which holds into the period.
    part = slice(max(int(first) - 1, 0), int(last) + 1)
    celsius = readings.celsius[part]
    found = logger_figures(
        readings.hours[part],
        celsius,
        lowest=low,
        highest=high,
        longest_gap=readings.place.gap_hours,
        start=in_hours(start),
        end=in_hours(end),
        frozen=bool(celsius.size) and float(np.median(celsius)) < _FROZEN,
    )
    return found if isinstance(found, LoggerFigures) else None


def _kinetic(
    seen: Sequence[LoggerFigures], known: Sequence[LoggerFigures], hours: float
) -> tuple[float | None, str]:
    """Return the mean kinetic temperature of periods together, or why there is none."""
    if not known:
        return None, "no known time"
    weights = [one.known_hours for one in known]
    if hours - sum(weights) > MOST_UNKNOWN * hours:
        return None, _too_unknown()
    kinetics = [one.mean_kinetic_c for one in known if one.mean_kinetic_c is not None]
    if len(kinetics) < len(known):
        return None, next(one.not_stated for one in seen if one.not_stated)
    return mean_kinetic_temperature(kinetics, weights), ""


def _too_unknown() -> str:
    return f"more than {100 * MOST_UNKNOWN:.0f} % of the time is unknown"


def _mean(values: Sequence[float | None], weights: Sequence[float]) -> float | None:
    pairs = [(v, w) for v, w in zip(values, weights, strict=True) if v is not None]
    whole = sum(weight for _, weight in pairs)
    return sum(value * weight for value, weight in pairs) / whole if whole else None


def _outside(known: Sequence[LoggerFigures], direction: str) -> float:
    return sum(
        one.duration_hours
        for part in known
        for one in part.excursions
        if one.direction == direction
    )


def _mean_humidity(
    readings: PlaceReadings, periods: Sequence[tuple[datetime, datetime]]
) -> float | None:
    parts = []
    for start, end in periods:
        ends = [in_hours(start), in_hours(end)]
        first, last = np.searchsorted(readings.hours, ends)
        parts.append(readings.humidity[first:last])
    values = np.concatenate(parts)
    values = values[np.isfinite(values)]
    return float(values.mean()) if values.size else None
