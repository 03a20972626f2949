"""Follow-ups as every output shows them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.model.follow_up import Answer

FollowUpState = Literal["open", "answered"]


@dataclass(frozen=True, slots=True)
class FollowUp:
    """What one reading outside its limit asks, and what was answered."""

    #: Position of the observation, certificate, or retirement of a failed sample.
    position: int
    #: Sample code; "" where a certificate names none.
    sample: str
    #: Condition; None for T0 and bulk.
    condition: str | None
    #: Check; None for an extra observation.
    check: str | None
    #: Attribute; "sample" where a container failed as a whole.
    attribute: str
    #: What lies outside, in words.
    text: str
    #: Repeat readings beside the first, each in words; none replaces it.
    repeats: tuple[str, ...]
    #: Every answer, the one that stands last.
    answers: tuple[Answer, ...]
    #: What became of the reading since: corrected, set aside; "" where it stands so.
    since: str
    #: Positions of what belongs to it: the leaving of the sample that it tells of.
    also: tuple[int, ...] = ()

    @property
    def positions(self) -> tuple[int, ...]:
        """Return every position of which it is the follow-up."""
        return (self.position, *self.also)

    @property
    def is_open(self) -> bool:
        """Say whether nobody has answered yet."""
        return not self.answers

    @property
    def state(self) -> FollowUpState:
        """Return whether it is open or answered."""
        return "open" if self.is_open else "answered"

    @property
    def answer(self) -> Answer | None:
        """Return the answer that stands: the last one; None while it is open."""
        return self.answers[-1] if self.answers else None

    @property
    def words(self) -> str:
        """Return its state in a few words, for a line beside the reading."""
        if self.answer is None:
            return "follow-up open"
        return (
            f"follow-up: {self.answer.outcome} (entry {self.answer.position}): "
            f"{self.answer.because}"
        )
