"""Rules of thumb for heat, and the plain line of ln k on 1/T.

An estimate, not evidence: real-time readings carry the request.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from stability.model.ageing import ArrheniusLine, RuleOfThumb, RulesOfThumb
from stability.model.estimate import NoFit
from stability.statistics.line import closed_line
from stability.statistics.quantiles import t_two_sided
from stability.statistics.temperature import GAS_CONSTANT, ZERO_CELSIUS

#: Factors for 10 °C in every table of rules of thumb [-].
CUSTOMARY_Q10 = (2.0, 2.5, 3.0)
#: Said wherever a rule of thumb is printed.
NOT_EVIDENCE = "Rule of thumb: an estimate, not evidence; real time carries the request"


def ageing_factor(q10: float, heated_c: float, reference_c: float) -> float:
    r"""Return how much faster heat ages a product by a rule of thumb.

    Parameters
    ----------
    q10 : float
        Factor for 10 °C. [-]
    heated_c : float
        Temperature of the heat. [°C]
    reference_c : float
        Temperature it is held against: the mean kinetic temperature of the room where
        it was measured. [°C]

    Returns
    -------
    float
        The factor. [-]

    Notes
    -----
    .. math:: Q_{10}^{(T_{heated} - T_{reference}) / 10}

    the form of ASTM F1980, whose text was not opened.

    Examples
    --------
    >>> ageing_factor(2, 55, 25)
    8.0
    """
    return float(q10 ** ((heated_c - reference_c) / 10))


def rules_of_thumb(
    heated_days: float,
    heated_c: float,
    reference_c: float,
    *,
    measured: bool,
    q10s: Sequence[float] = CUSTOMARY_Q10,
) -> RulesOfThumb:
    """Return a table of what time in the heat may stand for.

    Parameters
    ----------
    heated_days : float
        Time in the heat. [d]
    heated_c : float
        Temperature of the heat. [°C]
    reference_c : float
        Temperature it is held against. [°C]
    measured : bool
        True where the reference is the measured mean kinetic temperature of the room,
        False where it is nominal.
    q10s : sequence of float, default (2, 2.5, 3)
        Factors for 10 °C. [-]

    Returns
    -------
    RulesOfThumb
        One row for each factor.

    Examples
    --------
    >>> [r.reference_days for r in rules_of_thumb(84, 45, 25, measured=True).rows]
    [336.0, 525.0, 756.0]
    """
    factors = [ageing_factor(q10, heated_c, reference_c) for q10 in q10s]
    rows = tuple(
        RuleOfThumb(
            q10, heated_c, reference_c, factor, heated_days, heated_days * factor
        )
        for q10, factor in zip(q10s, factors, strict=True)
    )
    kind = "the room's mean kinetic temperature" if measured else "nominal"
    return RulesOfThumb(rows, f"{NOT_EVIDENCE}. Against {reference_c:.1f} °C ({kind}).")


def rate_ratio(energy: float, cold_c: float, hot_c: float) -> float:
    r"""Return how much faster a change runs at a higher temperature.

    Parameters
    ----------
    energy : float
        Activation energy. [kJ/mol]
    cold_c : float
        Lower temperature. [°C]
    hot_c : float
        Higher temperature. [°C]

    Returns
    -------
    float
        Ratio of the rates. [-]

    Notes
    -----
    .. math:: \exp\left(\tfrac{E}{R}\left(\tfrac1{T_{cold}} - \tfrac1{T_{hot}}
       \right)\right)

    with R = 8.314462618 J/(mol K), that is k = 8.617333262e-5 eV/K, and 0 °C = 273.15
    K. Older constants change the fourth digit.

    Examples
    --------
    >>> round(rate_ratio(83.144, 25, 35), 4)
    2.9696
    """
    per_kelvin = energy * 1000 / GAS_CONSTANT
    cold, hot = cold_c + ZERO_CELSIUS, hot_c + ZERO_CELSIUS
    return math.exp(per_kelvin * (1 / cold - 1 / hot))


def energy_between(ratio: float, cold_c: float, hot_c: float) -> float:
    """Return the activation energy that a ratio of two rates stands for.

    Parameters
    ----------
    ratio : float
        Rate at the higher temperature over that at the lower. [-]
    cold_c : float
        Lower temperature. [°C]
    hot_c : float
        Higher temperature. [°C]

    Returns
    -------
    float
        Activation energy. [kJ/mol]

    Examples
    --------
    >>> round(energy_between(2.9696, 25, 35), 2)
    83.14
    """
    cold, hot = cold_c + ZERO_CELSIUS, hot_c + ZERO_CELSIUS
    return math.log(ratio) * GAS_CONSTANT / 1000 / (1 / cold - 1 / hot)


def arrhenius_line(
    temperature_c: Sequence[float],
    rates: Sequence[float],
    *,
    confidence: float = 0.95,
) -> ArrheniusLine | NoFit:
    r"""Fit the straight line of ln k on 1/T.

    Parameters
    ----------
    temperature_c : sequence of float
        One for each rate, at least three different. [°C]
    rates : sequence of float
        Above 0. [any unit]
    confidence : float, default 0.95
        Of the two-sided interval of the activation energy. [-]

    Returns
    -------
    ArrheniusLine or NoFit
        Refused with fewer than three temperatures or a rate that is not above 0.

    Notes
    -----
    ln k = a - (E / R)(1 / T). For rates that are known as such; readings of several
    temperatures are fitted at once by `arrhenius.arrhenius_fit`, because a second
    stage on fitted rates covers too little.

    Examples
    --------
    >>> found = arrhenius_line([25, 35, 45], [1.0, 2.97, 8.2])
    >>> round(found.energy, 0)
    83.0
    """
    if len(set(temperature_c)) < 3:
        return NoFit("too-few-temperatures", "ln k on 1/T needs three temperatures.")
    if min(rates) <= 0:
        return NoFit(
            "rate-not-positive", "A rate that is not above 0 has no logarithm."
        )
    inverse = [1 / (t + ZERO_CELSIUS) for t in temperature_c]
    line = closed_line(inverse, rates, scale="ln")
    to_energy = -GAS_CONSTANT / 1000
    slope_error = line.s_used / math.sqrt(line.sxx)
    energy, error = line.slope * to_energy, abs(slope_error * to_energy)
    half = t_two_sided(confidence, line.df) * error
    return ArrheniusLine(
        n=line.n,
        df=line.df,
        intercept=line.intercept,
        intercept_error=line.s_used
        * math.sqrt(1 / line.n + line.mean_age**2 / line.sxx),
        energy=energy,
        energy_error=error,
        energy_half=half,
        s=line.s_used,
        q10=rate_ratio(energy, 25, 35),
        text=_line_text(energy, half),
    )


def _line_text(energy: float, half: float) -> str:
    q10 = rate_ratio(energy, 25, 35)
    return (
        f"Activation energy {energy:.4g} ± {half:.3g} kJ/mol, a Q10 of {q10:.2f} from "
        f"25 to 35 °C{_rule_breaks(q10)}. Supportive only."
    )


def _rule_breaks(q10: float) -> str:
    if CUSTOMARY_Q10[0] <= q10 <= CUSTOMARY_Q10[-1]:
        return ""
    side = "below" if q10 < CUSTOMARY_Q10[0] else "above"
    return f", {side} the rules of thumb of 2 to 3: they do not hold here"
