"""What waits for an answer, as the entries tell it and whatever the day."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stability.evaluation.awaiting import awaiting
from stability.model.attribute import Attribute
from stability.model.certificate import ResultRow
from stability.model.limit import Limit
from tests.evaluation.builders import Bench, bulk, sample
from tests.evaluation.lived import lived, small_protocol

JAR = "HDC-ROOM-A"
CHALLENGE = Attribute(
    "challenge",
    "stated",
    scale=("criteria A", "criteria B", "not met"),
    provided_by="certificate",
    when=("T0", "6M"),
    limit=Limit(required="criteria A"),
)


def asking(bench: Bench) -> Bench:
    """Let the protocol of a study ask for a challenge at T0 and 6M."""
    held = {**bench.protocol.attributes, CHALLENGE.name: CHALLENGE}
    bench.protocol = replace(bench.protocol, attributes=held)
    return bench


def told(bench: Bench) -> list[tuple[str, str, str]]:
    """Return kind, day and words of all that waits."""
    found = awaiting(bench.record())
    return [(one.kind, one.since.isoformat(), one.text) for one in found]


def test_nothing_waits_where_all_is_inside_and_nothing_is_asked_for() -> None:
    assert told(lived()) == []
    assert told(Bench([bulk(), sample(JAR, "ROOM")], protocol=small_protocol())) == []


def test_a_reading_outside_waits_until_it_is_answered() -> None:
    bench = lived(readings={("pH", "ROOM", "3M"): "4.90"})
    (one,) = awaiting(bench.record())
    assert (one.kind, one.sample, one.condition) == ("follow-up", JAR, "ROOM")
    assert one.since.isoformat() == "2025-04-10"
    assert one.text == f"follow-up HDC/{one.position}: pH of {JAR} at 3M"

    bench.answer(one.position, "confirmed", "2026-01-20", right_sample="yes")

    assert awaiting(bench.record()) == ()


def test_a_jar_that_left_as_failed_waits_too() -> None:
    bench = lived(until="3M")
    left = bench.retire(JAR, "leaking", done="2025-05-02")

    (one,) = awaiting(bench.record())

    assert (one.kind, one.position) == ("follow-up", left)
    assert one.text == f"follow-up HDC/{left}: {JAR} left as failed"


def test_certificates_wait_from_the_day_of_their_check_until_received() -> None:
    bench = asking(lived())
    assert told(bench) == [
        ("certificate", "2025-01-10", "certificate of challenge at T0"),
        ("certificate", "2025-07-10", "certificate of challenge at 6M"),
    ]

    bench.certify("challenge", "2025-03-01", verdict="criteria A")
    assert [day for _, day, _ in told(bench)] == ["2025-07-10"]

    bench.certify("challenge", "2025-09-01", verdict="criteria A", version="0.9",
                  age="6M")  # fmt: skip
    assert [day for _, day, _ in told(bench)] == ["2025-07-10"]  # a mismatch


def test_certificates_of_one_check_are_awaited_together() -> None:
    bench = asking(lived())
    count = replace(CHALLENGE, name="organisms", when=("T0",))
    held = {**bench.protocol.attributes, count.name: count}
    bench.protocol = replace(bench.protocol, attributes=held)

    assert [text for *_, text in told(bench)] == [
        "certificates of challenge and organisms at T0",
        "certificate of challenge at 6M",
    ]


def test_a_stopped_study_awaits_no_certificate_and_keeps_its_follow_ups() -> None:
    bench = asking(lived(readings={("pH", "ROOM", "3M"): "4.90"}))
    bench.retire(JAR, "sent out", done="2026-01-11")
    assert [kind for kind, *_ in told(bench)] == [
        "follow-up", "certificate", "certificate", "result",
    ]  # fmt: skip

    bench.stop("2026-01-12")

    assert [kind for kind, *_ in told(bench)] == ["follow-up"]


def test_what_the_study_leaves_out_is_not_awaited() -> None:
    bench = asking(lived())
    bench.study = replace(bench.study, omit={"challenge": "no water"})

    assert told(bench) == []


@pytest.mark.parametrize(
    ("certificate", "waits"),
    [
        (None, True),
        ({"sample": JAR}, False),
        ({"sample": None}, False),
        ({"sample": None, "issued": "2025-05-01"}, True),  # before it left
        ({"sample": None, "batch": "B"}, True),
        ({"sample": None, "pack": "PUMP"}, True),
        ({"sample": None, "pack": None}, False),
        ({"sample": None, "version": "0.9"}, True),
        ({"sample": "BULK-A", "pack": None}, True),
    ],
)
def test_a_sample_sent_out_waits_for_its_result(
    certificate: dict[str, Any] | None, waits: bool
) -> None:
    bench = lived(until="3M", batches=("A", "B"))
    left = bench.retire(JAR, "sent out", done="2025-05-02")
    if certificate is not None:
        few = ResultRow("total", None, "count", "10", "<")
        bench.certify("count", "2025-06-01", few, **certificate)

    found = [one for one in awaiting(bench.record()) if one.kind == "result"]

    assert bool(found) is waits
    if waits:
        assert (found[0].position, found[0].text) == (
            left,
            f"result of {JAR}, sent out",
        )


def test_bulk_sent_out_may_have_been_tested_in_any_pack_of_its_batch() -> None:
    bench = lived(until="3M", batches=("A", "B"))
    bench.retire("BULK-A", "sent out", done="2025-05-02")
    assert [one.kind for one in awaiting(bench.record())] == ["result"]

    few = ResultRow("total", None, "count", "10", "<")
    bench.certify("count", "2025-06-01", few, sample=None, batch="B")
    assert [one.kind for one in awaiting(bench.record())] == ["result"]
    bench.certify("count", "2025-06-01", few, sample=None, batch="A")
    assert awaiting(bench.record()) == ()


def test_a_sample_that_broke_is_no_result_to_wait_for() -> None:
    bench = lived(until="3M")
    bench.retire(JAR, "broken", done="2025-05-02")

    assert told(bench) == []
