"""A study as its entries tell it up to a given day: the input of every evaluation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from stability.model.certificate import Certificate
from stability.model.entry import Head
from stability.model.follow_up import Answer
from stability.model.moment import Moment
from stability.model.observation import (
    DayFacts,
    Missed,
    Note,
    Observation,
    Placing,
    Retirement,
    Stop,
)
from stability.model.photograph import Photograph
from stability.model.plan_acts import Amendment, Lodging, TakenOver
from stability.model.protocol import Protocol
from stability.model.study import Sample, Study


@dataclass(frozen=True, slots=True)
class Opening:
    """How and when the study was opened; its digest is the plan fingerprint."""

    #: Plan fingerprint: digest of the opening entry.
    fingerprint: str
    #: SHA-256 of the protocol's text.
    protocol_digest: str
    #: Who opened it.
    person: str
    #: When it was opened.
    done: Moment
    #: When the opening was stored (UTC).
    entered: datetime


@dataclass(frozen=True, slots=True)
class StudyRecord:
    """All that is recorded of one study, in the order of the entries."""

    #: The study file.
    study: Study
    #: The protocol that holds now: frozen at the opening, changed by amendments only.
    protocol: Protocol
    #: The study's time zone.
    zone: ZoneInfo
    #: How it was opened.
    opening: Opening
    #: The last entry taken into account.
    head: Head
    #: Samples by code, a replacement with the part that it took over.
    samples: Mapping[str, Sample]
    #: Every observation, superseded and set-aside ones among them.
    observations: tuple[Observation, ...] = ()
    #: Every placing.
    placings: tuple[Placing, ...] = ()
    #: Every retirement.
    retirements: tuple[Retirement, ...] = ()
    #: Every check recorded as missed.
    missed: tuple[Missed, ...] = ()
    #: Every stop.
    stops: tuple[Stop, ...] = ()
    #: Every note.
    notes: tuple[Note, ...] = ()
    #: Every set of day facts.
    days: tuple[DayFacts, ...] = ()
    #: Every lodging of the plan record with somebody outside.
    lodgings: tuple[Lodging, ...] = ()
    #: That the study was taken over from older notes; None where it was not.
    taken_over: TakenOver | None = None
    #: Every amendment of the plan, in order.
    amendments: tuple[Amendment, ...] = ()
    #: Every certificate of a laboratory, those set aside among them.
    certificates: tuple[Certificate, ...] = ()
    #: Every photograph, in order.
    photographs: tuple[Photograph, ...] = ()
    #: Every answer of a follow-up, in order.
    answers: tuple[Answer, ...] = ()
    #: Sample -> its placings in order; worked out once, because plans ask for them
    #: sample by sample.
    _placed: Mapping[str, tuple[Placing, ...]] = field(
        init=False, repr=False, compare=False
    )
    #: Sample -> its retirement; worked out once.
    _retired: Mapping[str, Retirement] = field(init=False, repr=False, compare=False)
    #: Replaced sample -> the sample that took its part; worked out once.
    _replaced: Mapping[str, str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Look up placings and retirements once for all samples."""
        first_retired = {one.sample: one for one in reversed(self.retirements)}
        replaced = {
            one.replaces: one.sample
            for one in reversed(self.placings)
            if one.replaces is not None
        }
        object.__setattr__(self, "_placed", _by_sample(self.placings))
        object.__setattr__(self, "_retired", first_retired)
        object.__setattr__(self, "_replaced", replaced)

    def protocol_on(self, seen: Observation) -> Protocol:
        """Return the protocol that held when an observation was made.

        What was read before an amendment keeps the limits of its day, also where it
        is entered or corrected later.
        """
        held = [
            one.protocol
            for one in self.amendments
            if one.position < seen.position and one.done <= seen.done
        ]
        if held:
            return held[-1]
        return self.amendments[0].protocol_before if self.amendments else self.protocol

    def standing(self) -> tuple[Observation, ...]:
        """Return the observations that take part."""
        return tuple(seen for seen in self.observations if seen.stands)

    def placings_of(self, sample: str) -> tuple[Placing, ...]:
        """Return the placings of one sample in order."""
        return self._placed.get(sample, ())

    def first_placing(self, sample: str) -> Placing | None:
        """Return the placing from which the sample's age counts; None before it."""
        placings = self.placings_of(sample)
        return placings[0] if placings else None

    def retirement_of(self, sample: str) -> Retirement | None:
        """Return the retirement of a sample; None while it is in the study."""
        return self._retired.get(sample)

    def replacement_of(self, sample: str) -> str | None:
        """Return the code of the sample that replaced this one; None if none did."""
        return self._replaced.get(sample)

    def stop_of(self, sample: Sample) -> Stop | None:
        """Return the first stop whose scope takes this sample in."""
        return next((stop for stop in self.stops if covers(stop, sample)), None)


def _by_sample(placings: Iterable[Placing]) -> dict[str, tuple[Placing, ...]]:
    grouped: dict[str, list[Placing]] = {}
    for one in placings:
        grouped.setdefault(one.sample, []).append(one)
    return {code: tuple(ones) for code, ones in grouped.items()}


def covers(stop: Stop, sample: Sample) -> bool:
    """Say whether a stop ends this sample."""
    facts = {
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": sample.condition,
        "sample": sample.code,
    }
    return all(facts.get(key) == value for key, value in stop.scope.items())
