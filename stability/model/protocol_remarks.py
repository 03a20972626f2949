"""What a maker should know about a protocol before using it."""

from __future__ import annotations

from collections.abc import Iterator

from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.limit import Limit
from stability.model.protocol import Protocol

#: Checks, T0 among them, without which no estimate carries a request.
FEWEST_CHECKS_FOR_AN_ESTIMATE = 5


def remarks(protocol: Protocol) -> tuple[str, ...]:
    """Return what is worth telling about a protocol that has no faults.

    What it needs, what its limits rest on, which comparisons are missing, and what
    its checks cannot show. Each remark is a sentence.
    """
    found = [*_needs(protocol), *_limits(protocol), *_long_term(protocol)]
    found += _without_band(protocol)
    for condition in protocol.conditions.values():
        found += _comparisons(condition, protocol)
        found += _climate(condition)
    return tuple(found)


def _needs(protocol: Protocol) -> Iterator[str]:
    if protocol.needs:
        yield f"It needs: {', '.join(protocol.needs)}."
    groups: dict[str, list[Attribute]] = {}
    for attribute in protocol.attributes.values():
        if attribute.one_of is not None:
            groups.setdefault(attribute.one_of, []).append(attribute)
    for group, members in groups.items():
        names = ", ".join(map(_with_instrument, members))
        yield (
            f"For {group} one of these is enough: {names}. "
            "A study omits the others, each with its reason."
        )


def _with_instrument(attribute: Attribute) -> str:
    if attribute.instrument is None:
        return attribute.name
    return f"{attribute.name} ({attribute.instrument})"


def _limits(protocol: Protocol) -> Iterator[str]:
    limits = [
        (name, limit)
        for name, attribute in protocol.attributes.items()
        for limit in (attribute.limit, *attribute.limit_at.values())
        if not limit.recorded_only
    ]
    custom = [name for name, limit in limits if limit.reason_kind == "custom"]
    if custom:
        names = ", ".join(dict.fromkeys(custom))
        yield (
            f"{len(custom)} of {len(limits)} limits rest on custom alone: {names}. "
            "Put your own bounds and reasons in their place."
        )
    unsourced = [name for name, limit in limits if not _has_source(limit)]
    if unsourced:
        names = ", ".join(dict.fromkeys(unsourced))
        yield f"Limits without a source: {names}."


def _without_band(protocol: Protocol) -> Iterator[str]:
    for attribute in protocol.attributes.values():
        for name in attribute.told_with_reading:
            if not attribute.settings[name].band:
                yield (
                    f"{attribute.name} has no band for its {name}, so that a reading "
                    "at the end of the instrument's scale counts like any other: "
                    f"write settings.{name} = {{between = [10, 100]}}."
                )


def _has_source(limit: Limit) -> bool:
    return bool(limit.source.strip())


def _long_term(protocol: Protocol) -> Iterator[str]:
    carrying = [one for one in protocol.conditions.values() if one.role == "long-term"]
    if not carrying:
        yield "No condition is long-term: nothing here can carry a shelf life."
    for condition in carrying:
        with_t0 = len(condition.checks) + 1
        if with_t0 < FEWEST_CHECKS_FOR_AN_ESTIMATE:
            yield (
                f"{condition.name} has {with_t0} checks with T0: too few for an "
                "estimate that carries a request; only the months shown count."
            )
    if carrying and not protocol.analysis.evaluate_at:
        yield (
            "No check is named at which a request is evaluated: every evaluation is "
            "interim."
        )
    if protocol.analysis.provisional is not None:
        rule = protocol.analysis.provisional
        yield (
            f"It may grant {rule.months} months provisionally, by a custom of the "
            "trade: an estimate, not evidence."
        )


def _comparisons(condition: Condition, protocol: Protocol) -> Iterator[str]:
    is_dark_twin = condition.name in protocol.twins_of_light().values()
    if condition.light is not None and condition.dark_twin is None and not is_dark_twin:
        yield f"{condition.name} has light and no dark twin to compare with."
    if condition.cycles and condition.untreated_twin is None:
        yield f"{condition.name} is cycled and has no untreated twin to compare with."
    twin = protocol.conditions.get(condition.dark_twin or "")
    lacking = () if twin is None else set(condition.checks) - set(twin.checks)
    if twin is not None and lacking:
        checks = ", ".join(one for one in condition.checks if one in lacking)
        yield f"{twin.name} is not read at {checks}, when {condition.name} is."


def _climate(condition: Condition) -> Iterator[str]:
    if condition.temperature is not None and condition.tolerance is None:
        yield f"{condition.name} states no tolerance for its temperature."
    if not condition.reason.strip():
        yield f"{condition.name} states no reason."
