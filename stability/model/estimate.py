"""What a fitted series says: lines, drift, forecasts, cautions, out of trend.

Numbers here are plain floats in the attribute's unit and in months; on the ln scale
lines hold natural logarithms. No fitted object of a library is kept.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, Protocol

#: Scale on which a line is straight: the reading itself or its natural logarithm.
Scale = Literal["linear", "ln"]
#: Largest natural logarithm that is taken back to the attribute's unit.
LARGEST_LN = 700.0
#: The side of a limit: "lower" must not be fallen below, "upper" not exceeded.
Side = Literal["lower", "upper"]
#: Terms of a bound. absolute: a value; change: value - initial; share: value / initial.
Terms = Literal["absolute", "change", "share"]


@dataclass(frozen=True, slots=True)
class Caution:
    """A statistical caution; printed wherever the result it belongs to is printed."""

    #: Short fixed name, such as "curvature".
    code: str
    #: One sentence for the reader: what was seen and what follows from it.
    text: str
    #: True where nothing may be claimed beyond the ages that were read.
    blocks_extrapolation: bool = False


@dataclass(frozen=True, slots=True)
class NoFit:
    """A series that gets no line, or a bound that no line can be held against."""

    #: Short fixed name of the reason, such as "too-few-ages".
    code: str
    #: The reason in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class Bound:
    """One side of a limit, as a number that a line can be held against."""

    #: absolute: a value; change: value - initial; share: value / initial.
    kind: Terms
    #: Whether the value must stay above or below it; the bound itself is inside.
    side: Side
    #: The bound: absolute and change in the attribute's unit (a fall is negative),
    #: share as a fraction such as 0.8 [-].
    amount: float


class StraightLine(Protocol):
    """Whatever knows a fitted line and its scatter: a `Line` or a `Drift`."""

    @property
    def n(self) -> int:
        """Points that fix the level of this line [-]."""

    @property
    def df(self) -> int:
        """Degrees of freedom of the scatter [-]."""

    @property
    def intercept(self) -> float:
        """Fitted value at age 0, on the scale."""

    @property
    def slope(self) -> float:
        """Change per month, on the scale."""

    @property
    def s_used(self) -> float:
        """Residual standard deviation that intervals use, on the scale."""

    @property
    def mean_age(self) -> float:
        """Mean age of the points [months]."""

    @property
    def sxx(self) -> float:
        """Sum of squared deviations of age that fixes the slope [months²]."""

    @property
    def scale(self) -> Scale:
        """Scale on which the line is straight."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line with what its intervals need.

    Var(fitted mean at t) = s_used² (1/n + (t - mean_age)² / sxx). This form also
    holds for a line of a common-slope model, with `sxx` summed over batches.
    """

    #: Points that fix the level of this line [-].
    n: int
    #: Degrees of freedom of `s_used` [-].
    df: int
    #: Fitted value at age 0, on the scale.
    intercept: float
    #: Change per month, on the scale.
    slope: float
    #: Residual standard deviation that intervals use, on the scale.
    s_used: float
    #: Mean age of the points [months].
    mean_age: float
    #: Sum of squared deviations of age from its mean [months²].
    sxx: float
    #: Scale on which the line is straight.
    scale: Scale = "linear"


@dataclass(frozen=True, slots=True)
class Drift:
    """The straight line of one series by ordinary least squares, with its checks."""

    #: Points fitted: one per check [-].
    n: int
    #: Degrees of freedom, n - 2 [-].
    df: int
    #: Scale on which the line is straight.
    scale: Scale
    #: Fitted value at age 0, on the scale.
    intercept: float
    #: Change per month, on the scale.
    slope: float
    #: Standard error of the intercept, from `s_used`, on the scale.
    intercept_error: float
    #: Standard error of the slope, from `s_used`, on the scale per month.
    slope_error: float
    #: Two-sided interval of the intercept, on the scale.
    intercept_interval: tuple[float, float]
    #: Two-sided interval of the slope, on the scale per month.
    slope_interval: tuple[float, float]
    #: Two-sided p for a slope of 0, from `s_used`; no verdict by itself [-].
    slope_p: float
    #: Confidence of the two intervals [-].
    confidence: float
    #: Residual standard deviation as the points give it, on the scale.
    s: float
    #: Residual standard deviation that intervals use: `s`, or the floor if larger.
    s_used: float
    #: Half the resolution of one reading, on the scale; 0 where it is not known.
    floor: float
    #: True where the floor is larger than `s` and stands in its place.
    floor_acted: bool
    #: Youngest age fitted [months].
    first_age: float
    #: Oldest age fitted [months].
    last_age: float
    #: Mean age of the points [months].
    mean_age: float
    #: Sum of squared deviations of age from its mean [months²].
    sxx: float
    #: Fitted value at age 0, in the attribute's unit.
    start: float
    #: Life asked for [months]; None where none was given.
    life: float | None
    #: Fitted change from age 0 to `life`, in the attribute's unit; None without life.
    drift_over_life: float | None
    #: Interval of the change over `life`, in the attribute's unit; None without life.
    drift_over_life_interval: tuple[float, float] | None
    #: Room from the fitted start down to the lower bound, in the attribute's unit;
    #: negative where the start is outside; None without a lower bound.
    room_down: float | None
    #: Room from the fitted start up to the upper bound; None without an upper bound.
    room_up: float | None
    #: Ages of the points, in the order given [months].
    ages: tuple[float, ...]
    #: Values of the points, in the attribute's unit, in the same order.
    values: tuple[float, ...]
    #: Value minus fitted value, on the scale, in the same order.
    residuals: tuple[float, ...]
    #: The line without the check of greatest age; None where fewer than 3 ages remain.
    without_last: Line | None
    #: Cautions of this series, each with its consequence.
    cautions: tuple[Caution, ...]

    @property
    def blocks_extrapolation(self) -> bool:
        """Say whether a caution forbids any claim beyond the ages read."""
        return any(caution.blocks_extrapolation for caution in self.cautions)

    @property
    def excludes_no_drift(self) -> bool:
        """Say whether the interval of the slope leaves out 0."""
        lowest, highest = self.slope_interval
        return lowest > 0 or highest < 0


@dataclass(frozen=True, slots=True)
class Curvature:
    """The common t² coefficient of the batches of one attribute, condition and pack."""

    #: Common coefficient of t², on the scale per month².
    coefficient: float
    #: Its standard error.
    error: float
    #: Coefficient over its error [-].
    t: float
    #: Degrees of freedom, N - 2k - 1 [-].
    df: int
    #: Two-sided p [-].
    p_two_sided: float
    #: One-sided p for bending towards the limit [-]; None where no limit is given.
    p_towards_limit: float | None
    #: Batches that take part [-].
    batches: int
    #: What follows; empty where nothing was seen.
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class LackOfFit:
    """F test of the line against the scatter of replicates of one age."""

    #: Mean square of lack of fit over mean square of replicates [-]; infinite never:
    #: None where the replicates agree exactly.
    f: float | None
    #: Degrees of freedom of lack of fit: distinct ages - 2 [-].
    df_fit: int
    #: Degrees of freedom of the replicates: points - distinct ages [-].
    df_replicates: int
    #: Upper-tail p [-]; None where `f` is.
    p: float | None
    #: What follows; empty where nothing was seen.
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the fitted line meets a limit, as an early warning and no shelf life."""

    #: The bound that is forecast.
    bound: Bound
    #: within: a time with two ends; from: no latest time; empty: no time ahead fits;
    #: now: the start cannot be told from the limit; outside: the fitted start is
    #: outside already.
    outcome: Literal["within", "from", "empty", "now", "outside"]
    #: Time at which the fitted line meets the bound [months]; None where it never does.
    months: float | None
    #: Earliest time of the interval [months]; None where it is empty.
    earliest: float | None
    #: Latest time of the interval [months]; None where there is none.
    latest: float | None


