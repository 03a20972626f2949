"""Storage figures: mean kinetic temperature, loggers and thermometers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stability.model.storage_figures import (
    Excursion,
    LoggerFigures,
    MinMaxFigures,
    NoFigures,
)

#: Molar gas constant, CODATA 2018 [J/(mol K)].
GAS_CONSTANT = 8.314462618
#: 0 °C [K].
ZERO_CELSIUS = 273.15
#: Customary activation energy of a mean kinetic temperature (USP) [kJ/mol].
CUSTOMARY_ENERGY = 83.144
#: Share of unknown time above which no mean kinetic temperature is stated [-].
MOST_UNKNOWN = 0.10


def mean_kinetic_temperature(
    temperature_c: ArrayLike,
    weights: ArrayLike | None = None,
    *,
    activation_energy: float = CUSTOMARY_ENERGY,
) -> float:
    r"""Return the steady temperature that ages a product as much as a varying one.

    Parameters
    ----------
    temperature_c : array_like of float
        Readings, at least one; none of frozen storage. [°C]
    weights : array_like of float or None, default None
        Time that each reading stands for; None for equal times. [h]
    activation_energy : float, default 83.144
        Of the change followed; the default is customary where it is unknown.
        [kJ/mol]

    Returns
    -------
    float
        Never below the mean reading. [°C]

    Raises
    ------
    ValueError
        If there is no reading or no time.

    Notes
    -----
    With readings :math:`T_i` in kelvin and shares of time :math:`w_i` [1]_:

    .. math:: T_K = \frac{\Delta H / R}{-\ln \sum_i w_i e^{-\Delta H / (R\,T_i)}}

    Holds for one change of first order that follows Arrhenius.

    References
    ----------
    .. [1] J. D. Haynes, "Worldwide virtual temperatures for product stability
       testing," J. Pharm. Sci., vol. 60, no. 6, pp. 927-929, 1971.

    Examples
    --------
    A place held at 25 °C that spent half of the time at 40 °C:

    >>> round(mean_kinetic_temperature([25, 40]), 3)
    35.074
    """
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_CELSIUS
    share = np.ones_like(kelvin) if weights is None else np.asarray(weights, float)
    if kelvin.size == 0 or not float(share.sum()) > 0:
        message = "no reading stands for any time"
        raise ValueError(message)
    ratio = activation_energy * 1000 / GAS_CONSTANT
    hottest = float(kelvin.max())
    relative = np.exp(-ratio * (1 / kelvin - 1 / hottest))
    mean_rate = float(share @ relative) / float(share.sum())
    return ratio / (ratio / hottest - math.log(mean_rate)) - ZERO_CELSIUS


def logger_figures(
    hours: ArrayLike,
    temperature_c: ArrayLike,
    *,
    lowest: float | None = None,
    highest: float | None = None,
    longest_gap: float,
    start: float | None = None,
    end: float | None = None,
    frozen: bool = False,
    activation_energy: float = CUSTOMARY_ENERGY,
) -> LoggerFigures | NoFigures:
    """Return the figures of a logger whose readings need not be regular.

    Parameters
    ----------
    hours : array_like of float
        Times of the readings, in order. [h]
    temperature_c : array_like of float
        One for each time. [°C]
    lowest : float or None, default None
        Lower end of the range that was meant, inside. [°C]
    highest : float or None, default None
        Upper end of the range that was meant, inside. [°C]
    longest_gap : float
        Longest time that one reading stands for; longer gaps are unknown. [h]
    start : float or None, default None
        When the time that is looked at begins; None with the first reading. [h]
    end : float or None, default None
        When it ends; None with the last reading. [h]
    frozen : bool, default False
        True for frozen storage, which has no mean kinetic temperature.
    activation_energy : float, default 83.144
        Of the mean kinetic temperature. [kJ/mol]

    Returns
    -------
    LoggerFigures or NoFigures
        Each reading holds until the next; refused with fewer than two readings or
        times that go backwards. What lies before the first and after the last reading
        is unknown.

    Raises
    ------
    ValueError
        If the sequences differ in length.

    Examples
    --------
    >>> found = logger_figures(
    ...     [0, 1, 2, 3], [20, 20, 30, 20], highest=27, longest_gap=2
    ... )
    >>> found.within_share, found.excursions[0].peak_c
    (0.667, 30.0)
    """
    times, readings = np.asarray(hours, float), np.asarray(temperature_c, float)
    if times.size != readings.size:
        message = f"{times.size} times but {readings.size} temperatures"
        raise ValueError(message)
    refusal = _refusal(times, readings)
    if refusal is not None:
        return refusal
    cut = _between(times, readings, start, end, longest_gap)
    if not cut.times.size:
        return NoFigures("no-reading-then", "The record holds no reading of that time.")
    steps = np.diff(cut.times)
    known = steps <= longest_gap
    weights = np.where(known, steps, 0.0)
    side = _sides(cut.readings, lowest, highest)
    known_hours = float(weights.sum())
    unknown_hours = float(steps[~known].sum()) + cut.unknown_hours
    held = cut.readings[:-1]
    reason = _not_stated(known_hours, unknown_hours, frozen=frozen)
    excursions = _excursions(cut, side, known)
    within = mean = kinetic = None
    if known_hours > 0:
        within = float(weights @ (side[:-1] == 0)) / known_hours
        mean = float(weights @ held) / known_hours
    if not reason:
        kinetic = mean_kinetic_temperature(
            held, weights, activation_energy=activation_energy
        )
    return LoggerFigures(
        readings=cut.count,
        known_hours=known_hours,
        unknown_hours=unknown_hours,
        within_share=within,
        lowest_c=float(cut.readings.min()),
        highest_c=float(cut.readings.max()),
        mean_c=mean,
        mean_kinetic_c=kinetic,
        not_stated=reason,
        excursions=excursions,
        text=_text(within, excursions, unknown_hours, kinetic, reason),
    )


@dataclass(frozen=True, slots=True)
class _Cut:
    """Readings of the time that is looked at."""

    #: Their times; those at the ends may be where the time begins and ends [h].
    times: NDArray[np.float64]
    #: One for each time [°C].
    readings: NDArray[np.float64]
    #: Readings that were made [-].
    count: int
    #: Time before the first and after the last reading [h].
    unknown_hours: float
    #: Whether the last reading holds beyond the end.
    goes_on: bool


def _between(
    times: NDArray[np.float64],
    readings: NDArray[np.float64],
    start: float | None,
    end: float | None,
    longest_gap: float,
) -> _Cut:
    """Cut a record at both ends; a reading holds into what is cut, within the gap."""
    first, last, unknown, goes_on = 0, times.size, 0.0, False
    if start is not None:
        first = int(np.searchsorted(times, start, "left"))
    if end is not None:
        last = max(int(np.searchsorted(times, end, "right")), first)
    count = last - first
    cut, values = times[first:last], readings[first:last]
    if start is not None and first > 0 and _holds(times, first, longest_gap):
        cut = np.concatenate([[start], cut])
        values = np.concatenate([readings[first - 1 : first], values])
    elif start is not None and cut.size:
        unknown += float(cut[0]) - start
    if end is not None and 0 < last < times.size and _holds(times, last, longest_gap):
        goes_on = bool(cut.size)
        cut = np.concatenate([cut, [end]]) if cut.size else cut
        values = np.concatenate([values, values[-1:]])
    elif end is not None and cut.size:
        unknown += end - float(cut[-1])
    return _Cut(cut, values, count, unknown, goes_on)


def _holds(times: NDArray[np.float64], after: int, longest_gap: float) -> bool:
    """Say whether the reading before a place holds until the one there."""
    if after >= times.size:
        return False
    return bool(times[after] - times[after - 1] <= longest_gap)


def _refusal(
    times: NDArray[np.float64], readings: NDArray[np.float64]
) -> NoFigures | None:
    if times.size < 2:
        count = "no reading" if times.size == 0 else "one reading"
        return NoFigures("too-few-readings", f"The record holds {count}: no figures.")
    if not (np.isfinite(times).all() and np.isfinite(readings).all()):
        return NoFigures("not-a-number", "The record holds what is not a number.")
    back = np.flatnonzero(np.diff(times) < 0)
    if back.size:
        return NoFigures(
            "backwards",
            f"The record goes backwards after reading {int(back[0]) + 1}: no figures.",
        )
    return None


def _sides(
    readings: NDArray[np.float64], lowest: float | None, highest: float | None
) -> NDArray[np.int8]:
    """Return 1 where hotter than meant, -1 where colder, 0 within."""
    side = np.zeros(readings.size, dtype=np.int8)
    if highest is not None:
        side[readings > highest] = 1
    if lowest is not None:
        side[readings < lowest] = -1
    return side


def _excursions(
    cut: _Cut, side: NDArray[np.int8], known: NDArray[np.bool_]
) -> tuple[Excursion, ...]:
    """Return runs of readings on one side that no unknown gap interrupts."""
    times, readings = cut.times, cut.readings
    breaks = np.flatnonzero((np.diff(side) != 0) | ~known) + 1
    firsts = np.concatenate([[0], breaks])
    lasts = np.concatenate([breaks, [times.size]]) - 1
    highest = np.maximum.reduceat(readings, firsts)
    lowest = np.minimum.reduceat(readings, firsts)
    outside = np.flatnonzero(side[firsts])
    found = []
    for run in outside.tolist():
        first, last = int(firsts[run]), int(lasts[run])
        hot = side[first] > 0
        seen = last + 1 < times.size and bool(known[last])
        at_end = last + 1 == times.size and cut.goes_on
        found.append(
            Excursion(
                direction="hotter" if hot else "colder",
                start_hours=float(times[first]),
                end_hours=float(times[last + 1] if seen else times[last]),
                peak_c=float(highest[run] if hot else lowest[run]),
                end_unknown=not (seen or at_end),
            )
        )
    return tuple(found)


def _not_stated(known: float, unknown: float, *, frozen: bool) -> str:
    if frozen:
        return "a mean kinetic temperature does not describe frozen storage"
    if known <= 0:
        return "no known time"
    if unknown > MOST_UNKNOWN * (known + unknown):
        return f"more than {100 * MOST_UNKNOWN:.0f} % of the time is unknown"
    return ""


def _text(
    within: float | None,
    excursions: Sequence[Excursion],
    unknown: float,
    kinetic: float | None,
    reason: str,
) -> str:
    parts = []
    if within is not None:
        parts.append(f"{100 * within:.1f} % of the known time within range")
    hot = sum(one.direction == "hotter" for one in excursions)
    parts.append(f"{hot} excursions hotter, {len(excursions) - hot} colder")
    parts.append(f"{unknown:.1f} h unknown")
    if kinetic is None:
        parts.append(f"mean kinetic temperature not stated: {reason}")
    else:
        parts.append(f"mean kinetic temperature {kinetic:.1f} °C")
    return f"{'; '.join(parts)}."


def minmax_figures(
    days: Sequence[float],
    lowest_seen: Sequence[float],
    highest_seen: Sequence[float],
    *,
    lowest: float | None = None,
    highest: float | None = None,
) -> MinMaxFigures | NoFigures:
    """Return what a thermometer that keeps lowest and highest can say.

    Parameters
    ----------
    days : sequence of float
        Days of the looks, each after a reset. [d]
    lowest_seen : sequence of float
        Lowest since the look before. [°C]
    highest_seen : sequence of float
        Highest since the look before. [°C]
    lowest : float or None, default None
        Lower end of the range that was meant, inside. [°C]
    highest : float or None, default None
        Upper end of the range that was meant, inside. [°C]

    Returns
    -------
    MinMaxFigures or NoFigures
        Never outside, or outside for an unknown time since the last look; no mean.

    Examples
    --------
    >>> minmax_figures([7, 14], [18, 19], [24, 29], highest=27).text
    'Outside for an unknown time before the look on day 14.'
    """
    if not days:
        return NoFigures("too-few-readings", "The record holds no look: no figures.")
    outside = tuple(
        day
        for day, low, high in zip(days, lowest_seen, highest_seen, strict=True)
        if (lowest is not None and low < lowest)
        or (highest is not None and high > highest)
    )
    text = "Never outside."
    if outside:
        when = ", ".join(f"{day:g}" for day in outside)
        text = f"Outside for an unknown time before the look on day {when}."
    return MinMaxFigures(
        looks=len(days),
        lowest_c=min(lowest_seen),
        highest_c=max(highest_seen),
        never_outside=not outside,
        outside_at_days=outside,
        text=text,
    )
