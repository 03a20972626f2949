"""Photographs with the age of what they show, beside those of the comparison."""

from __future__ import annotations

from collections.abc import Iterable

from stability.evaluation.comparing import ComparedWith, compared_with
from stability.evaluation.index import Index
from stability.evaluation.photograph_findings import Beside, PhotographSeen
from stability.evaluation.phrases import age_text
from stability.model.age import T0
from stability.model.moment import age_days
from stability.model.photograph import Photograph
from stability.model.study import Sample

#: How far apart photographs of different checks may lie to be shown together [days].
#: Common practice: what is compared is seen in one sitting, or in one week.
TOGETHER_DAYS = 7


def photographs_of(index: Index) -> tuple[PhotographSeen, ...]:
    """Return every photograph, in the order of the entries.

    What was set aside stands beside nothing: it may show another sample.
    """
    kept = index.record.photographs
    standing = [one for one in kept if one.invalidated is None]
    pairs = tuple(compared_with(index.protocol))
    return tuple(
        _seen(index, one, standing, pairs if one.invalidated is None else ())
        for one in kept
    )


def _seen(
    index: Index,
    one: Photograph,
    every: Iterable[Photograph],
    pairs: Iterable[ComparedWith],
) -> PhotographSeen:
    sample = index.record.samples[one.sample]
    days = _age(index, one)
    text = age_text(days, one.check)
    condition = index.protocol.conditions.get(sample.condition or "")
    if condition and condition.age_from == "first opening" and one.check != T0:
        text = f"{text} from opening"
    found = []
    for pair in pairs:
        if pair.condition != sample.condition or sample.twin_of is not None:
            continue
        other = _beside(
            index, one, sample, [x for x in every if _is_of(index, x, pair)]
        )
        if other is not None:
            found.append(Beside(pair.kind, other.position))
    return PhotographSeen(one, sample, days, text, tuple(found))


def _age(index: Index, one: Photograph) -> float | None:
    if one.check == T0:
        return 0.0
    placing = index.record.first_placing(one.sample)
    return None if placing is None else age_days(placing.done, one.done)


def _is_of(index: Index, one: Photograph, pair: ComparedWith) -> bool:
    """Say whether a photograph shows the comparison of a pair."""
    sample = index.record.samples[one.sample]
    if pair.kind == "cycles and untreated twin":
        return sample.twin_of == pair.condition
    return sample.condition == pair.against and sample.twin_of is None


def _beside(
    index: Index, one: Photograph, sample: Sample, others: Iterable[Photograph]
) -> Photograph | None:
    """Return the photograph that is most like another; None where none is near."""

    def unlike(other: Photograph) -> tuple[object, ...]:
        its = index.record.samples[other.sample]
        return (
            other.check != one.check,
            its.batch != sample.batch,
            its.pack != sample.pack,
            other.attribute != one.attribute,
            abs((other.done.day - one.done.day).days),
            other.position,
        )

    near = [
        other
        for other in others
        if (other.check is not None and other.check == one.check)
        or abs((other.done.day - one.done.day).days) <= TOGETHER_DAYS
    ]
    return min(near, key=unlike, default=None)
