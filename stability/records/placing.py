"""Samples put into their condition, moved, cycled, swapped, replaced, taken out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from stability.errors.samples import PlacingError, ReplacementError
from stability.model import content
from stability.model.age import T0
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.observation import Placing
from stability.model.schedule import checks_of, next_step
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.guards import (
    not_before_made,
    reasoned,
    resolve_sample,
    still_there,
)
from stability.records.names import find_name

_BOTH_PLACED = "only two samples that are placed can be swapped"
_STEP = re.compile(r"([1-9][0-9]?)/([1-9][0-9]?)")


@dataclass(frozen=True, slots=True)
class PlacingWish:
    """What is to be done with one sample, as typed."""

    #: Condition; None for the sample's own, or the one it replaces.
    to: str | None = None
    #: Storage place; None for the one that the study names for the condition.
    place: str | None = None
    #: "next", or cycle and step as "2/1"; None outside a cycled condition.
    step: str | None = None
    #: Sample that goes where this one was; None if none does.
    swap_with: str | None = None
    #: Sample whose part it takes; None if it takes none.
    replaces: str | None = None
    #: Whether it is taken out of its condition.
    out: bool = False
    #: Why; None where no reason is due.
    because: str | None = None


def place(
    record: StudyRecord, typed: str, wish: PlacingWish, done: Moment
) -> tuple[Content, ...]:
    """Return the content of each placing that the wish amounts to: one, or two swapped.

    Raises
    ------
    StabilityError
        If the sample cannot be placed so.
    """
    sample = _ready(record, typed, done)
    if wish.swap_with is not None:
        return _swapped(record, sample, wish, done)
    if wish.out:
        return (_taken_out(record, sample, wish),)
    if wish.replaces is not None:
        return (_replacing(record, sample, wish),)
    return (_placed(record, sample, wish),)


def swap_one(
    record: StudyRecord, typed: str, wish: PlacingWish, done: Moment
) -> Content:
    """Return the content of one half of a swap, told by a row of its own.

    Raises
    ------
    StabilityError
        If the sample cannot be placed so.
    """
    sample = _ready(record, typed, done)
    other = resolve_sample(record, wish.swap_with or "")
    if _last(record, sample) is None or _last(record, other) is None:
        raise PlacingError(sample.code, _BOTH_PLACED)
    if wish.to is None:
        raise PlacingError(sample.code, "say into which condition it goes")
    condition = _condition(record, sample, wish.to)
    cycle, step = (
        _typed_step(record, sample, condition, wish.step) if wish.step else (None, None)
    )
    return content.placed(
        sample.code,
        condition,
        "swapped",
        place=_place_of(record, condition, wish),
        cycle=cycle,
        step=step,
        swapped_with=other.code,
        because=reasoned(wish.because, f"Swapping {sample.code} with {other.code}"),
    )


def meant_by_condition(
    record: StudyRecord, condition: str, batch: str | None, *, inside: bool
) -> tuple[str, ...]:
    """Return the samples in a condition, or those still to be placed there.

    Parameters
    ----------
    record
        The study.
    condition
        As typed.
    batch
        As typed; None for every batch.
    inside
        True for those that are in the condition, False for those not placed yet.

    Raises
    ------
    StabilityError
        If a name is not known, or no sample is meant.
    """
    name = find_name(condition, record.protocol.conditions, "condition")
    of = find_name(batch, record.study.batches, "batch") if batch else None
    found = []
    for sample in record.samples.values():
        if of not in {None, sample.batch} or record.retirement_of(sample.code):
            continue
        last = _last(record, sample)
        there = last is not None and last.condition == name
        if there if inside else (last is None and sample.condition == name):
            found.append(sample.code)
    if not found:
        waits = "is in it" if inside else "waits to be placed there"
        raise PlacingError(name, f"no sample {waits}")
    return tuple(found)


def not_read_at_t0(record: StudyRecord, typed: Sequence[str]) -> tuple[str, ...]:
    """Return what is to be known before samples go in for the first time, unread.

    A first weight, and a first look, cannot be made up once heat or cold were at it.

    Parameters
    ----------
    record
        The study.
    typed
        Samples, as typed.
    """
    seen = {one.sample for one in record.observations if one.check == T0}
    unread = [
        sample.code
        for sample in (resolve_sample(record, one) for one in typed)
        if _last(record, sample) is None
        and sample.code not in seen
        and T0 in checks_of(record.study, record.protocol, sample)
    ]
    if not unread:
        return ()
    told = (
        f"T0 is not logged of {', '.join(unread)}: weigh, and read what T0 asks for, "
        "before the condition changes it; what was done already, log with its day"
    )
    return (told,)


def _ready(record: StudyRecord, typed: str, done: Moment) -> Sample:
    """Return a sample that may be placed at that time."""
    sample = resolve_sample(record, typed)
    not_before_made(record, sample, done)
    still_there(record, sample, done)
    last = _last(record, sample)
    if last is not None and done < last.done:
        since = last.done.for_people()
        reason = f"it was placed on {since}, later than {done.for_people()}"
        raise PlacingError(sample.code, reason)
    return sample


def _last(record: StudyRecord, sample: Sample) -> Placing | None:
    placings = record.placings_of(sample.code)
    return placings[-1] if placings else None


def _condition(record: StudyRecord, sample: Sample, typed: str | None) -> str:
    if typed is not None:
        return find_name(typed, record.protocol.conditions, "condition")
    if sample.condition is None:
        reason = f"it is meant for no condition ({sample.use}); name one with --to"
        raise PlacingError(sample.code, reason)
    return sample.condition


def _place_of(record: StudyRecord, condition: str, wish: PlacingWish) -> str | None:
    return wish.place or record.study.places.get(condition)


def _placed(record: StudyRecord, sample: Sample, wish: PlacingWish) -> Content:
    last = _last(record, sample)
    if last is not None and wish.step is not None:
        return _stepped(record, sample, last, wish)
    condition = _condition(record, sample, wish.to)
    here = last.condition if last is not None else None
    place = _place_of(record, condition, wish)
    if last is not None and here == condition and place == last.place:
        since = last.done.for_people()
        hint = "; name the step with --step" if last.cycle is not None else ""
        raise PlacingError(sample.code, f"it is in {condition} since {since}{hint}")
    how = "in" if here is None else "moved"
    if last is not None:
        reasoned(wish.because, f"Moving {sample.code}")
    elif condition != sample.condition:
        reasoned(wish.because, f"Placing {sample.code} in {condition}")
    cycle, step = _begin(record, sample, condition, wish)
    return content.placed(
        sample.code,
        condition,
        how,
        place=place,
        cycle=cycle,
        step=step,
        because=wish.because,
    )


def _begin(
    record: StudyRecord, sample: Sample, condition: str, wish: PlacingWish
) -> tuple[int | None, int | None]:
    """Return the first cycle and step of a cycled condition."""
    if not record.protocol.conditions[condition].steps:
        if wish.step is not None:
            raise PlacingError(sample.code, f"{condition} has no cycles")
        return None, None
    if wish.step not in {None, "next", "1/1"}:
        raise PlacingError(sample.code, f"{condition} begins with step 1/1")
    return 1, 1


def _stepped(
    record: StudyRecord, sample: Sample, last: Placing, wish: PlacingWish
) -> Content:
    condition = last.condition
    if condition is None or not record.protocol.conditions[condition].steps:
        raise PlacingError(sample.code, "it is in no cycled condition")
    if wish.to is not None and _condition(record, sample, wish.to) != condition:
        raise PlacingError(sample.code, f"it is in {condition}")
    after = next_step(record, condition, last.cycle, last.step)
    if wish.step == "next":
        if after is None:
            reason = f"all cycles in {condition} are done; take it out with --take-out"
            raise PlacingError(sample.code, reason)
        cycle, step = after
    else:
        cycle, step = _typed_step(record, sample, condition, wish.step or "")
        if (cycle, step) != after:
            meant = f"{after[0]}/{after[1]}" if after else "none"
            reasoned(
                wish.because, f"Step {cycle}/{step} of {sample.code} (next is {meant})"
            )
    return content.placed(
        sample.code,
        condition,
        "step",
        place=_place_of(record, condition, wish),
        cycle=cycle,
        step=step,
        because=wish.because,
    )


def _typed_step(
    record: StudyRecord, sample: Sample, condition: str, typed: str
) -> tuple[int, int]:
    rule = record.protocol.conditions[condition]
    match = _STEP.fullmatch(typed)
    cycle, step = (int(match[1]), int(match[2])) if match else (0, 0)
    if not (1 <= cycle <= rule.cycles and 1 <= step <= len(rule.steps)):
        reason = (
            f"{typed!r} is no step of {condition}; write next, or cycle/step from 1/1 "
            f"to {rule.cycles}/{len(rule.steps)}"
        )
        raise PlacingError(sample.code, reason)
    return cycle, step


def _taken_out(record: StudyRecord, sample: Sample, wish: PlacingWish) -> Content:
    last = _last(record, sample)
    if last is None or last.condition is None:
        raise PlacingError(sample.code, "it is in no condition")
    cycled = last.cycle is not None
    finished = cycled and (
        next_step(record, last.condition, last.cycle, last.step) is None
    )
    if not finished:
        reasoned(wish.because, f"Taking {sample.code} out of {last.condition}")
    return content.placed(
        sample.code, None, "out", place=wish.place, because=wish.because
    )


def _swapped(
    record: StudyRecord, sample: Sample, wish: PlacingWish, done: Moment
) -> tuple[Content, Content]:
    other = resolve_sample(record, wish.swap_with or "")
    still_there(record, other, done)
    here, there = _last(record, sample), _last(record, other)
    if here is None or there is None or other.code == sample.code:
        raise PlacingError(sample.code, _BOTH_PLACED)
    if wish.to is not None or wish.step is not None or wish.out:
        raise PlacingError(sample.code, "a swap takes each to where the other was")
    if done < there.done:
        reason = f"{other.code} was placed later, on {there.done.for_people()}"
        raise PlacingError(sample.code, reason)
    because = reasoned(wish.because, f"Swapping {sample.code} with {other.code}")

    def into(code: str, target: Placing, partner: str) -> Content:
        return content.placed(
            code,
            target.condition,
            "swapped",
            place=target.place,
            cycle=target.cycle,
            step=target.step,
            swapped_with=partner,
            because=because,
        )

    return (
        into(sample.code, there, other.code),
        into(other.code, here, sample.code),
    )


def _replacing(record: StudyRecord, sample: Sample, wish: PlacingWish) -> Content:
    old = resolve_sample(record, wish.replaces or "")
    reason = _no_replacement(record, sample, old)
    if reason is not None:
        raise ReplacementError(sample.code, old.code, reason)
    condition = _condition(record, old, wish.to)
    if condition != old.condition:
        raise ReplacementError(
            sample.code, old.code, f"that one belongs to {old.condition}"
        )
    cycle, step = _begin(record, sample, condition, wish)
    return content.placed(
        sample.code,
        condition,
        "in",
        place=_place_of(record, condition, wish),
        cycle=cycle,
        step=step,
        replaces=old.code,
        because=wish.because,
    )


def _no_replacement(record: StudyRecord, sample: Sample, old: Sample) -> str | None:
    """Return what keeps a sample from taking the part of another; None if nothing."""
    for what, mine, theirs in _identity(sample, old):
        if mine != theirs:
            return f"its {what} is {mine}, not {theirs}"
    if record.retirement_of(old.code) is None:
        return f"{old.code} is still in the study; retire it first"
    before = record.replacement_of(old.code)
    if before is not None:
        return f"{before} replaced it already"
    if _last(record, sample) is not None:
        return "it is placed already"
    return None


def _identity(sample: Sample, old: Sample) -> Sequence[tuple[str, object, object]]:
    return (
        ("batch", sample.batch, old.batch),
        ("pack", sample.pack, old.pack),
        ("kind", sample.kind, old.kind),
    )
