"""What every attribute of one long-term condition and pack brings to the request."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from stability.evaluation.evidence import Evidence
from stability.evaluation.index import Index, unit_judged
from stability.evaluation.life_findings import AcceleratedArm, AttributeLife
from stability.evaluation.shown import reaching, shown_of
from stability.model.attribute import Attribute
from stability.model.condition import StorageClass
from stability.model.shelf_life import Bearing, Cap, Shown
from stability.statistics.cap import BORROWED, extrapolation_cap
from stability.statistics.shelf_life import FEWEST_CHECKS
from stability.statistics.support import last_pass_before_failure, months_shown

#: Why few checks bear no estimate.
FEW_CHECKS = f"fewer than {FEWEST_CHECKS} checks carry no estimate"
_NO_CLASS = "the long-term temperature tells no storage class"


@dataclass(frozen=True, slots=True)
class Setting:
    """What holds for all attributes of one long-term condition and pack."""

    #: The record, looked up once.
    index: Index
    #: What real time says there.
    evidence: Evidence
    #: What the accelerated arm of the pack allows.
    arm: AcceleratedArm
    #: Storage for which the product is meant; None where nothing tells it.
    storage: StorageClass | None


def cap_of(setting: Setting, shown: Shown, *, analysed: bool, blocked: str) -> Cap:
    """Return the cap of one batch, with the reason that blocks it, if any does."""
    longest = setting.index.protocol.analysis.longest_extrapolation
    reason = blocked or (_NO_CLASS if setting.storage is None else "")
    cap = extrapolation_cap(
        shown.months,
        storage=setting.storage or "room",
        significant_change=setting.arm.change,
        evidence="analysed" if analysed else "not analysed",
        accelerated_finished=setting.arm.finished,
        blocked=bool(reason),
        longest=None if longest is None else float(longest.whole_months),
    )
    return replace(cap, text=f"{reason}. {BORROWED}") if reason else cap


def own_shown(setting: Setting, attribute: Attribute, batch: str) -> Shown:
    """Return how long one batch was shown to hold."""
    outcomes = setting.evidence.outcomes.get(attribute.name, {}).get(batch, ())
    own = months_shown(outcomes, before_first_failure=True)
    return reaching(setting.evidence, attribute.name, own)


def bearing_of(
    setting: Setting,
    attribute: Attribute,
    name: str,
    batch: str,
    *,
    shown: Shown,
    cap: Cap,
    estimate: tuple[float | None, str],
) -> Bearing:
    """Return what one batch, or one container of it, brings to the request."""
    evidence = setting.evidence
    outcomes = evidence.outcomes.get(attribute.name, {}).get(batch, ())
    return Bearing(
        attribute=attribute.name,
        pack=evidence.pack,
        batch=name,
        shown=shown,
        cap=cap,
        estimate=estimate[0],
        ends_at=last_pass_before_failure(outcomes),
        basis=estimate[1],
        shown_by_all=shown_of(evidence, attribute.name),
        condition=evidence.condition,
    )


def blank_life(
    setting: Setting,
    attribute: Attribute,
    kind: Literal["fitted", "weight loss", "worded"],
    *,
    bearings: tuple[Bearing, ...],
) -> AttributeLife:
    """Return a life that holds no estimate yet."""
    limit = attribute.limit_in(setting.evidence.condition)
    unit = unit_judged(attribute) if attribute.kind == "measured" else ""
    return AttributeLife(
        attribute=attribute.name,
        condition=setting.evidence.condition,
        pack=setting.evidence.pack,
        kind=kind,
        unit=unit,
        limit=limit,
        limit_text=limit.words(unit),
        bounds=(),
        life=None,
        weight_loss=None,
        shown=shown_of(setting.evidence, attribute.name),
        bearings=bearings,
        share_outside=(),
        cautions=(),
    )
