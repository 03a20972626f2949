"""Certificates read back from their entries, and what two of them have in common."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from decimal import Decimal

from stability.model import content
from stability.model.certificate import (
    Certificate,
    CertificateFile,
    ResultRow,
    certificate_of,
)
from stability.model.moment import Moment

ROWS = (
    ResultRow("E. coli", 0, "count", "2.5x10^5"),
    ResultRow("E. coli", 7, "count", "10", "<"),
    ResultRow("C. albicans", 7, "log reduction", "1.20", ">"),
    ResultRow("S. aureus", None, "word", "criteria A"),
)


def held(**changes: str | None) -> content.Content:
    facts = {
        "laboratory": "Corran", "number": "7", "standard": "", "batch": "A",
        "version": "1.0", "pack": "JAR", "sample": None, "age": "3M",
        "issued": "2026-05-04", "verdict": "A",
    }  # fmt: skip
    file = CertificateFile("7.pdf", "0" * 64)
    return content.certified(
        "challenge",
        "challenge",
        ROWS,
        **{**facts, **changes},  # type: ignore[arg-type]
        file=file,
    )


def read(kept: content.Content) -> Certificate:
    return certificate_of(
        kept,
        position=4,
        done=Moment(date(2026, 5, 20)),
        entered=datetime(2026, 5, 20, 9, tzinfo=UTC),
        person="Ana",
    )


def test_a_certificate_is_read_back_as_it_was_written() -> None:
    kept = json.loads(json.dumps(held()))

    found = read(kept)

    assert found.results == ROWS
    assert found.file == CertificateFile("7.pdf", "0" * 64)
    assert (found.issued, found.age, found.verdict) == (date(2026, 5, 4), "3M", "A")
    assert found.title == "Corran, no. 7"


def test_values_are_exact_and_print_as_typed() -> None:
    assert [str(one) for one in ROWS] == ["2.5x10^5", "<10", ">1.20", "criteria A"]
    assert ROWS[0].number.value == Decimal(250000)
    assert (ROWS[2].number.value, ROWS[2].number.qualifier) == (Decimal("1.20"), ">")


def test_two_results_differ_by_batch_pack_sample_or_age() -> None:
    one = read(held())

    assert one.same_as == read(held(verdict="B", issued="2026-05-05")).same_as
    for other in ({"batch": "B"}, {"pack": None}, {"sample": "X"}, {"age": "T0"}):
        assert read(held(**other)).same_as != one.same_as
