"""Fitted lines with their bands, drawn out for a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stability.model.estimate import Drift
from stability.statistics.line import fitted, mean_interval


@dataclass(frozen=True, slots=True)
class Curve:
    """A fitted line and the two-sided confidence band of its mean."""

    #: Ages, ascending [months].
    ages: tuple[float, ...]
    #: The line at these ages [attribute's unit].
    line: tuple[float, ...]
    #: Lower edge of the band [attribute's unit].
    lower: tuple[float, ...]
    #: Upper edge of the band [attribute's unit].
    upper: tuple[float, ...]


def curve(drift: Drift, ages: Sequence[float]) -> Curve:
    """Return the line of a drift and the band of its mean at some ages.

    Parameters
    ----------
    drift
        The fitted drift.
    ages
        Where the curve is drawn [months].
    """
    low, high = mean_interval(drift, ages, drift.confidence)
    return Curve(
        tuple(float(age) for age in ages),
        tuple(float(value) for value in fitted(drift, ages)),
        tuple(float(value) for value in low),
        tuple(float(value) for value in high),
    )
