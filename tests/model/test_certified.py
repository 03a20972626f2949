"""Certificates as mismatches, and as observations of the samples they name."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability.model import content
from stability.model.certified import mismatches, observation_of, reached_on
from stability.model.moment import Moment
from stability.model.observation import Observation
from stability.records.certifying import certify
from stability.records.continuation import Continuation
from tests.records.certified_study import ALL_A, CLEAN, certified_book, wish
from tests.records.small_study import BULK_A, ROOM_A, ROOM_B, SPARE_A, add


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    found = certified_book(tmp_path)
    add(found, content.PLACED, content.placed(ROOM_A, "ROOM", "in"), "2026-03-05")
    return found


def observed(book: Continuation, what: str, **changes: Any) -> Observation | None:
    today = date(2026, 6, 1)
    made = certify(book.record, wish(what, **changes), Moment(today), today)
    add(book, content.CERTIFIED, made.held, "2026-06-01")
    record = book.record
    return observation_of(record, record.certificates[-1])


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, ()),
        ({"pack": None}, ()),
        ({"version": "1.00"}, ("version 1.00, this study is of version 1.0",)),
        ({"batch": "a"}, ("batch a, this study has A, B",)),
        ({"pack": "TUBE"}, ("pack TUBE, this study has JAR, GLASS",)),
    ],
)
def test_what_is_of_something_else_is_told(
    book: Continuation, changes: dict[str, Any], told: tuple[str, ...]
) -> None:
    facts = {"version": "1.0", "batch": "A", "pack": "JAR", **changes}

    assert mismatches(book.record.study, **facts) == told


def test_an_age_is_reached_on_the_due_date_or_counts_from_the_placing(
    book: Continuation,
) -> None:
    record = book.record

    def reached(code: str, age: str) -> Moment | None:
        return reached_on(record, record.samples[code], age)

    assert reached(ROOM_A, "3M") == Moment(date(2026, 6, 5))
    assert reached(ROOM_A, "10d") == Moment(date(2026, 3, 15))
    assert reached(BULK_A, "T0") == Moment(date(2026, 3, 3))  # settled after a day
    assert reached(SPARE_A, "3M") is None
    assert reached(ROOM_B, "10d") is None  # not placed yet


def test_a_number_is_an_observation_of_its_sample(book: Continuation) -> None:
    seen = observed(book, "acid", results=("9.80/9.90",), sample=ROOM_A, age="2w")

    assert seen is not None
    assert (seen.sample, seen.attribute, seen.check, seen.unit) == (
        ROOM_A, "acid", "2w", "%",
    )  # fmt: skip
    assert [str(one) for one in seen.readings] == ["9.80", "9.90"]
    assert seen.done == Moment(date(2026, 3, 19))
    assert seen.person == "Corran Laboratory"
    assert seen.certificate == "Corran Laboratory, no. 26-1187"


def test_an_age_that_no_check_asks_for_is_extra(book: Continuation) -> None:
    seen = observed(book, "acid", results=("9.8",), sample=ROOM_A, age="10d")

    assert seen is not None
    assert seen.check is None


def test_the_total_count_and_the_criterion_are_observations_too(
    book: Continuation,
) -> None:
    count = observed(book, "count", results=CLEAN, sample=BULK_A, pack=None)
    challenge = observed(book, "challenge", results=ALL_A, sample=BULK_A, pack=None)
    harsh = observed(
        book, "challenge", results=ALL_A, verdict="B", sample=BULK_A, pack=None,
        number="2",
    )  # fmt: skip

    assert count is not None
    assert [str(one) for one in count.readings] == ["<10"]
    assert challenge is not None
    assert [str(one) for one in challenge.readings] == ["criteria A"]
    assert harsh is not None
    assert [str(one) for one in harsh.readings] == ["criteria B"]


@pytest.mark.parametrize(
    ("what", "changes"),
    [
        ("acid", {"results": ("9.8",)}),  # names no sample
        ("acid", {"results": ("9.8",), "sample": ROOM_A, "version": "0.9"}),
        ("acid", {"results": ("9.8",), "sample": SPARE_A, "age": "3M"}),
        ("count", {"results": CLEAN[1:], "sample": ROOM_A}),  # no count on it
        ("challenge", {"results": ALL_A[1:], "sample": ROOM_A}),  # undecided
    ],
)
def test_what_says_nothing_of_a_sample_is_no_observation(
    book: Continuation, what: str, changes: dict[str, Any]
) -> None:
    assert observed(book, what, **changes) is None


def test_a_protocol_without_the_attribute_takes_no_observation(
    book: Continuation,
) -> None:
    observed(book, "count", results=CLEAN, sample=BULK_A, pack=None)
    record = book.record
    bare = replace(record, protocol=replace(record.protocol, attributes={}))

    assert observation_of(bare, record.certificates[0]) is None
