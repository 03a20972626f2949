"""Which series of a study stand beside which: conditions, batches, packs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, TypeVar

from stability.evaluation.contrast_findings import Beside, Between, Side
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import MeasuredSeries, SeriesKey, WordSeries
from stability.model.condition import Condition
from stability.model.protocol import Protocol
from stability.model.study import Study

#: Series of numbers, or of words.
S = TypeVar("S", MeasuredSeries, WordSeries)


@dataclass(frozen=True, slots=True)
class StudySeries:
    """The series of one study with what they rest on."""

    #: The frozen protocol.
    protocol: Protocol
    #: The study file.
    study: Study
    #: Position -> observation.
    judged: Mapping[int, JudgedObservation]
    #: Series of numbers, in the protocol's order.
    measured: tuple[MeasuredSeries, ...]
    #: Series of scores and statements, in the protocol's order.
    worded: tuple[WordSeries, ...]


def study_series(
    protocol: Protocol,
    study: Study,
    judged: Iterable[JudgedObservation],
    measured: tuple[MeasuredSeries, ...],
    worded: tuple[WordSeries, ...],
) -> StudySeries:
    """Return the series of a study with what they rest on."""
    by_position = {one.position: one for one in judged}
    return StudySeries(protocol, study, by_position, measured, worded)


@dataclass(frozen=True, slots=True)
class Pair(Generic[S]):
    """Two sides with their series, containers and settings not yet told apart."""

    #: The two sides.
    sides: Beside
    #: Series of the first.
    first: tuple[S, ...]
    #: Series of the second.
    second: tuple[S, ...]


def pairs_of(
    protocol: Protocol, study: Study, series: Iterable[S]
) -> Iterator[Pair[S]]:
    """Yield the pairs of a study: conditions, then batches, then packs.

    Parameters
    ----------
    protocol
        Declares what a condition is compared with.
    study
        Orders batches and packs, and says which pack is inert.
    series
        In the protocol's order.
    """
    found: dict[SeriesKey, list[S]] = {}
    for one in series:
        found.setdefault(_place(one.key), []).append(one)
    yield from _conditions(protocol, found)
    yield from _batches(study, found)
    yield from _packs(study, found)


def _place(key: SeriesKey) -> SeriesKey:
    """Return a series without its container and settings."""
    return SeriesKey(
        key.attribute, key.condition, key.pack, key.batch, twin_of=key.twin_of
    )


def _conditions(
    protocol: Protocol, found: Mapping[SeriesKey, list[S]]
) -> Iterator[Pair[S]]:
    """Yield each condition beside its declared comparison, else beside long-term."""
    for key in found:
        condition = protocol.conditions[key.condition]
        if key.twin_of or condition.role == "control":
            continue
        declared = [
            (basis, SeriesKey(key.attribute, against, key.pack, key.batch, twin_of=of))
            for basis, against, of in declared_for(protocol, condition)
        ]
        read = [one for one in declared if one[1] in found]
        if not read and condition.role != "long-term":
            read = [
                ("long-term storage", other)
                for other in found
                if protocol.conditions[other.condition].role == "long-term"
                and other == _elsewhere(key, other.condition)
            ]
        for basis, against in read:
            yield _pair("conditions", basis, found, key, against)


def _elsewhere(key: SeriesKey, condition: str) -> SeriesKey:
    return SeriesKey(key.attribute, condition, key.pack, key.batch)


def declared_for(
    protocol: Protocol, condition: Condition
) -> list[tuple[str, str, str]]:
    """Return what a condition is compared with: (basis, condition, twin of).

    Cycles beside untreated twins, light beside its dark twin, all others beside the
    cold control.
    """
    if condition.steps:
        return [("untreated twin", condition.untreated_twin or "", condition.name)]
    if condition.dark_twin:
        return [("dark twin", condition.dark_twin, "")]
    dark = set(protocol.twins_of_light().values())
    return [
        ("cold control", one.name, "")
        for one in protocol.conditions.values()
        if one.role == "control" and one.name not in dark
    ]


def _batches(study: Study, found: Mapping[SeriesKey, list[S]]) -> Iterator[Pair[S]]:
    groups: dict[SeriesKey, list[SeriesKey]] = {}
    for key in found:
        if not key.twin_of:
            group = SeriesKey(key.attribute, key.condition, key.pack, "")
            groups.setdefault(group, []).append(key)
    order = list(study.batches)
    for keys in groups.values():
        keys.sort(key=lambda one: order.index(one.batch))
        for first, second in combinations(keys, 2):
            yield _pair("batches", "", found, first, second)


def _packs(study: Study, found: Mapping[SeriesKey, list[S]]) -> Iterator[Pair[S]]:
    """Yield packs of one batch in one condition, an inert one as the second."""
    groups: dict[SeriesKey, list[SeriesKey]] = {}
    for key in found:
        if key.pack and not key.twin_of:
            group = SeriesKey(key.attribute, key.condition, "", key.batch)
            groups.setdefault(group, []).append(key)
    order = list(study.packs)
    for keys in groups.values():
        keys.sort(key=lambda one: (study.packs[one.pack].inert, order.index(one.pack)))
        for first, second in combinations(keys, 2):
            apart = study.packs[first.pack].inert != study.packs[second.pack].inert
            yield _pair("packs", "inert pack" if apart else "", found, first, second)


def _pair(
    between: Between,
    basis: str,
    found: Mapping[SeriesKey, list[S]],
    first: SeriesKey,
    second: SeriesKey,
) -> Pair[S]:
    sides = Beside(
        between,
        basis,
        first.attribute,
        _side(between, first),
        _side(between, second),
    )
    return Pair(sides, tuple(found[first]), tuple(found[second]))


def _side(between: Between, key: SeriesKey) -> Side:
    name = {
        "conditions": key.condition,
        "batches": f"batch {key.batch}",
        "packs": key.pack,
    }[between]
    if key.twin_of:
        name = f"untreated twin in {name}"
    return Side(name, "", key.condition, key.pack, (key.batch,))


def matched(first: Sequence[S], second: Sequence[S]) -> list[tuple[S, S]]:
    """Return which series of two sides stand beside each other.

    Only those of the same fixed settings; fresh containers beside fresh ones and
    reopened beside reopened, unless no two are alike.
    """
    same = [
        (one, other)
        for one in first
        for other in second
        if one.key.settings == other.key.settings
    ]
    alike = [
        pair for pair in same if bool(pair[0].key.sample) == bool(pair[1].key.sample)
    ]
    return alike or same
