"""What the evaluation says of each series: points, lines, words, comparisons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from stability.model.condition import Role
from stability.model.estimate import (
    Bound,
    Caution,
    Curvature,
    Drift,
    Forecast,
    LackOfFit,
    NoFit,
    OutOfTrend,
    Scale,
)
from stability.model.limit import Limit
from stability.model.scores import FailureShare, ScoreTrend

#: What all readings of a series together amount to.
SeriesState = Literal[
    "outside",
    "undecided",
    "no initial",
    "changed, inside",
    "inside",
    "recorded only",
    "no reading",
]


@dataclass(frozen=True, slots=True, order=True)
class SeriesKey:
    """One attribute × condition × pack × batch × fixed settings.

    A reopened container, and an untreated twin, is a series of its own.
    """

    #: Attribute.
    attribute: str
    #: Condition.
    condition: str
    #: Pack; "" for bulk.
    pack: str
    #: Batch.
    batch: str
    #: Fixed settings, by name.
    settings: tuple[tuple[str, str], ...] = ()
    #: Code of a container that is a series of its own; "" for fresh containers.
    sample: str = ""
    #: The cycled condition whose untreated twin this is; "" for other series.
    twin_of: str = ""

    def text(self) -> str:
        """Name the series for people: `pH, T40, JAR, batch A`."""
        parts = [self.attribute, self.condition, self.pack, f"batch {self.batch}"]
        if self.sample:
            parts.append(f"reopened {self.sample}")
        if self.twin_of:
            parts.append(f"untreated twin of {self.twin_of}")
        parts += [f"{name} {value}" for name, value in self.settings]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True)
class Point:
    """One check of one series: the unit of every fit."""

    #: Check; None for an extra observation.
    check: str | None
    #: Day of reading.
    day: date
    #: Real age [days].
    age_days: float
    #: Real age [months of 30.4375 days].
    age_months: float
    #: Mean over readings, then over containers [attribute's unit]; None where a
    #: reading is written with < or >.
    value: Fraction | None
    #: The value as printed; readings as typed where there is no value.
    text: str
    #: Means of the single containers, in order of their codes [attribute's unit].
    containers: tuple[tuple[str, Fraction], ...]
    #: Whether an observation of this point lies outside its limit.
    outside: bool
    #: Positions of the observations.
    positions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TrendTest:
    """An out-of-trend test of one check against all earlier ones."""

    #: Check; None for an extra observation.
    check: str | None
    #: Day of reading.
    day: date
    #: What the test says.
    result: OutOfTrend
    #: True for the newest check of its series.
    newest: bool


@dataclass(frozen=True, slots=True)
class MeasuredSeries:
    """A series of numbers with its line, or the reason why there is none."""

    #: Which series.
    key: SeriesKey
    #: Role of the condition; an untreated twin counts as control.
    role: Role
    #: Unit of the values.
    unit: str
    #: Scale on which drift is fitted.
    scale: Scale
    #: The limit that holds.
    limit: Limit
    #: The limit in words.
    limit_text: str
    #: The limit as bounds that a line can be held against.
    bounds: tuple[Bound, ...]
    #: Points in order of age, T0 first.
    points: tuple[Point, ...]
    #: Whose T0 readings the point at age 0 is; "" where there is none.
    initial_text: str
    #: The line, or why there is none.
    drift: Drift | NoFit
    #: Length over which the drift is told: the life asked for under long-term,
    #: intermediate and control, else the last check planned [months].
    horizon_months: float
    #: What that length is, in words.
    horizon_text: str
    #: When the line meets each bound, in the order of `bounds`; empty without a line.
    forecasts: tuple[Forecast | NoFit, ...]
    #: Out-of-trend tests in order of age: that of the newest check, and every
    #: earlier one that was out of trend.
    trend_tests: tuple[TrendTest, ...]
    #: Out-of-trend tests made, those in trend among them [-].
    trend_tests_made: int
    #: What all readings together amount to.
    state: SeriesState
    #: First check outside its limit, or "extra"; None where none is.
    first_outside: str | None
    #: Cautions of the line and of its group (curvature), each with its consequence.
    cautions: tuple[Caution, ...]
    #: The line against the scatter of containers of one check; None without several.
    lack_of_fit: LackOfFit | None

    @property
    def newest_trend(self) -> TrendTest | None:
        """The test of the newest check; None where it could not be tested."""
        last = self.trend_tests[-1] if self.trend_tests else None
        return last if last is not None and last.newest else None


@dataclass(frozen=True, slots=True)
class CurvatureFinding:
    """Bending, judged once for all batches of an attribute, condition and pack."""

    #: Attribute.
    attribute: str
    #: Condition.
    condition: str
    #: Pack; "" for bulk.
    pack: str
    #: Fixed settings, by name.
    settings: tuple[tuple[str, str], ...]
    #: The common coefficient of t², or why there is none.
    result: Curvature | NoFit

    def text(self) -> str:
        """Name the group for people: `pH, T40, JAR`."""
        parts = [self.attribute, self.condition, self.pack]
        parts += [f"{name} {value}" for name, value in self.settings]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True)
class ContainerWords:
    """The words of one container, check by check."""

    #: Sample code.
    sample: str
    #: (check or "extra", real age [days], word, outside its limit), in order of age.
    words: tuple[tuple[str, float, str, bool], ...]
    #: Whether it failed: a word outside its limit, or retired as failed.
    failed: bool
    #: Age at its last pass before the first failure [days]; None without one.
    last_passed: float | None
    #: Age at its first failure [days]; None where it did not fail.
    first_failed: float | None
    #: Check at its first failure, or "extra"; None where it did not fail.
    first_outside: str | None
    #: Why it counts as failed where no word says so, such as "gassing"; "" else.
    retired: str


@dataclass(frozen=True, slots=True)
class WordSeries:
    """A series of scores or statements; never averaged, never fitted."""

    #: Which series; `sample` is "" because containers are listed one by one.
    key: SeriesKey
    #: Role of the condition; an untreated twin counts as control.
    role: Role
    #: Scored or stated.
    kind: Literal["scored", "stated"]
    #: The limit that holds.
    limit: Limit
    #: The limit in words.
    limit_text: str
    #: Word at T0; None where there is none.
    initial: str | None
    #: Worst word read; None where none was.
    worst: str | None
    #: First check outside its limit, or "extra"; None where none is.
    first_outside: str | None
    #: Real age at that check [days]; None where none is.
    first_failed_age: float | None
    #: Containers with a word outside their limit, or retired as failed [-].
    failed: int
    #: Containers read [-].
    read: int
    #: Containers one by one.
    containers: tuple[ContainerWords, ...]
    #: How many fail and how many more may; None where nothing was held against a limit.
    share: FailureShare | None
    #: Whether the words grow worse with age, check by check; None without any.
    trend: ScoreTrend | None
    #: How observers' words are put together, and how sure that is.
    observers_text: str
    #: What all words together amount to.
    state: SeriesState
    #: The first line for a reader: worst word, first failed, failed of read.
    text: str
    #: What trend and share add to it, with n and p; "" where they add nothing.
    beyond: str

    @property
    def may_fail(self) -> float | None:
        """Return the highest share that may fail where none of those read did [-].

        By the exact one-sided bound; None otherwise.
        """
        return None if self.share is None or self.failed else self.share.at_most

    @property
    def whole_text(self) -> str:
        """Return the first line with what trend and share add to it."""
        return "; ".join(part for part in (self.text, self.beyond) if part)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One check of a condition beside the same check of its comparison."""

    #: What is compared with what.
    kind: Literal["cycles and untreated twin", "light and dark twin", "cold control"]
    #: Attribute.
    attribute: str
    #: Batch.
    batch: str
    #: Pack; "" for bulk.
    pack: str
    #: Check.
    check: str
    #: Condition that is compared.
    condition: str
    #: Condition of the comparison.
    against: str
    #: Codes of the containers compared.
    samples: tuple[str, ...]
    #: Codes of the containers of the comparison.
    against_samples: tuple[str, ...]
    #: Mean, or worst word, as printed.
    text: str
    #: The same of the comparison.
    against_text: str
    #: Difference of the means [attribute's unit]; None for words.
    difference: Fraction | None
    #: For words: worse, better or same; for numbers: higher, lower or same.
    outcome: Literal["worse", "better", "same", "higher", "lower"]
    #: What can be said, in one sentence.
    statement: str
