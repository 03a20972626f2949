"""What is done to a plan as a whole: lodged, taken over from notes, amended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stability.model.moment import Moment
from stability.model.protocol import Protocol
from stability.model.study import Study


@dataclass(frozen=True, slots=True)
class Lodging:
    """The plan record handed to somebody outside, who can witness what it said."""

    #: Position of its entry.
    position: int
    #: Who received it.
    receiver: str
    #: Plan fingerprint on the record that was handed over.
    fingerprint: str
    #: What else was said; None where nothing was.
    note: str | None
    #: When it was handed over.
    done: Moment
    #: When that was stored (UTC).
    entered: datetime
    #: Who handed it over.
    person: str


@dataclass(frozen=True, slots=True)
class TakenOver:
    """A study that began elsewhere, such as in a notebook, and goes on here."""

    #: Position of its entry.
    position: int
    #: Where it was kept before, and why it is taken over.
    because: str
    #: When it was taken over.
    done: Moment
    #: Who took it over.
    person: str


@dataclass(frozen=True, slots=True)
class Amendment:
    """A plan changed after the opening; what was read before keeps its limits."""

    #: Position of its entry.
    position: int
    #: Why.
    because: str
    #: What changed, each in words: where, from what, to what.
    changes: tuple[str, ...]
    #: The protocol that held until then.
    protocol_before: Protocol
    #: The protocol that holds from then on.
    protocol: Protocol
    #: The study as its file said until then.
    study_before: Study
    #: The study as its file says from then on.
    study: Study
    #: Digest of its entry: the plan fingerprint from then on.
    fingerprint: str
    #: From when it holds.
    done: Moment
    #: When it was stored (UTC).
    entered: datetime
    #: Who amended.
    person: str
