"""Days in tables: told apart only where that is certain."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.files import DayOrderError
from stability.errors.samples import ReadingsError
from stability.records.day_forms import checked_order, day_forms

# ISO 8601-1:2019: calendar dates are written year, month, day. The other orders are
# those in daily use in Europe (dmy) and the United States (mdy); common practice.


@pytest.mark.parametrize(
    ("typed", "iso"),
    [
        ("2026-04-03", "2026-04-03"),
        ("2026-04-03T09:15", "2026-04-03T09:15"),
        ("2026/4/3", "2026-04-03"),
        ("2026.04.03", "2026-04-03"),
        ("3 April 2026", "2026-04-03"),
        ("3-Apr-2026", "2026-04-03"),
        ("3. Apr. 2026", "2026-04-03"),
        ("April 3, 2026", "2026-04-03"),
        ("4/4/2026", "2026-04-04"),
        ("17/4/2026 9:15", "2026-04-17T09:15"),
    ],
)
def test_a_day_that_can_be_read_in_one_way_is_read(typed: str, iso: str) -> None:
    assert day_forms([typed]).iso(typed) == iso


@pytest.mark.parametrize(
    ("column", "iso"),
    [
        (["3/4/2026", "17/4/2026"], "2026-04-03"),
        (["3/4/2026", "4/17/2026"], "2026-03-04"),
        (["3.4.2026", "31.12.2025"], "2026-04-03"),
        (["3-4-2026", "4-30-2026"], "2026-03-04"),
    ],
)
def test_one_day_above_12_tells_the_order_of_the_whole_column(
    column: list[str], iso: str
) -> None:
    assert day_forms(column).iso(column[0]) == iso


def test_days_that_may_be_two_are_refused_with_both() -> None:
    with pytest.raises(DayOrderError) as caught:
        day_forms(["3/4/2026", "5/6/2026", "7/7/2026"])

    assert "3 April or 4 March" in str(caught.value)
    assert "1 more" in str(caught.value)
    assert "--dates" in str(caught.value)


def test_two_orders_in_one_column_are_refused() -> None:
    with pytest.raises(DayOrderError, match="4/17/2026"):
        day_forms(["17/4/2026", "4/17/2026"])


@pytest.mark.parametrize(
    ("order", "typed", "iso"),
    [
        ("dmy", "3/4/2026", "2026-04-03"),
        ("mdy", "3/4/2026", "2026-03-04"),
        ("dmy", "3/4/26", "2026-04-03"),
        ("ymd", "26/4/3", "2026-04-03"),
        (" DMY ", "3/4/2026", "2026-04-03"),
    ],
)
def test_an_order_that_was_told_is_followed(order: str, typed: str, iso: str) -> None:
    assert day_forms([typed], checked_order(order)).iso(typed) == iso


@pytest.mark.parametrize(
    "typed",
    ["31/2/2026", "3/4/26", "2026-2-30", "spring", "3/4", "12/2026", "0/4/2026"],
)
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises((ReadingsError, DayOrderError)):
        day_forms([typed]).iso(typed)


def test_an_order_that_is_told_and_does_not_fit_is_a_fault() -> None:
    with pytest.raises(ReadingsError, match="4/17/2026"):
        day_forms(["4/17/2026"], "dmy").iso("4/17/2026")


def test_an_order_that_is_none_is_refused() -> None:
    with pytest.raises(DayOrderError, match="dym"):
        checked_order("dym")


@given(st.lists(st.dates(date(2000, 1, 1), date(2099, 12, 31)), min_size=1))
def test_a_column_is_read_as_it_was_written_or_not_at_all(days: list[date]) -> None:
    for form in ("{0.day}/{0.month}/{0.year}", "{0.month}/{0.day}/{0.year}"):
        column = [form.format(one) for one in days]
        try:
            forms = day_forms(column)
        except DayOrderError:
            # Then no day tells the order: each could be either.
            assert all(one.day <= 12 for one in days)
            continue
        assert [forms.iso(one) for one in column] == [str(one) for one in days]


def test_the_month_is_told_by_every_unmistakable_beginning() -> None:
    names = [f"{date(2026, month, 1):%B}" for month in range(1, 13)]
    for name, after in pairwise([*names, "January"]):
        assert name != after
        typed = f"1 {name[:3]} 2026"
        assert day_forms([typed]).iso(typed)[5:7] == f"{names.index(name) + 1:02d}"
