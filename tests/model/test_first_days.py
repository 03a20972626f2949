"""First days that fall on a weekend: told, with the next working day, never moved."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from stability.model.age import Age
from stability.model.first_days import weekend_words, working_day
from stability.model.protocol import T0Rule
from stability.model.study import Batch
from tests.evaluation.builders import bulk, protocol, sample, study

JAR = "HDC-001-A"
#: T0 from 48 to 96 h after making, placing within a week of it.
RULE = T0Rule(Age(48, "h"), Age(96, "h"), Age(7, "d"))


def told(
    made: str, rule: T0Rule = RULE, since: str = "", **of_study: object
) -> list[str]:
    """Return what is told of a batch made on a day, with one jar at ROOM."""
    batches = {"A": Batch("A", date.fromisoformat(made))}
    planned = replace(study(), batches=batches, **of_study)  # type: ignore[arg-type]
    day = date.fromisoformat(since) if since else date.min
    samples = [bulk(), sample(JAR, "ROOM")]
    return list(weekend_words(planned, replace(protocol(), t0=rule), samples, day))


def test_a_week_in_which_all_falls_on_working_days_is_not_spoken_of() -> None:
    # Made on Monday 5 January 2026: T0 on Wednesday, placing on Friday.
    assert told("2026-01-05") == []


def test_a_t0_on_a_weekend_is_told_with_the_working_day_of_its_window() -> None:
    # Made on Thursday 8 January 2026: T0 on Saturday, window to Monday.
    assert told("2026-01-08") == [
        (
            "T0 of batch A is due on 2026-01-10 (Sat): the window is open to "
            "2026-01-12 (Mon), so 2026-01-12 (Mon) will do"
        )
    ]


def test_a_window_that_is_over_on_sunday_leaves_no_working_day() -> None:
    short = replace(RULE, read_before=Age(72, "h"))

    t0, placing = told("2026-01-08", short)

    assert t0 == (
        "T0 of batch A is due on 2026-01-10 (Sat): no working day lies in its window, "
        "which ends on 2026-01-11 (Sun)"
    )
    assert "2026-01-12 (Mon) will do" in placing


def test_an_assumed_day_of_placing_on_a_weekend_is_told() -> None:
    # Made on Wednesday 7 January 2026: T0 on Friday, placing assumed on Sunday.
    assert told("2026-01-07") == [
        (
            "placing of batch A is taken for 2026-01-11 (Sun), because [place_on] "
            "states no day; 2026-01-12 (Mon) will do: ages count from the day on which "
            "it is really placed"
        )
    ]


def test_a_stated_day_is_kept_and_told_as_stated() -> None:
    saturday = date(2026, 1, 17)

    assert told("2026-01-05", place_on={"ROOM": saturday}) == [
        "[place_on] states 2026-01-17 (Sat) for ROOM, a weekend"
    ]


@pytest.mark.parametrize(("since", "lines"), [("2026-01-10", 1), ("2026-01-11", 0)])
def test_what_is_past_is_not_spoken_of(since: str, lines: int) -> None:
    assert len(told("2026-01-08", since=since)) == lines


@pytest.mark.parametrize(
    ("day", "last", "found"),
    [
        (9, 20, 9), (10, 20, 12), (11, 20, 12), (10, 12, 12), (10, 11, None),
    ],
)  # fmt: skip
def test_the_next_working_day_may_be_the_day_itself(
    day: int, last: int, found: int | None
) -> None:
    expected = None if found is None else date(2026, 1, found)

    assert working_day(date(2026, 1, day), date(2026, 1, last)) == expected