@dataclass(frozen=True, slots=True)
class OutOfTrend:
    """The newest point of a series against the line through all earlier ones."""

    #: alarm: outside the 99 % limits; alert: outside the 95 % limits; in trend.
    outcome: Literal["alarm", "alert", "in trend"]
    #: Age of the newest point [months].
    age: float
    #: Its value, in the attribute's unit.
    value: float
    #: Value that the earlier points predict, in the attribute's unit.
    predicted: float
    #: 95 % prediction limits, in the attribute's unit.
    alert_limits: tuple[float, float]
    #: 99 % prediction limits, in the attribute's unit.
    alarm_limits: tuple[float, float]
    #: Earlier points that the line rests on [-].
    earlier: int
    #: Two-sided p of the newest point [-].
    p: float
    #: The outcome in words.
    text: str

    @property
    def is_out(self) -> bool:
        """Say whether the point is an alert or an alarm."""
        return self.outcome != "in trend"


@dataclass(frozen=True, slots=True)
class TrendTests:
    """How many out-of-trend tests were made, and what chance alone would give."""

    #: Tests made [-].
    made: int
    #: Alerts expected by chance: 0.05 × tests [-].
    chance_alerts: float
    #: Alarms expected by chance: 0.01 × tests [-].
    chance_alarms: float
    #: Points outside the 95 % limits, alarms among them [-].
    alerts: int
    #: Points outside the 99 % limits [-].
    alarms: int
    #: The counts in one sentence.
    text: str


def back(value: float, scale: Scale) -> float:
    """Return a value on the scale in the attribute's unit.

    A steep line of few readings, carried far, passes what a float can hold; it stops
    at e^700, which no reading is.

    Examples
    --------
    >>> back(0.0, "ln")
    1.0
    """
    return math.exp(min(value, LARGEST_LN)) if scale == "ln" else value
