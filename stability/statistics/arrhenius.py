"""One least-squares fit of all temperatures of one batch, after Arrhenius."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from stability.model.ageing import ArrheniusFit
from stability.model.estimate import NoFit, Scale
from stability.statistics.line import on_scale, resolution_floor
from stability.statistics.quantiles import f_upper_p, t_two_sided
from stability.statistics.temperature import GAS_CONSTANT, ZERO_CELSIUS

Floats = NDArray[np.float64]

#: Temperatures needed below the product's structural limit [-].
FEWEST_TEMPERATURES = 3
#: Level of the test of one law for all temperatures [-].
LEVEL = 0.05
# Beyond this a square of e to it is no number any more [-].
_MOST_EXPONENT = 300.0
# A rate below this share of the readings is rounding and counts as none [-].
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class _Series:
    """Readings of all temperatures, ready to fit."""

    #: Ages [months].
    age: Floats
    #: Values, on the scale.
    y: Floats
    #: Index of each reading's temperature.
    place: NDArray[np.intp]
    #: Different temperatures [°C].
    levels: Floats


def arrhenius_fit(
    temperature_c: Sequence[float],
    ages: Sequence[float],
    values: Sequence[float],
    storage_c: float,
    *,
    scale: Scale = "linear",
    resolution: float | None = None,
    structural_limit_c: float | None = None,
    confidence: float = 0.95,
) -> ArrheniusFit | NoFit:
    r"""Fit the rates of one batch at several temperatures after Arrhenius.

    Parameters
    ----------
    temperature_c : sequence of float
        Temperature of each reading. [°C]
    ages : sequence of float
        Age of each reading. [months]
    values : sequence of float
        Value of each reading; T0 once. [attribute's unit]
    storage_c : float
        Temperature of storage. [°C]
    scale : {"linear", "ln"}, default "linear"
        Scale on which each temperature's drift is straight.
    resolution : float or None, default None
        Smallest step of a single reading. [attribute's unit]
    structural_limit_c : float or None, default None
        Temperature from which on the product's structure changes; readings there do
        not take part. [°C]
    confidence : float, default 0.95
        Of the two-sided intervals. [-]

    Returns
    -------
    ArrheniusFit or NoFit
        Refused where the temperatures are too few, a rate has the other sign, or the
        interval of the activation energy holds 0.

    Raises
    ------
    ValueError
        If the sequences differ in length.

    Notes
    -----
    .. math:: y = a \pm \exp\left(\lambda - \tfrac{E}{R}\left(\tfrac1T -
       \tfrac1{T_s}\right)\right) t

    with a common start a, λ the ln of the rate at the storage temperature and df =
    n - 3. F of separate rates against Arrhenius rates has m - 2 and n - m - 1 degrees
    of freedom for m temperatures [1]_. A second stage on fitted rates is not used: its
    intervals covered 80 to 92 % instead of 95 %.

    References
    ----------
    .. [1] D. M. Bates and D. G. Watts, Nonlinear Regression Analysis and Its
       Applications, Wiley, 1988, sections 2.2 and 3.10.
    """
    if not len(temperature_c) == len(ages) == len(values):
        message = "temperatures, ages and values differ in length"
        raise ValueError(message)
    if scale == "ln" and min(values) <= 0:
        return NoFit("not-positive-on-ln", "A value has no logarithm.")
    series = _series(temperature_c, ages, values, scale, structural_limit_c)
    separate = _separate_rates(series)
    if isinstance(separate, NoFit):
        return separate
    floor = resolution_floor(values, scale, resolution)
    found = _fit(series, separate, storage_c, floor)
    return _unclear(found, series.y.size - 3, confidence) or _describe(
        series, separate, found, storage_c, confidence
    )


@dataclass(frozen=True, slots=True)
class _Separate:
    """The fit of a rate for each temperature with one start."""

    #: Start, on the scale.
    start: float
    #: Rates, on the scale per month.
    rates: Floats
    #: Sum of squares about it.
    sse: float


@dataclass(frozen=True, slots=True)
class _Common:
    """The fit of one Arrhenius law with one start."""

    #: Start, ln rate at storage, E/R [1000 K].
    theta: Floats
    #: Their standard errors.
    errors: Floats
    #: Sum of squares about it.
    sse: float
    #: Residual standard deviation that is used.
    s_used: float


def _series(
    temperature_c: Sequence[float],
    ages: Sequence[float],
    values: Sequence[float],
    scale: Scale,
    structural_limit_c: float | None,
) -> _Series:
    """Keep readings below the structural limit; T0 belongs to every temperature."""
    celsius, age = np.asarray(temperature_c, float), np.asarray(ages, float)
    y = on_scale(values, scale)
    if structural_limit_c is not None:
        kept = (celsius < structural_limit_c) | (age == 0)
        celsius, age, y = celsius[kept], age[kept], y[kept]
    levels, place = np.unique(celsius[age > 0], return_inverse=True)
    where = np.zeros(age.size, dtype=np.intp)
    where[age > 0] = place
    return _Series(age, y, where, levels)


def _separate_rates(series: _Series) -> _Separate | NoFit:
    n, m = series.y.size, series.levels.size
    if m < FEWEST_TEMPERATURES:
        return NoFit(
            "too-few-temperatures",
            f"Read at {m} temperatures below the structural limit; Arrhenius needs "
            f"{FEWEST_TEMPERATURES}.",
        )
    if n < m + 2:
        return NoFit("too-few-readings", f"{n} readings are too few for {m} rates.")
    design = np.zeros((n, m + 1))
    design[:, 0] = 1
    design[np.arange(n), series.place + 1] = series.age
    solved = np.asarray(np.linalg.lstsq(design, series.y, rcond=None)[0], float)
    rates = solved[1:]
    smallest = _ROUNDING * float(np.abs(series.y).max()) / float(series.age.max())
    rates[np.abs(rates) <= smallest] = 0.0
    if not ((rates > 0).all() or (rates < 0).all()):
        told = ", ".join(
            f"{rate:.2g} at {level:g} °C"
            for level, rate in zip(series.levels, rates, strict=True)
        )
        return NoFit(
            "rates-of-both-signs",
            "The readings do not drift the same way at every temperature (a month: "
            f"{told}): no Arrhenius.",
        )
    residuals = series.y - design @ solved
    return _Separate(float(solved[0]), rates, float(residuals @ residuals))


def _fit(
    series: _Series, separate: _Separate, storage_c: float, floor: float
) -> _Common:
    """Fit start, ln rate at storage and E/R by least squares."""
    sign = 1.0 if separate.rates[0] > 0 else -1.0
    per_1000 = _distance(series.levels, storage_c)
    slope, at_storage = np.polyfit(per_1000, np.log(np.abs(separate.rates)), 1)
    distance = per_1000[series.place]

    def rate(theta: Floats) -> Floats:
        exponent = theta[1] + theta[2] * distance
        exponent = np.clip(exponent, -_MOST_EXPONENT, _MOST_EXPONENT)
        return np.asarray(sign * np.exp(exponent) * series.age, dtype=float)

    def misfit(theta: Floats) -> Floats:
        return np.asarray(theta[0] + rate(theta) - series.y, dtype=float)

    def jacobian(theta: Floats) -> Floats:
        change = rate(theta)
        return np.column_stack((np.ones_like(change), change, change * distance))

    begin = np.array([separate.start, at_storage, slope])
    solved = least_squares(
        misfit, begin, jac=jacobian, x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    theta, sse = np.asarray(solved.x), float(2 * solved.cost)
    design = jacobian(theta)
    s = max(math.sqrt(sse / (series.y.size - 3)), floor)
    covariance = np.linalg.pinv(design.T @ design)
    return _Common(theta, s * np.sqrt(np.diag(covariance)), sse, s)


def _distance(celsius: Floats, storage_c: float) -> Floats:
    """Return 1000 (1/T_s - 1/T)."""
    kelvin = celsius + ZERO_CELSIUS
    return np.asarray(1000 / (storage_c + ZERO_CELSIUS) - 1000 / kelvin)


def _unclear(found: _Common, df: int, confidence: float) -> NoFit | None:
    """Refuse an activation energy whose interval holds 0."""
    half = GAS_CONSTANT * t_two_sided(confidence, df) * float(found.errors[2])
    energy = GAS_CONSTANT * float(found.theta[2])
    if energy - half > 0:
        return None
    return NoFit(
        "energy-not-clear",
        f"The interval of the activation energy, {energy - half:.1f} to "
        f"{energy + half:.1f} kJ/mol, is not all above 0: no rate is carried to "
        "another temperature.",
    )


def _describe(
    series: _Series,
    separate: _Separate,
    found: _Common,
    storage_c: float,
    confidence: float,
) -> ArrheniusFit:
    n, m = series.y.size, series.levels.size
    half = t_two_sided(confidence, n - 3) * found.errors
    sign = 1.0 if separate.rates[0] > 0 else -1.0
    rates = [
        sign * math.exp(float(found.theta[1]) + away)
        for away in (0.0, -float(half[1]), float(half[1]))
    ]
    energy, energy_half = (
        GAS_CONSTANT * float(found.theta[2]),
        GAS_CONSTANT * float(half[2]),
    )
    df_top, df_bottom = m - 2, n - m - 1
    f = p = None
    if separate.sse > 0:
        f = max(found.sse - separate.sse, 0.0) / df_top / (separate.sse / df_bottom)
        p = f_upper_p(f, df_top, df_bottom)
    return ArrheniusFit(
        n=n,
        df=n - 3,
        temperatures_c=tuple(float(level) for level in series.levels),
        storage_c=storage_c,
        start=float(found.theta[0]),
        rate=rates[0],
        rate_interval=(rates[1], rates[2]),
        energy=energy,
        energy_interval=(energy - energy_half, energy + energy_half),
        confidence=confidence,
        s_used=found.s_used,
        f=f,
        df_top=df_top,
        df_bottom=df_bottom,
        p=p,
        text=_text(storage_c, rates, energy, energy_half, p),
    )


def _text(
    storage_c: float,
    rates: Sequence[float],
    energy: float,
    half: float,
    p: float | None,
) -> str:
    doubt = ""
    if p is not None and p < LEVEL:
        doubt = f" One law does not fit all temperatures (p {p:.2g})."
    return (
        f"At {storage_c:g} °C {rates[0]:.3g} a month ({rates[1]:.3g} to "
        f"{rates[2]:.3g}), activation energy {energy:.4g} ± {half:.3g} kJ/mol."
        f"{doubt} Supportive only: real time carries the request."
    )
