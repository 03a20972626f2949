"""What the words of a series tell together: who may fail, and whether they worsen."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stability.evaluation.failures import Failure
from stability.evaluation.readings import JudgedObservation
from stability.model.age import DAYS_PER_MONTH, T0
from stability.model.attribute import Attribute
from stability.model.scores import (
    FailureShare,
    FailureStep,
    ScoreReading,
    ScoreTrend,
)
from stability.statistics.scores import score_trend, share_that_fails


def share_of(
    attribute: Attribute,
    observations: Sequence[JudgedObservation],
    failed: Sequence[Failure],
    confidence: float,
) -> FailureShare | None:
    """Return how many containers fail, and how many more may.

    None where no word was held against a limit.

    Parameters
    ----------
    attribute
        A score or a statement.
    observations
        Of the series; those neither inside nor outside their limit say nothing here.
    failed
        Samples of the series that left as failed, read before or not.
    confidence
        Of the upper bound. [-]
    """
    looks = [
        ScoreReading(
            one.sample.code,
            _months(one.age_days),
            _rank(attribute, one.word or ""),
            one.is_outside,
        )
        for one in observations
        if one.passes or one.is_outside
    ]
    looks += [
        ScoreReading(
            one.sample.code, _months(one.age_days), _worst(attribute), failed=True
        )
        for one in failed
    ]
    looks.sort(key=lambda one: one.container)
    return share_that_fails(looks, confidence) if looks else None


def trend_of_words(
    attribute: Attribute,
    observations: Sequence[JudgedObservation],
    failed: Sequence[Failure],
    *,
    cycled: bool,
) -> ScoreTrend | None:
    """Return whether the words grow worse with age; None without any.

    One point for each check, the worst word read at it, as the check is the unit of a
    line too: words of one day come from one nose. The word at T0 is the first point.
    A sample that left as failed is worse at that check than any word.

    Parameters
    ----------
    attribute
        A score, or a statement of which one word is required.
    observations
        Of the series.
    failed
        Samples of the series that left as failed.
    cycled
        Whether its condition is cycled: cycles are counted and are no time.
    """
    unordered = attribute.kind == "stated" and attribute.limit.required is None
    if cycled or unordered:
        return None
    points: dict[str, tuple[float, int]] = {}
    read = [one for one in observations if one.word]
    for one in read:
        check = one.check or f"extra {one.observation.done.day}"
        _add(points, check, one.age_days or 0.0, _rank(attribute, one.word or ""))
        if one.initial is not None and one.initial.word:
            _add(points, T0, 0.0, _rank(attribute, one.initial.word))
    for left in failed:
        check = left.attributes[attribute.name]
        _add(points, check, left.age_days, _worst(attribute))
    if not points:
        return None
    ordered = sorted(points.values())
    return score_trend(
        [age / DAYS_PER_MONTH for age, _ in ordered], [rank for _, rank in ordered]
    )


def beyond_counts(share: FailureShare | None, trend: ScoreTrend | None) -> str:
    """Return what trend and share add to the counts of a series; "" where nothing."""
    told = []
    if trend is not None and trend.p is not None:
        told.append(trend.text.removesuffix("."))
    if share is not None and share.failed and share.steps:
        told.append(_steps_text(share.steps))
    return "; ".join(told)


def _add(
    points: dict[str, tuple[float, int]], check: str, age: float, rank: int
) -> None:
    before = points.get(check)
    if before is not None:
        age, rank = min(age, before[0]), max(rank, before[1])
    points[check] = (age, rank)


def _rank(attribute: Attribute, word: str) -> int:
    """Return the place of a word from the best on; a statement has two."""
    if attribute.kind == "stated":
        return int(word != attribute.limit.required)
    return attribute.rank(word)


def _worst(attribute: Attribute) -> int:
    """Return a place worse than that of any word, of a statement too."""
    return len(attribute.scale) + 1


def _months(days: float | None) -> float:
    return (days or 0.0) / DAYS_PER_MONTH


def _steps_text(steps: Sequence[FailureStep]) -> str:
    """Return the estimated share that failed, step by step, in days."""
    told = []
    for one in steps:
        share = f"{100 * one.share:.0f} %"
        after = math.floor(one.after * DAYS_PER_MONTH + 0.5)
        if one.until is None:
            told.append(f"{share} later than {after} d")
        else:
            until = math.floor(one.until * DAYS_PER_MONTH + 0.5)
            told.append(f"{share} between {after} and {until} d")
    return f"estimated to fail: {', '.join(told)}"
