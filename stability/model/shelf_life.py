"""What an estimate of shelf life says: crossings, pooling, caps, support, request.

Ages and lives are months. Nothing here replaces assessment by a qualified safety
assessor; whatever prints these records says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.model.estimate import Bound, Caution, Line, NoFit
from stability.model.forecast_words import FARTHEST_MONTHS

#: Direction in which an attribute is known to change, declared before T0. "either"
#: holds a two-sided interval against each limit, "either, one-sided" a one-sided one.
Direction = Literal["decreasing", "increasing", "either", "either, one-sided"]
#: Which of the two estimates carries the request, declared before T0.
Method = Literal["batch by batch", "pooled"]
#: What came of holding the bound of the mean against a limit.
CrossingOutcome = Literal[
    "failed at T0",
    "start outside",
    "not precise enough",
    "crossing",
    "no crossing",
]
#: Storage for which the product is meant; chooses the rows of the cap.
StorageClass = Literal["room", "refrigerated", "freezer"]
#: Significant change under accelerated conditions.
SignificantChange = Literal[
    "none",
    "intermediate passed",
    "intermediate failed",
    "within 3 months",
    "between 3 and 6 months",
]
#: What the long-term and accelerated readings allow.
Evidence = Literal["little change", "analysed", "not analysed"]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where the confidence bound of the mean meets one bound of a limit."""

    #: The bound of the limit.
    bound: Bound
    #: What came of it.
    outcome: CrossingOutcome
    #: Crossing of the bound of the mean [months]; 0 where the start failed; None where
    #: there is no crossing or no estimate.
    months: float | None
    #: Where the fitted line itself meets it [months]; None where it does not.
    fitted_months: float | None
    #: Multiplier of the standard error: one quantile of Student's t [-].
    multiplier: float
    #: Degrees of freedom of the scatter [-].
    df: int
    #: Residual standard deviation used, on the scale.
    s_used: float
    #: Scatter below which the same checks would give an estimate, on the scale; only
    #: where the start was not precise enough.
    needed_s: float | None
    #: Checks that would give an estimate at this scatter [-]; only where the start was
    #: not precise enough, and None there if 200 would not do.
    needed_checks: int | None
    #: The outcome in words.
    text: str


@dataclass(frozen=True, slots=True)
class BatchLife:
    """One batch against all bounds of a limit."""

    #: The batch.
    batch: str
    #: Line that was used; its scatter is its own or the pooled one.
    line: Line
    #: One crossing for each bound that was judged.
    crossings: tuple[Crossing, ...]
    #: The worst outcome of the crossings.
    outcome: CrossingOutcome
    #: Shortest crossing [months]; None where there is none.
    months: float | None
    #: The crossing that governs this batch.
    governing: Crossing
    #: Shortest crossing without the last check [months]; None where there is none.
    months_without_last: float | None
    #: What came of it; None where too few checks would remain, or lines are pooled.
    outcome_without_last: CrossingOutcome | None

    @property
    def without_last_text(self) -> str:
        """Return the estimate without the last check: `31.2 months`; "" without one.

        One beyond ten years is no number for people.
        """
        if self.outcome_without_last is None:
            return ""
        if self.outcome_without_last != "crossing" or self.months_without_last is None:
            return self.outcome_without_last
        if self.months_without_last > FARTHEST_MONTHS:
            return f"beyond {FARTHEST_MONTHS} months"
        return f"{self.months_without_last:.1f} months"


@dataclass(frozen=True, slots=True)
class LifeEstimate:
    """All batches of one attribute and pack by one method; the shortest governs."""

    #: Batch by batch, or pooled after ICH Q1E.
    method: Method
    #: One for each batch, in the order given.
    batches: tuple[BatchLife, ...]
    #: The batch that governs: the worst outcome, then the shortest life.
    governing: BatchLife
    #: Its life [months]; None where there is none.
    months: float | None
    #: Its outcome.
    outcome: CrossingOutcome
    #: The estimate in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class PoolingTest:
    """One step of the analysis of covariance."""

    #: What is tested.
    question: Literal["slopes", "intercepts"]
    #: Ratio of mean squares [-]; None where the scatter within batches is 0 and the
    #: batches differ.
    f: float | None
    #: Degrees of freedom above: batches - 1 [-].
    df_top: int
    #: Degrees of freedom below: points - 2 × batches [-].
    df_bottom: int
    #: Upper-tail p, never rounded before it is compared [-].
    p: float
    #: Level from which on batches are pooled [-].
    level: float
    #: True where p is at least the level.
    poolable: bool


