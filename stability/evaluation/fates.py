"""What happened to each sample: placed, exposed, cycled, read, left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from stability.evaluation.findings import SampleCounts
from stability.evaluation.index import Index
from stability.evaluation.phrases import count_text
from stability.evaluation.readings import CycleRun, Exposure, SampleFate, StepRun
from stability.model.age import T0, cycle_of
from stability.model.condition import Condition
from stability.model.moment import Moment, age_days
from stability.model.observation import RETIRED_AS_FAILED, Observation, Placing
from stability.model.study import Sample

#: Share by which a step may leave its length and still be kept (common practice) [-].
STEP_ALLOWANCE = 0.10


def exposures_of(index: Index) -> dict[str, tuple[Exposure, ...]]:
    """Return sample -> times that it spent in another condition than its own."""
    found = {}
    for code, sample in index.record.samples.items():
        wrong = _exposures(index, sample, index.record.placings_of(code))
        if wrong:
            found[code] = wrong
    return found


def _exposures(
    index: Index, sample: Sample, placings: Sequence[Placing]
) -> tuple[Exposure, ...]:
    today = Moment(index.as_of)
    found = []
    for place, after in pairwise([*placings, None]):
        if place is None or place.condition in {None, sample.condition}:
            continue
        end = after.done if after is not None else None
        days = age_days(place.done, end or today)
        found.append(
            Exposure(
                place.condition or "", place.done, end, max(days, 0.0), place.position
            )
        )
    return tuple(found)


def fates_of(
    index: Index, exposures: Mapping[str, tuple[Exposure, ...]]
) -> tuple[SampleFate, ...]:
    """Return what happened to every sample, by code."""
    read = {
        seen.sample
        for seen in index.record.observations
        if seen.stands and seen.readings and seen.part is None
    }
    weighed = {
        seen.sample
        for seen in index.record.observations
        if seen.stands and seen.readings and seen.check != T0
    }
    first_t0 = _first_t0(index)
    fates = [
        _fate(index, sample, exposures, first_t0, read=code in read | weighed)
        for code, sample in index.record.samples.items()
    ]
    return tuple(sorted(fates, key=lambda one: one.sample.code))


def _fate(
    index: Index,
    sample: Sample,
    exposures: Mapping[str, tuple[Exposure, ...]],
    first_t0: Mapping[str, Moment],
    *,
    read: bool,
) -> SampleFate:
    record, code = index.record, sample.code
    placings = record.placings_of(code)
    placed = placings[0] if placings else None
    t0 = first_t0.get(sample.batch)
    replaces = next((one.replaces for one in placings if one.replaces), None)
    days = None
    if placed is not None and t0 is not None and replaces is None:
        days = (placed.done.day - t0.day).days
    left = record.retirement_of(code)
    return SampleFate(
        sample=sample,
        placed=placed,
        left=left,
        stopped=record.stop_of(sample) if left is None else None,
        replaces=replaces,
        replaced_by=record.replacement_of(code),
        exposures=exposures.get(code, ()),
        read=read,
        days_to_placing=days,
    )


def _first_t0(index: Index) -> dict[str, Moment]:
    """Return batch -> its first T0 reading that can serve as an initial value."""
    found: dict[str, Moment] = {}
    for readings in index.initials.values():
        for one in readings:
            batch, done = one.sample.batch, one.observation.done
            if batch not in found or done < found[batch]:
                found[batch] = done
    return found


def counts_of(fates: Sequence[SampleFate]) -> SampleCounts:
    """Count samples by what became of them."""
    reasons = [fate.left.reason for fate in fates if fate.left is not None]
    failed = sum(reason in RETIRED_AS_FAILED for reason in reasons)
    used = sum(reason in {"used up", "sent out"} for reason in reasons)
    stopped = sum(fate.stopped is not None for fate in fates)
    return SampleCounts(
        assigned=len(fates),
        placed=sum(fate.placed is not None for fate in fates),
        read=sum(fate.read for fate in fates),
        remaining=len(fates) - len(reasons) - stopped,
        lost=len(reasons) - failed - used,
        failed=failed,
        used=used,
        stopped=stopped,
        replacements=sum(fate.replaces is not None for fate in fates),
    )


def cycles_of(index: Index) -> tuple[CycleRun, ...]:
    """Return the cycles of every cycled sample that was placed."""
    found = []
    for code, sample in index.record.samples.items():
        condition = index.protocol.conditions.get(sample.condition or "")
        placings = index.record.placings_of(code)
        if condition is None or not condition.steps or sample.twin_of or not placings:
            continue
        found.append(_cycle_run(index, sample, condition, placings))
    return tuple(found)


def _cycle_run(
    index: Index, sample: Sample, condition: Condition, placings: Sequence[Placing]
) -> CycleRun:
    seen = [one for one in index.observations.get(sample.code, ()) if one.stands]
    steps = tuple(
        _step_run(condition, place, after) or _last_step(condition, place, seen)
        for place, after in pairwise([*placings, None])
        if place is not None and place.cycle is not None and place.step is not None
    )
    read = [cycle_of(one.check or "") or 0 for one in seen]
    finished = [
        one.cycle
        for one in steps
        if one.step == len(condition.steps) and one.real_hours is not None
    ]
    done = max([0, *finished, *read])
    return CycleRun(
        sample.code,
        condition.name,
        done,
        condition.cycles,
        steps,
        _cycle_text(done, condition, steps),
    )


def _step_run(
    condition: Condition, place: Placing, after: Placing | None
) -> StepRun | None:
    """Return a step that another placing ended; None where none did."""
    if after is None:
        return None
    step = place.step or 1
    planned = condition.steps[step - 1].duration.nominal_days * 24
    real = age_days(place.done, after.done) * 24
    within = _within(place.done, after.done, planned)
    return StepRun(place.cycle or 1, step, planned, real, place.done, within)


def _last_step(
    condition: Condition, place: Placing, seen: Sequence[Observation]
) -> StepRun:
    """Return the newest step: read after its cycle, or still running.

    What is read after the last step may have stood for longer than the step asks for,
    but not for less.
    """
    step = place.step or 1
    planned = condition.steps[step - 1].duration.nominal_days * 24
    read = [
        one.done
        for one in seen
        if step == len(condition.steps) and cycle_of(one.check or "") == place.cycle
    ]
    if not read:
        return StepRun(place.cycle or 1, step, planned, None, place.done, None)
    real = age_days(place.done, min(read)) * 24
    known = place.done.time is not None and min(read).time is not None
    least = planned * (1 - STEP_ALLOWANCE) if known else planned - 24
    return StepRun(place.cycle or 1, step, planned, real, place.done, real >= least)


def _within(start: Moment, end: Moment, planned: float) -> bool:
    hours = age_days(start, end) * 24
    if start.time is None or end.time is None:
        return abs(hours - planned) <= 24
    minutes = round(abs(hours - planned) * 60)
    return minutes <= round(STEP_ALLOWANCE * planned * 60)


def _cycle_text(done: int, condition: Condition, steps: Sequence[StepRun]) -> str:
    lead = f"{done} of {count_text(condition.cycles, 'cycle')}"
    left = [one for one in steps if one.within is False]
    known = [one for one in steps if one.within is not None]
    if left:
        parts = [
            f"cycle {one.cycle} step {one.step} at "
            f"{condition.steps[one.step - 1].at} °C ran {one.real_hours:.0f} h "
            f"instead of {one.planned_hours:.0f} h"
            for one in left
        ]
        return f"{lead}; {'; '.join(parts)}"
    if not known:
        return f"{lead}; no step's length is on record"
    if len(known) < done * len(condition.steps):
        return f"{lead}, all steps on record within range, others not recorded"
    return f"{lead}, all steps within range"
