"""What a person did, read or said: observations and the other acts of a study."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Literal

from stability.model.moment import Moment
from stability.model.quick import quick


@quick
@dataclass(frozen=True, slots=True)
class Reading:
    """One value, kept as typed."""

    #: The digits or the word, as typed.
    value: str
    #: "<", ">" or "".
    qualifier: str = ""
    #: Who read it; None where one person read all.
    observer: str | None = None

    @property
    def number(self) -> Decimal:
        """Return the value as an exact decimal; for measured attributes only."""
        return Decimal(self.value)

    def __str__(self) -> str:
        return f"{self.qualifier}{self.value}"


@dataclass(frozen=True, slots=True)
class Invalidation:
    """An observation set aside, with its cause; it stays readable."""

    #: Position of the entry that set it aside.
    position: int
    #: The cause.
    because: str
    #: Who set it aside.
    person: str
    #: When.
    done: Moment


@quick
@dataclass(frozen=True, slots=True)
class Observation:
    """All that is logged for one attribute of one sample at one check."""

    #: Position of its entry in the study's chain.
    position: int
    #: Sample code.
    sample: str
    #: Attribute name.
    attribute: str
    #: Check it belongs to; None for an extra observation.
    check: str | None
    #: Readings, each kept; empty where it was not measured.
    readings: tuple[Reading, ...]
    #: When it was read.
    done: Moment
    #: When it was stored (UTC).
    entered: datetime
    #: Who logged it.
    person: str
    #: Unit; "" for scores and statements.
    unit: str = ""
    #: For weights: before opening or after closing; None for other attributes.
    part: Literal["before", "after"] | None = None
    #: Settings by name, as stated.
    settings: Mapping[str, str] = field(default_factory=dict)
    #: Who observed, in the order of the readings.
    observers: tuple[str, ...] = ()
    #: Code of the sample it was compared with; None where there was none.
    control: str | None = None
    #: Whether the observers did not know which sample was which.
    blind: bool = False
    #: Further readings asked where the score was not the best.
    extra: Mapping[str, str] = field(default_factory=dict)
    #: Why it was not measured; None where it was.
    not_measured: str | None = None
    #: Position of the first observation that this one repeats; None if no repeat.
    repeats: int | None = None
    #: Why it was repeated or corrected; None for a plain observation.
    because: str | None = None
    #: Position of the observation that this one supersedes; None if it is none.
    corrects: int | None = None
    #: Position of the correction that supersedes this one; None while it stands.
    corrected_by: int | None = None
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None
    #: Laboratory and number of the certificate it comes from; None from the bench.
    certificate: str | None = None

    @property
    def stands(self) -> bool:
        """Say whether it takes part: neither superseded nor set aside."""
        return self.corrected_by is None and self.invalidated is None


@dataclass(frozen=True, slots=True)
class Placing:
    """A sample put into a condition, moved, or taken to the next step of a cycle."""

    #: Position of its entry.
    position: int
    #: Sample code.
    sample: str
    #: Condition that it entered; None when taken out.
    condition: str | None
    #: Storage place; None where none is named.
    place: str | None
    #: When.
    done: Moment
    #: Who.
    person: str
    #: What happened.
    how: Literal["in", "moved", "step", "swapped", "out"]
    #: Cycle (from 1); None outside a cycled condition.
    cycle: int | None = None
    #: Step of the cycle (from 1); None outside a cycled condition.
    step: int | None = None
    #: Code of the sample that it replaces; None if it replaces none.
    replaces: str | None = None
    #: Code of the sample it was swapped with; None if it was not.
    swapped_with: str | None = None
    #: Why, where a reason is due.
    because: str | None = None


#: Why a sample left the study; the last four count as a failure of the sample.
RETIRED_BECAUSE = (
    "broken", "lost", "used up", "sent out", "other",
    "leaking", "gassing", "mouldy", "separated",
)  # fmt: skip
#: Reasons that count as failed for whatever can no longer be read.
RETIRED_AS_FAILED = ("leaking", "gassing", "mouldy", "separated")


@dataclass(frozen=True, slots=True)
class Retirement:
    """A sample that left the study."""

    #: Position of its entry.
    position: int
    #: Sample code.
    sample: str
    #: One of RETIRED_BECAUSE.
    reason: str
    #: In the person's own words.
    because: str
    #: When.
    done: Moment
    #: Who.
    person: str


@dataclass(frozen=True, slots=True)
class Missed:
    """A check that was not made, with its reason."""

    #: Position of its entry.
    position: int
    #: The check.
    check: str
    #: Codes of the samples whose check was not made.
    samples: tuple[str, ...]
    #: Why.
    because: str
    #: When it was recorded as missed.
    done: Moment
    #: Who.
    person: str


@dataclass(frozen=True, slots=True)
class Stop:
    """The study, a batch, a pack or a condition ended, with a reason."""

    #: Position of its entry.
    position: int
    #: What ended; an empty mapping means the whole study.
    scope: Mapping[str, str]
    #: Why.
    because: str
    #: When.
    done: Moment
    #: Who.
    person: str


@dataclass(frozen=True, slots=True)
class Note:
    """An explanation beside the record."""

    #: Position of its entry.
    position: int
    #: The text.
    text: str
    #: Position of the entry that it explains; None for the study as a whole.
    refers_to: int | None
    #: Sample that it speaks of; None for none.
    sample: str | None
    #: When.
    done: Moment
    #: Who.
    person: str


@dataclass(frozen=True, slots=True)
class DayFacts:
    """Person, observers, settings and control, set once for a check day."""

    #: Position of its entry.
    position: int
    #: The day.
    day: date
    #: Account under which it was set; it never signs another account's readings.
    account: str
    #: Person who logs that day.
    person: str
    #: Observers in the order in which their readings are typed.
    observers: tuple[str, ...] = ()
    #: Attribute -> setting -> value.
    settings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    #: Attribute ("" for all) -> code of the sample to compare with.
    control: Mapping[str, str] = field(default_factory=dict)
    #: Whether observers did not know which sample was which.
    blind: bool = False
