"""Whether a drift is straight: one bend common to all batches, and lack of fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from stability.model.estimate import (
    Bound,
    Caution,
    Curvature,
    Drift,
    LackOfFit,
    Scale,
)
from stability.statistics.fit_checks import LEVEL
from stability.statistics.line import ROUNDING, closed_line, on_scale
from stability.statistics.quantiles import f_upper_p, t_two_sided_p, t_upper_p


def curvature(
    drifts: Sequence[Drift], bounds: Sequence[Bound] = ()
) -> Curvature | None:
    r"""Test one bend common to the batches of an attribute, condition and pack.

    Parameters
    ----------
    drifts : sequence of Drift
        One for each batch, on one scale.
    bounds : sequence of Bound, default ()
        The limits of the attribute, for the direction that matters.

    Returns
    -------
    Curvature or None
        None where the checks are too few: N - 2k - 1 < 2 (one batch: n < 5).

    Raises
    ------
    ValueError
        If the batches are not on one scale.

    Notes
    -----
    Each batch keeps its own line; with q and y the residuals of t² and of the values
    about those lines, c = Σqy / Σq² [1]_, df = N - 2k - 1. Bending towards the limit is
    judged one-sided at 5 % and blocks extrapolation; else two-sided at 5 % gives a
    caution. With bounds on both sides the one that the common slope heads for counts;
    where the bent curve has turned by the last check, it heads for the other one, and
    a two-sided p below 5 % blocks too. s² is not taken below the square of the largest
    resolution floor.

    References
    ----------
    .. [1] N. R. Draper and H. Smith, Applied Regression Analysis, 3rd ed., Wiley,
       1998, section 6.1, "extra sum of squares".

    Examples
    --------
    >>> from stability.statistics.drift import fit_drift
    >>> bent = fit_drift([0, 1, 2, 3, 4, 5], [9.0, 8.9, 8.5, 8.0, 7.2, 6.1])
    >>> curvature([bent], [Bound("absolute", "lower", 5.0)]).cautions[0].code
    'curvature-towards-limit'
    """
    if len({drift.scale for drift in drifts}) > 1:
        message = "batches on different scales have no common bend"
        raise ValueError(message)
    df = sum(drift.n for drift in drifts) - 2 * len(drifts) - 1
    if not drifts or df < 2:
        return None
    bends = [_bend(drift) for drift in drifts]
    sqq = sum(float(q @ q) for q, _ in bends)
    sqy = sum(float(q @ y) for q, y in bends)
    if sqq <= 0:
        return None
    coefficient = sqy / sqq
    left = [y - coefficient * q for q, y in bends]
    rest = sum(float(one @ one) for one in left)
    floor = max(drift.floor for drift in drifts)
    s = max(math.sqrt(rest / df), floor, _rounding(drifts))
    error = s / math.sqrt(sqq)
    t = coefficient / error if error > 0 else 0.0
    p = t_two_sided_p(t, df)
    towards = _towards(t, df, drifts, bounds)
    turned = _both_sides(bounds) and _has_turned(drifts, coefficient)
    cautions = _bend_cautions(p, towards, len(drifts), turned=turned)
    return Curvature(coefficient, error, t, df, p, towards, len(drifts), cautions)


def _bend(drift: Drift) -> tuple[np.ndarray, np.ndarray]:
    """Return t² and the values of one batch, each about its own line."""
    q = _squares_about_lines(drift.ages, drift.mean_age, drift.sxx)
    return q, np.asarray(drift.residuals)


@lru_cache(maxsize=256)
def _squares_about_lines(
    ages: tuple[float, ...], mean_age: float, sxx: float
) -> np.ndarray:
    """Return t² about its own line; kept, because batches read together share it."""
    centred = np.asarray(ages) - mean_age
    squares = centred**2
    squares = squares - squares.mean()
    q: np.ndarray = squares - centred * float(centred @ squares) / sxx
    q.flags.writeable = False
    return q


def _rounding(drifts: Sequence[Drift]) -> float:
    """Return the scatter that rounding of floats alone may give, on the scale."""
    return 1e-13 * max(abs(drift.intercept) for drift in drifts)


def _towards(
    t: float, df: int, drifts: Sequence[Drift], bounds: Sequence[Bound]
) -> float | None:
    sides = {bound.side for bound in bounds}
    if not sides:
        return None
    if _both_sides(bounds):
        sides = {"lower" if _heading(drifts) < 0 else "upper"}
    return t_upper_p(-t if "lower" in sides else t, df)


def _both_sides(bounds: Sequence[Bound]) -> bool:
    return len({bound.side for bound in bounds}) == 2


def _heading(drifts: Sequence[Drift]) -> float:
    """Return the common slope times the sum of Sxx, whose sign is the way it heads."""
    return math.fsum(drift.slope * drift.sxx for drift in drifts)


def _has_turned(drifts: Sequence[Drift], coefficient: float) -> bool:
    """Say whether the bent curve heads the other way at the last check."""
    heading = _heading(drifts)
    at_last = heading + coefficient * math.fsum(map(_steepening, drifts))
    return (heading < 0) != (at_last < 0)


def _steepening(drift: Drift) -> float:
    """Return the slope of t² about its line at the last check, times Sxx."""
    centred = np.asarray(drift.ages) - drift.mean_age
    return 2 * float(centred.max()) * drift.sxx - float((centred**3).sum())


def _bend_cautions(
    p: float, towards: float | None, batches: int, *, turned: bool
) -> tuple[Caution, ...]:
    found = []
    if towards is not None and towards < LEVEL:
        found.append(
            Caution(
                "curvature-towards-limit",
                f"The drift bends towards the limit (one-sided p {towards:.2g}): no "
                "extrapolation.",
                blocks_extrapolation=True,
            )
        )
    elif p < LEVEL and turned:
        found.append(
            Caution(
                "curvature-turned",
                f"The drift bends and has turned by the last check (two-sided p "
                f"{p:.2g}): a straight line heads for the wrong limit; no "
                "extrapolation.",
                blocks_extrapolation=True,
            )
        )
    elif p < LEVEL:
        found.append(
            Caution(
                "curvature",
                f"The drift is not straight (two-sided p {p:.2g}): a straight line "
                "describes it only roughly.",
            )
        )
    if batches == 1:
        found.append(
            Caution(
                "one-batch-bend-unseen",
                "With one batch a bend usually goes unseen.",
            )
        )
    return tuple(found)


def lack_of_fit(
    ages: Sequence[float],
    values: Sequence[float],
    *,
    scale: Scale = "linear",
    floor: float = 0.0,
) -> LackOfFit | None:
    r"""Hold a straight line against the scatter of replicates of one age.

    Parameters
    ----------
    ages : sequence of float
        Ages of single containers; several share an age. [months]
    values : sequence of float
        One for each container. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which the line is straight.
    floor : float, default 0
        Least standard deviation of replicates that rounding lets us believe
        (`line.resolution_floor`). [scale]

    Returns
    -------
    LackOfFit or None
        None without replicates or with fewer than three ages.

    Notes
    -----
    .. math:: F = \frac{(SSE - SS_{pure}) / (m - 2)}{SS_{pure} / (n - m)}

    with m distinct ages [1]_. Readings of one day share errors that replicates do not
    show, so that a small p may mean day-to-day scatter and no bend. Replicates that
    agree exactly give no ratio, nor are they taken to scatter less than the floor.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, section 4.4.4.6.

    Examples
    --------
    >>> lack_of_fit([0, 0, 1, 1, 2, 2], [1.0, 1.2, 3.0, 3.1, 1.1, 1.0]).df_fit
    1
    """
    x = np.asarray(ages, dtype=float)
    levels, place = np.unique(x, return_inverse=True)
    df_fit, df_replicates = levels.size - 2, x.size - levels.size
    if df_fit < 1 or df_replicates < 1:
        return None
    y = on_scale(values, scale)
    line = closed_line(ages, values, scale=scale)
    means = np.bincount(place, weights=y) / np.bincount(place)
    pure = float(((y - means[place]) ** 2).sum())
    total = line.s_used**2 * line.df
    # Means of equal numbers may differ from them by rounding.
    if math.sqrt(pure) <= ROUNDING * float(np.abs(y).max()):
        return LackOfFit(None, int(df_fit), int(df_replicates), None, ())
    within = max(pure / df_replicates, floor**2)
    f = max(total - pure, 0.0) / df_fit / within
    p = f_upper_p(f, df_fit, df_replicates)
    cautions = _lack_cautions(f, int(df_fit), int(df_replicates), p)
    return LackOfFit(f, int(df_fit), int(df_replicates), p, cautions)


def _lack_cautions(
    f: float, df_fit: int, df_replicates: int, p: float
) -> tuple[Caution, ...]:
    if p >= LEVEL:
        return ()
    return (
        Caution(
            "lack-of-fit",
            f"The checks scatter about the line more than containers of one check do "
            f"(F {f:.3g}, {df_fit} and {df_replicates} df, p {p:.2g}): the drift is "
            "not straight, or days differ.",
        ),
    )
