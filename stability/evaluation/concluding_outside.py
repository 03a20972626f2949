"""What a drafted conclusion says of readings outside their limits, heat among them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from stability.evaluation.findings import Evaluation, Meaning, OutsideFinding
from stability.evaluation.phrases import count_text, listed, named_check
from stability.model.names import in_words

#: What a finding is called that is a container failed as a whole.
SAMPLE: Final = "sample"


def is_read(evaluation: Evaluation) -> bool:
    """Say whether anything was read and judged."""
    return any(one.is_read for one in evaluation.judged)


def is_outside(evaluation: Evaluation, *meanings: Meaning) -> bool:
    """Say whether something with one of these meanings lies outside its limit."""
    return bool(findings_of(evaluation, *meanings))


def findings_of(
    evaluation: Evaluation, *meanings: Meaning
) -> tuple[OutsideFinding, ...]:
    """Return the findings outside their limits with these meanings."""
    return tuple(
        one
        for group in evaluation.outside
        if group.meaning in meanings
        for one in group.findings
    )


def named(findings: Iterable[OutsideFinding]) -> str:
    """Name findings: `pH at 6M (ROOM, JAR, batch A)`."""
    return listed(list(dict.fromkeys(_named(one) for one in findings)))


def _named(one: OutsideFinding) -> str:
    places = (one.condition, one.pack, f"batch {one.batch}")
    where = ", ".join(part for part in places if part)
    if one.retired:
        fate = one.retired[0]
        left = fate.left.reason if fate.left else "left"
        return f"sample {fate.sample.code}, {left} ({where})"
    return f"{in_words(one.attribute)} {at_check(one.first)} ({where})"


def at_check(check: str) -> str:
    """Return `at 8w`, `after 3 cycles`, `at an extra reading`."""
    name = named_check(None if check == "extra" else check)
    return name if name.startswith("after ") else f"at {name}"


# Long-term storage and T0


def long_term_words(evaluation: Evaluation) -> str:
    """Say what failed on the shelf, and that nothing later undoes it."""
    found = findings_of(evaluation, "bearing the request")
    life = evaluation.shelf_life
    kept = "" if life is None else f" {_months(life.supported.months)} supported."
    return (
        f"Under long-term storage {named(found)} left the limit. A failure that was "
        "seen ends what is supported at the last check passed before it; a later "
        f"reading inside does not undo it.{kept}"
    )


def initial_words(evaluation: Evaluation) -> str:
    """Say what lay outside before anything was stored."""
    found = findings_of(evaluation, "T0")
    return (
        f"At T0 {named(found)} lay outside the limit: batch or limit was not right "
        "before storage began, and nothing is supported for what it concerns."
    )


def not_bearing_words(evaluation: Evaluation) -> str:
    """Say what failed on the shelf without bearing the request."""
    found = findings_of(evaluation, "long-term, not bearing the request")
    return (
        f"Under long-term storage {named(found)} left the limit. By the protocol it "
        "does not bear the request; whether it matters is for the assessor to say."
    )


def control_words(evaluation: Evaluation) -> str:
    """Say what failed in a comparison."""
    found = findings_of(evaluation, "control")
    return (
        f"In a control {named(found)} left the limit: what is compared with it says "
        "less, and the product itself may have moved."
    )


def nothing_outside(evaluation: Evaluation) -> bool:
    """Say whether something was read and nothing lies outside its limit."""
    failed = evaluation.outside or evaluation.certificates.against
    return is_read(evaluation) and not failed


def nothing_outside_words(evaluation: Evaluation) -> str:
    """Say how many observations lie inside their limits."""
    read = sum(one.is_read for one in evaluation.judged)
    return f"None of {count_text(read, 'observation')} lies outside its limit."


def accelerated_words(evaluation: Evaluation) -> str:
    """Say what a failure in accelerated or intermediate heat changes."""
    found = findings_of(evaluation, "intermediate and accelerated")
    caps = list(
        dict.fromkeys(
            f"{one.pack or 'bulk'}: {one.accelerated.text}"
            for one in (evaluation.shelf_life.packs if evaluation.shelf_life else ())
        )
    )
    told = f" ({'; '.join(caps)})" if caps else ""
    return (
        f"In intermediate or accelerated heat {named(found)} left the limit{told}. It "
        "is no proof of a failure on the shelf, but it cuts what may be offered "
        "beyond real time."
    )


def certificate_words(evaluation: Evaluation) -> str:
    """Name certificates outside, and say how far they let anything be supported."""
    told = [one.text.rstrip(".") for one in evaluation.certificates.against]
    lead = f"Certificates outside: {'; '.join(told)}."
    life = evaluation.shelf_life
    ended = [
        one.bearings[0]
        for one in (life.attributes if life is not None else ())
        if one.kind == "certified"
    ]
    if not ended:
        return lead
    most = min(one.shown.months for one in ended)
    most_words = f"no more than {_count(most)}" if most else "nothing"
    return (
        f"{lead} A failed certificate ends what is supported at the last age at which "
        f"the same batch held by certificate: {most_words} can be supported while it "
        "stands, whatever the readings of the bench show."
    )


def _count(number: int) -> str:
    return count_text(number, "month")


def _months(number: int) -> str:
    if not number:
        return "No month is"
    return f"{number} {'month is' if number == 1 else 'months are'}"
