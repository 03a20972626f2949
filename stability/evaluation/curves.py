"""Fitted lines with their bounds, drawn out for a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stability.model.estimate import Drift, NoFit, StraightLine, Terms
from stability.statistics.limit_terms import band_in_terms
from stability.statistics.line import fitted, mean_interval
from stability.statistics.quantiles import t_two_sided


@dataclass(frozen=True, slots=True)
class Curve:
    """A fitted line between two bounds."""

    #: Ages, ascending [months].
    ages: tuple[float, ...]
    #: The line at these ages [attribute's unit, or a share of the start].
    line: tuple[float, ...]
    #: Lower bound, in the same terms.
    lower: tuple[float, ...]
    #: Upper bound, in the same terms.
    upper: tuple[float, ...]


def curve(drift: Drift, ages: Sequence[float]) -> Curve:
    """Return the line of a drift and the two-sided band of its mean at some ages.

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


def judged_curve(
    line: StraightLine, terms: Terms, ages: Sequence[float], multiplier: float
) -> Curve | None:
    """Return a line with the bounds that are held against a limit, in its terms.

    Parameters
    ----------
    line
        The fitted line.
    terms
        Terms of the limit: the value, its change from the fitted start, or its share.
    ages
        Where the curve is drawn [months].
    multiplier
        Of the standard error: one quantile of Student's t [-].

    Returns
    -------
    Curve or None
        None where the terms say nothing of this line.
    """
    band = band_in_terms(line, terms, ages, multiplier)
    if isinstance(band, NoFit):
        return None
    drawn, lower, upper = (tuple(float(value) for value in one) for one in band)
    return Curve(tuple(float(age) for age in ages), drawn, lower, upper)


def multiplier_of(drift: Drift) -> float:
    """Return the multiplier of a drift's two-sided band [-]."""
    return t_two_sided(drift.confidence, drift.df)


def judged_value(value: float, start: float, terms: Terms) -> float | None:
    """Return a value in the terms of a limit; None for a share of nothing.

    Parameters
    ----------
    value
        A reading or mean [attribute's unit].
    start
        What it is held against [attribute's unit].
    terms
        Terms of the limit.
    """
    if terms == "absolute":
        return value
    if terms == "change":
        return value - start
    return value / start if start > 0 else None
