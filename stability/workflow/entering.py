"""The walk through due samples: what is asked, and what an answer means.

Pure: a walk, what stands on the bench and a typed line give the next walk, lines to
tell and perhaps a wish to store. Nothing is read, written or printed here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from stability.errors.bench import AnswerError, NothingDueError, SampleOfOtherStudyError
from stability.errors.codes import SampleCodeCheckError, SampleCodeFormError
from stability.errors.samples import SampleGoneError
from stability.model.attribute import Attribute, Setting
from stability.model.code import parse_code, study_of
from stability.model.handling import Task, tasks_of
from stability.model.moment import Moment
from stability.model.observation import DayFacts, Observation
from stability.model.study import Sample

if TYPE_CHECKING:
    from stability.records.continuation import Continuation
    from stability.workflow.entering_wishes import Wish

#: A code as it stands on a label, whatever its check character.
_WHOLE = re.compile(r"[A-Z0-9]+-\d{3,4}-[A-Z0-9]")
Kind = Literal["sample", "observers", "control", "setting", "reading", "correction"]


@dataclass(frozen=True, slots=True)
class Desk:
    """What stands on the bench when a line is typed."""

    #: The study with all that is stored.
    book: Continuation
    #: What was set for the day; None if nothing was.
    facts: DayFacts | None
    #: When what is typed was done.
    when: Moment
    #: Returns the last observation to compare with; None where there is none.
    last_of: Callable[[Sample, Attribute], Observation | None]
    #: Returns the limit in words, of a sample's attribute at a check under settings.
    limit_of: Callable[[Sample, Attribute, str, Mapping[str, str]], str]

    def sample(self, code: str) -> Sample:
        """Return a sample of the study."""
        return self.book.plan.samples[code]

    def tasks(self, code: str, check: str) -> tuple[Task, ...]:
        """Return what is still to be read of a sample, in the order of handling."""
        every = tasks_of(self.book.plan, self.sample(code), check)
        return tuple(
            one for one in every if self.book.standing(code, check, *one.due) is None
        )


@dataclass(frozen=True, slots=True)
class Walk:
    """How far a person has come; what was stored stands in the study, not here."""

    #: Sample in hand; None between samples.
    sample: str | None = None
    #: Its check; None between samples.
    check: str | None = None
    #: The line that was asked again before it is stored; None if none was.
    doubted: str | None = None
    #: What is left unsaid for the rest of the walk: (attribute, setting).
    unsaid: frozenset[tuple[str, str]] = frozenset()
    #: Positions of the observations stored on this walk.
    answered: tuple[int, ...] = ()
    #: Place in `answered` of the one that is looked at again; None for none.
    looked_at: int | None = None
    #: Whether the person has stopped.
    ended: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked next."""

    #: What kind of answer is expected.
    kind: Kind
    #: Sample in hand; None between samples.
    sample: str | None = None
    #: Its check; None between samples.
    check: str | None = None
    #: What is read; None where no reading is asked.
    task: Task | None = None
    #: The setting that is asked; None for other kinds.
    setting: Setting | None = None
    #: The stored observation that is looked at again; None for other kinds.
    seen: Observation | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """What a line led to."""

    #: Where the walk stands now.
    walk: Walk
    #: Lines to tell.
    told: tuple[str, ...] = ()
    #: What is to be stored; None if nothing is.
    wish: Wish | None = None
    #: Whether a sample was taken into hand.
    opened: bool = False


def question(walk: Walk, desk: Desk) -> Question:
    """Return what is asked next."""
    if walk.looked_at is not None:
        seen = desk.book.observation(walk.answered[walk.looked_at])
        if seen is not None:
            return Question("correction", walk.sample, walk.check, seen=seen)
    if walk.sample is None or walk.check is None:
        return Question("sample")
    tasks = desk.tasks(walk.sample, walk.check)
    if not tasks:
        return Question("sample")
    kind, setting = _kind(walk, desk, tasks[0])
    return Question(kind, walk.sample, walk.check, tasks[0], setting)


def _kind(walk: Walk, desk: Desk, task: Task) -> tuple[Kind, Setting | None]:
    """Return what is asked of a task: its reading, or what must be known before."""
    attribute = task.attribute
    if task.part is not None:
        return "reading", None
    facts = desk.facts
    stated = facts.settings.get(attribute.name, {}) if facts else {}
    for setting in attribute.all_settings.values():
        if setting.name in attribute.told_with_reading:
            continue
        if setting.name not in stated and not _unsaid(walk, attribute, setting.name):
            return "setting", setting
    known = len(facts.observers) if facts else 0
    if attribute.observers > max(known, 1) and not _unsaid(walk, attribute, ""):
        return "observers", None
    if _needs_control(walk, desk, attribute) and not _unsaid(walk, attribute, "="):
        return "control", None
    return "reading", None


