"""What was read of opened containers: evidence for a period after opening.

The period is never computed. A container in use is told apart from one that is only
opened at its checks, and each is named with the condition in which it stood: a jar from
an oven says nothing of a bathroom shelf.
"""

from __future__ import annotations

from collections import Counter

from stability.evaluation.concluding_outside import findings_of, named
from stability.evaluation.findings import Evaluation, OutsideFinding
from stability.evaluation.phrases import count_text, listed, named_check
from stability.model.age import T0, check_order


def opened_text(evaluation: Evaluation) -> str:
    """Return what was read of containers in use and of reopened ones.

    Returns
    -------
    str
        In sentences; what left its limit in use is named.
    """
    parts = [_in_use(evaluation), _reopened(evaluation)]
    return " ".join(filter(None, parts)) or "No opened container was read."


def stress_in_use(evaluation: Evaluation) -> tuple[OutsideFinding, ...]:
    """Return what left its limit under stress that is use."""
    found = findings_of(evaluation, "stress as declared")
    return tuple(one for one in found if is_of_use(one))


def is_of_use(finding: OutsideFinding) -> bool:
    """Say whether a finding is of containers in use."""
    uses = {one.sample.use for one in finding.observations}
    uses |= {one.sample.use for one in finding.retired}
    return uses == {"in use"}


def in_use_words(evaluation: Evaluation) -> str:
    """Say what a failure in use means: it bears on the period after opening."""
    found = stress_in_use(evaluation)
    meant = dict.fromkeys(
        f"{one.condition}: {one.meaning_text.rstrip('.')}"
        for one in found
        if one.meaning_text
    )
    by_protocol = f" By the protocol: {'; '.join(meant)}." if meant else ""
    return (
        f"In use {named(found)} left the limit. It speaks against a period after "
        "opening as long as that, and does not shorten the unopened life by itself."
        f"{by_protocol}"
    )


def _in_use(evaluation: Evaluation) -> str:
    used = _read(evaluation, "in use")
    if not used:
        return "No container was read in use." if _read(evaluation, "reopened") else ""
    codes = {one for one, _ in used}
    checks = {
        one.check
        for one in evaluation.judged
        if one.sample.code in codes and one.is_read and one.check not in {None, T0}
    }
    last = max(filter(None, checks), key=check_order, default=None)
    until = f" to {named_check(last)}" if last else ""
    outside = [
        one for group in evaluation.outside for one in group.findings if is_of_use(one)
    ]
    left = f"; outside: {named(outside)}" if outside else "; none left its limits"
    return f"In use: {count_text(len(used), 'container')} read{until}{left}."


def _reopened(evaluation: Evaluation) -> str:
    opened = Counter(place for _, place in _read(evaluation, "reopened"))
    if not opened:
        return ""
    places = [f"{number} at {place}" for place, number in opened.items()]
    return (
        f"Opened at their checks only: {count_text(opened.total(), 'container')} "
        f"({listed(places)})."
    )


def _read(evaluation: Evaluation, use: str) -> list[tuple[str, str]]:
    """Return code and condition of each container of a use that was read."""
    return [
        (one.sample.code, one.sample.condition or T0)
        for one in evaluation.samples
        if one.read and one.sample.use == use
    ]
