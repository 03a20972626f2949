"""A failed certificate asks for a follow-up, also where it names no sample.

The limit is that of ISO 17516:2014 (1000 CFU per g); that a challenge below criteria B
of ISO 11930:2019 does not meet stands there. That whatever failed is followed up is
common practice.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stability.evaluation.awaiting import awaiting
from stability.evaluation.conclusion import conclusion_of
from stability.model.attribute import Attribute
from stability.model.certificate import ResultRow
from stability.model.limit import Limit
from tests.evaluation.builders import Bench, band
from tests.evaluation.lived import lived

AS_OF = "2026-01-20"
DONE = "2025-06-01"
MANY = ResultRow("total", None, "count", "5000")
FEW = ResultRow("total", None, "count", "10", "<")


def open_ones(bench: Bench) -> list[str]:
    """Return what nobody answered, in words."""
    return [one.text for one in bench.evaluate(AS_OF).follow_ups if one.is_open]


def test_a_failed_certificate_of_no_sample_is_open_until_it_is_answered() -> None:
    bench = lived()
    position = bench.certify("count", DONE, MANY, age="3M")
    (one,) = bench.evaluate(AS_OF).follow_ups
    (waiting,) = [one for one in awaiting(bench.record()) if one.kind == "follow-up"]

    assert (one.position, one.sample, one.condition, one.check, one.is_open) == (
        position, "", None, "3M", True,
    )  # fmt: skip
    assert one.text.startswith("certificate of Corran Laboratory, no. C-")
    assert "batch A at 3M" in one.text
    assert (waiting.position, waiting.since.isoformat()) == (position, DONE)
    assert waiting.text == f"follow-up HDC/{position}: certificate of count at 3M"
    codes = {said.code for said in conclusion_of(bench.evaluate(AS_OF))}
    assert "follow-up-open" in codes

    bench.answer(position, "confirmed", "2025-06-02", repeat_reading="yes")

    (one,) = bench.evaluate(AS_OF).follow_ups
    assert (one.is_open, one.since) == (False, "")
    assert [one.kind for one in awaiting(bench.record())] == []


@pytest.mark.parametrize(
    ("kind", "rows", "of"),
    [
        ("challenge", (), {"verdict": "not met"}),
        ("challenge", (), {"verdict": "not met", "pack": None}),
        ("challenge", (), {"verdict": "not met", "batch": "Z9"}),
        ("count", (MANY,), {}),
        ("count", (MANY,), {"sample": "HDC-ROOM-A", "age": "3M"}),
    ],
)
def test_whatever_failed_of_the_product_asks_once(
    kind: Any, rows: tuple[ResultRow, ...], of: dict[str, Any]
) -> None:
    bench = lived()
    bench.certify(kind, DONE, *rows, **of)

    assert len(open_ones(bench)) == 1


@pytest.mark.parametrize(
    ("kind", "rows", "of"),
    [
        ("challenge", (), {"verdict": "criteria A"}),
        ("count", (FEW,), {}),
        ("count", (MANY,), {"version": "2.0"}),
        ("count", (MANY,), {"pack": "TUBE"}),
    ],
)
def test_what_held_or_is_of_another_product_asks_nothing(
    kind: Any, rows: tuple[ResultRow, ...], of: dict[str, Any]
) -> None:
    bench = lived()
    bench.certify(kind, DONE, *rows, **of)

    assert open_ones(bench) == []


def test_set_aside_it_asks_no_more_and_its_answer_stays() -> None:
    bench = lived()
    unanswered = bench.certify("count", DONE, MANY)
    answered = bench.certify("count", DONE, MANY)
    bench.answer(answered, "measuring fault found", "2025-06-02", calibration="no")
    for position in (unanswered, answered):
        bench.invalidate(position, "plates were mixed up", "2025-06-03")

    (one,) = bench.evaluate(AS_OF).follow_ups

    assert one.position == answered
    assert one.since.startswith("set aside by HDC/")
    assert one.since.endswith("plates were mixed up")


def test_one_that_stands_among_the_readings_asks_as_a_reading() -> None:
    bench = lived()
    count = Attribute(
        "count",
        "measured",
        unit="CFU/g",
        provided_by="certificate",
        when=("3M",),
        limit=Limit(absolute=band(None, "500")),
    )
    held = {**bench.protocol.attributes, count.name: count}
    bench.protocol = replace(bench.protocol, attributes=held)
    bench.certify("count", DONE, MANY, age="3M", sample="HDC-ROOM-A")

    (one,) = bench.evaluate(AS_OF).follow_ups

    assert (one.sample, one.condition, one.check) == ("HDC-ROOM-A", "ROOM", "3M")
    assert "5000 CFU/g at 3M" in one.text
