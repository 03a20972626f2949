"""Listing of certificates: of what they are, and what they amount to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.cli.output import Listing, Row
from stability.cli.table import Column
from stability.model.challenge import DAYS, OrganismFinding

if TYPE_CHECKING:
    from stability.workflow.certificates import CertificateFinding
    from stability.workflow.evaluate import Evaluation

CERTIFICATES = (
    Column("entry", "entry"),
    Column("attribute", "of what"),
    Column("batch", "batch"),
    Column("version", "version"),
    Column("pack", "pack"),
    Column("sample", "sample"),
    Column("age", "age"),
    Column("laboratory", "laboratory"),
    Column("number", "number"),
    Column("issued", "issued"),
    Column("mark", "mark"),
    Column("speaks_against_shelf_life", ""),
    Column("standard", ""),
    Column("file", ""),
    Column("sha256", ""),
    Column("mismatch", "mismatch", below=True),
    Column("results", "results", below=True),
    Column("verdict", "here", below=True),
    Column("by_protocol", "by the protocol", below=True),
    Column("laboratory_verdict", "laboratory", below=True),
    Column("reasons", "why", below=True),
)
NONE = "No certificate is recorded; a result is never assumed."


def certificates_listing(evaluation: Evaluation) -> Listing:
    """Return one row for each certificate, those outside first."""
    identity = evaluation.identity
    found = evaluation.certificates
    asked = [
        f"asked for by the protocol: {one.attribute} at {one.check}, {one.state}"
        for one in found.asked
        if one.state != "received"
    ]
    left_out = [f"{name} is left out: {reason}" for name, reason in found.left_out]
    return Listing(
        "certificates",
        CERTIFICATES,
        [_row(identity.study.code, one) for one in found.findings],
        NONE,
        facts={
            "study": identity.study.code,
            "product": identity.study.product,
            "version": identity.study.version,
            "as_of": identity.as_of.isoformat(),
        },
        notes=(*asked, *left_out, evaluation.note),
    )


def _results(found: CertificateFinding) -> str:
    """Return the values on a line, a challenge as reductions of each organism."""
    if found.challenge is None:
        return "; ".join(found.results)
    return "; ".join(
        f"{one.organism} {_reductions(one)}: {one.criterion}"
        for one in found.challenge.organisms
    )


def _reductions(one: OrganismFinding) -> str:
    by_day = {each.day: str(each) for each in one.reductions}
    shown = "/".join(by_day.get(day, "-") for day in DAYS)
    return f"{shown} log" if by_day else "stated"


def _mismatch(found: CertificateFinding) -> str:
    told = f"mismatch, not evidence for this study: of {'; '.join(found.mismatches)}"
    if not found.speaks_against:
        return told
    here = found.verdict or found.by_protocol
    return f"{told}; {here}: it speaks against the shelf life all the same"


def _row(study: str, found: CertificateFinding) -> Row:
    one = found.certificate
    wrong = "; ".join(found.mismatches)
    evidence = not wrong
    return {
        "entry": f"{study}/{one.position}",
        "attribute": one.attribute,
        "batch": one.batch,
        "version": one.version,
        "pack": one.pack,
        "sample": one.sample,
        "age": one.age,
        "laboratory": one.laboratory,
        "number": one.number,
        "issued": one.issued.isoformat(),
        "mark": found.mark,
        "standard": one.standard or None,
        "file": one.file.name if one.file else None,
        "sha256": one.file.sha256 if one.file else None,
        "speaks_against_shelf_life": "yes" if found.speaks_against else "no",
        "mismatch": _mismatch(found) if wrong else None,
        "results": _results(found) or None,
        "verdict": found.verdict if evidence else None,
        "by_protocol": found.by_protocol or None if evidence else None,
        "laboratory_verdict": found.laboratory_verdict or None,
        "reasons": "; ".join(found.reasons) or None if evidence else None,
    }
