"""What a plan can prove, worked out before T0."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.estimate import Scale


@dataclass(frozen=True, slots=True)
class BatchSpread:
    """How the batches of a product differ: covariance of levels and slopes."""

    #: Variance of the levels, on the scale squared.
    level: float
    #: Covariance of level and slope, on the scale squared per month.
    both: float
    #: Variance of the slopes, on the scale squared per month².
    slope: float


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is assumed of a product and its readings."""

    #: True mean start of the batches, on the scale.
    start: float
    #: True mean slope of the batches, on the scale per month.
    slope: float
    #: Standard deviation of one point, on the scale.
    scatter: float
    #: How batches differ; None where they are alike.
    spread: BatchSpread | None = None
    #: Scale of the line.
    scale: Scale = "linear"


@dataclass(frozen=True, slots=True)
class Prospect:
    """What the evaluation at one check can be expected to say."""

    #: Checks made by then, T0 among them [-].
    checks: int
    #: Age of the last of them [months].
    age: float
    #: Months shown if everything passes [months].
    shown: float
    #: Chance that an estimate can be given at all [-].
    chance_of_estimate: float
    #: Chance that the life asked for is supported [-].
    chance_of_support: float
    #: Smallest slope noticed with 80 % power, two-sided 5 %, on the scale per month;
    #: None below three checks.
    smallest_slope: float | None
    #: The prospect in one sentence, with its assumptions.
    text: str
