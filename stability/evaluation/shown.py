"""Months shown: as far as real time has proved the product to hold.

The calendar interval of the last long-term check, made inside its window, at which
every attribute that bears the request passed in every batch; it stops at the first
failure. 12M read on its day counts 12; 12w is 12 weeks and never 3M.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stability.evaluation.failures import Failure
from stability.evaluation.findings import MonthsShown
from stability.evaluation.index import Index, role_of
from stability.evaluation.phrases import count_text, listed
from stability.evaluation.readings import CheckStatus, JudgedObservation
from stability.model.age import (
    T0,
    add_calendar_months,
    check_order,
    cycle_of,
    parse_age,
)
from stability.model.study import Sample

#: Words where nothing is shown.
NONE_YET = "no long-term check passed yet"


@dataclass(frozen=True, slots=True)
class _Fail:
    """One failure of an attribute that bears the request."""

    #: Batch.
    batch: str
    #: Attribute.
    attribute: str
    #: Check, or "extra".
    check: str
    #: Age by the plan where it has a check, else by the clock [days].
    age: float


@dataclass(slots=True)
class _Evidence:
    """What speaks for one long-term condition and pack."""

    #: Batches that have samples there.
    batches: set[str]
    #: (check, batch) -> attributes to be read that bear the request.
    wanted: dict[tuple[str, str], set[str]]
    #: (check, batch) -> attributes read inside the window and passed.
    passed: dict[tuple[str, str], set[str]]
    #: Why a reading does not count: (check, reason).
    not_counted: dict[tuple[str, str], None]
    #: Failures.
    failures: list[_Fail]


def months_shown(
    index: Index,
    judged: Iterable[JudgedObservation],
    statuses: Iterable[CheckStatus],
    failures: Sequence[Failure],
) -> tuple[MonthsShown, ...]:
    """Return the months shown for each long-term condition and pack."""
    evidence: dict[tuple[str, str], _Evidence] = {}
    for status in statuses:
        if _bears(index, status.sample) and status.planned.check != T0:
            _plan(index, _at(evidence, status.sample), status)
    for one in judged:
        if not one.is_read or not index.attribute(one.attribute).bears_request:
            continue
        if one.condition is None:
            _failed_at_t0(index, evidence, one)
        elif _bears(index, one.sample):
            _take(index, _at(evidence, one.sample), one)
    for failure in failures:
        if _bears(index, failure.sample):
            _retire(_at(evidence, failure.sample), failure)
    order = {name: place for place, name in enumerate(index.protocol.conditions)}
    return tuple(
        _shown(condition, pack, one)
        for (condition, pack), one in sorted(
            evidence.items(), key=lambda pair: (order[pair[0][0]], pair[0][1])
        )
    )


def overall(shown: Sequence[MonthsShown]) -> tuple[int, str]:
    """Return the smallest months shown over all packs, in words."""
    if not shown:
        return 0, NONE_YET
    least = min(shown, key=lambda one: one.months)
    if len(shown) == 1 or least.check is None:
        return least.months, least.text if least.check else NONE_YET
    return least.months, f"{least.text}, in {least.pack}: the pack shown for least"


def _bears(index: Index, sample: Sample) -> bool:
    return role_of(index.record, sample) == "long-term"


def _at(evidence: dict[tuple[str, str], _Evidence], sample: Sample) -> _Evidence:
    key = (sample.condition or "", sample.pack or "")
    found = evidence.setdefault(key, _Evidence(set(), {}, {}, {}, []))
    found.batches.add(sample.batch)
    return found


def _plan(index: Index, evidence: _Evidence, status: CheckStatus) -> None:
    """Note which attributes a check must have read in a batch."""
    wanted = evidence.wanted.setdefault(
        (status.planned.check, status.sample.batch), set()
    )
    for name, _ in status.expected:
        attribute = index.attribute(name)
        judges = attribute.limit_in(status.sample.condition).judges
        if attribute.bears_request and judges:
            wanted.add(name)


def _take(index: Index, evidence: _Evidence, one: JudgedObservation) -> None:
    """Note a reading that passed inside its window, or failed at any time."""
    if one.is_outside:
        evidence.failures.append(
            _Fail(
                one.sample.batch,
                one.attribute,
                one.check or "extra",
                _age(one.check, one.age_days or 0.0),
            )
        )
        return
    if not one.passes or one.check is None or one.planned is None:
        return
    reason = _not_counted(index, one)
    if reason:
        evidence.not_counted[one.check, reason] = None
        return
    evidence.passed.setdefault((one.check, one.sample.batch), set()).add(one.attribute)


def _not_counted(index: Index, one: JudgedObservation) -> str:
    """Return why a reading that passed does not count; "" where it does.

    The check that carries the request must be read on or after its date.
    """
    planned, day = one.planned, one.observation.done.day
    if planned is None or not planned.holds(day):
        return f"read {day}, outside its window"
    asked = index.record.study.request.months
    age = parse_age(planned.check)
    placing = index.record.first_placing(one.sample.code)
    if age is None or placing is None or age.whole_months < asked:
        return ""
    if day < min(planned.due, add_calendar_months(placing.done.day, asked)):
        return f"read {day}, before the {asked} months asked for were over"
    return ""


def _age(check: str | None, days: float) -> float:
    age = parse_age(check) if check else None
    return age.nominal_days if age is not None else days


def _failed_at_t0(
    index: Index, evidence: dict[tuple[str, str], _Evidence], one: JudgedObservation
) -> None:
    """Count a T0 reading outside its limit for every pack that it serves."""
    if not one.is_outside:
        return
    for (condition, pack), found in evidence.items():
        same = one.sample.batch in found.batches and one.sample.pack in {None, pack}
        limit = index.attribute(one.attribute).limit_in(condition)
        if same and limit.judges:
            found.failures.append(_Fail(one.sample.batch, one.attribute, T0, 0.0))


def _retire(evidence: _Evidence, failure: Failure) -> None:
    evidence.failures.append(
        _Fail(
            failure.sample.batch,
            f"sample {failure.left.reason}",
            failure.check or "extra",
            _age(failure.check, failure.age_days),
        )
    )


def _shown(condition: str, pack: str, evidence: _Evidence) -> MonthsShown:
    first = min((one.age for one in evidence.failures), default=float("inf"))
    checks = sorted({check for check, _ in evidence.wanted}, key=check_order)
    best = None
    for check in checks:
        if cycle_of(check) is None and _age(check, 0.0) < first:
            best = check if _passed(evidence, check) else best
    age = parse_age(best) if best else None
    months = age.whole_months if age else 0
    batches = tuple(sorted(evidence.batches))
    failed = tuple(
        (one.batch, one.attribute, one.check)
        for one in sorted(evidence.failures, key=lambda one: (one.age, one.batch))
    )
    return MonthsShown(
        condition=condition,
        pack=pack,
        batches=batches,
        check=best,
        months=months,
        failures=failed,
        not_counted=tuple(evidence.not_counted),
        text=_text(best, months, batches, failed),
    )


def _passed(evidence: _Evidence, check: str) -> bool:
    """Say whether every attribute asked for passed in every batch at a check."""
    asked = {batch for name, batch in evidence.wanted if name == check}
    if asked != evidence.batches:
        return False
    return any(evidence.wanted[check, batch] for batch in asked) and all(
        evidence.wanted[check, batch] <= evidence.passed.get((check, batch), set())
        for batch in asked
    )


def _text(
    check: str | None,
    months: int,
    batches: Sequence[str],
    failures: Sequence[tuple[str, str, str]],
) -> str:
    stop = ""
    if failures:
        batch, attribute, at = failures[0]
        stop = f"; stopped by {attribute}, batch {batch}, at {at}"
    age = parse_age(check) if check else None
    if check is None or age is None:
        return f"{NONE_YET}{stop}"
    unit = {"w": "week", "d": "day", "h": "hour"}.get(age.unit)
    length = count_text(age.count, unit) if unit else count_text(months, "month")
    number = count_text(len(batches), "batch", "batches")
    return f"shown to {check} ({length}), {number}: {listed(list(batches))}{stop}"
