"""What a study cannot say without a condition."""

from __future__ import annotations

from stability.model.condition import Condition
from stability.model.protocol import Protocol

_BY_ROLE = {
    "accelerated": "nothing is offered beyond the months shown in real time, and "
    "there is no early warning",
    "intermediate": "it counts as failed where the accelerated condition fails",
    "control": "a change cannot be told from one of the reading or the day",
}


def price_of(condition: Condition, protocol: Protocol) -> str:
    """Return what is not known without a condition.

    Parameters
    ----------
    condition
        The condition that is left out.
    protocol
        Its protocol, which says what is compared with what.
    """
    compared = [
        one.name
        for one in protocol.attributes.values()
        if one.compared_with == condition.name
    ]
    if compared:
        have = "have" if len(compared) > 1 else "has"
        return f"{', '.join(compared)} {have} nothing to be compared with"
    if condition.role in _BY_ROLE:
        return _BY_ROLE[condition.role]
    if condition.age_from == "first opening":
        return "no evidence for the period after opening"
    return _stress_words(condition)


def _stress_words(condition: Condition) -> str:
    if is_frozen(condition):
        return "no words about frost and transport in winter"
    if condition.cycles:
        return "no words about changes between warm and cold in transport"
    if condition.light:
        return "no words about light: a clear pack stands without evidence"
    return "no words about heat in storage and transport"


def is_frozen(condition: Condition) -> bool:
    """Say whether samples freeze there, all the time or in a step of a cycle."""
    reached = [step.at for step in condition.steps]
    if condition.temperature is not None:
        reached.append(condition.temperature)
    return any(degrees < 0 for degrees in reached)
