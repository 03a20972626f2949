"""What scores and statements say: counts, intervals of failure, one-sided trends."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

#: Level at which a trend is counted beside those that chance gives [-].
_LEVEL: Final = 0.05


@dataclass(frozen=True, slots=True)
class ScoreReading:
    """One look at one container: a rank from best to worst, and whether it failed."""

    #: Container looked at.
    container: str
    #: Actual age [months].
    age: float
    #: 0-based place in the scale of words, 0 the best; 0 or 1 for a statement [-].
    rank: int
    #: True where the score or statement lies outside its limit.
    failed: bool


@dataclass(frozen=True, slots=True)
class ScoreCount:
    """The first line of every score: worst, first failed, failed of read."""

    #: Worst rank seen [-].
    worst: int
    #: Youngest age at which a container failed [months]; None where none did.
    first_failed_age: float | None
    #: Containers that failed at least once [-].
    failed: int
    #: Containers that were read [-].
    read: int
    #: The counts in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class FailureInterval:
    """When a container failed: after one look and not after another."""

    #: The container.
    container: str
    #: Age of the last look before it that passed [months]; 0 where there was none.
    after: float
    #: Age of the look at which it had failed [months]; None where it has not yet.
    until: float | None


@dataclass(frozen=True, slots=True)
class FailureStep:
    """One step of the estimated share that has failed."""

    #: The step lies after this age [months].
    after: float
    #: The step is done at this age [months]; None where it lies beyond the last look.
    until: float | None
    #: Share of containers that fails in this step [-].
    share: float


@dataclass(frozen=True, slots=True)
class FailureShare:
    """How many containers fail, with what so few containers leave open."""

    #: Containers that failed [-].
    failed: int
    #: Containers read [-].
    read: int
    #: Exact one-sided upper bound of the share that fails [-].
    at_most: float
    #: Confidence of the bound [-].
    confidence: float
    #: The intervals of failure, in the order given.
    intervals: tuple[FailureInterval, ...]
    #: Non-parametric estimate; empty below 10 containers.
    steps: tuple[FailureStep, ...]
    #: The result in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class ScoreTrend:
    """Kendall's tau-b of score against age."""

    #: Readings [-].
    n: int
    #: Pairs that grow worse with age less pairs that grow better [-].
    s: int
    #: Kendall's tau-b [-]; None where all readings are equal.
    tau_b: float | None
    #: One-sided p for "worse with age" [-]; None below 5 readings or all equal.
    p: float | None
    #: Smallest p that any order of these ages and scores could give [-]; None where
    #: `p` is, or where not all orders were gone through.
    least_p: float | None
    #: How p was found.
    method: Literal["exact", "approximate", "none"]
    #: The result in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class WeightLossLife:
    """Life from a loss of weight that is zero at T0 by definition."""

    #: Containers, each with one rate [-].
    containers: int
    #: Mean rate [% per month].
    mean_rate: float
    #: Standard deviation of the rates that is used [% per month].
    sd: float
    #: One-sided upper bound of the mean rate [% per month].
    upper_rate: float
    #: Confidence of the bound [-].
    confidence: float
    #: Limit of the loss [%].
    limit: float
    #: Age at which the bound meets the limit [months]; None where nothing is lost.
    months: float | None
    #: Two-sided p for a rate that changes with age [-]; None with fewer than 3 ages.
    rate_change_p: float | None
    #: The result in one sentence.
    text: str


def worse_by_chance(trends: Iterable[ScoreTrend]) -> str:
    """Say how many scores would seem to grow worse with age by chance alone.

    Parameters
    ----------
    trends : iterable of ScoreTrend
        All that were worked out together.

    Returns
    -------
    str
        The count of those with p < 0.05 beside what chance gives at most; "" where no
        trend has a p.

    Examples
    --------
    >>> rising = ScoreTrend(5, 8, 0.89, 1 / 30, 1 / 30, "exact", "")
    >>> worse_by_chance([rising])[:48]
    'Of 1 trend of words at most about 0.1 would show'
    """
    tested = [one for one in trends if one.p is not None]
    if not tested:
        return ""
    able = [one for one in tested if (one.least_p or 0.0) < _LEVEL]
    found = sum(one.p is not None and one.p < _LEVEL for one in able)
    of = f"Of {len(tested)} trend{'' if len(tested) == 1 else 's'} of words "
    if not able:
        return f"{of}none has enough checks to show p < 0.05, whatever was read."
    which = "" if len(able) == len(tested) else f"{len(able)} could show p < 0.05: "
    return (
        f"{of}{which}at most about {_LEVEL * len(able):.1f} would show p < 0.05 by "
        f"chance alone; {found} did. A p-value here is no verdict."
    )
