"""Entries folded, in their order, into the record of a study."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from stability.model import content
from stability.model.age import T0
from stability.model.entry import Entry, Head
from stability.model.moment import Moment, moment_at, parse_moment, parse_utc
from stability.model.observation import (
    DayFacts,
    Invalidation,
    Missed,
    Note,
    Observation,
    Placing,
    Reading,
    Retirement,
    Stop,
)
from stability.model.protocol import Protocol
from stability.model.study import Sample, Study
from stability.model.study_record import Opening, StudyRecord


def entries_as_of(
    entries: Iterable[Entry], day: date, zone: ZoneInfo
) -> tuple[Entry, ...]:
    """Return the longest run of entries stored by the end of a day.

    Parameters
    ----------
    entries
        All entries of one subject, from position 1.
    day
        The as-of date.
    zone
        The study's time zone, in which the day ends.
    """
    run: list[Entry] = []
    for entry in entries:
        if parse_utc(entry.entered).astimezone(zone).date() > day:
            break
        run.append(entry)
    return tuple(run)


def fold(entries: Sequence[Entry], study: Study, protocol: Protocol) -> StudyRecord:
    """Return what the entries of one study tell together.

    Parameters
    ----------
    entries
        From the opening on, in order, at least one.
    study, protocol
        As read from the texts that the opening holds.

    Raises
    ------
    ValueError
        If the first entry is no opening, or a kind is not known.
    """
    if not entries:
        raise ValueError("a study begins with its opening")
    folding = Folding(entries[0], study, protocol)
    for entry in entries[1:]:
        folding.add(entry)
    return folding.record()


class Folding:
    """A record in the making, for callers that need it between two entries."""

    def __init__(self, opening: Entry, study: Study, protocol: Protocol) -> None:
        if opening.kind != content.OPENED:
            raise ValueError("a study begins with its opening")
        zone = ZoneInfo(opening.content["time_zone"])
        self._study = study
        self._protocol = protocol
        self._opening = _opening(opening, zone)
        self._last = opening
        self._state = _State(zone, {one.code: one for one in _samples(opening)})

    def add(self, entry: Entry) -> None:
        """Take in the next entry.

        Raises
        ------
        ValueError
            If its kind is not known.
        """
        apply = _APPLY.get(entry.kind)
        if apply is None:
            raise ValueError(f"entry {entry.position} is of unknown kind {entry.kind}")
        apply(self._state, entry)
        self._last = entry

    def observation(self, position: int) -> Observation | None:
        """Return the observation at a position; None where there is none."""
        return self._state.observations.get(position)

    def record(self) -> StudyRecord:
        """Return what the entries taken in so far tell together."""
        state = self._state
        return StudyRecord(
            study=self._study,
            protocol=self._protocol,
            zone=state.zone,
            opening=self._opening,
            head=Head(self._last.subject, self._last.position, self._last.digest),
            samples=dict(state.samples),
            observations=tuple(state.observations.values()),
            placings=tuple(state.placings),
            retirements=tuple(state.retirements),
            missed=tuple(state.missed),
            stops=tuple(state.stops),
            notes=tuple(state.notes),
            days=tuple(state.days),
        )


@dataclass(slots=True)
class _State:
    """What has been folded so far."""

    zone: ZoneInfo
    samples: dict[str, Sample]
    observations: dict[int, Observation] = field(default_factory=dict)
    placings: list[Placing] = field(default_factory=list)
    retirements: list[Retirement] = field(default_factory=list)
    missed: list[Missed] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    days: list[DayFacts] = field(default_factory=list)

    def done(self, entry: Entry) -> Moment:
        """Return when it happened."""
        moment = parse_moment(entry.done, self.zone)
        if moment is None:
            raise ValueError(f"entry {entry.position} holds no time: {entry.done}")
        return moment


def _opening(entry: Entry, zone: ZoneInfo) -> Opening:
    entered = parse_utc(entry.entered)
    done = parse_moment(entry.done, zone) or moment_at(entered, zone)
    return Opening(
        fingerprint=entry.digest,
        protocol_digest=entry.content["protocol_digest"],
        person=entry.person,
        done=done,
        entered=entered,
    )


def _samples(entry: Entry) -> list[Sample]:
    return [
        Sample(
            code=one["code"],
            batch=one["batch"],
            pack=one["pack"],
            condition=one["condition"],
            kind=one["kind"],
            use=one["use"],
            checks=tuple(one["checks"]),
            twin_of=one["twin_of"],
            open_at=one["open_at"],
            keep_until=_date(one["keep_until"]),
        )
        for one in entry.content["samples"]
    ]


def _date(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _observation(state: _State, entry: Entry, held: Any) -> Observation:
    return Observation(
        position=entry.position,
        sample=held["sample"],
        attribute=held["attribute"],
        check=held["check"],
        readings=tuple(
            Reading(one["value"], one["qualifier"], one["observer"])
            for one in held["readings"]
        ),
        done=state.done(entry),
        entered=parse_utc(entry.entered),
        person=entry.person,
        unit=held["unit"],
        part=held["part"],
        settings=held["settings"],
        observers=tuple(held["observers"]),
        control=held["control"],
        blind=held["blind"],
        extra=held["extra"],
        not_measured=held["not_measured"],
        repeats=held["repeats"],
        because=held["because"],
    )


def _observed(state: _State, entry: Entry) -> None:
    state.observations[entry.position] = _observation(state, entry, entry.content)


def _corrected(state: _State, entry: Entry) -> None:
    old = state.observations[entry.content["refers_to"]]
    new = _observation(state, entry, entry.content["observation"])
    state.observations[entry.position] = replace(
        new,
        corrects=old.position,
        because=entry.content["because"],
        repeats=old.repeats,
    )
    state.observations[old.position] = replace(old, corrected_by=entry.position)


def _invalidated(state: _State, entry: Entry) -> None:
    old = state.observations[entry.content["refers_to"]]
    cause = Invalidation(
        entry.position, entry.content["because"], entry.person, state.done(entry)
    )
    state.observations[old.position] = replace(old, invalidated=cause)


def _placed(state: _State, entry: Entry) -> None:
    held = entry.content
    state.placings.append(
        Placing(
            position=entry.position,
            sample=held["sample"],
            condition=held["condition"],
            place=held["place"],
            done=state.done(entry),
            person=entry.person,
            how=held["how"],
            cycle=held["cycle"],
            step=held["step"],
            replaces=held["replaces"],
            swapped_with=held["swapped_with"],
            because=held["because"],
        )
    )
    if held["replaces"] is not None:
        _take_over(state, held["sample"], held["replaces"])


def _take_over(state: _State, code: str, replaced: str) -> None:
    """Give a replacement the part of what it replaces; its age is its own."""
    old = state.samples[replaced]
    state.samples[code] = replace(
        state.samples[code],
        condition=old.condition,
        use=old.use,
        checks=tuple(check for check in old.checks if check != T0),
        twin_of=old.twin_of,
        open_at=old.open_at,
    )


def _retired(state: _State, entry: Entry) -> None:
    held = entry.content
    state.retirements.append(
        Retirement(
            position=entry.position,
            sample=held["sample"],
            reason=held["reason"],
            because=held["because"],
            done=state.done(entry),
            person=entry.person,
        )
    )


def _missed(state: _State, entry: Entry) -> None:
    held = entry.content
    state.missed.append(
        Missed(
            position=entry.position,
            check=held["check"],
            samples=tuple(held["samples"]),
            because=held["because"],
            done=state.done(entry),
            person=entry.person,
        )
    )


def _stopped(state: _State, entry: Entry) -> None:
    state.stops.append(
        Stop(
            position=entry.position,
            scope=entry.content["scope"],
            because=entry.content["because"],
            done=state.done(entry),
            person=entry.person,
        )
    )


def _noted(state: _State, entry: Entry) -> None:
    held = entry.content
    state.notes.append(
        Note(
            position=entry.position,
            text=held["text"],
            refers_to=held["refers_to"],
            sample=held["sample"],
            done=state.done(entry),
            person=entry.person,
        )
    )


def _day(state: _State, entry: Entry) -> None:
    held = entry.content
    state.days.append(
        DayFacts(
            position=entry.position,
            day=date.fromisoformat(held["day"]),
            account=held["account"],
            person=entry.person,
            observers=tuple(held["observers"]),
            settings=held["settings"],
            control=held["control"],
            blind=held["blind"],
        )
    )


def _received(_state: _State, _entry: Entry) -> None:
    """Leave the record as it is: a receipt tells how the entries came in."""


_APPLY: dict[str, Callable[[_State, Entry], None]] = {
    content.OBSERVED: _observed,
    content.CORRECTED: _corrected,
    content.INVALIDATED: _invalidated,
    content.PLACED: _placed,
    content.RETIRED: _retired,
    content.MISSED: _missed,
    content.STOPPED: _stopped,
    content.NOTED: _noted,
    content.DAY: _day,
    content.RECEIVED: _received,
}
