"""How every planned check of every sample stands on the as-of day.

Missed, late and early are derived from plan, observations and day. A check that was
not made is never a pass.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stability.evaluation.index import Index
from stability.evaluation.phrases import listed
from stability.evaluation.readings import CheckState, CheckStatus, ComingCheck
from stability.model.age import T0, check_order
from stability.model.moment import Moment
from stability.model.names import in_words
from stability.model.observation import (
    RETIRED_AS_FAILED,
    Missed,
    Observation,
    Retirement,
    Stop,
)
from stability.model.schedule import Due, PlannedCheck, expected
from stability.model.study import Sample

_UNRECORDED = "not recorded by its window's end"


def statuses_of(index: Index) -> tuple[CheckStatus, ...]:
    """Return every planned check of every sample, by due date."""
    missed = {
        (code, one.check): one for one in index.record.missed for code in one.samples
    }
    seen = {code: _by_check(ones) for code, ones in index.observations.items()}
    found = [
        _status(
            index,
            index.record.samples[code],
            planned,
            seen.get(code, {}).get(planned.check, []),
            missed.get((code, planned.check)),
        )
        for code, plans in index.plans.items()
        for planned in plans
    ]
    return tuple(sorted(found, key=_order))


def _order(status: CheckStatus) -> tuple[object, ...]:
    planned = status.planned
    return planned.due, check_order(planned.check), status.sample.code


def _by_check(observations: Sequence[Observation]) -> dict[str, list[Observation]]:
    found: dict[str, list[Observation]] = {}
    for seen in observations:
        if seen.stands and seen.check is not None:
            found.setdefault(seen.check, []).append(seen)
    return found


@dataclass(frozen=True, slots=True)
class _Made:
    """What was done of one planned check."""

    #: What was to be observed.
    expected: tuple[Due, ...]
    #: What was read.
    read: tuple[Due, ...]
    #: What was recorded as not measured, with its reason.
    not_measured: tuple[tuple[Due, str], ...]
    #: What is neither.
    remaining: tuple[Due, ...]
    #: When the first reading was made; None without one.
    made_on: Moment | None


def _status(
    index: Index,
    sample: Sample,
    planned: PlannedCheck,
    seen: Sequence[Observation],
    missed: Missed | None,
) -> CheckStatus:
    made = _made(index, sample, planned, seen)
    state, text, refers_to = _state(index, sample, planned, made, missed)
    return CheckStatus(
        sample=sample,
        planned=planned,
        state=state,
        expected=made.expected,
        read=made.read,
        not_measured=made.not_measured,
        remaining=made.remaining,
        made_on=made.made_on,
        refers_to=refers_to,
        text=text,
        is_missed=missed is not None and bool(made.remaining),
        is_unrecorded=(
            bool(made.remaining)
            and missed is None
            and index.as_of > planned.closes
            and _end_before(index, sample, planned) is None
        ),
    )


def _made(
    index: Index, sample: Sample, planned: PlannedCheck, seen: Sequence[Observation]
) -> _Made:
    record = index.record
    wanted = expected(record.study, record.protocol, sample, planned.check)
    read = {(one.attribute, one.part) for one in seen if one.readings}
    reasons = {
        (one.attribute, one.part): one.not_measured
        for one in seen
        if one.not_measured is not None
    }
    days = [one.done for one in seen if one.readings]
    return _Made(
        expected=wanted,
        read=tuple(due for due in wanted if due in read),
        not_measured=tuple(
            (due, reasons[due]) for due in wanted if due in reasons and due not in read
        ),
        remaining=tuple(
            due for due in wanted if due not in read and due not in reasons
        ),
        made_on=min(days) if days else None,
    )


def _state(
    index: Index,
    sample: Sample,
    planned: PlannedCheck,
    made: _Made,
    missed: Missed | None,
) -> tuple[CheckState, str, int | None]:
    if not made.remaining:
        return _complete(made)
    end = _end_before(index, sample, planned)
    if made.read or made.not_measured:
        return _partly(made, missed, end, planned, index)
    if missed is not None:
        return "missed", f"missed: {missed.because}", missed.position
    if end is not None:
        return _gone(index, sample, end)
    return _waiting(index, planned)


def _waiting(index: Index, planned: PlannedCheck) -> tuple[CheckState, str, int | None]:
    if index.as_of > planned.closes:
        return "not recorded", _UNRECORDED, None
    if index.as_of >= planned.opens and not planned.provisional:
        return "open", "open", None
    return "coming", "coming", None


def _complete(made: _Made) -> tuple[CheckState, str, int | None]:
    if not made.not_measured:
        return "made", "made", None
    reasons = _reasons(made)
    if not made.read:
        return "not measured", f"not measured: {reasons}", None
    return "partly", f"partly made; not measured: {reasons}", None


def _partly(
    made: _Made,
    missed: Missed | None,
    end: Retirement | Stop | None,
    planned: PlannedCheck,
    index: Index,
) -> tuple[CheckState, str, int | None]:
    rest = listed(
        [
            in_words(name if part is None else f"{name} {part}")
            for name, part in made.remaining
        ]
    )
    if missed is not None:
        return (
            "partly",
            f"partly made; {rest} missed: {missed.because}",
            missed.position,
        )
    if end is not None:
        return "partly", f"partly made; {rest} lost: {end.because}", end.position
    if index.as_of <= planned.closes:
        return "open", f"open: {rest} to be read", None
    return "partly", f"partly made; {rest} {_UNRECORDED}", None


def _reasons(made: _Made) -> str:
    return "; ".join(
        f"{in_words(name)} ({reason})" for (name, _), reason in made.not_measured
    )


def _end_before(
    index: Index, sample: Sample, planned: PlannedCheck
) -> Retirement | Stop | None:
    """Return what ended the sample before the window was over; None if nothing did."""
    retired = index.record.retirement_of(sample.code)
    stop = index.record.stop_of(sample)
    ends = [
        one
        for one in (retired, stop)
        if one is not None and one.done.day <= planned.closes
    ]
    return min(ends, key=lambda one: one.done, default=None)


def _gone(
    index: Index, sample: Sample, end: Retirement | Stop
) -> tuple[CheckState, str, int | None]:
    if isinstance(end, Stop):
        return "stopped", f"stopped: {end.because}", end.position
    by = index.record.replacement_of(sample.code)
    after = f"; replaced by {by}" if by else ""
    failed = end.reason in RETIRED_AS_FAILED
    state: CheckState = "failed" if failed else "lost"
    return state, f"{end.reason}: {end.because}{after}", end.position


def coming_of(statuses: Sequence[CheckStatus]) -> tuple[ComingCheck, ...]:
    """Return checks that wait, samples with the same dates together, by due date."""
    grouped: dict[tuple[object, ...], list[CheckStatus]] = {}
    for one in statuses:
        if one.waits:
            plan = one.planned
            condition = None if plan.check == T0 else one.sample.condition
            key = (plan.check, condition, plan.opens, plan.due, plan.closes, one.state)
            grouped.setdefault(key, []).append(one)
    return tuple(
        ComingCheck(
            check=ones[0].planned.check,
            condition=(
                None if ones[0].planned.check == T0 else ones[0].sample.condition
            ),
            opens=ones[0].planned.opens,
            due=ones[0].planned.due,
            closes=ones[0].planned.closes,
            samples=tuple(sorted(one.sample.code for one in ones)),
            state=ones[0].state,
            provisional=any(one.planned.provisional for one in ones),
        )
        for ones in grouped.values()
    )
