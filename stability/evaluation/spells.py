"""How long each sample stood in which storage place, and what was meant there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from stability.model.age import T0
from stability.model.ageing import temperature_span
from stability.model.moment import Moment
from stability.model.observation import Placing
from stability.model.place import PlaceRecord, Range, midnight, time_known
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.model.surroundings import Surroundings


@dataclass(frozen=True, slots=True)
class Spell:
    """Time that one sample stood in one place, before anything is looked up."""

    #: Sample code.
    sample: str
    #: Condition.
    condition: str
    #: Place as named; "" where none is.
    named: str
    #: Whole name of the place; None where nothing is known of it.
    code: str | None
    #: What was meant [°C]; None where no temperature is part of it.
    meant: Range | None
    #: From when.
    start: datetime
    #: Until when.
    end: datetime
    #: Whether it stands there still.
    lasts: bool


def spells_of(
    record: StudyRecord, as_of: date, surroundings: Surroundings
) -> Iterator[Spell]:
    """Yield how long each sample stood in which place.

    Parameters
    ----------
    record
        The study.
    as_of
        The day; what lasts, lasts to its end.
    surroundings
        The places that the study names.
    """
    last = midnight(as_of + timedelta(days=1), record.zone)
    read = _last_read(record)
    for code, sample in record.samples.items():
        left = _left(record, sample, read.get(code, {}))
        for placing, moved in pairwise([*record.placings_of(code), None]):
            if placing is None or placing.condition is None:
                continue
            ends = [moved.done if moved else None, left]
            known = [time_known(one, record.zone) for one in ends if one is not None]
            start = time_known(placing.done, record.zone)
            end = min([*known, last])
            if start >= end:
                continue
            named = placing.place or record.study.places.get(placing.condition) or ""
            meant = surroundings.placed(named) if named else ()
            yield Spell(
                sample=code,
                condition=placing.condition,
                named=named,
                code=meant[0].code if len(meant) == 1 else None,
                meant=_meant(record, placing, meant),
                start=start,
                end=end,
                lasts=end == last,
            )


def _last_read(record: StudyRecord) -> dict[str, dict[str | None, Moment]]:
    """Return sample -> check -> when it was last read, or recorded as missed."""
    found: dict[str, dict[str | None, Moment]] = {}
    for seen in record.standing():
        checks = found.setdefault(seen.sample, {})
        checks[seen.check] = max(seen.done, checks.get(seen.check, seen.done))
    for one in record.missed:
        for code in one.samples:
            found.setdefault(code, {}).setdefault(one.check, one.done)
    return found


def _left(
    record: StudyRecord, sample: Sample, read: Mapping[str | None, Moment]
) -> Moment | None:
    """Return when a sample left, was stopped, or had its last check; None before.

    What a place does after the last check of a sample explains nothing that was read.
    """
    retired, stop = record.retirement_of(sample.code), record.stop_of(sample)
    ends = [one.done for one in (retired, stop) if one is not None]
    planned = [check for check in sample.checks if check != T0]
    if planned and all(check in read for check in planned):
        ends.append(max(read.values()))
    return min(ends, default=None)


def _meant(
    record: StudyRecord, placing: Placing, places: Sequence[PlaceRecord]
) -> Range | None:
    """Return what the protocol means there; where it says nothing, what the place is.

    A step of a cycle has a temperature of its own.
    """
    condition = record.protocol.conditions[placing.condition or ""]
    if condition.steps and placing.step is not None:
        step = condition.steps[placing.step - 1]
        return step.at - step.tolerance, step.at + step.tolerance
    span = None if condition.steps else temperature_span(condition)
    if span is not None and span[0] < span[1]:
        return span
    return places[0].meant if len(places) == 1 else None
