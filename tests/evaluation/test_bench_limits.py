"""Limits as they stand beside an empty box."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from stability.evaluation.bench_limits import limit_ahead
from stability.evaluation.index import index_of
from stability.model import content
from stability.model.observation import Reading
from stability.records.continuation import Continuation
from tests.records.small_study import BULK_A, ROOM_A, add, opened_book


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return the small study with a spread of 60.5 at T0."""
    book = opened_book(tmp_path)
    readings = [Reading("60"), Reading("61")]
    held = content.observed(BULK_A, "spread", "T0", readings, unit="mm")
    add(book, content.OBSERVED, held, "2026-03-05")
    return book


def words(book: Continuation, attribute: str, check: str = "2w") -> str:
    """Return the limit beside the box of a jar at room."""
    record = book.record
    return limit_ahead(
        index_of(record, date(2026, 3, 20)),
        record.samples[ROOM_A],
        record.protocol.attributes[attribute],
        check,
        {},
    )


def test_a_share_of_the_initial_value_is_told_in_numbers(book: Continuation) -> None:
    # 80 and 120 % of 60.5 mm, worked out by hand.
    assert words(book, "spread") == (
        "48.4 to 72.6 mm (80 to 120 % of initial, from 60.5)"
    )


def test_without_an_initial_value_that_is_said(tmp_path: Path) -> None:
    assert words(opened_book(tmp_path), "spread") == (
        "80 to 120 % of initial (no initial value)"
    )


def test_at_t0_no_value_is_before_it(book: Continuation) -> None:
    assert words(book, "spread", "T0") == "80 to 120 % of initial"


@pytest.mark.parametrize(
    ("attribute", "expected"),
    [
        ("pH", "5.0 to 5.9"),
        ("odour", "at most “slightly changed”"),
        ("swollen", "must be “no”"),
        ("weight_loss", "loss at most 3.0 %"),
    ],
)
def test_other_limits_stand_as_the_protocol_has_them(
    book: Continuation, attribute: str, expected: str
) -> None:
    assert words(book, attribute) == expected