@dataclass(frozen=True, slots=True)
class Pooling:
    """The analysis of covariance of batches after ICH Q1E, with every step kept."""

    #: The model that the tests lead to.
    model: Literal["one line", "common slope", "separate lines"]
    #: Slopes first; intercepts only where slopes are poolable.
    tests: tuple[PoolingTest, ...]
    #: Sum of squares about separate lines, on the scale squared.
    sse_separate: float
    #: Sum of squares about lines of a common slope.
    sse_common: float
    #: Sum of squares about one line.
    sse_one: float
    #: Points of all batches [-].
    n: int
    #: The line of each batch under the model, in the order given.
    lines: tuple[tuple[str, Line], ...]
    #: The choice in words, with how often pooling overstates.
    text: str


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """The two estimates of one attribute and pack under the long-term condition."""

    #: Every batch on its own data.
    batch_by_batch: LifeEstimate
    #: After pooling; None with one batch or where a batch has no line.
    pooled: LifeEstimate | None
    #: How the pooling was chosen; None where there is none.
    pooling: Pooling | None
    #: Which of them carries the request.
    carries: Method
    #: Direction that chose the sides.
    direction: Direction
    #: Confidence [-].
    confidence: float
    #: Batches without a line, with the reason.
    without_line: tuple[tuple[str, NoFit], ...]
    #: Cautions of all batches together, each once.
    cautions: tuple[Caution, ...]
    #: Batches that may claim nothing beyond the ages that were read.
    blocked: tuple[str, ...]

    @property
    def carrying(self) -> LifeEstimate:
        """Return the estimate that carries the request."""
        if self.carries == "pooled" and self.pooled is not None:
            return self.pooled
        return self.batch_by_batch


@dataclass(frozen=True, slots=True)
class CheckOutcome:
    """One observation of one attribute and batch, as the months shown need it."""

    #: Name of the planned check, such as "12M"; None for an extra observation.
    check: str | None
    #: Actual age, for the order only [months].
    age: float
    #: True where it was made inside the window of its check.
    in_window: bool
    #: True where it was made on or after the due date of its check.
    on_or_after_date: bool
    #: Whether it was inside its limit; None where it was not measured or undecided.
    passed: bool | None


@dataclass(frozen=True, slots=True)
class Shown:
    """How long an attribute was shown to hold by real-time readings."""

    #: Whole calendar months of the check; a check in weeks or days counts days // 31.
    months: int
    #: The check, in its own unit; None where no check was passed.
    check: str | None
    #: Months of the last passed check made on or after its date, for the request.
    months_for_request: int
    #: The check in words, such as "12 weeks".
    words: str


@dataclass(frozen=True, slots=True)
class Cap:
    """The longest life that may be claimed from the months shown."""

    #: The cap [months].
    months: float
    #: Months shown that it starts from [months].
    shown: float
    #: The rule: "2X, +12", "1.5X, +6", "+3" or "none".
    rule: Literal["2X, +12", "1.5X, +6", "+3", "none"]
    #: Why this rule, in words.
    text: str


@dataclass(frozen=True, slots=True)
class Bearing:
    """One batch × attribute × pack that bears the request, ready to be combined."""

    #: Attribute, as printed.
    attribute: str
    #: Pack, as printed.
    pack: str
    #: Batch, as printed.
    batch: str
    #: What real-time readings showed.
    shown: Shown
    #: Cap from this batch's own months shown.
    cap: Cap
    #: Estimate [months]; None where there is none or no crossing.
    estimate: float | None
    #: Months of the last pass before the first observed failure; None without one.
    ends_at: int | None
    #: How the estimate came about, for the basis; "" for what is not fitted.
    basis: str = ""
    #: What the attribute showed in every batch; None where it is as `shown`.
    shown_by_all: Shown | None = None
    #: The long-term condition, as printed; "" where it goes without saying.
    condition: str = ""

    @property
    def limit(self) -> float:
        """Return what this part supports at most [months]."""
        ends = (self.estimate, self.cap.months, self.ends_at)
        return min(float(end) for end in ends if end is not None)


@dataclass(frozen=True, slots=True)
class Supported:
    """Months shown, estimated and supported, over everything that bears the request."""

    #: Whole months shown by every batch and attribute.
    shown: int
    #: The check behind `shown`, in words.
    shown_words: str
    #: Whole months shown by checks made on or after their dates.
    shown_for_request: int
    #: Shortest estimate [months]; None where nothing was estimated.
    estimated: float | None
    #: True where the shortest estimate lies above the cap: not for the first page.
    estimate_above_cap: bool
    #: Whole months supported.
    months: int
    #: The part that governs.
    governing: Bearing
    #: The basis in one sentence.
    text: str
    #: Whole months shown by checks made on or after their dates, of all that may not be
    #: extrapolated; None where everything may.
    shown_at_cap: int | None = None


@dataclass(frozen=True, slots=True)
class ProvisionalRule:
    """A declared rule of thumb for a provisional life, and where it stands."""

    #: True where the protocol declared it before T0.
    declared_before_t0: bool
    #: Life it stands for [months].
    months: int
    #: Condition and duration in words, such as "12 weeks at 40 °C".
    condition: str
    #: Where the rule of thumb comes from.
    source: str
    #: Checks that confirm it.
    confirming: tuple[str, ...]
    #: True where every bearing attribute held there.
    held: bool
    #: True where every real-time reading so far is inside its limit.
    real_time_holds: bool
    #: A confirming check that failed or was missed; None while none did.
    broken_by: str | None


@dataclass(frozen=True, slots=True)
class RequestOutcome:
    """What the evidence says about the shelf life asked for."""

    #: The outcome; interim where this evaluation was not planned to judge a request.
    outcome: Literal[
        "shown by real-time data",
        "supported by extrapolation within the cap",
        "provisional on accelerated data",
        "not supported",
        "interim",
    ]
    #: Life asked for [months].
    asked: int
    #: Life that the outcome stands for [months].
    months: int
    #: The outcome in words.
    text: str
