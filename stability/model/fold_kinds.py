"""What each kind of entry adds to a study's record."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from stability.model import content
from stability.model.age import T0
from stability.model.certificate import Certificate, certificate_of
from stability.model.entry import Entry
from stability.model.follow_up import Answer, answer_of
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
from stability.model.photograph import Photograph, photograph_of
from stability.model.plan_acts import Amendment, Lodging, TakenOver
from stability.model.protocol import Protocol
from stability.model.study import Sample, Study
from stability.model.study_record import Opening

#: Reads study and protocol from the texts of an amendment and the name of the protocol.
ReadTexts = Callable[[str, str, str], tuple[Study, Protocol]]


class State:
    """What has been folded so far; it grows entry by entry."""

    def __init__(
        self,
        zone: ZoneInfo,
        study: Study,
        protocol: Protocol,
        texts: tuple[str, str, str],
        *,
        read: ReadTexts | None,
        samples: Sequence[Sample],
    ) -> None:
        #: The study's time zone.
        self.zone = zone
        #: Study and protocol that hold now.
        self.study, self.protocol = study, protocol
        #: Their texts, and the name of the protocol.
        self.texts = texts
        #: Reads the texts of an amendment; None for a study that has none.
        self.read = read
        self.samples = {one.code: one for one in samples}
        self.observations: dict[int, Observation] = {}
        self.placings: list[Placing] = []
        self.retirements: list[Retirement] = []
        self.missed: list[Missed] = []
        self.stops: list[Stop] = []
        self.notes: list[Note] = []
        self.days: list[DayFacts] = []
        self.lodgings: list[Lodging] = []
        self.taken_over: TakenOver | None = None
        self.amendments: list[Amendment] = []
        self.certificates: dict[int, Certificate] = {}
        self.photographs: dict[int, Photograph] = {}
        self.answers: list[Answer] = []

    def done(self, entry: Entry) -> Moment:
        """Return when it happened."""
        moment = parse_moment(entry.done, self.zone)
        if moment is None:
            raise ValueError(f"entry {entry.position} holds no time: {entry.done}")
        return moment


def opening_of(entry: Entry, zone: ZoneInfo) -> Opening:
    """Return how and when a study was opened."""
    entered = parse_utc(entry.entered)
    done = parse_moment(entry.done, zone) or moment_at(entered, zone)
    return Opening(
        fingerprint=entry.digest,
        protocol_digest=entry.content["protocol_digest"],
        person=entry.person,
        done=done,
        entered=entered,
    )


def samples_of(rows: Sequence[Mapping[str, Any]]) -> list[Sample]:
    """Return samples as an entry holds them."""
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
        for one in rows
    ]


def _date(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


#: One reading; the numbers and words of a study come again and again.
_reading = lru_cache(maxsize=4096)(Reading)


def _observation(state: State, entry: Entry, held: Any) -> Observation:
    return Observation(
        position=entry.position,
        sample=held["sample"],
        attribute=held["attribute"],
        check=held["check"],
        readings=tuple(
            [
                _reading(one["value"], one["qualifier"], one["observer"])
                for one in held["readings"]
            ]
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


def _observed(state: State, entry: Entry) -> None:
    state.observations[entry.position] = _observation(state, entry, entry.content)


def _corrected(state: State, entry: Entry) -> None:
    old = state.observations[entry.content["refers_to"]]
    new = _observation(state, entry, entry.content["observation"])
    state.observations[entry.position] = replace(
        new,
        corrects=old.position,
        because=entry.content["because"],
        repeats=old.repeats,
    )
    state.observations[old.position] = replace(old, corrected_by=entry.position)


def _cause(state: State, entry: Entry) -> tuple[int, Invalidation]:
    """Return what is set aside and why."""
    because, done = entry.content["because"], state.done(entry)
    cause = Invalidation(entry.position, because, entry.person, done)
    return entry.content["refers_to"], cause


def _invalidated(state: State, entry: Entry) -> None:
    position, cause = _cause(state, entry)
    if position in state.certificates:
        certificate = replace(state.certificates[position], invalidated=cause)
        state.certificates[position] = certificate
        return
    old = state.observations[position]
    state.observations[old.position] = replace(old, invalidated=cause)


def _photograph_invalidated(state: State, entry: Entry) -> None:
    position, cause = _cause(state, entry)
    shown = replace(state.photographs[position], invalidated=cause)
    state.photographs[position] = shown


def _placed(state: State, entry: Entry) -> None:
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


def _take_over(state: State, code: str, replaced: str) -> None:
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


def _retired(state: State, entry: Entry) -> None:
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


def _missed(state: State, entry: Entry) -> None:
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


def _stopped(state: State, entry: Entry) -> None:
    state.stops.append(
        Stop(
            position=entry.position,
            scope=entry.content["scope"],
            because=entry.content["because"],
            done=state.done(entry),
            person=entry.person,
        )
    )


def _noted(state: State, entry: Entry) -> None:
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


def _day(state: State, entry: Entry) -> None:
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


def _lodged(state: State, entry: Entry) -> None:
    held = entry.content
    state.lodgings.append(
        Lodging(
            position=entry.position,
            receiver=held["receiver"],
            fingerprint=held["fingerprint"],
            note=held["note"],
            done=state.done(entry),
            entered=parse_utc(entry.entered),
            person=entry.person,
        )
    )


def _taken_over(state: State, entry: Entry) -> None:
    state.taken_over = TakenOver(
        entry.position, entry.content["because"], state.done(entry), entry.person
    )


def _amended(state: State, entry: Entry) -> None:
    if state.read is None:
        raise ValueError("an amended study needs a reader of its texts")
    held = entry.content
    before, name = (state.study, state.protocol), state.texts[2]
    study_text = held["study_text"] or state.texts[0]
    protocol_text = held["protocol_text"] or state.texts[1]
    state.texts = study_text, protocol_text, name
    study, state.protocol = state.read(study_text, protocol_text, name)
    state.study = replace(study, code=state.study.code, time_zone=state.study.time_zone)
    state.samples |= {one.code: one for one in samples_of(held["samples"])}
    state.amendments.append(
        Amendment(
            position=entry.position,
            because=held["because"],
            changes=tuple(held["changes"]),
            protocol_before=before[1],
            protocol=state.protocol,
            study_before=before[0],
            study=state.study,
            fingerprint=entry.digest,
            done=state.done(entry),
            entered=parse_utc(entry.entered),
            person=entry.person,
        )
    )


def _certified(state: State, entry: Entry) -> None:
    state.certificates[entry.position] = certificate_of(
        entry.content,
        position=entry.position,
        done=state.done(entry),
        entered=parse_utc(entry.entered),
        person=entry.person,
    )


def _photographed(state: State, entry: Entry) -> None:
    done = state.done(entry)
    state.photographs[entry.position] = photograph_of(
        entry.content, position=entry.position, done=done, person=entry.person
    )


def _answered(state: State, entry: Entry) -> None:
    done = state.done(entry)
    state.answers.append(
        answer_of(
            entry.content, position=entry.position, done=done, person=entry.person
        )
    )


def _received(_state: State, _entry: Entry) -> None:
    """Leave the record as it is: a receipt tells how the entries came in."""


#: Kind -> what it adds.
APPLY: dict[str, Callable[[State, Entry], None]] = {
    content.OBSERVED: _observed,
    content.CORRECTED: _corrected,
    content.INVALIDATED: _invalidated,
    content.INVALIDATED_PHOTOGRAPH: _photograph_invalidated,
    content.PLACED: _placed,
    content.RETIRED: _retired,
    content.MISSED: _missed,
    content.STOPPED: _stopped,
    content.NOTED: _noted,
    content.DAY: _day,
    content.RECEIVED: _received,
    content.RECEIVED_FILE: _received,
    content.LODGED: _lodged,
    content.TAKEN_OVER: _taken_over,
    content.AMENDED: _amended,
    content.CERTIFIED: _certified,
    content.PHOTOGRAPHED: _photographed,
    content.ANSWERED: _answered,
}
