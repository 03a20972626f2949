"""Product, plan and samples as plain mappings for JSON; units stand in the keys."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from stability.evaluation.findings import Evaluation, Identity
from stability.evaluation.readings import CheckStatus, ComingCheck, SampleFate
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.limit import Limit
from stability.model.moment import Moment
from stability.model.study import Batch, Pack
from stability.report.chapters_plan import fate_text, method_text


def product_object(identity: Identity) -> dict[str, Any]:
    """Return what was tested, what is asked for, and how the record stands."""
    study, request = identity.study, identity.study.request
    return {
        "maker": study.maker or None,
        "product_type": study.product_type or None,
        "contains_water": study.contains_water,
        "as_sold": {
            "formula": study.as_sold.formula,
            "pack": study.as_sold.pack,
            "scale": study.as_sold.scale,
        },
        "requested_after_opening": _text(request.after_opening),
        "requested_storage": request.storage or None,
        "markets": list(request.markets),
        "formula_percent": _exact(study.formula),
        "batches": [_batch(one) for one in study.batches.values()],
        "packs": [_pack(one) for one in study.packs.values()],
        "opened": str(identity.opened),
        "opened_by": identity.opened_by,
        "first_reading": _text(identity.first_reading),
        "last_reading": _text(identity.last_reading),
        "limits_recorded": identity.limits_recorded,
        "checks_waiting": identity.checks_waiting,
    }


def protocol_object(identity: Identity) -> dict[str, Any]:
    """Return the protocol as it was frozen, with limits and reasons."""
    protocol, t0 = identity.protocol, identity.protocol.t0
    analysis = protocol.analysis
    return {
        "name": protocol.name,
        "version": protocol.version,
        "title": protocol.title,
        "purpose": protocol.purpose,
        "t0": {
            "read_after": str(t0.read_after),
            "read_before": str(t0.read_before),
            "place_within": str(t0.place_within),
        },
        "windows": [
            {
                "up_to": str(one.up_to),
                "before": str(one.before),
                "after": str(one.after),
            }
            for one in protocol.windows
        ],
        "confidence": float(analysis.confidence),
        "carries_request": analysis.carries_request,
        "evaluate_at": list(analysis.evaluate_at),
        "conditions": [_condition(one) for one in protocol.conditions.values()],
        "attributes": [
            _attribute(one)
            for one in protocol.attributes.values()
            if one.name not in identity.study.omit
        ],
        "left_out": dict(identity.study.omit),
        "sources": list(protocol.sources),
    }


def samples_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every sample and what became of it."""
    return [_sample(one) for one in evaluation.samples]


def checks_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every planned check of every sample, as it stands on the day."""
    return [_check(one) for one in evaluation.checks]


def coming_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return the checks that are due or coming."""
    return [_coming(one) for one in evaluation.coming]


def _batch(one: Batch) -> dict[str, Any]:
    return {
        "batch": one.name,
        "made": one.made.isoformat(),
        "filled": _day(one.filled),
        "mass_g": _text(one.grams),
        "pH_at_make": _text(one.pH_at_make),
        "process": dict(one.process),
    }


def _pack(one: Pack) -> dict[str, Any]:
    return {
        "pack": one.name,
        "what": one.text,
        "inert": one.inert,
        "fill_g": _text(one.fill_g),
        "tare_g": _text(one.tare_g),
    }


def _condition(one: Condition) -> dict[str, Any]:
    between = one.between
    return {
        "condition": one.name,
        "role": one.role,
        "kept_at": one.words(),
        "temperature_c": _text(one.temperature),
        "tolerance_c": _text(one.tolerance),
        "between_c": None if between is None else [str(end) for end in between],
        "humidity_percent": _text(one.humidity),
        "cycles": one.cycles,
        "cycle_hours": one.hours_per_cycle if one.steps else None,
        "checks": list(one.all_checks),
        "reason": one.reason,
        "checks_reason": one.checks_reason or None,
        "reason_kind": one.reason_kind,
        "if_outside_limit": one.if_outside_limit or None,
        "source": one.source or None,
    }


def _attribute(one: Attribute) -> dict[str, Any]:
    return {
        "attribute": one.name,
        "kind": one.kind,
        "unit": one.unit if one.kind == "measured" else None,
        "method": method_text(one),
        "scale": list(one.scale),
        "readings": one.readings,
        "resolution": _text(one.resolution),
        "observers": one.observers,
        "compared_with": one.compared_with,
        "provided_by": one.provided_by,
        "bears_request": one.bears_request,
        "fit_scale": one.fit_scale,
        "limit": _limit(one.limit, one.unit),
        "limit_at": {at: _limit(limit, one.unit) for at, limit in one.limit_at.items()},
    }


def _limit(one: Limit, unit: str) -> dict[str, Any]:
    return {
        "text": one.words(unit),
        "reason": one.reason or None,
        "reason_kind": one.reason_kind,
        "source": one.source or None,
    }


def _sample(one: SampleFate) -> dict[str, Any]:
    sample, left = one.sample, one.left
    return {
        "sample": sample.code,
        "kind": sample.kind,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": sample.condition,
        "use": sample.use,
        "twin_of": sample.twin_of,
        "checks": list(sample.checks),
        "placed": None if one.placed is None else str(one.placed.done),
        "left": None if left is None else str(left.done),
        "left_reason": None if left is None else left.reason,
        "stopped": None if one.stopped is None else str(one.stopped.done),
        "replaces": one.replaces,
        "replaced_by": one.replaced_by,
        "elsewhere": [
            {"condition": each.condition, "days": each.days, "from": str(each.start)}
            for each in one.exposures
        ],
        "text": fate_text(one),
    }


def _check(one: CheckStatus) -> dict[str, Any]:
    planned = one.planned
    return {
        "sample": one.sample.code,
        "check": planned.check,
        "opens": planned.opens.isoformat(),
        "due": planned.due.isoformat(),
        "closes": planned.closes.isoformat(),
        "state": one.state,
        "made": _text(one.made_on),
        "text": one.text,
    }


def _coming(one: ComingCheck) -> dict[str, Any]:
    return {
        "check": one.check,
        "condition": one.condition,
        "opens": one.opens.isoformat(),
        "due": one.due.isoformat(),
        "closes": one.closes.isoformat(),
        "state": one.state,
        "provisional": one.provisional,
        "samples": list(one.samples),
    }


def _day(one: date | None) -> str | None:
    return None if one is None else one.isoformat()


def _text(one: Moment | Decimal | object | None) -> str | None:
    """Return a value as typed, so that no digit is lost; None for nothing."""
    return None if one is None else str(one)


def _exact(shares: Mapping[str, Decimal]) -> dict[str, str]:
    return {name: str(share) for name, share in shares.items()}
