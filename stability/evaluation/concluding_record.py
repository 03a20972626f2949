"""What a drafted conclusion says of plan, follow-ups, microbes and coming checks."""

from __future__ import annotations

from typing import Final

from stability.evaluation.certificate_findings import CertificateFinding
from stability.evaluation.findings import Evaluation
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.opened import opened_text
from stability.evaluation.phrases import count_text, listed, named_check
from stability.model.age import check_order
from stability.model.follow_up import TO_SET_ASIDE
from stability.model.names import in_words

_SHOWN: Final = 3
_TO_DECIDE: Final = ("needs justification", "undecided", "no initial")


# Follow-ups


def open_follow_ups(evaluation: Evaluation) -> tuple[FollowUp, ...]:
    """Return what nobody has answered; only readings that stand ask."""
    return tuple(one for one in evaluation.follow_ups if one.is_open)


def open_follow_ups_words(evaluation: Evaluation) -> str:
    """Name what waits for a follow-up."""
    found = open_follow_ups(evaluation)
    asked = "; ".join(f"{one.text} (entry {one.position})" for one in found[:_SHOWN])
    left = len(found) - _SHOWN
    more = f"; and {left} more" if left > 0 else ""
    return (
        f"{count_text(len(found), 'follow-up is', 'follow-ups are')} open: {asked}"
        f"{more}. Until they are answered these readings count as they stand."
    )


def faults_kept(evaluation: Evaluation) -> tuple[FollowUp, ...]:
    """Return readings found faulty that nobody set aside."""
    return tuple(
        one
        for one in evaluation.follow_ups
        if one.answer is not None
        and one.answer.outcome in TO_SET_ASIDE
        and not one.since
    )


def faults_kept_words(evaluation: Evaluation) -> str:
    """Say which readings count although their follow-up found a fault."""
    told = "; ".join(
        f"entry {one.position}: {one.answer.outcome if one.answer else ''}"
        for one in faults_kept(evaluation)
    )
    return (
        "A follow-up found a fault, and the reading was not set aside, so that it "
        f"counts: {told}."
    )


# The plan


def limits_late_words(evaluation: Evaluation) -> str:
    """Say that limits came after readings."""
    return (
        f"{evaluation.identity.limits_recorded} Limits that come after a reading may "
        "have been made to fit it: how much weight they bear is for the assessor."
    )


def amended_after_reading(evaluation: Evaluation) -> bool:
    """Say whether the plan was amended when something had been read."""
    return any(one.before for one in evaluation.amendments)


def amended_words(evaluation: Evaluation) -> str:
    """Say when the plan was amended, and what it judges otherwise."""
    late = [one for one in evaluation.amendments if one.before]
    days = ", ".join(str(one.done.day) for one in late)
    otherwise = {each.position for one in late for each in one.otherwise}
    judged = (
        f"{count_text(len(otherwise), 'reading is', 'readings are')} judged otherwise "
        "by one limit than by the other; both judgements are printed"
        if otherwise
        else "no reading is judged otherwise"
    )
    return (
        f"The plan was amended on {days}, after readings had been made: {judged}. "
        "Readings keep the limits of their day, and the shorter life governs."
    )


def taken_over_words(evaluation: Evaluation) -> str:
    """Say that the study was kept elsewhere before."""
    act = evaluation.record.of("taken over")[0]
    return (
        f"The study was taken over from older notes ({act.text}): what was read before "
        "was entered afterwards, and no record here witnesses its dates."
    )


def stopped_words(evaluation: Evaluation) -> str:
    """Say what was stopped, and why."""
    told = "; ".join(one.text.rstrip(".") for one in evaluation.record.of("stopped"))
    return f"Stopped: {told}. What was read until then stays in this report."


# Microbes and opening


def microbial(evaluation: Evaluation) -> tuple[CertificateFinding, ...]:
    """Return certificates of this study that say something of microbes."""
    return tuple(one for one in evaluation.certificates.evidence if one.microbiological)


def challenged(evaluation: Evaluation) -> bool:
    """Say whether a challenge test of this study is on record."""
    return any(one.certificate.kind == "challenge" for one in microbial(evaluation))


