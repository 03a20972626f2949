"""Differences between conditions, batches and versions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: Ways to compare drifts.
Method = Literal["paired differences", "two slopes", "slopes of batches"]


@dataclass(frozen=True, slots=True)
class Contrast:
    """A difference of drifts with its interval."""

    #: How: slope of the paired differences; difference of two slopes, each with its
    #: own mean square; difference of the means of the batches' slopes.
    method: Method
    #: Difference of the slopes, the first named less the second, on the scale per
    #: month.
    difference: float
    #: Its standard error, on the scale per month.
    error: float
    #: Degrees of freedom; not whole where scatters differ [-].
    df: float
    #: Two-sided interval of the difference, on the scale per month.
    interval: tuple[float, float]
    #: Confidence of the interval [-].
    confidence: float
    #: Two-sided p for no difference; counted with all others, no verdict [-].
    p: float

    @property
    def excludes_no_difference(self) -> bool:
        """Say whether the interval leaves out 0."""
        return self.interval[0] > 0 or self.interval[1] < 0


@dataclass(frozen=True, slots=True)
class ChanceCount:
    """How many of several tests would show something by chance."""

    #: What was tested, such as "slopes".
    tested: str
    #: Tests made [-].
    made: int
    #: Level of each [-].
    level: float
    #: Tests that chance alone would let through [-].
    expected: float
    #: Tests that were let through [-].
    found: int
    #: The count in one sentence.
    text: str
