"""Scores and statements: counted container by container, never averaged or fitted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stability.evaluation.drifts import in_order
from stability.evaluation.failures import Failure
from stability.evaluation.grouping import series_key, state_of
from stability.evaluation.index import Index, role_of
from stability.evaluation.phrases import count_text, named_check
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import (
    ContainerWords,
    SeriesKey,
    SeriesState,
    WordSeries,
)
from stability.evaluation.word_trends import (
    beyond_counts,
    share_of,
    trend_of_words,
)
from stability.model.attribute import Attribute
from stability.model.observation import Observation


def word_series(
    index: Index,
    grouped: Mapping[SeriesKey, Sequence[JudgedObservation]],
    failures: Sequence[Failure],
) -> tuple[WordSeries, ...]:
    """Return every series of scores and statements, in the protocol's order."""
    failed = _failed(index, grouped, failures)
    return tuple(
        _series(index, key, grouped.get(key, ()), failed.get(key, ()))
        for key in in_order(index.protocol, {*grouped, *failed})
    )


def _failed(
    index: Index, keys: Iterable[SeriesKey], failures: Sequence[Failure]
) -> dict[SeriesKey, list[Failure]]:
    """Return series -> samples that left as failed, read before or not."""
    known = {replace(key, settings=()): key for key in keys}
    found: dict[SeriesKey, list[Failure]] = {}
    for failure in failures:
        for name in failure.attributes:
            if index.attribute(name).kind != "measured":
                plain = series_key(name, failure.sample)
                found.setdefault(known.get(plain, plain), []).append(failure)
    return found


def _series(
    index: Index,
    key: SeriesKey,
    observations: Sequence[JudgedObservation],
    failed: Sequence[Failure],
) -> WordSeries:
    attribute = index.attribute(key.attribute)
    limit = attribute.limit_in(key.condition)
    containers = _containers(key.attribute, observations, failed)
    outside = sum(one.failed for one in containers)
    first, age = _first_failed(containers)
    worst = worst_word(attribute, [one.word for one in observations if one.word])
    share = share_of(
        attribute, observations, failed, index.protocol.analysis.confidence
    )
    cycled = index.protocol.conditions[key.condition].cycles > 0
    trend = trend_of_words(attribute, observations, failed, cycled=cycled)
    state: SeriesState = "outside" if outside else state_of(observations)
    sample = observations[0].sample if observations else failed[0].sample
    return WordSeries(
        key=key,
        role=role_of(index.record, sample) or "control",
        kind="stated" if attribute.kind == "stated" else "scored",
        limit=limit,
        limit_text=limit.words(""),
        initial=_initial(observations),
        worst=worst,
        first_outside=first,
        first_failed_age=age,
        failed=outside,
        read=len(containers),
        containers=containers,
        share=share,
        trend=trend,
        observers_text=_observers(attribute, [one.observation for one in observations]),
        state=state,
        text=_text(
            worst,
            first,
            age,
            (outside, len(containers)),
            steady=state == "inside",
        ),
        beyond=beyond_counts(share, trend),
    )


def _initial(observations: Sequence[JudgedObservation]) -> str | None:
    return next(
        (one.initial.word for one in observations if one.initial is not None), None
    )


def _containers(
    attribute: str,
    observations: Sequence[JudgedObservation],
    failed: Sequence[Failure],
) -> tuple[ContainerWords, ...]:
    gone = {one.sample.code: one for one in failed}
    by_sample: dict[str, list[JudgedObservation]] = {code: [] for code in gone}
    for one in observations:
        by_sample.setdefault(one.sample.code, []).append(one)
    return tuple(
        _container(attribute, code, ones, gone.get(code))
        for code, ones in sorted(by_sample.items())
    )


def _container(
    attribute: str,
    code: str,
    ones: Sequence[JudgedObservation],
    failure: Failure | None,
) -> ContainerWords:
    ordered = sorted(ones, key=lambda one: (one.age_days or 0.0, one.position))
    failed = [
        (one.age_days or 0.0, one.check or "extra") for one in ordered if one.is_outside
    ]
    if failure is not None:
        failed.append((failure.age_days, failure.attributes[attribute]))
    age, check = min(failed, default=(None, None))
    passed = [
        one.age_days or 0.0
        for one in ordered
        if one.passes and (age is None or (one.age_days or 0.0) < age)
    ]
    return ContainerWords(
        sample=code,
        words=tuple(
            (one.check or "extra", one.age_days or 0.0, one.word or "", one.is_outside)
            for one in ordered
        ),
        failed=age is not None,
        last_passed=max(passed, default=None),
        first_failed=age,
        first_outside=check,
        retired="" if failure is None else failure.left.reason,
    )


def _first_failed(
    containers: Sequence[ContainerWords],
) -> tuple[str | None, float | None]:
    """Return the first check outside and the age at it."""
    found = [
        (one.first_failed, one.first_outside)
        for one in containers
        if one.first_failed is not None
    ]
    age, check = min(found, default=(None, None))
    return check, age


def worst_word(attribute: Attribute, words: Sequence[str]) -> str | None:
    """Return the worst of several words; None without any.

    A statement is worse where it is not the one required.
    """
    if not words:
        return None
    if attribute.kind == "scored":
        return max(words, key=attribute.rank)
    required = attribute.limit.required
    return next((one for one in words if one != required), words[0])


def _observers(attribute: Attribute, seen: Sequence[Observation]) -> str:
    several = max((len(one.readings) for one in seen), default=0)
    if several < 2:
        return ""
    blind = all(one.blind for one in seen if one.readings)
    sight = "blind" if blind else "not blind"
    return (
        f"{count_text(several, 'observer')}, {sight}; rule fixed beforehand: "
        f"{attribute.rule}; no significance can be claimed"
    )


def _text(
    worst: str | None,
    first: str | None,
    age: float | None,
    counts: tuple[int, int],
    *,
    steady: bool,
) -> str:
    failed, read = counts
    lead = "no word read" if worst is None else f"worst “{worst}”"
    if worst is not None and steady:
        lead = f"no change seen, always “{worst}”"
    if first is None or age is None:
        return f"{lead}; 0 of {count_text(read, 'container')} outside"
    check = named_check(None if first == "extra" else first)
    return (
        f"{lead}; first outside at {check} ({age:.0f} d); "
        f"{failed} of {count_text(read, 'container')} outside"
    )
