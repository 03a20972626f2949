"""Verbs of follow-ups: what was looked at when a reading lies outside its limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stability.errors.samples import EntryReferenceError, FollowUpError
from stability.model import content
from stability.model.follow_up import FIRST_CHECKS, TO_SET_ASIDE
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load_as_of
from stability.workflow.writing import Act, of_study, write
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.follow_up_findings import FollowUp  # noqa: TC004
    from stability.model.moment import Moment
    from stability.records.continuation import Continuation
    from stability.workflow.marks import JudgedNow

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["FollowUp"]


def follow_up(
    at: Occasion,
    reference: str,
    *,
    checked: Sequence[str],
    outcome: str,
    because: str | None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """Answer the follow-up of a reading outside its limit.

    Parameters
    ----------
    at
        The occasion.
    reference
        Such as `HDC/12`: the reading, or the leaving of a failed sample.
    checked
        What was looked at: `right sample=yes` each.
    outcome
        What came of it.
    because
        The reason.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If the entry asks for no follow-up, or the answer cannot be taken.
    """
    from stability.records import follow_ups, observing
    from stability.records.guards import checked_moment

    code, slash, _ = reference.strip().rpartition("/")
    if not slash:
        raise EntryReferenceError(reference, "write study and number, such as HDC/12")

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        position = observing.position_of(reference, book.plan.study.code)
        held = follow_ups.answer(
            book, position, checked=checked, outcome=outcome, because=because
        )
        asked = _asked(at, book, position)
        text = f"follow-up of {reference} ({asked.text}): {held['outcome']}"
        yield Act(content.ANSWERED, held, when, text, _remarks(asked, reference, held))

    return write(at, of_study(code), acts)


def follow_ups(
    at: Occasion, study: str, *, as_of: str | None = None
) -> tuple[FollowUp, ...]:
    """Return the follow-ups of a study, those that are open first.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If study or day cannot be read.
    """
    from stability.evaluation.follow_ups import asked_by

    source, day = load_as_of(at, study, as_of)
    found = asked_by(source.record, day)
    return tuple(sorted(found, key=lambda one: not one.is_open))


def open_lines(now: JudgedNow | None) -> tuple[str, ...]:
    """Return what to do about readings just stored that lie outside their limit.

    Parameters
    ----------
    now
        What was just stored, judged.
    """
    if now is None:
        return ()
    outside = [
        one for one in now.judged if one.position in now.stored and one.is_outside
    ]
    failed = {one.position for one in now.judged if one.is_outside}
    first = [one for one in outside if one.observation.repeats not in failed]
    return look_lines([now.stored[one.position].reference for one in first])


def look_lines(references: Sequence[str]) -> tuple[str, ...]:
    """Return the first checks in their order, and the command that answers."""
    if not references:
        return ()
    order = "; ".join(
        f"{number} {name}: {question}"
        for number, (name, question) in enumerate(FIRST_CHECKS.items(), 1)
    )
    open_ = "a follow-up is open" if len(references) == 1 else "follow-ups are open"
    first = references[0]
    told = (
        f"{', '.join(references)}  outside: {open_}. Look in this order: {order} A "
        "repeat stands beside the first reading and never replaces it."
    )
    command = (
        f"    stability follow-up {first} --checked 'right sample=yes' "
        "--checked temperature=yes --outcome OUTCOME --because REASON"
    )
    return told, command


def leaving_lines(
    book: Continuation, held: content.Content, when: Moment
) -> tuple[str, ...]:
    """Return what to do about a sample that leaves as failed, before it is stored."""
    from stability.evaluation.follow_ups import told_by
    from stability.model.observation import Retirement

    code = book.plan.study.code
    position = book.head.position + 1
    left = held["sample"], held["reason"], held["because"]
    seen = told_by(book.record, Retirement(position, *left, when, person=""))
    if seen is None:
        return look_lines([f"{code}/{position}"])
    told = (
        f"belongs to the follow-up of {code}/{seen.position}, {seen.state}: one answer "
        f"holds for both, and stability follow-up --list {code} tells of both"
    )
    return (told,)


def _asked(at: Occasion, book: Continuation, position: int) -> FollowUp:
    """Return the follow-up that an entry asks for, as the study stands now."""
    from stability.evaluation.follow_ups import asked_by

    record = book.record
    found = asked_by(record, at.now.astimezone(record.zone).date())
    for one in found:
        if position in one.positions:
            return one
    raise FollowUpError(
        f"{record.study.code}/{position}",
        "it lies not outside its limit, or repeats a reading that does; name that one",
    )


def _remarks(asked: FollowUp, reference: str, held: content.Content) -> tuple[str, ...]:
    found = []
    if asked.answer is not None:
        found.append(
            f"stands before the answer in entry {asked.answer.position} "
            f"({asked.answer.outcome}), which stays readable"
        )
    if held["outcome"] in TO_SET_ASIDE:
        found.append(
            "the reading still counts; to set it aside with that cause: stability "
            f"invalidate {reference} --because '{held['outcome']}: …'"
        )
    return tuple(found)
