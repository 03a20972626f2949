"""A plan before T0: what it takes of each batch, when, how long, and what it leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from stability.model.protocol import Protocol
from stability.model.sample import OPENED_AGAIN
from stability.model.study import SampleRow, Study

#: Share of a batch that can be filled into samples where nobody states another [-]:
#: what stays in beaker, funnel and first pump strokes is lost (common practice).
USUAL_USABLE: Final = Decimal("0.95")
#: Below this share a container holds noticeably more air than one as sold, and below
#: the second it speaks for a nearly empty one only (common practice).
LOW, VERY_LOW = Decimal("0.6"), Decimal("0.4")


@dataclass(frozen=True, slots=True)
class GramsLine:
    """One purpose of samples, and what it takes of each batch."""

    #: What the samples are for, such as "ROOM, reopened".
    purpose: str
    #: Pack; None for bulk and tubes.
    pack: str | None
    #: Mass of one sample [g].
    each_g: Decimal
    #: Batch -> samples [-].
    samples: Mapping[str, int]
    #: Checks that they serve.
    checks: tuple[str, ...]
    #: Last day on which retained samples are kept; None for other uses.
    keep_until: date | None = None

    def grams(self, batch: str) -> Decimal:
        """Return what it takes of a batch [g]."""
        return self.samples.get(batch, 0) * self.each_g


@dataclass(frozen=True, slots=True)
class BatchGrams:
    """What a batch gives and what its samples need."""

    #: Batch.
    batch: str
    #: Mass made [g]; None where it is not stated.
    made_g: Decimal | None
    #: What can be filled into samples [g]; None where the mass made is not stated.
    usable_g: Decimal | None
    #: What its samples need [g].
    needed_g: Decimal

    @property
    def left_g(self) -> Decimal | None:
        """Return what is left over [g]: below 0 where it is short."""
        return None if self.usable_g is None else self.usable_g - self.needed_g

    @property
    def short_g(self) -> Decimal:
        """Return by how much it is too small [g]; 0 where it is not."""
        return max(Decimal(0), -(self.left_g or Decimal(0)))


@dataclass(frozen=True, slots=True)
class AttributeUse:
    """What one attribute uses up over the whole study."""

    #: Attribute.
    attribute: str
    #: Mass that one observation uses up [g]; None where the protocol does not state it.
    takes_g: Decimal | None
    #: Mass that must be there and goes back [g]; None where none is needed.
    needs_g: Decimal | None
    #: Surfaces that one observation uses up [-].
    takes_surfaces: int
    #: Observations planned [-].
    observations: int

    @property
    def grams(self) -> Decimal:
        """Return what all observations use up [g]."""
        return self.observations * (self.takes_g or Decimal(0))

    @property
    def surfaces(self) -> int:
        """Return how many surfaces all observations use up [-]."""
        return self.observations * self.takes_surfaces


@dataclass(frozen=True, slots=True)
class FillLevel:
    """What is left in a container that is opened again, after one check."""

    #: Code of the container, or of the first of several alike.
    sample: str
    #: Batch.
    batch: str
    #: Pack.
    pack: str
    #: Condition in which it stands.
    condition: str
    #: How it is used.
    use: str
    #: Check.
    check: str
    #: Net fill at the start [g].
    fill_g: Decimal
    #: What is there before the check [g].
    before_g: Decimal
    #: What is left after the check [g].
    left_g: Decimal
    #: Surfaces left after the check [-]; None where the pack states none.
    surfaces_left: int | None
    #: Attributes that can no longer be read at this check.
    unread: tuple[str, ...] = ()

    @property
    def share(self) -> Decimal:
        """Return how full it still is after the check [-]."""
        return self.left_g / self.fill_g

    def words(self) -> str:
        """Return what it warns of; "" where there is nothing to say."""
        if self.unread:
            return f"too little left for {', '.join(self.unread)}"
        if self.use not in OPENED_AGAIN or self.share >= LOW:
            return ""
        if self.share < VERY_LOW:
            return "below 40 %: speaks for a nearly empty pack only"
        return "below 60 %: more air above it than in a pack as sold"


@dataclass(frozen=True, slots=True)
class CheckDay:
    """A day with checks."""

    #: The day.
    day: date
    #: What is due, such as "ROOM 4w", in the protocol's order.
    checks: tuple[str, ...]
    #: Samples to be read [-].
    samples: int
    #: Time at the bench [h].
    hours: float

    @property
    def is_weekend(self) -> bool:
        """Say whether it is a Saturday or a Sunday."""
        return self.day.weekday() >= 5


@dataclass(frozen=True, slots=True)
class StartDay:
    """A day of placing that puts fewer checks on weekends."""

    #: Batch.
    batch: str
    #: Day of placing as planned.
    planned: date
    #: Days of check on a weekend then [-].
    weekend_days: int
    #: A better day of placing.
    better: date
    #: Days of check on a weekend then [-].
    better_weekend_days: int


@dataclass(frozen=True, slots=True)
class BenchHours:
    """Time at the bench for the whole study, and where it comes from."""

    #: All of it [h].
    hours: float
    #: Observations whose minutes the protocol states [-].
    stated: int
    #: Observations for which common practice is assumed [-].
    assumed: int
    #: Samples fetched, one for each check of each [-].
    handled: int
    #: The longest day [h]; 0 where there is none.
    longest_day: float
    #: What was assumed, in words.
    basis: str


@dataclass(frozen=True, slots=True)
class WayOut:
    """A change that wins grams, and what it costs."""

    #: What to change.
    text: str
    #: What it wins in the batches that are short [g].
    grams: Decimal
    #: The comparison or the certainty that it costs.
    costs: str
    #: True where it is enough by itself.
    enough: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What sharing left out because the grams do not reach."""

    #: What it would have been.
    text: str
    #: What it would have taken [g].
    grams: Decimal
    #: What is not seen without it.
    costs: str


