"""Certificates as JSON: values as typed, reductions exact."""

from __future__ import annotations

from typing import Any

from stability.evaluation.certificate_findings import CertificateFinding, Certificates
from stability.model.certificate import CertificateFile
from stability.model.challenge import ChallengeFinding
from stability.model.microbial_limits import CountFinding


def certificates_object(found: Certificates) -> dict[str, Any]:
    """Return every certificate, and what is asked for, as lists and mappings."""
    return {
        "recorded": [_certificate(one) for one in found.findings],
        "asked_for": [
            {
                "attribute": one.attribute,
                "check": one.check,
                "state": one.state,
                "positions": list(one.positions),
            }
            for one in found.asked
        ],
        "left_out": [
            {"attribute": name, "reason": reason} for name, reason in found.left_out
        ],
    }


def _certificate(found: CertificateFinding) -> dict[str, Any]:
    one = found.certificate
    return {
        "position": one.position,
        "attribute": one.attribute,
        "laboratory": one.laboratory,
        "number": one.number,
        "standard": one.standard or None,
        "version": one.version,
        "batch": one.batch,
        "pack": one.pack,
        "sample": one.sample,
        "age": one.age,
        "issued": one.issued.isoformat(),
        "received": str(one.done),
        "person": one.person,
        "file": _file(one.file),
        "results": [
            {
                "name": row.name,
                "day": row.day,
                "measure": row.measure,
                "value": str(row),
            }
            for row in one.results
        ],
        "laboratory_states": one.verdict or None,
        "mark": found.mark,
        "is_evidence": found.is_evidence,
        "speaks_against_shelf_life": found.speaks_against,
        "among_readings": found.among_readings,
        "mismatches": list(found.mismatches),
        "verdict": found.verdict,
        "by_protocol": found.by_protocol or None,
        "laboratory_verdict": found.laboratory_verdict or None,
        "challenge": _challenge(found.challenge),
        "count": _count(found.count),
        "reasons": list(found.reasons),
        "text": found.text,
    }


def _file(file: CertificateFile | None) -> dict[str, str] | None:
    return None if file is None else {"name": file.name, "sha256": file.sha256}


def _challenge(found: ChallengeFinding | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "criterion": found.criterion,
        "computed": not found.stated_only,
        "organisms": [
            {
                "organism": one.organism,
                "criterion": one.criterion,
                "computed": not one.stated_only,
                "log_reductions": [
                    {"day": each.day, "log10": str(each)} for each in one.reductions
                ],
                "reasons": list(one.reasons),
            }
            for one in found.organisms
        ],
    }


def _count(found: CountFinding | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "category": found.category,
        "limit_cfu": str(found.limit),
        "total_cfu": None if found.total is None else str(found.total),
        "organisms": dict(found.organisms),
        "mark": found.mark,
    }
