"""What the evaluation says of each observation, each check and each sample."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from stability.model.condition import Role
from stability.model.judgement import Mark
from stability.model.limit import Limit
from stability.model.moment import Moment
from stability.model.observation import Observation, Placing, Retirement, Stop
from stability.model.schedule import Due, PlannedCheck
from stability.model.study import Sample

#: A remark stays inside the rules; a deviation leaves them.
Weight = Literal["remark", "deviation"]
#: What an observation is for: the initial values, a reading before the structure had
#: settled, a planned check, or an extra reading that no check asked for.
Purpose = Literal["T0", "at make", "check", "extra"]
#: Whose T0 readings an initial value is.
Basis = Literal["same container", "same batch and pack", "same batch"]
#: How the check of one sample stands on the as-of day.
CheckState = Literal[
    "made",
    "partly",
    "not measured",
    "missed",
    "not recorded",
    "open",
    "coming",
    "lost",
    "failed",
    "stopped",
]


@dataclass(frozen=True, slots=True)
class Remark:
    """Something to know about one observation."""

    #: Short fixed name: late, early, setting, band, exposure, readings, observers ...
    code: str
    #: Whether it stays inside the rules.
    weight: Weight
    #: In words, such as "late (4 days)".
    text: str


@dataclass(frozen=True, slots=True)
class InitialUsed:
    """The initial value that an observation is judged against."""

    #: Mean of the T0 readings [attribute's unit]; None for words.
    value: Fraction | None
    #: Worst word at T0; None for measured attributes.
    word: str | None
    #: Whose T0 readings they are.
    basis: Basis
    #: Value or word as printed.
    text: str
    #: Positions of the T0 observations.
    positions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class JudgedObservation:
    """One observation against its limit, with all that a reader wants beside it."""

    #: The observation as recorded; `observation.position` is its reference.
    observation: Observation
    #: The sample.
    sample: Sample
    #: Condition in which the sample stands; None for T0 and for bulk.
    condition: str | None
    #: Role of the condition; an untreated twin counts as control; None as above.
    role: Role | None
    #: What it is for.
    purpose: Purpose
    #: The check it belongs to, with due date and window; None for an extra one.
    planned: PlannedCheck | None
    #: Real age from placing, 0 at T0 [days]; None where the sample was not placed.
    age_days: float | None
    #: The same as months of 30.4375 days [months].
    age_months: float | None
    #: The age as printed: "T0", "28 d", "1.2 d".
    age_text: str
    #: The readings as typed: "5.47 / 5.49", "<0.1"; "" where it was not measured.
    readings_text: str
    #: Unit of the readings as stored; "" for words.
    unit: str
    #: The value judged: mean of the readings, or the loss worked out from weights
    #: [attribute's unit]; None for words, `<`, `>` and without readings.
    value: Fraction | None
    #: The value or the word as printed; "" where there is none.
    value_text: str
    #: The word that stands for all observers; None for measured attributes.
    word: str | None
    #: The initial value; None where there is none or none is needed.
    initial: InitialUsed | None
    #: The limit that held.
    limit: Limit
    #: The limit in words.
    limit_text: str
    #: The mark.
    mark: Mark
    #: Which bound was passed, or why nothing can be said; "" where all is inside.
    detail: str
    #: Remarks and deviations, deviations first.
    remarks: tuple[Remark, ...]
    #: Whether it takes part: in fits, in the counts, in what is shown.
    takes_part: bool
    #: Why it does not take part; "" where it does.
    left_out: str
    #: Fixed settings under which it was read; another value is another series.
    fixed_settings: tuple[tuple[str, str], ...]

    @property
    def attribute(self) -> str:
        """Name of the attribute."""
        return self.observation.attribute

    @property
    def with_unit(self) -> str:
        """The value with its unit where it has one: `52 s`, `4.855`, `layer`."""
        unit = "%" if self.observation.part is not None else self.unit
        plain = self.word is not None or unit in {"", "1", "pH"}
        return (
            self.value_text
            if plain or not self.value_text
            else (f"{self.value_text} {unit}")
        )

    @property
    def position(self) -> int:
        """Position of the entry in the study's chain."""
        return self.observation.position

    @property
    def check(self) -> str | None:
        """The check, such as 4w; None for an extra observation."""
        return self.observation.check

    @property
    def is_outside(self) -> bool:
        """Say whether it stands and lies outside its limit."""
        return self.takes_part and self.mark == "outside"

    @property
    def is_read(self) -> bool:
        """Say whether it takes part and holds a reading that was judged."""
        return self.takes_part and self.mark not in {"not measured", "recorded only"}

    @property
    def passes(self) -> bool:
        """Say whether it stands and is inside; what is missing never passes."""
        return self.takes_part and self.mark in {"inside", "changed, inside"}

    @property
    def is_doubtful(self) -> bool:
        """Say whether its instrument failed a calibration that reaches back to it."""
        return any(one.code == "doubtful" for one in self.remarks)

    @property
    def deviations(self) -> tuple[Remark, ...]:
        """Remarks that leave the rules."""
        return tuple(one for one in self.remarks if one.weight == "deviation")


