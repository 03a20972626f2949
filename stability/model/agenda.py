"""What waits at the bench: checks, samples to be placed or moved, missing answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal


@dataclass(frozen=True, slots=True)
class DueGroup:
    """Checks that wait, grouped by study, check, condition and state."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Check.
    check: str
    #: Condition; "" for bulk and tubes.
    condition: str
    #: overdue, due or coming.
    state: str
    #: First day of the earliest window.
    opens: date
    #: Earliest due date.
    due: date
    #: Last day of the earliest window.
    closes: date
    #: How many samples [-].
    samples: int


@dataclass(frozen=True, slots=True)
class DueSample:
    """One check that waits on one sample."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Sample code.
    sample: str
    #: Batch.
    batch: str
    #: Pack; None for bulk and tubes.
    pack: str | None
    #: Condition; "" for bulk and tubes.
    condition: str
    #: Check.
    check: str
    #: overdue, due or coming.
    state: str
    #: First day of the window.
    opens: date
    #: Due date.
    due: date
    #: Last day of the window.
    closes: date
    #: What is still to be observed.
    remaining: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MoveGroup:
    """Samples that are to be placed, or taken to the next step of a cycle."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Condition.
    condition: str
    #: place or step.
    kind: str
    #: When: a date, or a local time with offset.
    due: str
    #: What to do.
    text: str
    #: How many samples [-].
    samples: int
    #: Their codes.
    codes: tuple[str, ...]
    #: overdue, due or coming.
    state: str


@dataclass(frozen=True, slots=True)
class Awaiting:
    """One answer that is missing in a study, whatever the day."""

    #: What is missing.
    kind: Literal["follow-up", "certificate", "result"]
    #: Day of the reading, of the check, or of sending it out.
    since: date
    #: Condition; "" where none is meant.
    condition: str
    #: Sample code; "" where none is meant.
    sample: str
    #: Position of the entry that asks; 0 where the protocol does.
    position: int
    #: In words.
    text: str

    def on(self, day: date, study: str, product: str) -> Awaited:
        """Return how it stands on a day, with study and product named."""
        state = "open" if self.kind == "follow-up" else "awaited"
        return Awaited(
            study=study,
            product=product,
            kind=self.kind,
            state="coming" if self.since > day else state,
            due=self.since,
            condition=self.condition,
            sample=self.sample,
            position=self.position,
            text=self.text,
        )


@dataclass(frozen=True, slots=True)
class Awaited:
    """An answer that is missing as of a day: of a follow-up, or from a laboratory."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: follow-up, certificate, or result of a sample that was sent out.
    kind: str
    #: open (a follow-up), awaited or coming.
    state: str
    #: When it was asked: the day of the reading, of the check, of sending it out.
    due: date
    #: Condition; "" where none is meant.
    condition: str
    #: Sample code; "" where none is meant.
    sample: str
    #: Position of the entry that asks; 0 where the protocol does.
    position: int
    #: What is missing, in words.
    text: str


@dataclass(frozen=True, slots=True)
class Agenda:
    """What waits as of a day, over one study or all."""

    #: The as-of date.
    day: date
    #: Checks, the earliest due first.
    checks: tuple[DueGroup, ...]
    #: Placings and steps of cycles, the earliest due first.
    hand_overs: tuple[MoveGroup, ...]
    #: Answers that are missing, the oldest first.
    awaited: tuple[Awaited, ...] = ()
