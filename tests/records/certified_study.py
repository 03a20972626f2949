"""The small study with attributes that a laboratory's certificate provides."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from pypdf import PdfWriter

from stability.model.entry import chain
from stability.model.moment import moment_at
from stability.records.certifying import CertificateWish
from stability.records.continuation import Continuation
from stability.records.opening import new_study, opening_draft
from stability.records.store import continue_entries
from tests.records.small_study import NOW, PROTOCOL, STUDY, ZONE, write_files

CERTIFIED = (
    PROTOCOL
    + """
[attributes.acid]
method = "titration by a laboratory"
unit = "%"
provided_by = "certificate"
when = ["T0", "2w", "4w", "3M"]
direction = "decreasing"
lowest_possible = 0
limit.percent_of_initial = {lowest = 90, highest = 110}
limit.reason = "the label"
limit.reason_kind = "custom"
[attributes.count]
method = "plate count by a laboratory"
unit = "CFU/g"
provided_by = "certificate"
when = ["T0", "3M"]
limit.absolute = {highest = 500}
limit.reason = "asked for by the shop"
limit.reason_kind = "custom"
[attributes.organisms]
method = "by a laboratory"
statements = ["absent", "present"]
provided_by = "certificate"
when = ["T0"]
limit.required = "absent"
limit.reason = "they make people ill"
limit.reason_kind = "standard"
[attributes.challenge]
method = "preservation efficacy by a laboratory"
statements = ["criteria A", "criteria B", "not met"]
provided_by = "certificate"
when = ["T0"]
limit.required = "criteria A"
limit.reason = "the table"
limit.reason_kind = "standard"
"""
)

#: A challenge whose every organism meets criteria A.
ALL_A = (
    "P. aeruginosa=2.5x10^5/2.0x10^2/<10/<10",
    "S. aureus=2.5x10^5/2.0x10^2/<10/<10",
    "E. coli=2.5x10^5/2.0x10^2/<10/<10",
    "C. albicans=log 1.0/1.5/2.0",
    "A. brasiliensis=log -/0.0/1.0",
)
#: Counts inside every limit.
CLEAN = (
    "total=<10", "E. coli=absent", "P. aeruginosa=absent", "S. aureus=absent",
    "C. albicans=absent",
)  # fmt: skip


def pdf() -> bytes:
    """Return a PDF of one empty page."""
    writer, out = PdfWriter(), io.BytesIO()
    writer.add_blank_page(99, 99)
    writer.write(out)
    return out.getvalue()


PDF = pdf()


def write_certified(folder: Path, study: str = STUDY) -> Path:
    """Write both files and return the study file."""
    return write_files(folder, study, CERTIFIED)


def certified_book(folder: Path) -> Continuation:
    """Return the study as it stands just after its opening."""
    new = new_study(write_certified(folder), (), None)
    when = NOW.replace(month=3, day=1)
    draft = opening_draft(new, "Ana Reyes", moment_at(when, ZONE), when)
    return continue_entries([chain([draft])[0]])


def wish(what: str = "challenge", **changes: Any) -> CertificateWish:
    """Return a certificate of batch A in its jar at T0, unless told otherwise."""
    facts: dict[str, Any] = {
        "results": ALL_A if what == "challenge" else CLEAN,
        "laboratory": "Corran Laboratory",
        "number": "26-1187",
        "standard": "ISO 11930:2019",
        "batch": "A",
        "version": "1.0",
        "pack": "JAR",
        "age": "T0",
        "issued": "2026-05-04",
    }
    return CertificateWish(what, **{**facts, **changes})
