"""Ages as the trade writes them: weeks and days exact, months by the calendar."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.age import (
    Age,
    add_calendar_months,
    check_order,
    check_text,
    cycle_of,
    is_check,
    parse_age,
)

DAYS = st.dates(date(2020, 1, 1), date(2035, 12, 31))


@pytest.mark.parametrize(
    ("text", "count", "unit"),
    [("24h", 24, "h"), ("7d", 7, "d"), ("4w", 4, "w"), ("3M", 3, "M"), ("2y", 2, "y")],
)
def test_an_age_is_read_and_printed_as_written(
    text: str, count: int, unit: str
) -> None:
    age = parse_age(text)

    assert age == Age(count, unit)
    assert str(age) == text


@pytest.mark.parametrize(
    "text", ["", "4", "w", "04w", "4W", "3m", "4 w", "-4w", "4.5w", "٤w", "4w\n"]
)
def test_what_is_no_age_is_none(text: str) -> None:
    assert parse_age(text) is None


# Calendar arithmetic, computed, two programs: 31 January 2025 + 12 weeks is 25 April,
# + 3 calendar months is 30 April, 89 days.
def test_twelve_weeks_are_84_days_and_never_three_months() -> None:
    start = date(2025, 1, 31)

    assert Age(12, "w").after(start) == date(2025, 4, 25)
    assert (Age(12, "w").after(start) - start).days == 84
    assert Age(3, "M").after(start) == date(2025, 4, 30)
    assert (Age(3, "M").after(start) - start).days == 89
    assert parse_age("12w") != parse_age("3M")


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2025, 11, 30), 3, date(2026, 2, 28)),
        (date(2025, 12, 15), 1, date(2026, 1, 15)),
        (date(2025, 3, 31), 6, date(2025, 9, 30)),
    ],
)
def test_a_month_is_a_calendar_month_and_ends_with_a_shorter_one(
    start: date, months: int, end: date
) -> None:
    assert add_calendar_months(start, months) == end


@given(DAYS, st.integers(0, 120))
def test_months_keep_the_day_or_take_the_last_of_a_shorter_month(
    start: date, months: int
) -> None:
    end = add_calendar_months(start, months)

    assert (end.year - start.year) * 12 + end.month - start.month == months
    shorter = end.day < start.day and (end + timedelta(days=1)).day == 1
    assert end.day == start.day or shorter


@given(DAYS, st.integers(0, 60))
def test_a_year_is_twelve_months(start: date, years: int) -> None:
    assert Age(years, "y").after(start) == Age(12 * years, "M").after(start)


@given(DAYS, st.integers(0, 200))
def test_a_week_is_seven_days(start: date, weeks: int) -> None:
    assert (Age(weeks, "w").after(start) - start).days == 7 * weeks


@pytest.mark.parametrize(("hours", "days"), [(0, 0), (1, 1), (24, 1), (25, 2), (48, 2)])
def test_hours_reach_the_day_in_which_they_end(hours: int, days: int) -> None:
    start = date(2025, 1, 6)

    assert Age(hours, "h").after(start) == start + timedelta(days=days)


# Days // 31, because no calendar month is longer (common practice).
@pytest.mark.parametrize(
    ("text", "months"),
    [
        ("4w", 0),
        ("8w", 1),
        ("12w", 2),
        ("52w", 11),
        ("30d", 0),
        ("31d", 1),
        ("61d", 1),
        ("48h", 0),
        ("3M", 3),
        ("12M", 12),
        ("2y", 24),
    ],
)
def test_whole_months_are_no_more_than_an_age_proves(text: str, months: int) -> None:
    age = parse_age(text)

    assert age is not None
    assert age.whole_months == months


@given(DAYS, st.integers(0, 300))
def test_whole_months_of_weeks_have_passed_from_any_start(
    start: date, weeks: int
) -> None:
    age = Age(weeks, "w")

    assert add_calendar_months(start, age.whole_months) <= age.after(start)


def test_only_months_and_years_are_calendar_months() -> None:
    assert Age(12, "w").calendar_months is None
    assert Age(3, "M").calendar_months == 3
    assert Age(2, "y").calendar_months == 24


@pytest.mark.parametrize(
    ("text", "cycles"),
    [("c1", 1), ("c12", 12), ("c0", None), ("3", None), ("C1", None)],
)
def test_a_cycle_check_is_told_from_an_age(text: str, cycles: int | None) -> None:
    assert cycle_of(text) == cycles


@pytest.mark.parametrize(
    ("text", "known"), [("T0", True), ("4w", True), ("c3", True), ("t0", False)]
)
def test_checks_are_t0_ages_and_cycles(text: str, known: bool) -> None:
    assert is_check(text) is known


def test_checks_stand_in_order_of_age_with_t0_first_and_cycles_last() -> None:
    names = ["c3", "12M", "4w", "c1", "T0", "24h", "12w", "3M", "2w"]

    assert sorted(names, key=check_order) == [
        "T0", "24h", "2w", "4w", "12w", "3M", "12M", "c1", "c3",
    ]  # fmt: skip


def test_cycle_checks_are_named_for_people() -> None:
    assert [check_text(one) for one in ("c1", "c3", "4w")] == [
        "after 1 cycle",
        "after 3 cycles",
        "4w",
    ]
