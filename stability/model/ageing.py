"""What heat says about age: rules of thumb and Arrhenius, never evidence."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from stability.model.condition import Condition


def temperature_span(condition: Condition) -> tuple[Decimal, Decimal] | None:
    """Return the lowest and the highest temperature that a condition may have [°C].

    None where it is cycled or no temperature is part of it.
    """
    if condition.steps:
        return None
    if condition.between is not None:
        return condition.between
    if condition.temperature is None:
        return None
    tolerance = condition.tolerance or Decimal(0)
    return condition.temperature - tolerance, condition.temperature + tolerance


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """One row of a table of rules of thumb."""

    #: Factor of a rate for 10 °C [-].
    q10: float
    #: Temperature of the heat [°C].
    heated_c: float
    #: Temperature that it is held against [°C].
    reference_c: float
    #: Factor of ageing [-].
    factor: float
    #: Time in the heat [d].
    heated_days: float
    #: Time at the reference that it may stand for [d].
    reference_days: float


@dataclass(frozen=True, slots=True)
class RulesOfThumb:
    """A table of rules of thumb with the words that belong to it."""

    #: One row for each Q10.
    rows: tuple[RuleOfThumb, ...]
    #: "estimate, not evidence", with where the reference comes from.
    text: str


@dataclass(frozen=True, slots=True)
class ArrheniusLine:
    """A straight line of ln k on 1/T."""

    #: Points [-].
    n: int
    #: Degrees of freedom [-].
    df: int
    #: ln k at 1/T = 0, in the rate's unit.
    intercept: float
    #: Standard error of the intercept.
    intercept_error: float
    #: Activation energy [kJ/mol].
    energy: float
    #: Its standard error [kJ/mol].
    energy_error: float
    #: Half its two-sided interval [kJ/mol].
    energy_half: float
    #: Residual standard deviation of ln k [-].
    s: float
    #: Q10 from 25 to 35 °C that this energy stands for [-].
    q10: float
    #: The result in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class ArrheniusFit:
    """One least-squares fit of all temperatures of one batch; always supportive."""

    #: Readings [-].
    n: int
    #: Degrees of freedom, n - 3 [-].
    df: int
    #: Temperatures fitted [°C].
    temperatures_c: tuple[float, ...]
    #: Temperature of storage [°C].
    storage_c: float
    #: Common start, on the scale.
    start: float
    #: Change per month at the storage temperature, on the scale, signed.
    rate: float
    #: Interval of the rate at the storage temperature, on the scale, signed, the
    #: slower end first.
    rate_interval: tuple[float, float]
    #: Activation energy [kJ/mol].
    energy: float
    #: Interval of the activation energy [kJ/mol].
    energy_interval: tuple[float, float]
    #: Confidence of the two-sided intervals [-].
    confidence: float
    #: Residual standard deviation that is used, on the scale.
    s_used: float
    #: F of separate rates against Arrhenius rates [-]; None where it cannot be had.
    f: float | None
    #: Degrees of freedom above, temperatures - 2 [-].
    df_top: int
    #: Degrees of freedom below, readings - temperatures - 1 [-].
    df_bottom: int
    #: Upper-tail p of F [-]; None where `f` is.
    p: float | None
    #: The result in one sentence; says that it is supportive.
    text: str
