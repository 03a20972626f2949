"""What each attribute in each pack brings to the request at one evaluation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stability.model.attribute import Attribute
from stability.model.prospects import (
    AttributeProspect,
    Chances,
    PlanAssumptions,
    Scatter,
)
from stability.model.protocol import Protocol
from stability.model.shelf_life import Cap
from stability.model.study import Study
from stability.planning.assumed import (
    Expected,
    expected_of,
    scatter_of,
)
from stability.planning.caps import (
    AcceleratedPlan,
    accelerated_plan,
    fitted_cap,
    loss_cap,
    words_cap,
)
from stability.planning.chances import (
    Line,
    fitted_chances,
    line_of,
    loss_chances,
    scatter_of_points,
)
from stability.planning.planned_series import (
    Planned,
    age_of,
    planned_samples,
    planned_series,
)
from stability.planning.prospect_words import attribute_text
from stability.statistics.frame import bounds_of
from stability.statistics.power import smallest_slope
from stability.statistics.scores import largest_share
from stability.statistics.shelf_life import FEWEST_CHECKS

#: How an attribute is evaluated.
Kind = Literal["fitted", "weight loss", "worded"]
#: Ages that a line needs [-].
FEWEST_AGES = 3


@dataclass(frozen=True, slots=True)
class Ground:
    """A plan, gathered once for all its evaluations."""

    #: The study.
    study: Study
    #: Its protocol.
    protocol: Protocol
    #: What is assumed.
    assumptions: PlanAssumptions
    #: Every attribute that bears the request, with its long-term series.
    planned: tuple[Planned, ...]
    #: Pack -> its accelerated arms.
    arms: dict[str, AcceleratedPlan]

    @property
    def asked(self) -> int:
        """Return the life asked for [months]."""
        return self.study.request.months


def ground_of(study: Study, protocol: Protocol, assumptions: PlanAssumptions) -> Ground:
    """Gather a plan."""
    samples = planned_samples(study, protocol)
    planned = planned_series(study, protocol, samples)
    arms = {one.pack: accelerated_plan(protocol, samples, one.pack) for one in planned}
    return Ground(study, protocol, assumptions, planned, arms)


@dataclass(frozen=True, slots=True)
class _Brought:
    """What the three kinds of evaluation have in common."""

    #: One cap for each series, or each batch where nothing is fitted.
    caps: tuple[Cap, ...]
    #: One for each case of drift.
    chances: tuple[Chances, ...]
    #: The scatter in words; "" where none is assumed.
    scatter: str = ""
    #: Smallest drift noticed, in words.
    noticed: str = ""
    #: Why no chance can be told; "" where one can.
    unknown: str = ""


def attribute_prospect(
    ground: Ground, planned: Planned, check: str
) -> AttributeProspect:
    """Return what one attribute and pack can be expected to bring at a check.

    Parameters
    ----------
    ground
        The plan.
    planned
        The attribute with its series.
    check
        The long-term check at which it is evaluated.
    """
    attribute = planned.attribute
    kind = kind_of(attribute)
    brought = {"fitted": _fitted, "weight loss": _from_weights, "worded": _worded}[
        kind
    ](ground, planned, check)
    least = min(brought.caps, key=lambda one: one.months)
    counts = [one.containers[c] for one in planned.series for c in one.up_to(check)]
    points = [len(one.ages(check)) for one in planned.series]
    read = containers_read(planned, check)
    prospect = AttributeProspect(
        attribute=attribute.name,
        condition=planned.condition,
        pack=planned.pack,
        kind=kind,
        batches=planned.batches,
        series=len(planned.series),
        checks=min(points),
        most_checks=max(points),
        estimated=_estimated(planned, check),
        containers=min(counts, default=0),
        readings=attribute.readings,
        containers_read=read,
        shown=int(min(one.shown for one in brought.caps)),
        cap=least.months,
        cap_text=least.text,
        limit_text=attribute.limit_in(planned.condition).words(
            "%" if attribute.from_weights else attribute.unit
        ),
        scatter_text=brought.scatter,
        chances=brought.chances,
        may_fail=largest_share(0, read) if kind == "worded" and read else None,
        noticed=brought.noticed,
        unknown=brought.unknown,
        text="",
    )
    return replace(prospect, text=attribute_text(prospect, check, ground.asked))


def kind_of(attribute: Attribute) -> Kind:
    """Return how an attribute is evaluated."""
    if attribute.kind != "measured":
        return "worded"
    return "weight loss" if attribute.from_weights else "fitted"


def _estimated(planned: Planned, check: str) -> int:
    """Return how many series have checks enough for an estimate [-]."""
    kind = kind_of(planned.attribute)
    if kind == "worded":
        return 0
    if kind == "weight loss":
        made = {one for series in planned.series for one in series.up_to(check)}
        return len(planned.series) if len(made) + 1 >= FEWEST_CHECKS else 0
    return sum(len(one.ages(check)) >= FEWEST_CHECKS for one in planned.series)


def containers_read(planned: Planned, check: str) -> int:
    """Return the containers that were read by a check, over all batches [-]."""
    return sum(one.containers_by(check) for one in planned.series)


def _fitted(ground: Ground, planned: Planned, check: str) -> _Brought:
    found = _expected(ground, planned)
    arm = ground.arms[planned.pack]
    few = isinstance(found, Expected) and found.few_steps
    caps = tuple(
        fitted_cap(ground.protocol, planned, one, check, arm=arm, few_steps=few)
        for one in planned.series
    )
    if isinstance(found, str):
        return _Brought(caps, _untold(ground, caps), unknown=found)
    lines = tuple(
        line_of(one, check, cap, ground.asked)
        for one, cap in zip(planned.series, caps, strict=True)
    )
    chances = tuple(
        fitted_chances(
            lines,
            found,
            asked=float(ground.asked),
            confidence=ground.protocol.analysis.confidence,
            room_used=share,
            day_share=ground.assumptions.day_share,
        )
        for share in ground.assumptions.room_used
    )
    noticed = _noticed(lines, found, ground)
    return _Brought(caps, chances, scatter=found.scatter_text, noticed=noticed)


def _expected(ground: Ground, planned: Planned) -> Expected | str:
    attribute = planned.attribute
    limit = attribute.limit_in(planned.condition)
    if limit.is_relative and not all(one.has_t0 for one in planned.series):
        return f"no sample is read at T0, and the limit of {attribute.name} is relative"
    if not bounds_of(limit):
        return f"the limit of {attribute.name} has no bound"
    return expected_of(
        attribute,
        limit,
        ground.assumptions,
        asked=float(ground.asked),
        two_limits=ground.protocol.analysis.two_limits,
    )


def _untold(ground: Ground, caps: Sequence[Cap]) -> tuple[Chances, ...]:
    """Return chances that tell no more than whether the cap allows the request."""
    support = None if all(ground.asked <= cap.months for cap in caps) else 0.0
    return tuple(
        Chances(share, None, None, support) for share in ground.assumptions.room_used
    )


def _noticed(lines: Sequence[Line], expected: Expected, ground: Ground) -> str:
    """Return the smallest drift that the shortest series would notice, in words."""
    long = [line for line in lines if len(line.ages) >= FEWEST_CHECKS] or [
        line for line in lines if len(line.ages) >= FEWEST_AGES
    ]
    if not long:
        return ""
    line = min(long, key=lambda one: len(one.ages))
    scatter = scatter_of_points(
        expected.product.scatter, line.containers, ground.assumptions.day_share
    )
    slope = smallest_slope(line.ages, max(scatter, expected.floor))
    amount = f"{slope:.2g} {expected.unit}".strip()
    if expected.is_share:
        amount = f"{100 * slope:.2g} % of the start"
    share = slope * ground.asked / expected.room
    if share >= 1:
        return "no drift inside the limit is noticed with chance 80 %"
    return (
        f"a drift of {amount} a month, which by {ground.asked} months has gone "
        f"{100 * share:.0f} % of the way to the limit, is noticed with chance 80 %"
    )


def _from_weights(ground: Ground, planned: Planned, check: str) -> _Brought:
    arm = ground.arms[planned.pack]
    containers = containers_read(planned, check)
    caps = tuple(
        loss_cap(ground.protocol, planned, batch, check, arm=arm, containers=containers)
        for batch in planned.batches
    )
    scatter = _loss_scatter(ground, planned)
    if isinstance(scatter, str):
        return _Brought(caps, _untold(ground, caps), unknown=scatter)
    made = {one for series in planned.series for one in series.up_to(check)}
    chances = tuple(
        loss_chances(
            containers,
            _last_weighings(planned, check),
            caps,
            few_checks=len(made) + 1 < FEWEST_CHECKS,
            scatter=scatter.amount,
            asked=float(ground.asked),
            confidence=ground.protocol.analysis.confidence,
            room_used=share,
        )
        for share in ground.assumptions.room_used
    )
    words = (
        f"scatter of containers {100 * scatter.amount:.3g} % of the highest loss "
        f"({scatter.basis})"
    )
    return _Brought(caps, chances, scatter=words)


def _loss_scatter(ground: Ground, planned: Planned) -> Scatter | str:
    """Return the scatter of losses as a share of the highest one."""
    limit = planned.attribute.limit_in(planned.condition).absolute
    if limit is None or limit.highest is None:
        return "the limit names no highest loss"
    scatter = scatter_of(planned.attribute, ground.assumptions)
    if scatter is None or scatter.is_share:
        return scatter or "no scatter is known"
    return replace(scatter, amount=scatter.amount / float(limit.highest))


def _last_weighings(planned: Planned, check: str) -> list[float]:
    """Return the age of each container at its last weighing by a check [months]."""
    ages = []
    for series in planned.series:
        made = series.up_to(check)
        if series.reopened and made:
            ages.append(age_of(made[-1]))
        else:
            ages += [age_of(one) for one in made for _ in range(series.containers[one])]
    return ages


def _worded(ground: Ground, planned: Planned, check: str) -> _Brought:
    caps = tuple(
        words_cap(ground.protocol, planned, batch, check, arm=ground.arms[planned.pack])
        for batch in planned.batches
    )
    return _Brought(caps, _untold(ground, caps))
