"""The evaluation as JSON: stable keys, units in their names, exact values as text."""

from __future__ import annotations

import json
from typing import Any

from stability.evaluation.findings import Evaluation
from stability.model.program import program_name
from stability.report.ageing_json import ageing_object
from stability.report.certificates_json import certificates_object
from stability.report.chapters_amended import amendments_object
from stability.report.chapters_conclusion import conclusion_object
from stability.report.chapters_follow_ups import follow_ups_object
from stability.report.chapters_instruments import instruments_object
from stability.report.chapters_photographs import photographs_object
from stability.report.chapters_storage import storage_object
from stability.report.chapters_where import labels_object
from stability.report.life_json import life_object
from stability.report.observation_json import observations_object
from stability.report.plan_json import (
    checks_object,
    coming_object,
    product_object,
    protocol_object,
    samples_object,
)
from stability.report.series_json import series_object


def study_json(evaluation: Evaluation) -> str:
    """Return the whole evaluation as JSON, indented, ending in a newline."""
    return json.dumps(study_object(evaluation), indent=1, ensure_ascii=False) + "\n"


def study_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return the evaluation as plain lists and mappings."""
    return {
        **_identity(evaluation),
        **product_object(evaluation.identity),
        "protocol": protocol_object(evaluation.identity),
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
        "samples": samples_object(evaluation),
        "checks": checks_object(evaluation),
        "coming": coming_object(evaluation),
        "observations": observations_object(evaluation),
        **series_object(evaluation),
        "cycles": _cycles(evaluation),
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
        "written_by": program_name(),
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


def _cycles(evaluation: Evaluation) -> list[dict[str, Any]]:
    return [
        {
            "sample": run.sample,
            "condition": run.condition,
            "done": run.done,
            "planned": run.planned,
            "steps": [
                {
                    "cycle": one.cycle,
                    "step": one.step,
                    "from": str(one.start),
                    "planned_hours": one.planned_hours,
                    "real_hours": one.real_hours,
                    "within": one.within,
                }
                for one in run.steps
            ],
            "text": run.text,
        }
        for run in evaluation.cycles
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
            "done": None if one.done is None else str(one.done),
            "person": one.person or None,
            "text": one.text,
        }
        for one in evaluation.record.remarks
    ]


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
            "read": one.read,
            "positions": [seen.position for seen in one.observations],
            "samples_failed": [each.sample.code for each in one.retired],
            "meaning_text": one.meaning_text or None,
            "text": one.text,
        }
        for group in evaluation.outside
        for one in group.findings
    ]
