"""The follow-up of a reading outside its limit, checked and turned into a content.

Whether a reading lies outside is not known here, where nothing is judged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stability.errors.samples import EntryReferenceError, FollowUpError
from stability.model import content
from stability.model.content import Content
from stability.model.follow_up import (
    FIRST_CHECKS,
    LOOKED,
    NOT_LOOKED_AT,
    OUTCOMES,
    OUTSIDE_QUESTION,
)
from stability.model.observation import RETIRED_AS_FAILED, Retirement
from stability.records.acts import referred
from stability.records.continuation import Continuation
from stability.records.guards import reasoned
from stability.records.names import find_name


def answer(
    book: Continuation,
    position: int,
    *,
    checked: Sequence[str],
    outcome: str,
    because: str | None,
) -> Content:
    """Return the content of an answer.

    Parameters
    ----------
    book
        The study.
    position
        Of the observation that lies outside, or of the retirement of a failed sample.
    checked
        What was looked at: `right sample=yes` each.
    outcome
        What came of it.
    because
        The reason.

    Raises
    ------
    StabilityError
        If the entry asks for no follow-up, a name is not known, no reason is given, or
        the outcome is not what the first checks say.
    """
    reference = f"{book.plan.study.code}/{position}"
    _asks(book, reference, position)
    checks = read_checks(reference, checked)
    came_to = find_name(outcome, OUTCOMES, "outcome")
    fault = _contradiction(checks, came_to)
    if fault:
        raise FollowUpError(reference, fault)
    reason = reasoned(because, f"The follow-up of {reference}")
    return content.answered(position, OUTSIDE_QUESTION, checks, came_to, reason)


def read_checks(reference: str, typed: Sequence[str]) -> dict[str, str]:
    """Return first check -> what it came to; what was not typed was not looked at.

    Raises
    ------
    StabilityError
        If a name is not known or stands there twice.
    """
    found: dict[str, str] = {}
    for one in typed:
        name, equals, value = one.partition("=")
        if not equals:
            raise FollowUpError(reference, f"{one!r} is not of the form NAME=yes")
        check = find_name(name, FIRST_CHECKS, "first check")
        if check in found:
            raise FollowUpError(reference, f"{check} is typed twice")
        found[check] = find_name(value, LOOKED, f"answer to {check}")
    return {name: found.get(name, NOT_LOOKED_AT) for name in FIRST_CHECKS}


def _asks(book: Continuation, reference: str, position: int) -> None:
    """Refuse an entry that is neither a standing observation nor a failed sample."""
    if failed_at(book, position) is not None:
        return
    certificate = book.certificate(position)
    if certificate is None:
        referred(reference, position, book.observation(position))
    elif certificate.invalidated is not None:
        by = f"{book.plan.study.code}/{certificate.invalidated.position}"
        raise EntryReferenceError(reference, f"it was set aside by {by}")


def failed_at(book: Continuation, position: int) -> Retirement | None:
    """Return the retirement of a failed sample at a position; None if none is there."""
    return next(
        (
            one
            for one in book.record.retirements
            if one.position == position and one.reason in RETIRED_AS_FAILED
        ),
        None,
    )


def _contradiction(checks: Mapping[str, str], outcome: str) -> str:
    """Say how an outcome contradicts the first checks; "" where it does not."""
    if all(found == NOT_LOOKED_AT for found in checks.values()):
        first = next(iter(FIRST_CHECKS))
        return f"nothing was looked at; state what was, as --checked '{first}=yes'"
    sample = checks["right sample"]
    if outcome == "wrong sample" and sample != "no":
        return "the outcome is wrong sample, but the right sample is not answered no"
    if sample == "no" and outcome not in {"wrong sample", "not explained"}:
        return f"it was not the right sample, but the outcome is {outcome}"
    return ""
