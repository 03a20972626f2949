"""What accelerated and intermediate conditions allow, for one pack.

Significant change is an attribute that bears the request outside its limit in a
condition whose role is accelerated. Stress conditions never enter the cap: they give
words for storage, transport and pack.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stability.evaluation.failures import Failure, Seen
from stability.evaluation.index import Index, role_of
from stability.evaluation.life_findings import AcceleratedArm
from stability.evaluation.phrases import listed
from stability.evaluation.readings import CheckStatus, JudgedObservation
from stability.model.age import DAYS_PER_MONTH, T0, check_order
from stability.model.condition import Role, StorageClass
from stability.model.shelf_life import SignificantChange


@dataclass(frozen=True, slots=True)
class _Arm:
    """One role in one pack."""

    #: Conditions with samples in the pack.
    conditions: tuple[str, ...]
    #: Age of the first failure [months]; None without one.
    first_failure: float | None
    #: Whether anything passed there.
    passed: bool


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
    fast = _arm(index, "accelerated", pack, here, gone)
    between = _arm(index, "intermediate", pack, here, gone)
    change = _change(fast, between, storage)
    finished = bool(fast.conditions) and all(
        _finished(index, name, pack, here, seen.statuses) for name in fast.conditions
    )
    return AcceleratedArm(
        pack=pack,
        conditions=fast.conditions,
        finished=finished,
        change=change,
        words_moved=_words_moved(index, here) or bool(gone),
        text=_text(fast, change, finished=finished),
    )


def _arm(
    index: Index,
    role: Role,
    pack: str,
    judged: Iterable[JudgedObservation],
    failures: Iterable[Failure],
) -> _Arm:
    samples = [
        one
        for one in index.record.samples.values()
        if (one.pack or "") == pack and role_of(index.record, one) == role
    ]
    conditions = {one.condition or "" for one in samples}
    seen = [one for one in judged if one.role == role]
    ages = [one.age_months or 0.0 for one in seen if one.is_outside]
    ages += [
        one.age_days / DAYS_PER_MONTH
        for one in failures
        if role_of(index.record, one.sample) == role
    ]
    return _Arm(
        conditions=tuple(
            name for name in index.protocol.conditions if name in conditions
        ),
        first_failure=min(ages, default=None),
        passed=any(one.passes for one in seen),
    )


def _change(
    fast: _Arm, between: _Arm, storage: StorageClass | None
) -> SignificantChange:
    if fast.first_failure is None:
        return "none"
    if storage == "refrigerated":
        return (
            "within 3 months" if fast.first_failure <= 3 else "between 3 and 6 months"
        )
    held = between.passed and between.first_failure is None
    return "intermediate passed" if held else "intermediate failed"


def _finished(
    index: Index,
    condition: str,
    pack: str,
    judged: Iterable[JudgedObservation],
    statuses: Iterable[CheckStatus],
) -> bool:
    """Say whether all that was asked for was read at the last check of every batch."""
    asked: dict[str, set[tuple[str, str]]] = {}
    for status in statuses:
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
    read = {
        (one.sample.batch, one.attribute)
        for one in judged
        if one.condition == condition and one.check == last and one.is_read
    }
    failed = {
        (one.sample.batch, one.attribute)
        for one in judged
        if one.condition == condition and one.is_outside
    }
    return asked[last] <= read | failed


def _words_moved(index: Index, judged: Iterable[JudgedObservation]) -> bool:
    return any(
        one.takes_part
        and one.role in {"long-term", "accelerated"}
        and one.mark in {"changed, inside", "outside"}
        and index.attribute(one.attribute).kind != "measured"
        for one in judged
    )


def _text(fast: _Arm, change: SignificantChange, *, finished: bool) -> str:
    if not fast.conditions:
        return "no accelerated condition in this pack"
    names = listed(fast.conditions)
    if change != "none":
        return f"something that bears the request left its limit at {names} ({change})"
    if not finished:
        return f"{names} is not finished as the protocol defines it"
    return f"everything that bears the request held at {names} to its last check"
