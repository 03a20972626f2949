"""Heat beside real time as plain mappings for JSON; units stand in the keys."""

from __future__ import annotations

from typing import Any

from stability.evaluation.ageing_findings import (
    AgeingFindings,
    HeatFinding,
    KineticFinding,
)
from stability.model.ageing import ArrheniusFit


def ageing_object(found: AgeingFindings | None) -> dict[str, Any] | None:
    """Return rules of thumb and Arrhenius fits; None where there are none."""
    if found is None:
        return None
    limit = found.structural_limit
    return {
        "structural_limit_c": None if limit is None else float(limit.temperature),
        "structural_limit_reason": None if limit is None else limit.reason,
        "rules_of_thumb": [_heat(one) for one in found.heat],
        "no_rules_of_thumb": found.no_heat or None,
        "arrhenius": [_kinetic(one) for one in found.kinetics],
        "no_arrhenius": found.no_kinetics or None,
        "cautions": [{"code": one.code, "text": one.text} for one in found.cautions],
    }


def _heat(one: HeatFinding) -> dict[str, Any]:
    return {
        "condition": one.condition,
        "role": one.role,
        "temperature_c": one.celsius,
        "attributes": list(one.attributes),
        "outcome": one.outcome,
        "check": one.check,
        "days": one.days,
        "storage_condition": one.against.condition,
        "storage_c": one.against.celsius,
        "storage_range_c": [one.against.lowest, one.against.highest],
        "translations": [
            {
                "q10": each.q10,
                "factor": each.factor,
                "days": each.days,
                "range_days": [each.lowest_days, each.highest_days],
            }
            for each in one.translations
        ],
        "text": one.text,
    }


def _kinetic(one: KineticFinding) -> dict[str, Any]:
    key = one.key
    said: dict[str, Any] = {
        "attribute": key.attribute,
        "pack": key.pack,
        "batch": key.batch,
        "settings": dict(key.settings),
        "unit": one.unit,
        "scale": one.scale,
        "storage_condition": one.against.condition,
        "storage_c": one.against.celsius,
        "conditions_c": dict(one.conditions),
        "left_out": dict(one.left_out),
        "cautions": [each.text for each in one.cautions],
        "text": one.text,
    }
    if not isinstance(one.result, ArrheniusFit):
        return {**said, "no_fit": one.result.code}
    fit = one.result
    return {
        **said,
        "rate_per_month": fit.rate,
        "rate_interval_per_month": list(fit.rate_interval),
        "energy_kj_per_mol": fit.energy,
        "energy_interval_kj_per_mol": list(fit.energy_interval),
        "confidence": fit.confidence,
        "readings": fit.n,
        "df": fit.df,
        "f": fit.f,
        "f_df": [fit.df_top, fit.df_bottom],
        "p": fit.p,
    }
