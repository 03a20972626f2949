"""What was decided about samples whose storage place left its range."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from stability.model.moment import Moment
from stability.model.observation import Invalidation

Direction = Literal["hotter", "colder"]
#: Both sides of a range, in the order in which they are named.
DIRECTIONS: Final[tuple[Direction, ...]] = ("hotter", "colder")
#: What a person can decide about samples that stood outside their range.
ExcursionOutcome = Literal["continued", "replaced", "restarted"]
EXCURSION_OUTCOMES: Final[tuple[ExcursionOutcome, ...]] = (
    "continued", "replaced", "restarted",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ExcursionAnswer:
    """What was decided about the samples that stood there, with the reason."""

    #: Position of its entry.
    position: int
    #: Position of the entry that shows the excursion.
    refers_to: int
    #: From when.
    start: datetime
    #: Until when.
    end: datetime
    #: Sides that it answers; () where the excursion says none; None where the answer
    #: does not tell them, as none did at first: then all that lies within it.
    sides: tuple[Direction, ...] | None
    #: Continued, replaced or restarted.
    outcome: ExcursionOutcome
    #: The reason, in the person's own words.
    because: str
    #: Study for which it holds; None for all.
    study: str | None
    #: When it was decided.
    done: Moment
    #: Who decided.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None

    def covers(
        self,
        start: datetime,
        end: datetime,
        study: str | None,
        direction: Direction | None = None,
    ) -> bool:
        """Say whether an excursion lies within what was answered, for a study.

        One that says no side, a power cut as it was told, is answered with any.
        """
        of_study = self.study is None or self.study == study
        of_side = self.sides is None or direction is None or direction in self.sides
        return of_study and of_side and self.start <= start and end <= self.end

    @property
    def sides_text(self) -> str:
        """Return the sides that it answers; "" where it tells none."""
        return " and ".join(self.sides or ())
