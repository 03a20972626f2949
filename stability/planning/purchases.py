"""What would buy months or certainty, each worked out, with what it costs.

A change is a plan of its own: rows and checks are changed and everything is worked
out again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from stability.model.age import check_order, parse_age
from stability.model.condition import Condition
from stability.model.prospects import EvaluationProspect, Purchase
from stability.model.protocol import Protocol
from stability.model.study import SampleRow, Study
from stability.planning.attribute_prospects import Ground, ground_of
from stability.planning.plan_evaluations import evaluation_at, long_term_checks
from stability.planning.planned_series import age_of, planned_samples
from stability.planning.prospect_words import (
    counted,
    drift_words,
    months_words,
    percent,
)

#: Mass of product that a plan needs [g]; None where it cannot be told.
GramsOf = Callable[[Study, Protocol], float | None]
#: Checks that are added to make the line firmer [-].
MORE_CHECKS = 2
#: Months by which a further check lies behind the last one [months].
LATER = 6


@dataclass(frozen=True, slots=True)
class _Change:
    """A plan that differs in one thing."""

    #: What is changed, in words.
    words: str
    #: The changed study.
    study: Study
    #: The changed protocol.
    protocol: Protocol
    #: The check at which the request is judged.
    check: str
    #: What it buys besides months and certainty; "" for nothing else.
    besides: str = ""


def purchases_of(
    ground: Ground, judged: EvaluationProspect, grams_of: GramsOf | None
) -> tuple[Purchase, ...]:
    """Return what each change of the plan would buy at a judging of the request.

    Parameters
    ----------
    ground
        The plan.
    judged
        The evaluation that the changes are held against.
    grams_of
        Mass that a plan needs; None leaves the mass out.
    """
    changes = (
        *_firmer_containers(ground, judged.check),
        *_more_checks(ground, judged.check),
        *_later(ground, judged.check),
        *_another_batch(ground, judged.check),
    )
    return tuple(_purchase(ground, judged, one, grams_of) for one in changes)


def _purchase(
    ground: Ground,
    judged: EvaluationProspect,
    change: _Change,
    grams_of: GramsOf | None,
) -> Purchase:
    other = ground_of(change.study, change.protocol, ground.assumptions)
    then = evaluation_at(other, change.check)
    place = telling(judged)
    found = Purchase(
        change=change.words,
        containers=_containers(change.study, change.protocol)
        - _containers(ground.study, ground.protocol),
        grams=_more_grams(ground, change, grams_of),
        room_used=judged.chances[place].room_used,
        now=judged.chances[place].at_most,
        then=then.chances[place].at_most,
        cap_now=judged.cap,
        cap_then=then.cap,
        check=change.check,
        besides=change.besides,
        text="",
    )
    return replace(found, text=_text(found, change, judged, ground.asked))


def telling(judged: EvaluationProspect) -> int:
    """Return the case of drift whose chance lies nearest to one half.

    Where a chance is all but sure or all but lost no change shows what it buys.
    """

    def sureness(place: int) -> float:
        chance = judged.chances[place].at_most
        return abs((1.0 if chance is None else chance) - 0.5)

    return min(range(len(judged.chances)), key=sureness)


def _containers(study: Study, protocol: Protocol) -> int:
    return sum(one.kind == "container" for one in planned_samples(study, protocol))


def _more_grams(
    ground: Ground, change: _Change, grams_of: GramsOf | None
) -> float | None:
    if grams_of is None:
        return None
    now = grams_of(ground.study, ground.protocol)
    then = grams_of(change.study, change.protocol)
    return None if now is None or then is None else then - now


def _text(
    one: Purchase, change: _Change, judged: EvaluationProspect, asked: int
) -> str:
    cost = [counted(one.containers, "more container")] if one.containers > 0 else []
    cost += [f"{one.grams:.0f} g more"] if one.grams else []
    says = [f"supports at most {months_words(one.cap_then)}"]
    if one.cap_then == one.cap_now:
        says = []
    if one.cap_then < asked:
        says.append(f"{asked} months still cannot be supported")
    elif one.now is not None and one.then is not None:
        says.append(
            f"chance that {asked} months are supported with "
            f"{drift_words(one.room_used)}: {percent(one.then)} instead of "
            f"{percent(one.now)}"
        )
    if not says:
        says.append("the same months")
    where = "" if change.check == judged.check else f" at {change.check}"
    besides = f"; {change.besides}" if change.besides else ""
    price = ", ".join(cost) or "no further container"
    return f"{one.change} ({price}): {', '.join(says)}{where}{besides}."


def _is_long_term(row: SampleRow, protocol: Protocol) -> bool:
    condition = protocol.conditions.get(row.condition or "")
    return condition is not None and condition.role == "long-term"


def _firmer_containers(ground: Ground, check: str) -> Iterator[_Change]:
    """Yield a second fresh container, or fresh ones in place of reopened ones."""
    study, protocol = ground.study, ground.protocol
    rows = [row for row in study.samples if _is_long_term(row, protocol)]
    if any(row.use == "fresh per check" for row in rows):
        doubled = tuple(
            replace(row, count=row.count + 1)
            if row.use == "fresh per check" and _is_long_term(row, protocol)
            else row
            for row in study.samples
        )
        yield _Change(
            "One more fresh container at every long-term check",
            replace(study, samples=doubled), protocol, check,
        )  # fmt: skip
    if any(row.use == "reopened" for row in rows):
        fresh = tuple(
            replace(row, use="fresh per check")
            if row.use == "reopened" and _is_long_term(row, protocol)
            else row
            for row in study.samples
        )
        yield _Change(
            "Fresh containers in place of the reopened ones",
            replace(study, samples=(*fresh, *_t0_rows(study))), protocol, check,
            besides="they speak for the unopened product, a reopened one for itself",
        )  # fmt: skip


def _t0_rows(study: Study) -> tuple[SampleRow, ...]:
    """Return a row for T0 where only reopened containers were read then."""
    served = {batch for row in study.samples if row.use == "T0" for batch in row.batch}
    missing = tuple(batch for batch in study.batches if batch not in served)
    return (SampleRow(batch=missing, use="T0", kind="bulk"),) if missing else ()


def _more_checks(ground: Ground, check: str) -> Iterator[_Change]:
    """Yield the plan with two more checks in its widest gaps before the judging."""
    checks = [
        one
        for one in long_term_checks(ground)
        if check_order(one) <= check_order(check)
    ]
    made: list[str] = []
    for _ in range(MORE_CHECKS):
        ages = sorted({0.0, *(age_of(one) for one in (*checks, *made))})
        gaps = sorted(pairwise(ages), key=lambda gap: gap[0] - gap[1])
        middle = round(sum(gaps[0]) / 2)
        if not gaps[0][0] < middle < gaps[0][1]:
            break
        made.append(f"{middle}M")
    if made:
        study, protocol = _with_checks(ground, made, check)
        n = len(checks) + 1
        yield _Change(
            f"{n + len(made)} checks instead of {n} by {check}, at {' and '.join(made)}"
            " besides",
            study, protocol, check,
        )  # fmt: skip


def _later(ground: Ground, check: str) -> Iterator[_Change]:
    """Yield the judging at the next check, or at one that is added."""
    ahead = [
        one for one in long_term_checks(ground) if check_order(one) > check_order(check)
    ]
    if ahead:
        yield _Change(
            f"Judging the request at {ahead[0]} and no earlier",
            ground.study, ground.protocol, ahead[0],
        )  # fmt: skip
        return
    age = parse_age(check)
    months = max(ground.asked, (0 if age is None else age.whole_months) + LATER)
    later = f"{months}M"
    study, protocol = _with_checks(ground, [later], check)
    yield _Change(f"One more check at {later}", study, protocol, later)


def _with_checks(
    ground: Ground, more: list[str], beside: str
) -> tuple[Study, Protocol]:
    """Return the plan with more long-term checks, for every row that is read then."""

    def longer(condition: Condition) -> Condition:
        if condition.role != "long-term" or beside not in condition.checks:
            return condition
        checks = sorted({*condition.checks, *more}, key=check_order)
        return replace(condition, checks=tuple(checks))

    conditions = {name: longer(one) for name, one in ground.protocol.conditions.items()}
    rows = tuple(
        replace(row, checks=tuple(sorted({*row.checks, *more}, key=check_order)))
        if beside in row.checks and _is_long_term(row, ground.protocol)
        else row
        for row in ground.study.samples
    )
    return (
        replace(ground.study, samples=rows),
        replace(ground.protocol, conditions=conditions),
    )


def _another_batch(ground: Ground, check: str) -> Iterator[_Change]:
    """Yield the plan with one more batch, in every row of the last one."""
    study = ground.study
    if not study.batches:
        return
    last = list(study.batches)[-1]
    name = f"{last}+"
    rows = tuple(
        replace(row, batch=(*row.batch, name)) if last in row.batch else row
        for row in study.samples
    )
    batches = {**study.batches, name: replace(study.batches[last], name=name)}
    k = len(batches)
    yield _Change(
        f"One more batch, {k} instead of {k - 1}",
        replace(study, samples=rows, batches=batches), ground.protocol, check,
        besides=f"the next batch is worse than all tested with chance 1/{k + 1}, now "
        f"1/{k}; but every batch has to hold",
    )  # fmt: skip
