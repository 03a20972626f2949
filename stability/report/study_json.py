"""The evaluation as JSON: stable keys, units in their names, exact values as text."""

from __future__ import annotations

import json
from typing import Any

from stability.evaluation.contrast_findings import DriftContrast, Side
from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import AttributeLife, LifeFindings
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import MeasuredSeries, WordSeries
from stability.model.estimate import Drift
from stability.model.forecast_words import forecast_words
from stability.model.shelf_life import Bearing, Supported
from stability.report.ageing_json import ageing_object
from stability.report.certificates_json import certificates_object
from stability.report.chapters_amended import amendments_object
from stability.report.chapters_conclusion import conclusion_object
from stability.report.chapters_follow_ups import follow_ups_object
from stability.report.chapters_instruments import instruments_object
from stability.report.chapters_photographs import photographs_object
from stability.report.chapters_storage import storage_object
from stability.report.chapters_where import labels_object


def study_json(evaluation: Evaluation) -> str:
    """Return the whole evaluation as JSON, indented, ending in a newline."""
    return json.dumps(study_object(evaluation), indent=1, ensure_ascii=False) + "\n"


def study_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return the evaluation as plain lists and mappings."""
    return {
        **_identity(evaluation),
        "months_shown": evaluation.months_shown,
        "months_shown_text": evaluation.months_shown_text,
        "shown": [
            {
                "condition": one.condition,
                "pack": one.pack,
                "batches": list(one.batches),
                "check": one.check,
                "months": one.months,
                "months_for_request": one.months_for_request,
                "text": one.text,
            }
            for one in evaluation.shown
        ],
        "shelf_life": life_object(evaluation.shelf_life),
        "ageing": ageing_object(evaluation.ageing),
        "conclusion": conclusion_object(evaluation),
        "durability_on_label": labels_object(evaluation),
        "outside": _outside(evaluation),
        "summary": _summary(evaluation),
        "observations": [
            observation_object(one, _value_unit(evaluation, one))
            for one in evaluation.judged
        ],
        "drift": [drift_object(one) for one in evaluation.measured],
        "scores": [_words_object(one) for one in evaluation.worded],
        "differences": [difference_object(one) for one in evaluation.contrasts.drifts],
        "remarks": _remarks(evaluation),
        "instruments": instruments_object(evaluation),
        "storage": storage_object(evaluation),
        "amendments": amendments_object(evaluation),
        "follow_ups": follow_ups_object(evaluation),
        "photographs": photographs_object(evaluation),
        "certificates": certificates_object(evaluation.certificates),
        "cautions": _cautions(evaluation),
        "note": evaluation.note,
    }


def _cautions(evaluation: Evaluation) -> list[dict[str, str]]:
    return [{"code": one.code, "text": one.text} for one in evaluation.cautions]


def _identity(evaluation: Evaluation) -> dict[str, Any]:
    identity = evaluation.identity
    study = identity.study
    return {
        "study": study.code,
        "product": study.product,
        "version": study.version,
        "as_of": identity.as_of.isoformat(),
        "state": identity.state,
        "record": {
            "subject": identity.head.subject,
            "position": identity.head.position,
            "digest": identity.head.digest,
            "plan_fingerprint": identity.fingerprint,
            "protocol_digest": identity.protocol_digest,
        },
        "requested_months": study.request.months,
    }


def _summary(evaluation: Evaluation) -> list[dict[str, Any]]:
    return [
        {
            "attribute": cell.attribute,
            "condition": cell.condition,
            "state": cell.state,
            "outside": cell.outside,
            "read": cell.read,
            "missing": cell.missing,
            "text": cell.text,
        }
        for cell in evaluation.summary
    ]


def _remarks(evaluation: Evaluation) -> list[dict[str, Any]]:
    return [
        {
            "kind": one.kind,
            "weight": one.weight,
            "sample": one.sample,
            "check": one.check,
            "attribute": one.attribute,
            "position": one.position,
            "text": one.text,
        }
        for one in evaluation.record.remarks
    ]


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
        "ends_at_months": one.ends_at,
        "at_most_months": one.limit,
        "basis": one.basis,
    }


def _value_unit(evaluation: Evaluation, seen: JudgedObservation) -> str:
    """Return the unit of what is judged: a loss is a share of the net fill."""
    attribute = evaluation.identity.protocol.attributes[seen.attribute]
    loses = attribute.from_weights and seen.observation.part != "after"
    return "%" if loses else seen.unit


def _outside(evaluation: Evaluation) -> list[dict[str, Any]]:
    return [
        {
            "meaning": group.meaning,
            "attribute": one.attribute,
            "condition": one.condition,
            "pack": one.pack,
            "batch": one.batch,
            "first_check": one.first,
            "last_check_inside": one.last_inside,
            "positions": [seen.position for seen in one.observations],
            "text": one.text,
        }
        for group in evaluation.outside
        for one in group.findings
    ]


def observation_object(seen: JudgedObservation, value_unit: str) -> dict[str, Any]:
    """Return one judged observation; numbers as typed or exact, never rounded."""
    sample = seen.sample
    return {
        "position": seen.position,
        "sample": sample.code,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": seen.condition,
        "attribute": seen.attribute,
        "part": seen.observation.part,
        "check": seen.check,
        "due": seen.planned.due.isoformat() if seen.planned else None,
        "done": str(seen.observation.done),
        "age_days": seen.age_days,
        "age_months": seen.age_months,
        "readings": [str(one) for one in seen.observation.readings],
        "readings_unit": seen.unit,
        "value": seen.value_text or None,
        "value_unit": value_unit,
        "limit": seen.limit_text,
        "mark": seen.mark,
        "takes_part": seen.takes_part,
        "left_out": seen.left_out or None,
        "doubtful": seen.is_doubtful,
        "remarks": [one.text for one in seen.remarks],
        "not_measured": seen.observation.not_measured,
        "person": seen.observation.person,
    }


def drift_object(one: MeasuredSeries) -> dict[str, Any]:
    """Return one series with its line, or the reason why there is none."""
    key = one.key
    found: dict[str, Any] = {
        "attribute": key.attribute,
        "condition": key.condition,
        "pack": key.pack,
        "batch": key.batch,
        "sample": key.sample or None,
        "unit": one.unit,
        "scale": one.scale,
        "limit": one.limit_text,
        "state": one.state,
        "points": len(one.points),
        "cautions": [each.text for each in one.cautions],
        "forecasts": forecast_words(one.drift, one.forecasts, one.horizon_months),
    }
    if not isinstance(one.drift, Drift):
        return {**found, "no_line": one.drift.text}
    drift = one.drift
    return {
        **found,
        "df": drift.df,
        "intercept": drift.intercept,
        "slope_per_month": drift.slope,
        "slope_interval_per_month": list(drift.slope_interval),
        "residual_sd": drift.s,
        "residual_sd_used": drift.s_used,
        "confidence": drift.confidence,
        "age_range_months": [drift.first_age, drift.last_age],
        "drift_over_months": drift.life,
        "drift_over_life": drift.drift_over_life,
    }


def _words_object(one: WordSeries) -> dict[str, Any]:
    key = one.key
    return {
        "attribute": key.attribute,
        "condition": key.condition,
        "pack": key.pack,
        "batch": key.batch,
        "worst": one.worst,
        "failed": one.failed,
        "read": one.read,
        "first_outside": one.first_outside,
        "may_fail_share": one.may_fail,
        "state": one.state,
        "text": one.text,
    }


def difference_object(one: DriftContrast) -> dict[str, Any]:
    """Return a difference of drifts, or why there is none."""
    sides = one.sides
    contrast = one.contrast
    found = {
        "between": sides.between,
        "basis": sides.basis,
        "attribute": sides.attribute,
        "first": _side_object(sides.first),
        "second": _side_object(sides.second),
        "unit": one.unit,
        "scale": one.scale,
        "text": one.text,
        "explains": list(one.explains),
        "cautions": [caution.text for caution in one.cautions],
    }
    if contrast is None or one.interval is None:
        return {**found, "not_compared": one.text}
    return {
        **found,
        "method": contrast.method,
        "checks": list(one.checks),
        "difference_per_month": one.difference,
        "difference_interval_per_month": list(one.interval),
        "confidence": contrast.confidence,
        "p": contrast.p,
        "excludes_0": contrast.excludes_no_difference,
    }


def _side_object(side: Side) -> dict[str, Any]:
    return {
        "name": side.name,
        "condition": side.condition,
        "pack": side.pack,
        "batches": list(side.batches),
        "samples": list(side.samples),
    }