@dataclass(frozen=True, slots=True)
class FullCross:
    """Every pack as sold under every condition, a fresh container at every check."""

    #: Containers of each batch [-].
    containers: int
    #: What they take of each batch [g].
    grams: Decimal


@dataclass(frozen=True, slots=True)
class StudyPlan:
    """All that is worked out of a study before T0, but what it can prove."""

    #: The study with its rows of samples.
    study: Study
    #: Its protocol.
    protocol: Protocol
    #: True where the rows were shared out here, False where the study stated them.
    is_shared: bool
    #: Share of each batch that can be filled into samples [-].
    usable: Decimal
    #: One line a purpose, in the order of the rows.
    lines: tuple[GramsLine, ...]
    #: One for each batch.
    batches: tuple[BatchGrams, ...]
    #: One for each attribute that is read.
    tests: tuple[AttributeUse, ...]
    #: Containers that are opened again, at each check.
    levels: tuple[FillLevel, ...]
    #: Every day with checks, in order.
    days: tuple[CheckDay, ...]
    #: Better days of placing.
    start_days: tuple[StartDay, ...]
    #: Time at the bench.
    bench: BenchHours
    #: A full cross, to compare with.
    full_cross: FullCross
    #: What sharing left out.
    left_out: tuple[LeftOut, ...] = ()
    #: Ways out where it is short of grams.
    ways_out: tuple[WayOut, ...] = ()
    #: What to know besides, most important first.
    cautions: tuple[str, ...] = ()

    @property
    def short_g(self) -> Decimal:
        """Return by how much all batches together are too small [g]."""
        return sum((one.short_g for one in self.batches), Decimal(0))

    @property
    def is_short(self) -> bool:
        """Say whether any batch is too small, or a container too soon empty."""
        return self.short_g > 0 or any(one.unread for one in self.levels)

    @property
    def rows(self) -> tuple[SampleRow, ...]:
        """Return the rows of samples."""
        return self.study.samples
