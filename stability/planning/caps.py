"""How long a plan can show, and how far beyond the cap lets it go, check by check."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stability.model.age import check_order, parse_age
from stability.model.condition import storage_class_of
from stability.model.protocol import Protocol
from stability.model.shelf_life import Cap
from stability.model.study import Sample
from stability.planning.planned_series import (
    Planned,
    PlannedSeries,
    age_of,
    role_planned,
)
from stability.statistics.cap import BORROWED, extrapolation_cap, worded_cap
from stability.statistics.shelf_life import FEWEST_CHECKS

#: Containers from which on rates of loss have a scatter [-].
FEWEST_CONTAINERS = 2


@dataclass(frozen=True, slots=True)
class AcceleratedPlan:
    """When the accelerated arms of a pack will be finished."""

    #: Accelerated conditions with samples in the pack.
    conditions: tuple[str, ...]
    #: Age of their last check [months]; None without such a condition.
    finished_at: float | None

    def is_finished(self, check: str) -> bool:
        """Say whether every arm will be finished by a long-term check."""
        return self.finished_at is not None and self.finished_at <= age_of(check)


def accelerated_plan(
    protocol: Protocol, samples: Iterable[Sample], pack: str
) -> AcceleratedPlan:
    """Return the accelerated arms planned for a pack."""
    here = [
        one
        for one in samples
        if (one.pack or "") == pack and role_planned(protocol, one) == "accelerated"
    ]
    names = {one.condition for one in here}
    ages = [age_of(check) for one in here for check in one.checks if parse_age(check)]
    return AcceleratedPlan(
        conditions=tuple(name for name in protocol.conditions if name in names),
        finished_at=max(ages, default=None),
    )


def months_shown(planned: Planned, batch: str, check: str) -> int:
    """Return how long one batch will be shown to hold if everything passes.

    An attribute that is read at few checks limits nothing before its next one.
    """
    last = check_order(check)
    asked = {one for series in planned.series for one in series.containers}
    own = [
        one
        for series in planned.series
        if series.batch == batch
        for one in series.up_to(check)
    ]
    reached = max(own, key=check_order, default=None)
    if asked != set(planned.checks):
        passed = check_order(reached) if reached else (0, 0.0)
        ahead = [check_order(one) for one in asked if check_order(one) > passed]
        until = min(ahead, default=(9, 0.0))
        between = [
            one
            for one in planned.checks
            if passed < check_order(one) < until and check_order(one) <= last
        ]
        reached = between[-1] if between else reached
    age = parse_age(reached or "")
    return 0 if age is None else age.whole_months


def fitted_cap(
    protocol: Protocol,
    planned: Planned,
    series: PlannedSeries,
    check: str,
    *,
    arm: AcceleratedPlan,
    few_steps: bool,
) -> Cap:
    """Return the cap of one series that is fitted, if no accelerated arm fails."""
    carried = is_carried(planned, series, check)
    enough = carried or len(series.ages(check)) >= FEWEST_CHECKS
    blocked = ""
    if not enough:
        blocked = f"fewer than {FEWEST_CHECKS} checks carry no estimate"
    elif few_steps:
        blocked = "too few steps of the resolution lie between start and limit"
    return _cap(
        protocol,
        planned,
        months_shown(planned, series.batch, check),
        finished=arm.is_finished(check),
        blocked=blocked,
        analysed=enough,
    )


def is_carried(planned: Planned, series: PlannedSeries, check: str) -> bool:
    """Say whether another container of the batch will have the estimate by a check."""
    return len(series.ages(check)) < FEWEST_CHECKS and any(
        one.batch == series.batch and len(one.ages(check)) >= FEWEST_CHECKS
        for one in planned.series
    )


def loss_cap(
    protocol: Protocol,
    planned: Planned,
    batch: str,
    check: str,
    *,
    arm: AcceleratedPlan,
    containers: int,
) -> Cap:
    """Return the cap of one batch for what is worked out from rates of loss."""
    made = {one for series in planned.series for one in series.up_to(check)}
    blocked = ""
    if len(made) + 1 < FEWEST_CHECKS:
        blocked = f"fewer than {FEWEST_CHECKS} checks carry no estimate"
    elif containers < FEWEST_CONTAINERS:
        blocked = "one container has no rate with a scatter"
    return _cap(
        protocol,
        planned,
        months_shown(planned, batch, check),
        finished=arm.is_finished(check),
        blocked=blocked,
        analysed=True,
    )


def words_cap(
    protocol: Protocol,
    planned: Planned,
    batch: str,
    check: str,
    *,
    arm: AcceleratedPlan,
) -> Cap:
    """Return the cap of one batch for scores and statements, if none moves."""
    shown = months_shown(planned, batch, check)
    declared = protocol.analysis.extrapolate_scores
    own = worded_cap(shown, declared_before_t0=declared, moved=False)
    if not declared:
        return own
    finished = arm.is_finished(check)
    general = _cap(
        protocol, planned, shown, finished=finished, blocked="", analysed=False
    )
    return min(own, general, key=lambda one: one.months)


def _cap(
    protocol: Protocol,
    planned: Planned,
    shown: int,
    *,
    finished: bool,
    blocked: str,
    analysed: bool,
) -> Cap:
    storage = storage_class_of(protocol.conditions[planned.condition])
    longest = protocol.analysis.longest_extrapolation
    reason = blocked
    if not reason and storage is None:
        reason = "the long-term temperature tells no storage class"
    cap = extrapolation_cap(
        shown,
        storage=storage or "room",
        evidence="analysed" if analysed else "not analysed",
        accelerated_finished=finished,
        blocked=bool(reason),
        longest=None if longest is None else float(longest.whole_months),
    )
    return replace(cap, text=f"{reason}. {BORROWED}") if reason else cap
