"""The days of a study for a calendar: checks, placings and the steps of cycles.

A day keeps its name while its date moves, so that a calendar that takes in a second
export changes what it has and doubles nothing. Names are derived from the record: what
an earlier export held and the record no longer plans is told as cancelled.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby
from typing import Final, Literal
from urllib.parse import quote

from stability.model.age import T0, check_order
from stability.model.code import number_of
from stability.model.condition import Condition
from stability.model.entry import Entry
from stability.model.moment import Moment, parse_utc
from stability.model.observation import Placing
from stability.model.schedule import (
    Due,
    OpenCheck,
    later,
    next_step,
    open_checks,
    planned_checks,
    planned_placing,
)
from stability.model.study import Sample
from stability.model.study_record import StudyRecord

Kind = Literal["check", "place", "step"]
State = Literal["confirmed", "tentative", "cancelled"]
#: Stage of the plan before any entry.
_PLANNED: Final = -1
#: Hand-overs this near to each other are one [min].
_TOGETHER: Final = 15
#: What a day is about: its kind, the condition ("" for bulk and tubes), and the check,
#: or the cycle and step that end, such as `2/1`; "" for a placing.
Topic = tuple[Kind, str, str]
#: Sample -> its days of one topic: from which stage of the record on, and when; None
#: where it has none any more.
_Course = dict[str, list[tuple[int, Moment | None]]]


@dataclass(frozen=True, slots=True)
class CheckDay:
    """One day, or hour, on which something is to be done with samples."""

    #: Name by which a calendar knows it again.
    uid: str
    #: What is to be done.
    kind: Kind
    #: Condition; "" for bulk and tubes.
    condition: str
    #: Check, or the cycle and step that end, such as `2/1`; "" for a placing.
    check: str
    #: When.
    when: Moment
    #: Tentative while the date may move; cancelled where nothing is to be done.
    state: State
    #: Samples with which it is to be done, in order.
    samples: tuple[str, ...]
    #: First and last day of a check's window; None for other days.
    window: tuple[date, date] | None = None
    #: Sample -> what is still to be observed; empty for other days.
    remaining: Mapping[str, tuple[Due, ...]] | None = None


@dataclass(frozen=True, slots=True)
class StudyCalendar:
    """The days of one study."""

    #: The study's record.
    record: StudyRecord
    #: When its last entry was stored (UTC).
    changed: datetime
    #: Its days, the earliest first.
    days: tuple[CheckDay, ...]


def study_calendar(
    record: StudyRecord, entries: Sequence[Entry], day: date
) -> StudyCalendar:
    """Return the days of a study.

    Parameters
    ----------
    record
        The study's record.
    entries
        The entries that it was folded from.
    day
        The as-of date: what is cancelled is told from this day on; earlier days of a
        calendar do no harm.
    """
    waiting = {
        (one.planned.sample, one.planned.check): one for one in open_checks(record)
    }
    found: list[CheckDay] = []
    for topic, course in _courses(record, _stages(entries)).items():
        now, gone = _groups(course)
        found += [_day(record, topic, group, waiting) for group in now.values()]
        found += [
            CheckDay(_uid(record, topic, lead), *topic, when, "cancelled", ())
            for lead, when in gone.items()
        ]
    kept = [one for one in found if one.state != "cancelled" or one.when.day >= day]
    changed = parse_utc(entries[-1].entered)
    return StudyCalendar(record, changed, tuple(sorted(kept, key=_order)))


def _order(one: CheckDay) -> tuple[date, str, str, tuple[int, float], str]:
    return (one.when.day, one.kind, one.condition, check_order(one.check), one.uid)


def _day(
    record: StudyRecord,
    topic: Topic,
    group: _Group,
    waiting: Mapping[tuple[str, str], OpenCheck],
) -> CheckDay:
    """Return the day of a group of samples, cancelled where none of them waits."""
    uid, when, codes = _uid(record, topic, group.lead), group.when, group.codes
    kind, _, check = topic
    if kind != "check":
        left = tuple(code for code in codes if not _done_with(record, code, kind))
        state: State = "tentative" if kind == "place" else "confirmed"
        return CheckDay(uid, *topic, when, state if left else "cancelled", left)
    opened = [waiting[code, check] for code in codes if (code, check) in waiting]
    if not opened:
        return CheckDay(uid, *topic, when, "cancelled", ())
    return CheckDay(
        uid,
        *topic,
        when,
        "tentative" if any(one.planned.provisional for one in opened) else "confirmed",
        tuple(one.planned.sample for one in opened),
        (
            min(one.planned.opens for one in opened),
            min(one.planned.closes for one in opened),
        ),
        {one.planned.sample: one.remaining for one in opened},
    )


def _done_with(record: StudyRecord, code: str, kind: Kind) -> bool:
    """Say whether a sample is placed already, or has left or was stopped."""
    if kind == "place" and record.first_placing(code) is not None:
        return True
    stopped = record.stop_of(record.samples[code]) is not None
    return stopped or record.retirement_of(code) is not None


def _uid(record: StudyRecord, topic: Topic, lead: str) -> str:
    """Return a name that no other study has: the fingerprint tells two makers apart."""
    parts = (record.study.code, *topic, lead, record.opening.fingerprint[:12])
    return "+".join(quote(part, safe="") for part in parts if part) + "@stability"


# Who shares a day


@dataclass(frozen=True, slots=True)
class _Group:
    """Samples that share a day of one topic."""

    #: The first of them, which names the day; "" for the day with the plain name.
    lead: str
    #: The day.
    when: Moment
    #: The samples, in order.
    codes: tuple[str, ...]


def _groups(course: _Course) -> tuple[dict[str, _Group], dict[str, Moment]]:
    """Return which samples share a day now, and which days an earlier export held.

    The samples of one topic share a day as long as it is the same for all. The first
    sample's day has the plain name, so that it keeps it when the day moves; another
    day is named by the first of its own samples.

    Returns
    -------
    tuple
        Lead -> group now; lead -> last known day of a group that is no longer there.
    """
    first = min(course, key=number_of)
    stages = sorted({stage for steps in course.values() for stage, _ in steps})
    known: dict[str, Moment] = {}
    now: dict[str, _Group] = {}
    state: dict[str, Moment | None] = {}
    for stage in stages:
        for code, steps in course.items():
            for at, when in steps:
                if at == stage:
                    state[code] = when
        now = {group.lead: group for group in _partition(state, first)}
        known |= {lead: group.when for lead, group in now.items()}
    return now, {lead: when for lead, when in known.items() if lead not in now}


def _partition(state: Mapping[str, Moment | None], first: str) -> Iterator[_Group]:
    together: dict[Moment, list[str]] = {}
    for code in sorted(state, key=number_of):
        when = state[code]
        if when is not None:
            together.setdefault(when, []).append(code)
    for when, codes in together.items():
        yield _Group("" if codes[0] == first else codes[0], when, tuple(codes))


# How the days moved


def _courses(record: StudyRecord, stages: Mapping[int, int]) -> dict[Topic, _Course]:
    """Return every topic with the days that its samples had, stage by stage."""
    plans = _plans(record)
    courses: dict[Topic, _Course] = {}
    for sample in record.samples.values():
        for topic, stage, when in (
            *_check_days(plans, sample, stages),
            *_placing_days(record, sample),
            *_step_days(record, sample, stages),
        ):
            courses.setdefault(topic, {}).setdefault(sample.code, []).append(
                (stage, when)
            )
    return courses


def _stages(entries: Iterable[Entry]) -> dict[int, int]:
    """Return position -> stage of the record, at whose end it may have been exported.

    Entries that were stored together make one stage.
    """
    runs = groupby(entries, key=lambda one: one.entered)
    return {one.position: stage for stage, (_, run) in enumerate(runs) for one in run}


def _plans(record: StudyRecord) -> list[tuple[StudyRecord, StudyRecord]]:
    """Return each plan that ever held, before any placing and with all of them.

    Checks that an amendment took away were planned before it.
    """
    held = [*(one.protocol_before for one in record.amendments), record.protocol]
    plans = [replace(record, protocol=protocol) for protocol in held]
    return [(replace(plan, placings=()), plan) for plan in plans]


def _check_days(
    plans: Iterable[tuple[StudyRecord, StudyRecord]],
    sample: Sample,
    stages: Mapping[int, int],
) -> Iterator[tuple[Topic, int, Moment | None]]:
    """Yield the checks of a sample as planned, and as they moved with its placing."""
    days: dict[tuple[Topic, int], Moment] = {}
    for before, plan in plans:
        first = plan.first_placing(sample.code)
        replacing = first is not None and first.replaces is not None
        if not replacing:
            for one in planned_checks(before, sample):
                days[_topic(sample, one.check), _PLANNED] = Moment(one.due)
        if first is not None:
            for one in planned_checks(plan, sample):
                if one.check != T0 or replacing:
                    stage = stages[first.position]
                    days[_topic(sample, one.check), stage] = Moment(one.due)
    for (topic, stage), when in days.items():
        yield topic, stage, when


def _topic(sample: Sample, check: str) -> Topic:
    return "check", sample.condition or "", check


def _placing_days(
    record: StudyRecord, sample: Sample
) -> Iterator[tuple[Topic, int, Moment | None]]:
    first = record.first_placing(sample.code)
    if sample.condition is None or (first is not None and first.replaces is not None):
        return
    planned = planned_placing(record.study, record.protocol, sample)
    yield ("place", sample.condition, ""), _PLANNED, Moment(planned)


def _step_days(
    record: StudyRecord, sample: Sample, stages: Mapping[int, int]
) -> Iterator[tuple[Topic, int, Moment | None]]:
    """Yield when each step of a cycle ends, counted anew from every hand-over."""
    ahead: set[Topic] = set()
    for placing in record.placings_of(sample.code):
        ends: dict[Topic, Moment] = {}
        if placing.condition is not None and placing.cycle and placing.step:
            ends = dict(_step_ends(record, placing))
        stage = stages[placing.position]
        for topic in ahead - set(ends):
            yield topic, stage, None
        for topic, when in ends.items():
            yield topic, stage, when
        ahead = set(ends)


def _step_ends(record: StudyRecord, placing: Placing) -> Iterator[tuple[Topic, Moment]]:
    """Yield the end of the step that begins with a placing, and of all that follow."""
    name = placing.condition or ""
    condition = record.protocol.conditions[name]
    at: tuple[int, int] | None = (placing.cycle or 1, placing.step or 1)
    hours = 0.0
    while at is not None:
        hours += _hours(condition, at[1])
        end = _rounded(later(placing.done, hours / 24, record.zone))
        yield ("step", name, f"{at[0]}/{at[1]}"), end
        at = next_step(record, name, *at)


def _rounded(moment: Moment) -> Moment:
    """Return the quarter of an hour, so that samples moved one by one share it."""
    if moment.time is None:
        return moment
    minute = moment.time.minute // _TOGETHER * _TOGETHER
    return Moment(moment.day, moment.time.replace(minute=minute, second=0))


def _hours(condition: Condition, step: int) -> int:
    return round(condition.steps[step - 1].duration.nominal_days * 24)
