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
