"""What the evaluation at each long-term check of a plan can be expected to say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from stability.model.age import check_order, parse_age
from stability.model.prospects import (
    AttributeProspect,
    EvaluationProspect,
    RequestChance,
)
from stability.planning.attribute_prospects import Ground, attribute_prospect
from stability.planning.planned_series import age_of
from stability.planning.prospect_words import evaluation_text


def long_term_checks(ground: Ground) -> tuple[str, ...]:
    """Return every long-term check of the plan, youngest first."""
    names = {check for one in ground.planned for check in one.checks}
    return tuple(sorted(names, key=check_order))


def looks(ground: Ground) -> tuple[str, ...]:
    """Return the checks at which the request is judged.

    Those that the protocol names; the last one planned where it names none.
    """
    checks = long_term_checks(ground)
    named = ground.protocol.analysis.evaluate_at or checks[-1:]
    return tuple(check for check in checks if check in named)


def evaluations_of(ground: Ground) -> tuple[EvaluationProspect, ...]:
    """Return one prospect for each long-term check, youngest first."""
    return tuple(evaluation_at(ground, check) for check in long_term_checks(ground))


def evaluation_at(ground: Ground, check: str) -> EvaluationProspect:
    """Return what the evaluation at one check can be expected to say."""
    attributes = tuple(attribute_prospect(ground, one, check) for one in ground.planned)
    governing = min(attributes, key=lambda one: one.cap)
    found = EvaluationProspect(
        check=check,
        is_planned_look=check in looks(ground),
        shown=min(one.shown for one in attributes),
        cap=governing.cap,
        governing=_governing(attributes, governing.cap),
        chances=tuple(
            _request_chance(attributes, place, share)
            for place, share in enumerate(ground.assumptions.room_used)
        ),
        attributes=attributes,
        provisional=is_provisional(ground, check),
        text="",
    )
    return replace(found, text=evaluation_text(found, ground.asked))


def _governing(attributes: Sequence[AttributeProspect], cap: float) -> str:
    """Return what keeps the longest life where it is, with the reason of each."""
    by_reason: dict[str, dict[str, None]] = {}
    for one in attributes:
        if one.cap == cap:
            reason = one.cap_text.partition(". ")[0]
            by_reason.setdefault(reason, {})[one.attribute] = None
    return "; ".join(
        f"{', '.join(names)}: {reason}" for reason, names in by_reason.items()
    )


def _request_chance(
    attributes: Sequence[AttributeProspect], place: int, room_used: float
) -> RequestChance:
    """Combine attributes and packs: the product, and the smallest."""
    told = [
        support
        for one in attributes
        if (support := one.chances[place].support) is not None
    ]
    if not told:
        return RequestChance(room_used, None, None)
    return RequestChance(room_used, at_most=min(told), at_least=math.prod(told))


def is_provisional(ground: Ground, check: str) -> bool:
    """Say whether a declared provisional answer can be given from a check on."""
    rule = ground.protocol.analysis.provisional
    if rule is None or ground.asked > rule.months:
        return False
    arms = {name for arm in ground.arms.values() for name in arm.conditions}
    needed = [parse_age(rule.check), parse_age(rule.real_time_to)]
    ages = [one.nominal_days for one in needed if one is not None]
    reached = parse_age(check)
    return (
        rule.condition in arms
        and reached is not None
        and len(ages) == len(needed)
        and age_of(check) > 0
        and max(ages) <= reached.nominal_days
    )