def lacks_challenge(evaluation: Evaluation) -> bool:
    """Say whether a product with water has no challenge test on record."""
    return evaluation.identity.study.contains_water and not challenged(evaluation)


def lacks_challenge_words(evaluation: Evaluation) -> str:
    """Say that microbiological quality is open."""
    other = microbial(evaluation)
    told = (
        f" Other certificates are on record ({count_text(len(other), 'certificate')})."
        if other
        else ""
    )
    return (
        "No preservation efficacy test of this study is on record. The product "
        "contains water: on what is recorded here its microbiological quality is open, "
        f"whatever its physical stability says.{told}"
    )


def waterless(evaluation: Evaluation) -> bool:
    """Say whether a product without water has no challenge test on record."""
    return not evaluation.identity.study.contains_water and not challenged(evaluation)


def waterless_words(_evaluation: Evaluation) -> str:
    """Say that the need of a test is the assessor's to judge."""
    return (
        "The product is declared to contain no water, and no preservation efficacy "
        "test is on record: why none is needed is for the assessor to say."
    )


def challenged_words(evaluation: Evaluation) -> str:
    """Repeat what challenge tests of this study found."""
    told = "; ".join(
        one.text.rstrip(".")
        for one in microbial(evaluation)
        if one.certificate.kind == "challenge"
    )
    return f"Preservation efficacy, by certificate: {told}."


def to_decide(evaluation: Evaluation) -> tuple[CertificateFinding, ...]:
    """Return certificates that the assessor has to decide on."""
    found = evaluation.certificates.evidence
    return tuple(one for one in found if one.mark in _TO_DECIDE)


def to_decide_words(evaluation: Evaluation) -> str:
    """Name certificates that the assessor has to decide on."""
    told = "; ".join(one.text.rstrip(".") for one in to_decide(evaluation))
    return f"For the assessor to decide: {told}."


def awaited(evaluation: Evaluation) -> list[str]:
    """Return certificates that are asked for and not there."""
    return [
        f"{in_words(one.attribute)} at {named_check(one.check)}"
        for one in evaluation.certificates.asked
        if one.state == "not received"
    ]


def awaited_words(evaluation: Evaluation) -> str:
    """Name certificates that are asked for and not there."""
    return (
        "The protocol asks for certificates that were not received: "
        f"{listed(awaited(evaluation))}."
    )


def after_opening_words(evaluation: Evaluation) -> str:
    """Say what was read of opened containers; a period is never computed."""
    asked = evaluation.identity.study.request.after_opening
    return (
        f"{asked} after opening are asked for. {opened_text(evaluation)} A period "
        "after opening is never computed; it is for the assessor to judge."
    )


# What comes next


def next_words(evaluation: Evaluation) -> str:
    """Name the next checks, and those at which the request is judged."""
    coming = "; ".join(
        f"{named_check(one.check)} at {one.condition or 'T0'}, due "
        f"{one.due.isoformat()} ({one.state})"
        for one in evaluation.coming[:_SHOWN]
    )
    left = len(evaluation.coming) - _SHOWN
    more = f"; {left} more later" if left > 0 else ""
    return f"Next checks: {coming}{more}.{_judged_next(evaluation)}"


def _judged_next(evaluation: Evaluation) -> str:
    """Say at which coming check the request is judged, and what confirms it."""
    conditions = evaluation.identity.protocol.conditions
    shelf = {name for name, one in conditions.items() if one.role == "long-term"}
    waiting = [one.check for one in evaluation.coming if one.condition in shelf]
    analysis = evaluation.identity.protocol.analysis
    judged = [one for one in analysis.evaluate_at if one in waiting]
    told = (
        f" The request is judged next at {min(judged, key=check_order)}."
        if judged
        else ""
    )
    rule = analysis.provisional
    confirming = [one for one in (rule.confirm_at if rule else ()) if one in waiting]
    if confirming:
        told += f" The provisional life is to be confirmed at {listed(confirming)}."
    return told


def complete_words(_evaluation: Evaluation) -> str:
    """Say that nothing is still running."""
    return "No check is waiting: the study is complete as planned."