@dataclass(frozen=True, slots=True)
class CheckStatus:
    """One planned check of one sample on the as-of day."""

    #: The sample.
    sample: Sample
    #: Check, due date and window.
    planned: PlannedCheck
    #: How it stands.
    state: CheckState
    #: What was to be observed.
    expected: tuple[Due, ...]
    #: What was read.
    read: tuple[Due, ...]
    #: What was recorded as not measured, with its reason.
    not_measured: tuple[tuple[Due, str], ...]
    #: What is neither read nor recorded as not measured.
    remaining: tuple[Due, ...]
    #: When it was made; None where nothing was read.
    made_on: Moment | None
    #: Position of the entry that explains a missed, lost, failed or stopped check.
    refers_to: int | None
    #: The state in words, with its reason.
    text: str
    #: Whether what remains was recorded as missed.
    is_missed: bool = False
    #: Whether the window is over and what remains is not accounted for.
    is_unrecorded: bool = False

    @property
    def waits(self) -> bool:
        """Say whether something may still be observed."""
        return self.state in {"open", "coming", "not recorded"}


@dataclass(frozen=True, slots=True)
class Exposure:
    """Time that a sample spent in another condition than its own."""

    #: The other condition.
    condition: str
    #: From when.
    start: Moment
    #: Until when; None while it lasts.
    end: Moment | None
    #: Length up to its end or to the as-of day [days].
    days: float
    #: Position of the placing that began it.
    position: int


@dataclass(frozen=True, slots=True)
class SampleFate:
    """What happened to one sample."""

    #: The sample.
    sample: Sample
    #: First placing; None where it was not placed.
    placed: Placing | None
    #: How it left; None while it is in the study.
    left: Retirement | None
    #: What ended it while it was there; None where nothing did.
    stopped: Stop | None
    #: Code of the sample that it replaces; None if it replaces none.
    replaces: str | None
    #: Code of the sample that replaced it; None if none did.
    replaced_by: str | None
    #: Time in other conditions than its own.
    exposures: tuple[Exposure, ...]
    #: Whether anything was read of it.
    read: bool
    #: Days from the T0 readings to its placing [days]; None where either is missing.
    days_to_placing: int | None


@dataclass(frozen=True, slots=True)
class StepRun:
    """One step of a cycle as it was run."""

    #: Cycle, from 1.
    cycle: int
    #: Step of the cycle, from 1.
    step: int
    #: Length that the protocol asks for [h].
    planned_hours: float
    #: Real length [h]; None while it lasts or where its end is not recorded.
    real_hours: float | None
    #: When it began.
    start: Moment
    #: Whether the length was kept within 10 % (known to the day: within a day);
    #: None where it is not known.
    within: bool | None


@dataclass(frozen=True, slots=True)
class CycleRun:
    """The cycles of one sample as they were run."""

    #: Sample code.
    sample: str
    #: Condition.
    condition: str
    #: Cycles finished [-].
    done: int
    #: Cycles planned [-].
    planned: int
    #: Every step that was begun.
    steps: tuple[StepRun, ...]
    #: In words: "3 of 3 cycles, all steps within range", or the step that ran over.
    text: str

    @property
    def kept(self) -> bool:
        """Say whether no step is known to have left its length."""
        return all(step.within is not False for step in self.steps)


@dataclass(frozen=True, slots=True)
class ComingCheck:
    """A check that is due: all samples of one condition with the same dates."""

    #: The check.
    check: str
    #: Condition; None for T0.
    condition: str | None
    #: First day of the window.
    opens: date
    #: Due date.
    due: date
    #: Last day of the window.
    closes: date
    #: Codes of the samples.
    samples: tuple[str, ...]
    #: open, coming, or not recorded (its window is over).
    state: CheckState
    #: True while samples are not placed and the dates may still move.
    provisional: bool
