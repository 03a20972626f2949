"""What a plan can prove, attribute by attribute and check by check.

Every chance stands beside what was assumed to work it out. Nothing here replaces
assessment by a qualified safety assessor; whatever prints these records says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class Scatter:
    """How much one check of one container scatters around its own straight line."""

    #: Standard deviation: in the attribute's unit, or a share of the start [-].
    amount: float
    #: True where `amount` is a share of the start and not in the attribute's unit.
    is_share: bool = False
    #: Where it comes from, in words.
    basis: str = "stated"
    #: True where the maker stated it.
    stated: bool = True


@dataclass(frozen=True, slots=True)
class PlanAssumptions:
    """What is assumed of product, batches and readings before there are any."""

    #: Attribute -> scatter that the maker knows; others take a default where there is
    #: one.
    scatter: Mapping[str, Scatter] = field(default_factory=dict)
    #: Attribute -> value at T0 that the maker expects [attribute's unit].
    start: Mapping[str, float] = field(default_factory=dict)
    #: Share of the room to the limit that the product uses up by the life asked for,
    #: one for each case that is worked out [-].
    room_used: tuple[float, ...] = (0.0, 1 / 2, 2 / 3)
    #: Standard deviation between batches, of the start and of the change over the life
    #: asked for, as a share of the room to the limit [-].
    batch_spread: float = 0.1
    #: Share of a check's variance that all containers of one day have in common [-].
    day_share: float = 0.5


@dataclass(frozen=True, slots=True)
class Chances:
    """What can be expected of one attribute in one case of drift."""

    #: Share of the room that is used up by the life asked for [-].
    room_used: float
    #: Chance that every series with checks enough gives an estimate [-]; 0 where none
    #: has; None where nothing is estimated.
    estimate: float | None
    #: Chance that no single reading lies outside its limit by then [-]; None where
    #: nothing is measured.
    inside: float | None
    #: Chance that the life asked for is supported [-]; None where it cannot be told.
    support: float | None


@dataclass(frozen=True, slots=True)
class AttributeProspect:
    """What one attribute in one pack brings to the request at one evaluation."""

    #: Attribute.
    attribute: str
    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: How it is evaluated: by a line, by rates of loss, or by its words.
    kind: Literal["fitted", "weight loss", "worded"]
    #: Batches that have samples there.
    batches: tuple[str, ...]
    #: Series that must each hold: a batch, or a reopened container of it [-].
    series: int
    #: Fewest checks of any series by then, T0 among them [-].
    checks: int
    #: Most checks of any series by then [-].
    most_checks: int
    #: Series with checks enough for an estimate [-].
    estimated: int
    #: Fewest containers read at one check of one series [-].
    containers: int
    #: Readings of one container at one check [-].
    readings: int
    #: Containers read by then, over all batches [-].
    containers_read: int
    #: Months shown if everything passes [months].
    shown: int
    #: Longest life that may be supported then [months].
    cap: float
    #: Why this cap, in words.
    cap_text: str
    #: The limit in words.
    limit_text: str
    #: The scatter assumed, in words; "" where none is.
    scatter_text: str
    #: One for each case of drift, in the order of the assumptions.
    chances: tuple[Chances, ...]
    #: Share of all containers that may fail although none of those read does, by the
    #: 95 % bound [-]; None where nothing is scored or read.
    may_fail: float | None
    #: Smallest drift per month noticed with 80 % power in one series, in words; ""
    #: where there is no line.
    noticed: str
    #: Why no chance can be told; "" where one can.
    unknown: str
    #: The prospect in one sentence, with its assumptions.
    text: str


@dataclass(frozen=True, slots=True)
class RequestChance:
    """The chance that the whole request is supported, in one case of drift."""

    #: Share of the room that is used up by the life asked for [-].
    room_used: float
    #: The smallest chance of all attributes and packs: at most this [-]; None where no
    #: attribute's chance can be told.
    at_most: float | None
    #: The product of all of them: at least this, where they move together [-].
    at_least: float | None


@dataclass(frozen=True, slots=True)
class EvaluationProspect:
    """What the evaluation at one long-term check can be expected to say."""

    #: The check, such as "12M".
    check: str
    #: True where the protocol names it for judging the request.
    is_planned_look: bool
    #: Months shown if everything passes [months].
    shown: int
    #: Longest life that may be supported then, over all that bears the request
    #: [months].
    cap: float
    #: What keeps it there, in words.
    governing: str
    #: One for each case of drift.
    chances: tuple[RequestChance, ...]
    #: What each attribute and pack brings.
    attributes: tuple[AttributeProspect, ...]
    #: True where a declared provisional answer can be given from this check on.
    provisional: bool
    #: The prospect in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """A change of the plan, what it costs, and what it buys."""

    #: The change, such as "a second fresh container at every check".
    change: str
    #: Further containers [-]; 0 where it costs time only.
    containers: int
    #: Further mass of product [g]; None where it cannot be told.
    grams: float | None
    #: Share of the room that is used up in the case held against each other [-].
    room_used: float
    #: Chance of the request now, at most [-]; None where it cannot be told.
    now: float | None
    #: The same with the change.
    then: float | None
    #: Longest life that may be supported now [months].
    cap_now: float
    #: The same with the change.
    cap_then: float
    #: The check at which the changed plan is judged.
    check: str
    #: What it buys besides; "" for nothing else.
    besides: str
    #: The change in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class PlanProspects:
    """All that a plan can prove, ready to print."""

    #: Life asked for [months].
    asked: int
    #: Batches [-].
    batches: int
    #: One for each long-term check, youngest first; empty without a long-term check.
    evaluations: tuple[EvaluationProspect, ...]
    #: First planned look at which the request can be supported; None where none can.
    earliest: str | None
    #: What would buy months or certainty.
    purchases: tuple[Purchase, ...]
    #: What was assumed, one sentence each; printed wherever a chance is.
    assumptions: tuple[str, ...]
    #: What follows, in sentences ready to print, most important first.
    text: tuple[str, ...]

    @property
    def final(self) -> EvaluationProspect | None:
        """Return the last planned look, else the last check; None without a check."""
        looks = [one for one in self.evaluations if one.is_planned_look]
        last = looks or list(self.evaluations)
        return last[-1] if last else None

    @property
    def judged(self) -> EvaluationProspect | None:
        """Return the look at which the request can be supported first, else the last.

        Changes of the plan are held against it.
        """
        for one in self.evaluations:
            if one.check == self.earliest:
                return one
        return self.final