def _unsaid(walk: Walk, attribute: Attribute, name: str) -> bool:
    return (attribute.name, name) in walk.unsaid


def _needs_control(walk: Walk, desk: Desk, attribute: Attribute) -> bool:
    """Say whether the sample to compare with is to be named first.

    The comparison itself, and bulk before anything stands in its condition, is
    compared with nothing.
    """
    if attribute.compared_with is None or walk.sample is None:
        return False
    control = desk.facts.control if desk.facts else {}
    sample = desk.sample(walk.sample)
    if control.get(attribute.name) or control.get(""):
        return False
    there = any(
        one.condition == attribute.compared_with and desk.book.plan.placings_of(code)
        for code, one in desk.book.plan.samples.items()
    )
    return there and sample.condition != attribute.compared_with


def leave_unsaid(walk: Walk, asked: Question) -> Walk:
    """Return the walk on which a setting, observers or a comparison are not asked."""
    if asked.task is None:
        return walk
    name = {"observers": "", "control": "="}.get(asked.kind)
    if asked.setting is not None:
        name = asked.setting.name
    return replace(walk, unsaid=walk.unsaid | {(asked.task.attribute.name, name or "")})


def scanned(desk: Desk, line: str) -> str | None:
    """Return the sample code that a line is, where an answer is asked; else None.

    A number may look like a short code, so a short one counts only with a letter or a
    hyphen in it, and only where the study has such a sample.

    Raises
    ------
    SampleOfOtherStudyError
        If it is the code of another study.
    SampleCodeCheckError
        If it is written like a whole code, and its check character does not fit.
    """
    try:
        return _of_this_study(desk, parse_code(line))
    except SampleCodeCheckError:
        if _WHOLE.fullmatch(line.upper()):
            raise
    except SampleCodeFormError:
        pass
    if not any(sign.isalpha() or sign == "-" for sign in line[1:]):
        return None
    try:
        code = parse_code(line, desk.book.plan.study.code)
    except (SampleCodeFormError, SampleCodeCheckError):
        return None
    return code if code in desk.book.plan.samples else None


def sample_code(desk: Desk, line: str) -> str:
    """Return the sample code that a line is, whole or short.

    Raises
    ------
    StabilityError
        If it is none, or that of another study.
    """
    return _of_this_study(desk, parse_code(line, desk.book.plan.study.code))


def _of_this_study(desk: Desk, code: str) -> str:
    own = desk.book.plan.study.code
    if study_of(code) != own:
        raise SampleOfOtherStudyError(code, study_of(code), own)
    return code


def take_sample(walk: Walk, desk: Desk, line: str) -> Turn:
    """Take a sample into hand.

    Raises
    ------
    StabilityError
        If the line is no code of this study, or nothing is due on the sample.
    """
    from stability.records.guards import resolve_sample
    from stability.records.observing import resolve_check

    plan = desk.book.plan
    sample = resolve_sample(plan, sample_code(desk, line))
    _still_here(desk, sample)
    check = resolve_check(desk.book, sample, None, desk.when)
    planned = {one.check: one for one in desk.book.planned(sample)}
    if check is None or not desk.tasks(sample.code, check):
        raise NothingDueError(sample.code, str(desk.when.day), _following(desk, sample))
    if planned[check].opens > desk.when.day:
        one = planned[check]
        coming = f"{check} opens on {one.opens} and is due on {one.due}"
        raise NothingDueError(sample.code, str(desk.when.day), coming)
    new = replace(walk, sample=sample.code, check=check, doubted=None, looked_at=None)
    return Turn(new, opened=True)


def _still_here(desk: Desk, sample: Sample) -> None:
    """Refuse a sample that has left, also where it left on the day that is entered."""
    left = desk.book.plan.retirement_of(sample.code)
    if left is not None and left.done <= desk.when:
        day = left.done.for_people()
        raise SampleGoneError(sample.code, f"left the study on {day}: {left.reason}")


def _following(desk: Desk, sample: Sample) -> str:
    """Return the next check of a sample in words; "" where none is ahead."""
    for one in desk.book.planned(sample):
        if one.opens > desk.when.day:
            return f"{one.check} opens on {one.opens} and is due on {one.due}"
    return ""


def look_back(walk: Walk) -> Walk:
    """Return the walk looking at the answer before.

    Raises
    ------
    AnswerError
        If nothing was answered before.
    """
    at = len(walk.answered) if walk.looked_at is None else walk.looked_at
    if at == 0:
        raise AnswerError(
            "there is no answer before this one in this sitting; an older one is put "
            "right with 'stability correct'"
        )
    return replace(walk, looked_at=at - 1, doubted=None)


def in_hand(walk: Walk) -> tuple[str, str]:
    """Return sample and check in hand.

    Raises
    ------
    AnswerError
        If no sample is.
    """
    if walk.sample is None or walk.check is None:
        raise AnswerError("no sample is in hand; scan or type its code first")
    return walk.sample, walk.check
