"""What amendments of the plan would change in what was read."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.judgement import Mark
from stability.model.moment import Moment


@dataclass(frozen=True, slots=True)
class Rejudged:
    """An observation that limits other than those of its day judge otherwise."""

    #: Position of its entry.
    position: int
    #: Sample code.
    sample: str
    #: Attribute.
    attribute: str
    #: Check; None for an extra observation.
    check: str | None
    #: What was read.
    value_text: str
    #: Mark by the limit of its day.
    mark: Mark
    #: The limit of its day.
    limit_text: str
    #: Mark by the other limit.
    mark_otherwise: Mark
    #: The other limit.
    limit_otherwise: str


@dataclass(frozen=True, slots=True)
class AmendmentFinding:
    """One amendment of the plan, and what it would change in what was read."""

    #: Position of its entry.
    position: int
    #: From when it holds.
    done: Moment
    #: Who amended.
    person: str
    #: Why.
    because: str
    #: What changed, each in words.
    changes: tuple[str, ...]
    #: Observations made before it [-].
    before: int
    #: Observations that its limits judge otherwise than those of their day.
    otherwise: tuple[Rejudged, ...]
