"""Readings that bear the request and say neither that it holds nor that it fails."""

from __future__ import annotations

from collections import Counter
from typing import Final

from stability.evaluation.findings import Evaluation
from stability.evaluation.phrases import count_text
from stability.evaluation.readings import JudgedObservation
from stability.model.age import T0
from stability.model.names import in_words

# Attributes at conditions that are named before the rest are counted [-].
_NAMED: Final = 4


def undecided_of(evaluation: Evaluation) -> tuple[JudgedObservation, ...]:
    """Return the standing observations that bear the request and are not decided.

    They are read at T0 or under long-term storage, of the unopened product; either
    they are undecided, or they have no initial value to be judged by.
    """
    attributes = evaluation.identity.protocol.attributes
    return tuple(
        one
        for one in evaluation.judged
        if one.takes_part
        and one.mark in {"undecided", "no initial"}
        and (one.attribute not in attributes or attributes[one.attribute].bears_request)
        and _bears(one)
    )


def _bears(one: JudgedObservation) -> bool:
    if one.sample.twin_of is not None:
        return False
    return one.role == "long-term" if one.condition else one.check == T0


def undecided_text(evaluation: Evaluation) -> str:
    """Return how many bear the request and are undecided, and where; "" for none."""
    found = undecided_of(evaluation)
    if not found:
        return ""
    lacking = sum(one.mark == "no initial" for one in found)
    counts = [f"{len(found) - lacking} undecided"] if len(found) > lacking else []
    if lacking:
        counts.append(f"{lacking} without an initial value to be judged by")
    places = Counter(
        f"{in_words(one.attribute)} at {one.condition or T0}" for one in found
    )
    named = [f"{place}: {number}" for place, number in places.items()]
    left = len(named) - _NAMED
    more = [f"and {count_text(left, 'more place')}"] if left > 0 else []
    return (
        f"Bearing the request: {' and '.join(counts)} "
        f"({'; '.join([*named[:_NAMED], *more])}), neither a pass nor a failure."
    )
