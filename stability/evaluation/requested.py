"""The shelf life asked for: at which check it may be judged, and what holds so far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from stability.evaluation.evidence import Evidence, bears
from stability.evaluation.failures import Seen
from stability.evaluation.index import Index
from stability.evaluation.life_findings import Look
from stability.evaluation.phrases import listed
from stability.evaluation.readings import CheckStatus
from stability.evaluation.shown import months_shown
from stability.model.age import T0, check_order, parse_age
from stability.model.names import in_words
from stability.model.protocol import Provisional
from stability.model.shelf_life import ProvisionalRule, RequestOutcome, Supported
from stability.statistics.support import judge_request


def look_of(index: Index, statuses: Iterable[CheckStatus]) -> Look:
    """Return at which long-term check the evaluation stands.

    The newest check of which nothing is still to be read. Where the protocol names no
    check for judging the request, the last one planned is taken.
    """
    reached: dict[str, bool] = {}
    waiting: set[str] = set()
    for status in statuses:
        check = status.planned.check
        if check == T0 or not bears(index, status.sample):
            continue
        reached[check] = reached.get(check, False) or bool(status.read)
        if status.state in {"open", "coming"}:
            waiting.add(check)
    done = [check for check, read in reached.items() if read and check not in waiting]
    newest = max(done, key=check_order, default=None)
    last = max(reached, key=check_order, default=None)
    named = index.protocol.analysis.evaluate_at or ((last,) if last else ())
    planned = newest is not None and newest in named
    before = max((one for one in done if one in named), key=check_order, default=None)
    return Look(newest, planned, _look_text(newest, named, before, planned=planned))


def _look_text(
    check: str | None, named: Sequence[str], before: str | None, *, planned: bool
) -> str:
    when = f"the request is judged at {listed(named)}" if named else ""
    if check is None:
        return f"Interim: no long-term check is complete yet; {when}".rstrip("; ") + "."
    if planned:
        return f"Planned evaluation at {check}: {when}; it replaces all earlier ones."
    last = f" The last planned evaluation was that at {before}." if before else ""
    return f"Interim evaluation after {check}: {when}.{last}"


def provisional_rule(
    index: Index,
    evidence: Sequence[Evidence],
    seen: Seen,
    *,
    declared_before_t0: bool,
) -> ProvisionalRule | None:
    """Return the declared rule of thumb and where it stands; None without one."""
    declared = index.protocol.analysis.provisional
    if declared is None:
        return None
    condition = index.protocol.conditions.get(declared.condition)
    words = f"{declared.check} at {declared.condition}"
    if condition is not None:
        words = f"{words} ({condition.words()})"
    return ProvisionalRule(
        declared_before_t0=declared_before_t0,
        months=declared.months,
        condition=words,
        source="; ".join(part for part in (declared.rule, declared.source) if part),
        confirming=declared.confirm_at,
        held=_held(index, declared, seen),
        real_time_holds=_real_time_holds(declared, evidence),
        broken_by=_broken_by(index, declared, evidence, seen.statuses),
    )


def _held(index: Index, declared: Provisional, seen: Seen) -> bool:
    """Say whether all that bears the request held there up to its check.

    A sample that was replaced is judged by its replacement.
    """
    here = [
        one
        for one in seen.judged
        if one.condition == declared.condition
        and one.takes_part
        and index.attribute(one.attribute).bears_request
    ]
    passed = {
        (one.sample.code, one.attribute)
        for one in here
        if one.check == declared.check and one.passes
    }
    asked = {
        (status.sample.code, name)
        for status in seen.statuses
        if status.sample.condition == declared.condition
        and status.sample.twin_of is None
        and status.planned.check == declared.check
        and index.record.replacement_of(status.sample.code) is None
        for name, _ in status.expected
        if index.attribute(name).bears_request
        and index.attribute(name).limit_in(declared.condition).judges
    }
    return bool(asked) and asked <= passed and not any(one.is_outside for one in here)


def _real_time_holds(declared: Provisional, evidence: Sequence[Evidence]) -> bool:
    age = parse_age(declared.real_time_to)
    needed = age.nominal_days if age is not None else 0.0
    for one in months_shown(evidence):
        shown = parse_age(one.check) if one.check else None
        if one.failures or shown is None or shown.nominal_days < needed:
            return False
    return bool(evidence)


def _broken_by(
    index: Index,
    declared: Provisional,
    evidence: Sequence[Evidence],
    statuses: Iterable[CheckStatus],
) -> str | None:
    """Return the first confirming check that failed or was missed."""
    for check in declared.confirm_at:
        for one in evidence:
            for failure in one.failures:
                if failure.check == check:
                    name = in_words(failure.attribute)
                    return f"{name} of batch {failure.batch} at {check}"
    for status in sorted(statuses, key=lambda one: check_order(one.planned.check)):
        missing = status.is_missed or status.is_unrecorded
        gone = status.state in {"lost", "not measured", "stopped"}
        over = index.as_of > status.planned.closes
        confirms = status.planned.check in declared.confirm_at
        if confirms and bears(index, status.sample) and over and (missing or gone):
            return f"{status.planned.check} of {status.sample.code}: {status.text}"
    return None


def outcome_of(
    asked: int,
    supported: Supported,
    look: Look,
    rule: ProvisionalRule | None,
) -> RequestOutcome:
    """Say what the evidence means for the shelf life asked for.

    A provisional life stands between the planned evaluations; nothing else does.
    """
    if look.planned or rule is None:
        return judge_request(
            asked, supported, planned_look=look.planned, provisional=rule
        )
    short = replace(supported, months=min(supported.months, asked - 1))
    provisional = judge_request(asked, short, planned_look=True, provisional=rule)
    if provisional.outcome == "provisional on accelerated data":
        return provisional
    return judge_request(asked, supported, planned_look=False, provisional=rule)
