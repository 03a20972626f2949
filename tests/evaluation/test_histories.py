"""A check with all checks before it, as the bench asks for it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from stability.evaluation.fates import exposures_of
from stability.evaluation.histories import History, histories_of
from stability.evaluation.index import index_of
from stability.evaluation.judging import judge_all
from stability.model.age import DAYS_PER_MONTH
from tests.evaluation.builders import PLACED, Bench, bulk, measured, sample

DAYS = (28, 90, 180, 270, 365)


def read_jar(
    values: tuple[str, ...] = ("5.48", "5.46", "5.43", "5.41", "5.30"),
    attribute: str = "pH",
) -> tuple[Bench, list[int]]:
    """Return a bench that has read T0 and five checks of one jar, and the entries."""
    bench = Bench([bulk(), sample("HDC-1", "ROOM")])
    bench.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    checks = ("4w", "3M", "6M", "9M", "12M")
    entries = [
        bench.read(
            "HDC-1", attribute, check, value,
            done=(PLACED + timedelta(days=days)).isoformat(),
        )
        for check, days, value in zip(checks, DAYS, values, strict=True)
    ]  # fmt: skip
    return bench, entries


def histories(bench: Bench, *positions: int) -> tuple[History, ...]:
    """Return the histories of some entries."""
    index = index_of(bench.record(), date(2026, 6, 1))
    return histories_of(index, judge_all(index, exposures_of(index)), positions)


def test_a_check_stands_beside_all_checks_before_it() -> None:
    bench, entries = read_jar()

    (found,) = histories(bench, entries[-1])

    assert found.values == (5.5, 5.48, 5.46, 5.43, 5.41)
    assert found.ages == (0.0, *(days / DAYS_PER_MONTH for days in DAYS[:4]))
    assert (found.value, found.point.check) == (5.30, "12M")
    assert (found.unit, found.scale, found.resolution) == ("pH", "linear", 0.01)


def test_a_check_that_was_typed_late_is_held_against_those_before_it() -> None:
    bench, entries = read_jar()

    (found,) = histories(bench, entries[2])

    assert found.values == (5.5, 5.48, 5.46)


def test_it_is_what_the_evaluation_tests() -> None:
    bench, entries = read_jar()
    (tested,) = measured(bench.evaluate("2026-06-01"), "pH").trend_tests

    (found,) = histories(bench, entries[-1])

    assert (tested.result.earlier, tested.result.value) == (
        len(found.ages),
        found.value,
    )


def test_a_series_with_a_reading_beyond_a_bound_has_no_history() -> None:
    bench, entries = read_jar(("5.48", "<5.50", "5.43", "5.41", "5.30"))

    assert histories(bench, entries[-1]) == ()


@pytest.mark.parametrize("attribute", ["odour", "weight_loss"])
def test_words_and_weights_have_no_history(attribute: str) -> None:
    values = ("changed",) * 5 if attribute == "odour" else ("90",) * 5
    bench, entries = read_jar(values, attribute)

    assert histories(bench, *entries) == ()


def test_an_entry_set_aside_has_no_history() -> None:
    bench, entries = read_jar()
    bench.invalidate(entries[-1], "electrode dry", done="2026-01-12")

    assert histories(bench, entries[-1]) == ()
