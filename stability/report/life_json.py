"""The shelf life chapter as plain mappings for JSON: all of it in months."""

from __future__ import annotations

from typing import Any

from stability.evaluation.life_findings import AttributeLife, LifeFindings
from stability.model.shelf_life import Bearing, Supported
from stability.report.chapters_life import estimate_texts, provisional_text


def life_object(life: LifeFindings | None) -> dict[str, Any] | None:
    """Return the shelf life chapter; None where there is none."""
    if life is None:
        return None
    return {
        "requested_months": life.asked,
        **_supported(life.supported),
        "outcome": life.request.outcome,
        "outcome_text": life.request.text,
        "look": {
            "check": life.look.check,
            "planned": life.look.planned,
            "text": life.look.text,
        },
        "packs": [
            {
                "condition": one.condition,
                "pack": one.pack,
                **_supported(one.supported),
                "outcome": one.request.outcome,
                "outcome_text": one.request.text,
                "accelerated": one.accelerated.text,
            }
            for one in life.packs
        ],
        "storage": life.storage,
        "rule_of_thumb": provisional_text(life.provisional),
        "left_out": dict(life.left_out),
        "estimates": [_estimate(one, life.asked) for one in life.attributes],
        "attributes": [
            _bearing(one, each) for one in life.attributes for each in one.bearings
        ],
        "cautions": [one.text for one in life.cautions],
    }


def _supported(one: Supported) -> dict[str, Any]:
    return {
        "shown_months": one.shown,
        "estimated_months": one.estimated,
        "estimate_above_cap": one.estimate_above_cap,
        "supported_months": one.months,
        "basis": one.text,
    }


def _bearing(life: AttributeLife, one: Bearing) -> dict[str, Any]:
    return {
        "attribute": life.attribute,
        "condition": life.condition,
        "pack": life.pack,
        "batch": one.batch,
        "kind": life.kind,
        "limit": life.limit_text,
        "shown_months": one.shown.months,
        "estimate_months": one.estimate,
        "cap_months": one.cap.months,
        "cap": one.cap.text,
        "ends_at_months": one.ends_at,
        "at_most_months": one.limit,
        "basis": one.basis,
    }


def _estimate(one: AttributeLife, asked: int) -> dict[str, Any]:
    return {
        "attribute": one.attribute,
        "condition": one.condition,
        "pack": one.pack,
        "shares_outside_at_request": [
            {"batch": each.batch, "side": each.bound.side, "share": each.share}
            for each in one.share_outside
        ],
        "text": " ".join(estimate_texts(one, asked)),
    }
