"""Which checks are planned, when, and which of them is still open.

Everything here is derived from plan, acts and day; nothing of it is stored as truth.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from math import ceil
from zoneinfo import ZoneInfo

from stability.model.age import T0, check_order, cycle_of, parse_age
from stability.model.attribute import Attribute
from stability.model.moment import Moment, moment_at
from stability.model.protocol import Protocol, window_days
from stability.model.quick import quick
from stability.model.study import Sample, Study
from stability.model.study_record import StudyRecord

#: What is observed at a check: an attribute, with the part for weights.
Due = tuple[str, str | None]
#: What is to be observed on a sample at a check.
Expecting = Callable[[Sample, str], tuple[Due, ...]]


@quick
@dataclass(frozen=True, slots=True)
class PlannedCheck:
    """One check of one sample with the days of its window."""

    #: Sample code.
    sample: str
    #: Check, such as T0, 4w or c3.
    check: str
    #: First day of the window.
    opens: date
    #: Due date.
    due: date
    #: Last day of the window.
    closes: date
    #: True while the sample is not placed and the dates may still move.
    provisional: bool = False

    def holds(self, day: date) -> bool:
        """Say whether a day lies inside the window."""
        return self.opens <= day <= self.closes


@dataclass(frozen=True, slots=True)
class OpenCheck:
    """A planned check with what is still to be observed."""

    #: The plan.
    planned: PlannedCheck
    #: What remains, in the protocol's order.
    remaining: tuple[Due, ...]


def age_zero(record: StudyRecord, sample: Sample) -> tuple[Moment, bool]:
    """Return the moment from which a sample's age counts, and whether it is real.

    The first placing where there is one; else the planned day of placing, which is
    the day set for its condition or the end of the time for T0 readings.
    """
    placing = record.first_placing(sample.code)
    if placing is not None:
        return placing.done, True
    return Moment(planned_placing(record.study, record.protocol, sample)), False


def planned_placing(study: Study, protocol: Protocol, sample: Sample) -> date:
    """Return the day on which a sample is meant to enter its condition."""
    stated = study.place_on.get(sample.condition or "")
    batch = study.batches[sample.batch]
    return stated or protocol.t0.read_before.after(batch.made)


def planned_checks(
    record: StudyRecord, sample: Sample, wanted: Expecting | None = None
) -> tuple[PlannedCheck, ...]:
    """Return every planned check of a sample in order of due date.

    Parameters
    ----------
    record
        The study.
    sample
        The sample.
    wanted
        From `expecting`, for callers that ask for many samples.
    """
    start, real = age_zero(record, sample)
    checks = [
        _planned(record, sample, check, start.day, provisional=not real)
        for check in checks_of(record.study, record.protocol, sample, wanted)
    ]
    return tuple(sorted(checks, key=lambda one: (one.due, check_order(one.check))))


def checks_of(
    study: Study, protocol: Protocol, sample: Sample, wanted: Expecting | None = None
) -> tuple[str, ...]:
    """Return the checks at which something is to be observed on a sample."""
    names = sample.checks if T0 in sample.checks else (T0, *sample.checks)
    wanted = wanted or expecting(study, protocol)
    return tuple(check for check in names if wanted(sample, check))


def expecting(study: Study, protocol: Protocol) -> Expecting:
    """Return `expected` for one study, worked out once for samples that are alike."""
    known: dict[Hashable, tuple[Due, ...]] = {}

    def of(sample: Sample, check: str) -> tuple[Due, ...]:
        alike = (sample.kind, sample.condition, sample.checks, check)
        found = known.get(alike)
        if found is None:
            found = known[alike] = expected(study, protocol, sample, check)
        return found

    return of


def expected(
    study: Study, protocol: Protocol, sample: Sample, check: str
) -> tuple[Due, ...]:
    """Return what is to be observed on a sample at a check.

    Of the sample only kind, condition and checks tell it; `expecting` relies on that.

    At T0 a container that is not itself read at T0 is weighed only, because weight
    loss counts from its own first weight.
    """
    if (
        sample.condition is None
        and sample.kind == "container"
        and T0 not in sample.checks
    ):
        return ()
    wanted: list[Due] = []
    for attribute in protocol.attributes.values():
        if attribute.name in study.omit or not reads(attribute, sample, check):
            continue
        if attribute.from_weights:
            wanted.append((attribute.name, "before"))
        elif check in sample.checks:
            wanted.append((attribute.name, None))
    return tuple(wanted)


def reads(attribute: Attribute, sample: Sample, check: str) -> bool:
    """Say whether the protocol wants an attribute of a sample at a check."""
    if attribute.provided_by == "certificate":
        return False
    if attribute.when and check not in attribute.when:
        return False
    place = sample.condition
    if attribute.conditions and place is not None and place not in attribute.conditions:
        return False
    if sample.kind == "tube" or attribute.on == "tube":
        return sample.kind == attribute.on
    if attribute.from_weights:
        return sample.kind == "container" and (check == T0 or check in sample.checks)
    return attribute.on == "container" or sample.kind == "bulk"


def open_checks(record: StudyRecord) -> tuple[OpenCheck, ...]:
    """Return every planned check that still waits for an observation.

    Checks recorded as missed, checks of samples that left before the check and
    checks of what was stopped are closed.
    """
    done = _observed(record)
    missed = {(code, one.check) for one in record.missed for code in one.samples}
    wanted = expecting(record.study, record.protocol)
    found = []
    for sample in record.samples.values():
        for planned in planned_checks(record, sample, wanted):
            if (sample.code, planned.check) in missed or _ended(
                record, sample, planned
            ):
                continue
            remaining = tuple(
                due
                for due in wanted(sample, planned.check)
                if (sample.code, planned.check, *due) not in done
            )
            if remaining:
                found.append(OpenCheck(planned, remaining))
    return tuple(found)


def check_for(record: StudyRecord, sample: Sample, done: Moment) -> str | None:
    """Return the check to which a reading made at `done` belongs.

    A fresh container knows its check. A reopened one takes the check whose window
    holds the day, else the nearest check that is still open; None if there is none.
    """
    return check_by_plan(record, sample, done) or nearest_open(record, sample, done)


def check_by_plan(record: StudyRecord, sample: Sample, done: Moment) -> str | None:
    """Return the check that the plan alone tells; None where it does not."""
    planned = planned_checks(record, sample)
    holding = [one for one in planned if one.holds(done.day) and one.check != T0]
    first = [one for one in planned if one.check == T0]
    placing = record.first_placing(sample.code)
    if first and (placing is None or done.day <= placing.done.day or not sample.checks):
        return T0
    own = [check for check in sample.checks if check != T0]
    if len(own) == 1 and sample.use in {"fresh per check", "untouched"}:
        return own[0]
    if holding:
        return min(holding, key=lambda one: abs((one.due - done.day).days)).check
    return T0 if first and first[0].holds(done.day) else None


def nearest_open(record: StudyRecord, sample: Sample, done: Moment) -> str | None:
    """Return the check whose due date is nearest and that still waits; None if none."""
    waiting = [
        one.planned
        for one in open_checks(_only(record, sample))
        if one.planned.check != T0
    ]
    if not waiting:
        return None
    return min(waiting, key=lambda one: abs((one.due - done.day).days)).check


@dataclass(frozen=True, slots=True)
class HandOver:
    """A cycled sample that must go on to its next step."""

    #: Sample code.
    sample: str
    #: Condition.
    condition: str
    #: When the step that it is in ends.
    due: Moment
    #: Cycle it is in (from 1).
    cycle: int
    #: Step it is in (from 1).
    step: int
    #: What to do, in words.
    text: str


def hand_overs(record: StudyRecord) -> tuple[HandOver, ...]:
    """Return the next hand-over of every cycled sample that is in a step."""
    found = []
    for sample in record.samples.values():
        placings = record.placings_of(sample.code)
        last = placings[-1] if placings else None
        if last is None or last.cycle is None or last.step is None:
            continue
        if record.retirement_of(sample.code) or record.stop_of(sample):
            continue
        condition = record.protocol.conditions[last.condition or ""]
        step = condition.steps[last.step - 1]
        found.append(
            HandOver(
                sample.code,
                condition.name,
                later(last.done, step.duration.nominal_days, record.zone),
                last.cycle,
                last.step,
                hand_over_text(condition.name, record, last.cycle, last.step),
            )
        )
    return tuple(found)


def next_step(
    record: StudyRecord, condition: str, cycle: int | None, step: int | None
) -> tuple[int, int] | None:
    """Return the cycle and step that follow; None when all cycles are done."""
    rule = record.protocol.conditions[condition]
    if cycle is None or step is None:
        return (1, 1)
    if step < len(rule.steps):
        return (cycle, step + 1)
    return (cycle + 1, 1) if cycle < rule.cycles else None


def hand_over_text(condition: str, record: StudyRecord, cycle: int, step: int) -> str:
    """Say what is to be done with a cycled sample when a step ends."""
    after = next_step(record, condition, cycle, step)
    steps = record.protocol.conditions[condition].steps
    here = f"{steps[step - 1].at} °C"
    if after is None:
        return f"last step at {here} ends: all cycles done, read"
    there = f"{steps[after[1] - 1].at} °C"
    return f"from {here} to {there} (cycle {after[0]}, step {after[1]})"


def later(start: Moment, days: float, zone: ZoneInfo) -> Moment:
    """Return the moment so many days after another; a day where only a day is known.

    Parameters
    ----------
    start
        The moment.
    days
        How long after it [days]; a day is 24 hours, also where clocks are changed.
    zone
        The study's, whose clock tells the moment.
    """
    if start.time is None:
        return Moment(start.day + timedelta(days=ceil(days)))
    end = start.time + timedelta(days=days)
    return moment_at(end.astimezone(zone), zone)


def _planned(
    record: StudyRecord, sample: Sample, check: str, start: date, *, provisional: bool
) -> PlannedCheck:
    if check == T0:
        return _planned_t0(record, sample)
    cycle = cycle_of(check)
    if cycle is not None:
        name = sample.twin_of or sample.condition or ""
        hours = record.protocol.conditions[name].hours_per_cycle
        due = start + timedelta(days=ceil(cycle * hours / 24))
    else:
        due = _due(start, check)
    opens, closes = window_days(record.protocol.window_of(check), due)
    return PlannedCheck(sample.code, check, opens, due, closes, provisional)


def _planned_t0(record: StudyRecord, sample: Sample) -> PlannedCheck:
    placing = record.first_placing(sample.code)
    if placing is not None and placing.replaces is not None:
        day = placing.done.day
        return PlannedCheck(sample.code, T0, day, day, day)
    made = record.study.batches[sample.batch].made
    rule = record.protocol.t0
    opens = rule.read_after.after(made)
    closes = rule.read_before.after(made)
    if T0 not in sample.checks:
        # A container that is weighed only may wait for its oven or freezer.
        closes = max(closes, age_zero(record, sample)[0].day)
    return PlannedCheck(sample.code, T0, opens, opens, closes)


@cache
def _due(start: date, check: str) -> date:
    age = parse_age(check)
    if age is None:
        raise ValueError(f"{check} is no age")
    return age.after(start)


def _observed(record: StudyRecord) -> set[tuple[str, str, str, str | None]]:
    return {
        (seen.sample, seen.check, seen.attribute, seen.part)
        for seen in record.standing()
        if seen.check is not None
    }


def _ended(record: StudyRecord, sample: Sample, planned: PlannedCheck) -> bool:
    """Say whether the sample had left, or was stopped, before the window closed."""
    retired = record.retirement_of(sample.code)
    stop = record.stop_of(sample)
    ends = [one.done.day for one in (retired, stop) if one is not None]
    return any(day <= planned.closes for day in ends)


def _only(record: StudyRecord, sample: Sample) -> StudyRecord:
    kept: Mapping[str, Sample] = {sample.code: sample}
    return _with_samples(record, kept.values())


def _with_samples(record: StudyRecord, samples: Iterable[Sample]) -> StudyRecord:

    return replace(record, samples={one.code: one for one in samples})
