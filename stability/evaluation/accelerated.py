"""What accelerated and intermediate conditions allow, for one pack.

Significant change is an attribute that bears the request outside its limit in a
condition whose role is accelerated. Intermediate conditions make up for it where they
were read to their end, where nothing left its limit, and where what failed in the heat
held, in every batch in which it failed. Stress conditions never enter the cap: they
give words for storage, transport and pack.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from stability.evaluation.failures import Seen
from stability.evaluation.index import Index, role_of
from stability.evaluation.life_findings import AcceleratedArm
from stability.evaluation.phrases import listed
from stability.evaluation.readings import JudgedObservation
from stability.model.age import DAYS_PER_MONTH, T0, check_order
from stability.model.condition import Role, StorageClass
from stability.model.shelf_life import SignificantChange

#: Months up to which a failure is one within three months: the longest three calendar
#: months have 92 days, so that a check at 3M never lies beyond them [months].
_THREE_MONTHS = 92 / DAYS_PER_MONTH

#: Batch and attribute.
_What = tuple[str, str]


@dataclass(frozen=True, slots=True)
class _Arm:
    """One role in one pack."""

    #: Conditions with samples in the pack.
    conditions: tuple[str, ...]
    #: Age of the first failure [months]; None without one.
    first_failure: float | None
    #: What failed there.
    failed: frozenset[_What]
    #: What passed there.
    passed: frozenset[_What]
    #: Whether every condition was read to its end, as the protocol defines it.
    finished: bool


def accelerated_arm(
    index: Index,
    pack: str,
    storage: StorageClass | None,
    seen: Seen,
) -> AcceleratedArm:
    """Return what the accelerated and intermediate conditions of a pack allow.

    Parameters
    ----------
    index
        The record, looked up once.
    pack
        The pack.
    storage
        Storage for which the product is meant; None where nothing tells it.
    seen
        Of the whole study.
    """
    here = [
        one
        for one in seen.judged
        if one.condition is not None
        and (one.sample.pack or "") == pack
        and index.attribute(one.attribute).bears_request
    ]
    gone = [one for one in seen.failures if (one.sample.pack or "") == pack]
    there = replace(seen, judged=tuple(here), failures=tuple(gone))
    fast = _arm(index, "accelerated", pack, there)
    between = _arm(index, "intermediate", pack, there)
    change = _change(fast, between, storage)
    return AcceleratedArm(
        pack=pack,
        conditions=fast.conditions,
        finished=fast.finished,
        change=change,
        words_moved=_words_moved(index, there),
        text=_text(fast, between, change),
    )


def _arm(index: Index, role: Role, pack: str, seen: Seen) -> _Arm:
    samples = [
        one
        for one in index.record.samples.values()
        if (one.pack or "") == pack and role_of(index.record, one) == role
    ]
    used = {one.condition or "" for one in samples}
    conditions = tuple(name for name in index.protocol.conditions if name in used)
    judged = [one for one in seen.judged if one.role == role]
    outside = [one for one in judged if one.is_outside]
    gone = [one for one in seen.failures if role_of(index.record, one.sample) == role]
    ages = [one.age_months or 0.0 for one in outside]
    ages += [one.age_days / DAYS_PER_MONTH for one in gone]
    lost = {
        (one.sample.batch, name)
        for one in gone
        for name in one.attributes
        if index.attribute(name).bears_request
    }
    return _Arm(
        conditions=conditions,
        first_failure=min(ages, default=None),
        failed=frozenset({*_whats(outside), *lost}),
        passed=frozenset(_whats(one for one in judged if one.passes)),
        finished=bool(conditions)
        and all(_finished(index, name, pack, seen) for name in conditions),
    )


def _whats(judged: Iterable[JudgedObservation]) -> Iterator[_What]:
    return ((one.sample.batch, one.attribute) for one in judged)


def _change(
    fast: _Arm, between: _Arm, storage: StorageClass | None
) -> SignificantChange:
    if fast.first_failure is None:
        return "none"
    if storage == "refrigerated":
        early = fast.first_failure <= _THREE_MONTHS
        return "within 3 months" if early else "between 3 and 6 months"
    held = (
        between.finished
        and between.first_failure is None
        and fast.failed <= between.passed
    )
    return "intermediate passed" if held else "intermediate failed"


def _finished(index: Index, condition: str, pack: str, seen: Seen) -> bool:
    """Say whether the last check of every batch told of all that was asked for.

    A reading that cannot be decided, or has no initial value, tells nothing.
    """
    asked: dict[str, set[_What]] = {}
    for status in seen.statuses:
        sample, check = status.sample, status.planned.check
        here = sample.condition == condition and (sample.pack or "") == pack
        if not here or check == T0 or sample.twin_of:
            continue
        for name, _ in status.expected:
            attribute = index.attribute(name)
            if attribute.bears_request and attribute.limit_in(condition).judges:
                asked.setdefault(check, set()).add((sample.batch, name))
    if not asked:
        return False
    last = max(asked, key=check_order)
    read = [one for one in seen.judged if one.condition == condition]
    passed = _whats(one for one in read if one.check == last and one.passes)
    failed = _whats(one for one in read if one.is_outside)
    return asked[last] <= {*passed, *failed}


def _words_moved(index: Index, seen: Seen) -> bool:
    """Say whether a word moved, or a sample left as failed, where that counts."""
    counted = {"long-term", "accelerated"}
    return any(
        role_of(index.record, one.sample) in counted for one in seen.failures
    ) or any(
        one.takes_part
        and one.role in counted
        and one.mark in {"changed, inside", "outside"}
        and index.attribute(one.attribute).kind != "measured"
        for one in seen.judged
    )


def _text(fast: _Arm, between: _Arm, change: SignificantChange) -> str:
    if not fast.conditions:
        return "no accelerated condition in this pack"
    names = listed(fast.conditions)
    if change != "none":
        why = _why(between) if change == "intermediate failed" else change
        return f"something that bears the request left its limit at {names} ({why})"
    if not fast.finished:
        return f"{names} is not finished as the protocol defines it"
    return f"everything that bears the request held at {names} to its last check"


def _why(between: _Arm) -> str:
    """Say why an intermediate condition makes up for nothing."""
    if not between.conditions:
        return "no intermediate condition in this pack"
    if between.first_failure is not None:
        return "intermediate failed"
    names = listed(between.conditions)
    if not between.finished:
        return f"{names} is not finished as the protocol defines it"
    return f"what left it was not read at {names}"
