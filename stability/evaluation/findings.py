"""The one evaluation of a study as of a day, of which every output is a view.

Findings are what the evaluation concludes; the verdict is the assessor's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from stability.evaluation.ageing_findings import AgeingFindings
from stability.evaluation.amendment_findings import AmendmentFinding
from stability.evaluation.certificate_findings import Certificates
from stability.evaluation.contrast_findings import Contrasts
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.instrument_findings import Instruments
from stability.evaluation.life_findings import LifeFindings
from stability.evaluation.photograph_findings import PhotographSeen
from stability.evaluation.readings import (
    CheckStatus,
    ComingCheck,
    CycleRun,
    JudgedObservation,
    SampleFate,
    Weight,
)
from stability.evaluation.series import (
    Comparison,
    CurvatureFinding,
    MeasuredSeries,
    SeriesState,
    WordSeries,
)
from stability.evaluation.storage_findings import NOT_LOOKED_AT, Storage
from stability.model.condition import Role
from stability.model.entry import Head
from stability.model.estimate import Caution, TrendTests
from stability.model.moment import Moment
from stability.model.protocol import Protocol
from stability.model.scores import worse_by_chance
from stability.model.study import Study

#: What a reading outside its limit means for the request.
Meaning = Literal[
    "bearing the request",
    "long-term, not bearing the request",
    "intermediate and accelerated",
    "stress as declared",
    "control",
    "T0",
]
#: What one cell of attribute × condition amounts to.
CellState = SeriesState | Literal["not planned", "missed"]
#: What happened in the record, other than a plain reading on its day.
RecordKind = Literal[
    "missed",
    "not recorded",
    "late",
    "early",
    "not measured",
    "corrected",
    "set aside",
    "repeated",
    "extra",
    "at make",
    "lost",
    "failed",
    "replaced",
    "swapped",
    "placed late",
    "deviation",
    "doubtful",
    "not calibrated",
    "retired instrument",
    "cycle",
    "excursion",
    "stopped",
    "amended",
    "lodged",
    "taken over",
    "follow-up",
]


@dataclass(frozen=True, slots=True)
class SampleCounts:
    """Samples made, placed, read, left, lost [-]."""

    #: Samples assigned in the plan.
    assigned: int
    #: Samples placed in a condition.
    placed: int
    #: Samples of which something was read.
    read: int
    #: Samples still in the study.
    remaining: int
    #: Samples that left as broken, lost or other.
    lost: int
    #: Samples that left as failed: leaking, gassing, mouldy, separated.
    failed: int
    #: Samples that were used up or sent out.
    used: int
    #: Samples whose batch, pack, condition or study was stopped while they were there.
    stopped: int
    #: Samples that took another's part.
    replacements: int


@dataclass(frozen=True, slots=True)
class Identity:
    """What was evaluated, from which record, as of when."""

    #: The study file.
    study: Study
    #: The frozen protocol.
    protocol: Protocol
    #: Plan fingerprint: digest of the opening entry.
    fingerprint: str
    #: SHA-256 of the protocol's text.
    protocol_digest: str
    #: The last entry taken into account: the anchor.
    head: Head
    #: The day as of which everything is said.
    as_of: date
    #: Final when every planned check is made or ended; interim otherwise.
    state: Literal["interim", "final"]
    #: Planned checks that may still be made [-].
    checks_waiting: int
    #: When the study was opened.
    opened: Moment
    #: Who opened it.
    opened_by: str
    #: First observation; None before it.
    first_reading: Moment | None
    #: Newest observation; None before the first.
    last_reading: Moment | None
    #: Whether the limits were on record before the first reading, in a sentence.
    limits_recorded: str
    #: Batches [-].
    batches: int
    #: Packs [-].
    packs: int
    #: Samples by what became of them.
    samples: SampleCounts
    #: Whether the limits were recorded only after the day of the first reading.
    limits_late: bool = False


@dataclass(frozen=True, slots=True)
class SummaryCell:
    """One attribute under one condition, over all batches and packs."""

    #: Attribute.
    attribute: str
    #: Condition; "T0" for the initial values.
    condition: str
    #: Role of the condition; None for T0.
    role: Role | None
    #: What all readings together amount to; "not planned" where none is asked for,
    #: "missed" where checks are past and none was made.
    state: CellState
    #: Observations outside their limit, samples retired as failed among them [-].
    outside: int
    #: Observations read and judged, samples retired as failed among them [-].
    read: int
    #: Sample checks whose window is over without a reading [-].
    missing: int
    #: First check outside its limit, or "extra"; None where none is.
    first_outside: str | None
    #: Last check read; None where none was.
    last_read: str | None
    #: The cell in words: "outside at 8w (2 of 6)".
    text: str


@dataclass(frozen=True, slots=True)
class OutsideFinding:
    """All that lies outside its limit in one attribute, condition, pack and batch."""

    #: Attribute; "sample" where a container failed as a whole.
    attribute: str
    #: Condition; "T0" for the initial values.
    condition: str
    #: Pack; "" for bulk.
    pack: str
    #: Batch.
    batch: str
    #: First check outside, or "extra".
    first: str
    #: Last check inside before it; None where there is none.
    last_inside: str | None
    #: The observations outside their limit, oldest first.
    observations: tuple[JudgedObservation, ...]
    #: Samples that left as failed, which counts for what can no longer be read.
    retired: tuple[SampleFate, ...]
    #: Observations read and judged in this attribute, condition, pack and batch [-].
    read: int
    #: What the protocol says a failure here means; "" where it says nothing.
    meaning_text: str
    #: In one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class OutsideGroup:
    """Findings outside their limits that mean the same for the request."""

    #: What they mean.
    meaning: Meaning
    #: The findings, first failed first.
    findings: tuple[OutsideFinding, ...]


@dataclass(frozen=True, slots=True)
class MonthsShown:
    """How far real time has shown the product to hold, in one pack."""

    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: Batches that stand behind it.
    batches: tuple[str, ...]
    #: Last check at which the attributes that bear the request passed in every
    #: batch, by the attribute shown for least; None where none did.
    check: str | None
    #: Whole months that this check proves [months].
    months: int
    #: Whole months shown by checks made on or after their dates; only these can
    #: carry the request [months].
    months_for_request: int
    #: Batches in which something failed, and where: (batch, attribute, check).
    failures: tuple[tuple[str, str, str], ...]
    #: Why a later check that was read does not count; () where none is.
    not_counted: tuple[tuple[str, str], ...]
    #: In words: "shown to 12M (12 months), 3 batches".
    text: str


@dataclass(frozen=True, slots=True)
class RecordRemark:
    """One thing that happened in the record."""

    #: What kind.
    kind: RecordKind
    #: Whether it stays inside the rules.
    weight: Weight
    #: Sample code; None where several or none are meant.
    sample: str | None
    #: Check; None where none is meant.
    check: str | None
    #: Attribute; None where the whole check or sample is meant.
    attribute: str | None
    #: Position of the entry; None where it is derived from plan and day.
    position: int | None
    #: When; None where it is derived.
    done: Moment | None
    #: Who; "" where it is derived.
    person: str
    #: In words, with the reason given.
    text: str
    #: How many things it tells of at once [-].
    count: int = 1


@dataclass(frozen=True, slots=True)
class RecordRemarks:
    """All that a reader must know about the record, in the order of the kinds."""

    #: The remarks.
    remarks: tuple[RecordRemark, ...]

    def of(self, *kinds: RecordKind) -> tuple[RecordRemark, ...]:
        """Return the remarks of some kinds."""
        return tuple(one for one in self.remarks if one.kind in kinds)

    def counts(self) -> dict[RecordKind, int]:
        """Return kind -> how many, for the kinds that occur."""
        found: dict[RecordKind, int] = {}
        for one in self.remarks:
            found[one.kind] = found.get(one.kind, 0) + one.count
        return found

    @property
    def deviating(self) -> int:
        """How many things leave the rules [-]."""
        return sum(one.count for one in self.deviations)

    @property
    def deviations(self) -> tuple[RecordRemark, ...]:
        """Remarks that leave the rules."""
        return tuple(one for one in self.remarks if one.weight == "deviation")


@dataclass(frozen=True, slots=True)
class Multiplicity:
    """How many slopes would look significant by chance alone."""

    #: Slopes fitted [-].
    slopes: int
    #: Slopes with p below 0.05 expected by chance, 0.05 × slopes [-].
    by_chance: float
    #: Slopes with p below 0.05 [-].
    found: int
    #: The counts in one sentence; "" without slopes.
    text: str


@dataclass(frozen=True, slots=True)
class Evaluation:
    """A study evaluated as of a day. Nothing in it reads a clock."""

    #: What was evaluated.
    identity: Identity
    #: Every observation ever made, in order of the entries.
    judged: tuple[JudgedObservation, ...]
    #: Every planned check of every sample, by due date.
    checks: tuple[CheckStatus, ...]
    #: What happened to each sample, by code.
    samples: tuple[SampleFate, ...]
    #: Cycles as they were run.
    cycles: tuple[CycleRun, ...]
    #: Series of numbers, in the protocol's order.
    measured: tuple[MeasuredSeries, ...]
    #: Series of scores and statements, in the protocol's order.
    worded: tuple[WordSeries, ...]
    #: Bending, once for each attribute, condition and pack.
    curvatures: tuple[CurvatureFinding, ...]
    #: Out-of-trend tests made, with what chance alone would give.
    trend: TrendTests
    #: Days on which several series were out of trend, with their number.
    trend_days: tuple[tuple[date, int], ...]
    #: Conditions beside their comparisons, check by check.
    comparisons: tuple[Comparison, ...]
    #: Conditions, batches and packs beside each other, over all checks.
    contrasts: Contrasts
    #: Attribute × condition, in the protocol's order.
    summary: tuple[SummaryCell, ...]
    #: What lies outside its limit, grouped by what it means; failures first.
    outside: tuple[OutsideGroup, ...]
    #: Months shown, pack by pack.
    shown: tuple[MonthsShown, ...]
    #: Months shown over all packs: the smallest [months].
    months_shown: int
    #: Months shown in words: "no long-term check passed yet".
    months_shown_text: str
    #: What happened in the record.
    record: RecordRemarks
    #: Checks that are due or coming, by due date.
    coming: tuple[ComingCheck, ...]
    #: Slopes that would look significant by chance.
    multiplicity: Multiplicity
    #: Cautions that apply to this product and these conditions.
    cautions: tuple[Caution, ...]
    #: The note on qualified assessment, printed with every output.
    note: str
    #: The shelf life chapter; None where nothing bears the request in real time.
    shelf_life: LifeFindings | None = None
    #: Heat beside real time; supportive, and part of no shelf life.
    ageing: AgeingFindings | None = None
    #: Amendments of the plan, in order.
    amendments: tuple[AmendmentFinding, ...] = ()
    #: Certificates of laboratories, and what the protocol asks for of them.
    certificates: Certificates = field(default_factory=Certificates)

    #: The instruments that readings name, and what names none.
    instruments: Instruments = field(default_factory=Instruments)
    #: What readings outside their limits ask, in order of the entries.
    follow_ups: tuple[FollowUp, ...] = ()
    #: What the storage places did while samples stood there.
    storage: Storage = NOT_LOOKED_AT
    #: Photographs, in order of the entries.
    photographs: tuple[PhotographSeen, ...] = ()

    @property
    def worse_by_chance(self) -> str:
        """Say how many scores would seem to grow worse by chance; "" without a p."""
        return worse_by_chance([one.trend for one in self.worded if one.trend])

    @property
    def anything_outside(self) -> bool:
        """Say whether a standing observation lies outside its limit."""
        return bool(self.outside)
