"""Samples that left as failed: leaking, gassing, mouldy, separated.

Such a sample counts as failed, at the check that it no longer reached, for every
attribute that can no longer be read of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stability.evaluation.index import Index
from stability.evaluation.readings import CheckStatus, JudgedObservation, SampleFate
from stability.model.age import T0
from stability.model.moment import age_days
from stability.model.observation import RETIRED_AS_FAILED, Retirement
from stability.model.study import Sample


@dataclass(frozen=True, slots=True)
class Failure:
    """One sample that left as failed."""

    #: What happened to the sample.
    fate: SampleFate
    #: How it left.
    left: Retirement
    #: Age when it left [days]; 0 where it was not placed.
    age_days: float
    #: First check that it no longer reached; None where all were made.
    check: str | None
    #: Attributes that can no longer be read of it, with the check.
    attributes: Mapping[str, str]

    @property
    def sample(self) -> Sample:
        """The sample."""
        return self.fate.sample


@dataclass(frozen=True, slots=True)
class Seen:
    """All that was read, planned and lost of a study."""

    #: Every observation, judged.
    judged: tuple[JudgedObservation, ...]
    #: Every planned check.
    statuses: tuple[CheckStatus, ...]
    #: Every sample that left as failed.
    failures: tuple[Failure, ...]


def failures_of(
    index: Index, fates: Sequence[SampleFate], statuses: Sequence[CheckStatus]
) -> tuple[Failure, ...]:
    """Return every sample that left as failed, in order of leaving."""
    by_sample: dict[str, list[CheckStatus]] = {}
    for status in statuses:
        by_sample.setdefault(status.sample.code, []).append(status)
    found = []
    for fate in fates:
        left = fate.left
        if left is None or left.reason not in RETIRED_AS_FAILED:
            continue
        found.append(_failure(index, fate, left, by_sample.get(fate.sample.code, ())))
    return tuple(sorted(found, key=lambda one: one.left.position))


def _failure(
    index: Index,
    fate: SampleFate,
    left: Retirement,
    statuses: Sequence[CheckStatus],
) -> Failure:
    placing = index.record.first_placing(fate.sample.code)
    age = max(age_days(placing.done, left.done), 0.0) if placing is not None else 0.0
    attributes: dict[str, str] = {}
    for status in statuses:
        planned = status.planned
        if planned.check == T0 or planned.closes < left.done.day:
            continue
        for name, _ in status.remaining:
            attributes.setdefault(name, planned.check)
    check = next(iter(attributes.values()), None)
    return Failure(fate, left, age, check, attributes)


def failed_attributes(
    failures: Sequence[Failure],
) -> dict[tuple[str, str], list[Failure]]:
    """Return (attribute, condition) -> failures, without untreated twins."""
    found: dict[tuple[str, str], list[Failure]] = {}
    for one in failures:
        if one.sample.twin_of is None:
            for name in one.attributes:
                found.setdefault((name, one.sample.condition or ""), []).append(one)
    return found
