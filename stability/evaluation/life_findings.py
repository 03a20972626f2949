"""What the evaluation says of shelf life. Ages and lives are months."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.model.condition import StorageClass
from stability.model.estimate import Bound, Caution, NoFit
from stability.model.limit import Limit
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import (
    Bearing,
    ProvisionalRule,
    RequestOutcome,
    ShelfLife,
    Shown,
    SignificantChange,
    Supported,
)


@dataclass(frozen=True, slots=True)
class ShareOutside:
    """Expected share of single containers outside at the shelf life asked for."""

    #: Batch, with the container where a reopened one stands for itself.
    batch: str
    #: The bound.
    bound: Bound
    #: Expected share [-]; None where it cannot be told.
    share: float | None


@dataclass(frozen=True, slots=True)
class AttributeLife:
    """One attribute in one pack under one long-term condition."""

    #: Attribute.
    attribute: str
    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: How it is evaluated.
    kind: Literal["fitted", "weight loss", "worded", "certified"]
    #: Unit of what is judged.
    unit: str
    #: The limit that holds.
    limit: Limit
    #: The limit in words.
    limit_text: str
    #: The limit as bounds that lines are held against; empty for words.
    bounds: tuple[Bound, ...]
    #: Both estimates, or why there is none; None for words and weight loss.
    life: ShelfLife | NoFit | None
    #: Life from the rates of loss, or why there is none; None for others.
    weight_loss: WeightLossLife | NoFit | None
    #: What was shown in every batch.
    shown: Shown
    #: What each batch (or reopened container) brings to the request.
    bearings: tuple[Bearing, ...]
    #: Expected share of single containers outside at the shelf life asked for.
    share_outside: tuple[ShareOutside, ...]
    #: Cautions, each with its consequence.
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class AcceleratedArm:
    """What accelerated and intermediate conditions allow, for one pack."""

    #: Pack.
    pack: str
    #: Accelerated conditions with samples in this pack.
    conditions: tuple[str, ...]
    #: Whether every one of them was finished as the protocol defines it.
    finished: bool
    #: Whether what bears the request left its limit there, and what follows.
    change: SignificantChange
    #: Whether a score or statement moved there or under long-term storage.
    words_moved: bool
    #: In one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class PackSupport:
    """Months shown, estimated and supported in one pack."""

    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: What its accelerated arm allows.
    accelerated: AcceleratedArm
    #: Months shown, estimated and supported, with the basis in one sentence.
    supported: Supported
    #: What that says about the request.
    request: RequestOutcome


@dataclass(frozen=True, slots=True)
class Look:
    """At which check this evaluation stands, and whether it may judge a request."""

    #: Newest long-term check with nothing still to be read; None before the first.
    check: str | None
    #: Whether the protocol names it for judging the request.
    planned: bool
    #: In one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class LifeFindings:
    """The shelf life chapter of an evaluation."""

    #: Life asked for [months].
    asked: int
    #: Attributes that bear the request, in the protocol's order.
    attributes: tuple[AttributeLife, ...]
    #: Attributes that bear no request or have no limit, with why they are left out.
    left_out: tuple[tuple[str, str], ...]
    #: Storage for which the product is meant; None where nothing tells it.
    storage: StorageClass | None
    #: At which check this evaluation stands.
    look: Look
    #: The provisional rule and where it stands; None where none was declared.
    provisional: ProvisionalRule | None
    #: Pack by pack.
    packs: tuple[PackSupport, ...]
    #: Over all packs: the smallest governs.
    supported: Supported
    #: What that says about the request.
    request: RequestOutcome
    #: Cautions for the whole chapter.
    cautions: tuple[Caution, ...]
