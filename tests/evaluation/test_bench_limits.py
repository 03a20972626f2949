"""Limits as they stand beside an empty box."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from stability.evaluation.bench_limits import lightest_inside, limit_ahead
from stability.evaluation.index import index_of
from stability.model import content
from stability.model.observation import Reading
from stability.model.study import Pack
from stability.records.continuation import Continuation
from tests.evaluation.builders import Bench, judged_at
from tests.evaluation.test_weights import Jar, bench, weigh
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


def test_a_loss_is_told_as_the_weight_that_the_balance_shows(
    book: Continuation,
) -> None:
    weight = content.observed(
        ROOM_A, "weight_loss", "T0", [Reading("78.413")], unit="g", part="before"
    )
    add(book, content.OBSERVED, weight, "2026-03-05")

    # By hand: net 78.413 - 32.10 = 46.313 g, of which 3 % are 1.38939 g: 77.02361 g is
    # the bound, and 77.023 would lie outside.
    assert words(book, "weight_loss") == "at least 77.024 g (loss at most 3.0 %)"


def lightest(made: Bench, pack: Pack) -> Fraction | None:
    """Return the lightest next weight of the jar that is inside 3 %."""
    seen = made.record().observations
    weighed = next(one for one in seen if one.attribute == "weight_loss")
    return lightest_inside(seen, weighed, pack, Fraction(3))


def test_the_lightest_weight_inside_allows_for_what_was_lost_and_taken_out() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    # By hand: 3 % of 50 g are 1.50 g.
    assert lightest(made, Jar) == Fraction("80.50")
    weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    # Opened and not yet weighed again: nobody can tell.
    assert lightest(made, Jar) is None
    weigh(made, "2w", "76.90", "2025-01-24", "after")
    # By hand: 0.10 g are lost, 1.40 g are left, from 76.90 g.
    assert lightest(made, Jar) == Fraction("75.50")


@pytest.mark.parametrize(("grams", "mark"), [("75.50", "inside"), ("75.49", "outside")])
def test_the_lightest_weight_inside_is_where_the_mark_changes(
    grams: str, mark: str
) -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    weigh(made, "2w", "81.90", "2025-01-24")
    weigh(made, "2w", "76.90", "2025-01-24", "after")
    position = weigh(made, "4w", grams, "2025-02-07")

    assert judged_at(made.evaluate("2025-12-31"), position).mark == mark


def test_without_all_weights_no_lightest_one_is_told() -> None:
    made = bench(Jar)
    weigh(made, "T0", "82.00", "2025-01-10")
    assert lightest(made, Pack("JAR", "jar")) is None
    weigh(made, "2w", "81.90", "2025-01-24")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    weigh(made, "4w", "76.75", "2025-02-07")
    assert lightest(made, Jar) is None
