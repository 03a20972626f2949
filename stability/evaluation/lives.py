"""The shelf life chapter: every attribute and pack, and the request as a whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from stability.evaluation.accelerated import accelerated_arm
from stability.evaluation.attribute_lives import attribute_lives
from stability.evaluation.bearings import Setting
from stability.evaluation.evidence import Evidence
from stability.evaluation.failed_certificates import certified_lives
from stability.evaluation.failures import Seen
from stability.evaluation.index import Index
from stability.evaluation.life_cautions import silent_cautions
from stability.evaluation.life_findings import (
    AttributeLife,
    LifeFindings,
    Look,
    PackSupport,
)
from stability.evaluation.requested import look_of, outcome_of, provisional_rule
from stability.evaluation.series import MeasuredSeries
from stability.model.condition import StorageClass, storage_class_of
from stability.model.estimate import Caution
from stability.model.shelf_life import ProvisionalRule
from stability.statistics.support import supported_months

_BORROWED = Caution(
    "borrowed-rule",
    "The bounds of the mean and the cap on extrapolation are borrowed from ICH Q1E, "
    "which is written for medicines.",
)
_NO_CORRECTION = Caution(
    "shortest-governs",
    "The shortest attribute and the shortest batch govern: every one of them has to "
    "hold, so that their number needs no correction.",
)
_NO_CLASS = Caution(
    "storage-class",
    "The long-term temperature tells no storage class and none is stated: nothing is "
    "claimed beyond the months shown.",
    blocks_extrapolation=True,
)
# Why an attribute of certificates takes part in no line.
_CERTIFIED: Final = (
    "told by a laboratory's certificate; a failed one ends what is supported"
)


def life_findings(
    index: Index,
    evidence: Sequence[Evidence],
    seen: Seen,
    measured: Sequence[MeasuredSeries],
) -> LifeFindings | None:
    """Return the shelf life chapter; None where nothing bears the request.

    Parameters
    ----------
    index
        The record, looked up once.
    evidence
        What real time says, for each long-term condition and pack.
    seen, measured
        Of the whole study.
    """
    bearing = (one for one in evidence if one.planned or one.certified)
    settings = [_setting(index, one, seen) for one in bearing]
    if not settings:
        return None
    # What failed by certificate stands first, so that of equals it is named.
    lives = [
        (*certified_lives(one.evidence), *attribute_lives(one, measured))
        for one in settings
    ]
    look = look_of(index, seen.statuses)
    rule = provisional_rule(
        index,
        evidence,
        seen,
        declared_before_t0=_declared_before_t0(index),
    )
    packs = tuple(
        _pack(setting, found, look, rule)
        for setting, found in zip(settings, lives, strict=True)
    )
    everything = tuple(life for found in lives for life in found)
    supported = supported_months([one for life in everything for one in life.bearings])
    asked = index.record.study.request.months
    return LifeFindings(
        asked=asked,
        attributes=everything,
        left_out=tuple(_left_out(index, evidence)),
        storage=settings[0].storage,
        look=look,
        provisional=rule,
        packs=packs,
        supported=supported,
        request=outcome_of(asked, supported, look, rule),
        cautions=(*_cautions(settings), *silent_cautions(index, evidence)),
    )


def _setting(index: Index, evidence: Evidence, seen: Seen) -> Setting:
    storage: StorageClass | None = storage_class_of(
        index.protocol.conditions[evidence.condition]
    )
    arm = accelerated_arm(index, evidence.pack, storage, seen)
    return Setting(index, evidence, arm, storage)


def _pack(
    setting: Setting,
    lives: Sequence[AttributeLife],
    look: Look,
    rule: ProvisionalRule | None,
) -> PackSupport:
    supported = supported_months([one for life in lives for one in life.bearings])
    asked = setting.index.record.study.request.months
    return PackSupport(
        condition=setting.evidence.condition,
        pack=setting.evidence.pack,
        accelerated=setting.arm,
        supported=supported,
        request=outcome_of(asked, supported, look, rule),
    )


def _declared_before_t0(index: Index) -> bool:
    """Say whether the protocol was on record by the day of the first reading."""
    record = index.record
    readings = [seen.done.day for seen in record.observations]
    stored = record.opening.entered.astimezone(record.zone).date()
    return not readings or stored <= min(readings)


def _left_out(index: Index, evidence: Sequence[Evidence]) -> Iterator[tuple[str, str]]:
    planned = {name for one in evidence for name in one.planned}
    for name, attribute in index.protocol.attributes.items():
        if name in planned:
            continue
        if name in index.record.study.omit:
            yield name, f"the study file says: {index.record.study.omit[name]}"
        elif not attribute.bears_request:
            yield name, "declared not to bear the request"
        elif attribute.provided_by == "certificate":
            yield name, _CERTIFIED
        else:
            yield name, "not judged under long-term storage"


def _cautions(settings: Sequence[Setting]) -> tuple[Caution, ...]:
    found = [_BORROWED, _NO_CORRECTION]
    if any(one.storage is None for one in settings):
        found.append(_NO_CLASS)
    return tuple(found)
