"""Time in the heat by rules of thumb, for what held there.

Nothing that left its limit in the heat is translated, nor anything at or above the
temperature at which the product's structure gives way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from stability.evaluation.ageing_findings import (
    HeatFinding,
    HeatOutcome,
    HeatTranslation,
    StorageReference,
)
from stability.evaluation.failures import Failure, Seen
from stability.evaluation.index import Index
from stability.evaluation.phrases import listed, named_check
from stability.evaluation.readings import Exposure, JudgedObservation
from stability.model.age import check_order
from stability.model.ageing import temperature_span
from stability.model.condition import Condition
from stability.model.names import all_in_words, in_words
from stability.model.study import Sample, StructuralLimit
from stability.statistics.ageing import rules_of_thumb

_HOT = ("accelerated", "stress")


@dataclass(frozen=True, slots=True)
class _Place:
    """One hot condition with all that was seen there."""

    #: The condition.
    condition: Condition
    #: The storage that it is held against.
    against: StorageReference
    #: (batch, pack) that have samples there.
    groups: tuple[tuple[str, str], ...]
    #: Readings that take part, of what bears the request and has a limit.
    judged: Mapping[str, Sequence[JudgedObservation]]
    #: Samples that left as failed.
    failures: Sequence[Failure]
    #: Sample -> time that it spent elsewhere.
    exposures: Mapping[str, Sequence[Exposure]]
    #: From where on heat is another process; None where it is not declared.
    limit: StructuralLimit | None


def hot_conditions(index: Index) -> tuple[Condition, ...]:
    """Return accelerated and stress conditions in which this study has samples."""
    used = {one.condition for one in index.record.samples.values() if _counts(one)}
    return tuple(
        one
        for one in index.protocol.conditions.values()
        if one.role in _HOT and one.name in used
    )


def _counts(sample: Sample) -> bool:
    """Say whether a sample stands for the unopened product in its condition."""
    return sample.twin_of is None and sample.use != "in use"


def heat_findings(
    index: Index,
    against: StorageReference,
    seen: Seen,
    exposures: Mapping[str, Sequence[Exposure]],
) -> Iterator[HeatFinding]:
    """Yield what became of each hot condition, one for attributes with the same fate.

    Parameters
    ----------
    index
        The record, looked up once.
    against
        The storage that heat is held against.
    seen
        Of the whole study.
    exposures
        Sample -> time that it spent in other conditions than its own.
    """
    for condition in hot_conditions(index):
        place = _place(index, condition, against, seen, exposures)
        refused = _refused(place)
        if refused is not None:
            yield _finding(place, refused[0], refused[1])
        else:
            yield from _by_fate(index, place)


def _place(
    index: Index,
    condition: Condition,
    against: StorageReference,
    seen: Seen,
    exposures: Mapping[str, Sequence[Exposure]],
) -> _Place:
    here = [
        one
        for one in index.record.samples.values()
        if one.condition == condition.name and _counts(one)
    ]
    judged: dict[str, list[JudgedObservation]] = {}
    for one in seen.judged:
        if one.takes_part and one.condition == condition.name and _counts(one.sample):
            attribute = index.attribute(one.attribute)
            if attribute.bears_request and attribute.limit_in(condition.name).judges:
                judged.setdefault(one.attribute, []).append(one)
    return _Place(
        condition=condition,
        against=against,
        groups=tuple(dict.fromkeys((one.batch, one.pack or "") for one in here)),
        judged=judged,
        failures=[
            one
            for one in seen.failures
            if one.sample.condition == condition.name and _counts(one.sample)
        ],
        exposures=exposures,
        limit=index.record.study.structural_limit,
    )


def _refused(place: _Place) -> tuple[HeatOutcome, str] | None:
    """Return why nothing of a condition is translated; None where something may be."""
    celsius = place.condition.temperature
    if celsius is None or place.condition.steps or place.condition.light:
        return "no temperature", _no_temperature(place.condition)
    limit, storage = place.limit, place.against
    if limit is not None and celsius >= limit.temperature:
        where = f"{limit.temperature} °C, where the structure gives way"
        why = f"({limit.reason}): heat is another process there than ageing"
        return "structure gives way", f"at or above {where} {why}"
    if celsius <= Decimal(str(storage.celsius)):
        words = f"not hotter than {storage.condition} at {storage.celsius:g} °C"
        return "not hotter", words
    read = any(one.is_read for ones in place.judged.values() for one in ones)
    if not read and not place.failures:
        return "not read", "nothing that bears the request is read there yet"
    return None


def _no_temperature(condition: Condition) -> str:
    if condition.steps:
        return "cycles are counted; they are no time at a temperature"
    if condition.light:
        return "light is another stress than heat"
    return "the protocol gives it no one temperature"


def _by_fate(index: Index, place: _Place) -> Iterator[HeatFinding]:
    """Yield one finding for all attributes that held to the same check, then others."""
    held: dict[str, list[tuple[str, float]]] = {}
    fates: dict[HeatOutcome, list[tuple[str, str]]] = {}
    for name, attribute in index.protocol.attributes.items():
        failed = _failed(place, name)
        if failed:
            fates.setdefault("outside there", []).append((name, failed))
        elif name not in place.judged:
            continue
        elif attribute.from_weights:
            words = "water leaves through the pack, and no Q10 tells how fast"
            fates.setdefault("water loss", []).append((name, words))
        elif (longest := _longest(place, name)) is not None:
            held.setdefault(longest[0], []).append((name, longest[1]))
        else:
            words = "nothing read there is known to lie inside"
            fates.setdefault("not decided", []).append((name, words))
    beside = _beside(place, [name for name, _ in fates.get("outside there", ())])
    for check in sorted(held, key=check_order, reverse=True):
        yield _translated(place, check, held[check], beside)
    for outcome, told in fates.items():
        words = "; ".join(f"{in_words(name)}: {why}" for name, why in told)
        if len({why for _, why in told}) == 1:
            words = told[0][1]
        yield _finding(place, outcome, words, tuple(name for name, _ in told))


def _failed(place: _Place, name: str) -> str:
    """Return where an attribute first left its limit; "" where it did not."""
    outside = [one for one in place.judged.get(name, ()) if one.is_outside]
    left = [one for one in place.failures if name in one.attributes]
    if outside:
        first = min(outside, key=lambda one: (one.age_days or 0.0, one.position))
        where = ", ".join(filter(None, (first.sample.pack, first.sample.batch)))
        return f"outside its limit at {named_check(first.check)} ({where})"
    if left:
        return (
            f"no longer readable: {left[0].sample.code} left as {left[0].left.reason}"
        )
    return ""


def _longest(place: _Place, name: str) -> tuple[str, float] | None:
    """Return the last check inside and the time up to it [d], where it is shortest.

    Batches and packs of which nothing was read are told beside it.
    """
    found: list[tuple[str, float]] = []
    for group in place.groups:
        ones = [one for one in place.judged[name] if _group(one.sample) == group]
        passed = [one for one in ones if one.passes and one.check is not None]
        unsure = {one.check for one in ones if not one.passes}
        passed = [one for one in passed if one.check not in unsure]
        if passed:
            last = max((one.check or "" for one in passed), key=check_order)
            times = [_time_there(place, one) for one in passed if one.check == last]
            found.append((last, min(times)))
        elif ones:
            return None
    return min(found, key=lambda one: one[1], default=None)


def _group(sample: Sample) -> tuple[str, str]:
    return sample.batch, sample.pack or ""


def _time_there(place: _Place, one: JudgedObservation) -> float:
    """Return the age of a reading without the time that its sample was elsewhere."""
    away = sum(
        each.days
        for each in place.exposures.get(one.sample.code, ())
        if each.start <= one.observation.done
    )
    return max((one.age_days or 0.0) - away, 0.0)


def _beside(place: _Place, failed: Sequence[str]) -> str:
    """Return what failed in the same condition; "" where nothing did."""
    told = [f"{listed(all_in_words(failed))} left the limit there"] if failed else []
    told += [
        f"{one.sample.code} left as {one.left.reason}"
        for one in place.failures
        if not one.attributes
    ]
    if not told:
        return ""
    return f"says nothing of the product as a whole: {'; '.join(told)}"


def _translated(
    place: _Place, check: str, held: Sequence[tuple[str, float]], beside: str
) -> HeatFinding:
    names = tuple(name for name, _ in held)
    days = min(time for _, time in held)
    told = [beside, _unread(place, names), _near_limit(place)]
    text = "; ".join(filter(None, told))
    return _finding(place, "translated", text, names, check=check, days=days)


def _unread(place: _Place, names: Sequence[str]) -> str:
    """Return batches and packs of which something was not read at all."""
    missing = [
        ", ".join(filter(None, (pack, f"batch {batch}")))
        for batch, pack in place.groups
        if any(
            all(_group(one.sample) != (batch, pack) for one in place.judged[name])
            for name in names
        )
    ]
    return f"not all of it was read of {'; '.join(missing)}" if missing else ""


def _near_limit(place: _Place) -> str:
    span = temperature_span(place.condition)
    if place.limit is None or span is None or span[1] < place.limit.temperature:
        return ""
    return (
        f"its tolerance reaches {place.limit.temperature} °C, where the structure "
        f"gives way ({place.limit.reason})"
    )


def _finding(
    place: _Place,
    outcome: HeatOutcome,
    text: str,
    attributes: tuple[str, ...] = (),
    *,
    check: str | None = None,
    days: float | None = None,
) -> HeatFinding:
    celsius = place.condition.temperature
    return HeatFinding(
        condition=place.condition.name,
        role=place.condition.role,
        celsius=None if celsius is None else float(celsius),
        against=place.against,
        attributes=attributes,
        outcome=outcome,
        check=check,
        days=days,
        translations=()
        if days is None or celsius is None
        else _translations(days, float(celsius), place.against),
        text=text,
    )


def _translations(
    days: float, celsius: float, against: StorageReference
) -> tuple[HeatTranslation, ...]:
    tables = [
        rules_of_thumb(days, celsius, storage, measured=False).rows
        for storage in (against.celsius, against.highest, against.lowest)
    ]
    return tuple(
        HeatTranslation(
            middle.q10,
            middle.factor,
            middle.reference_days,
            warm.reference_days,
            cool.reference_days,
        )
        for middle, warm, cool in zip(*tables, strict=True)
    )
