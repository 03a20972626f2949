"""When something happened: a day, or a time with its offset."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.moment import (
    Moment,
    age_days,
    moment_at,
    parse_moment,
    parse_utc,
    utc_text,
)

DUBLIN = ZoneInfo("Europe/Dublin")


def at(text: str, zone: ZoneInfo = DUBLIN) -> Moment:
    """Return a moment as typed."""
    moment = parse_moment(text, zone)
    assert moment is not None
    return moment


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("2026-03-02", "2026-03-02"),
        ("2026-03-02T09:15", "2026-03-02T09:15:00+00:00"),
        ("2026-03-02 09:15", "2026-03-02T09:15:00+00:00"),
        ("2026-07-02T09:15:30", "2026-07-02T09:15:30+01:00"),
        ("2026-07-02T09:15+05:30", "2026-07-02T09:15:00+05:30"),
        ("2026-03-02T09:15Z", "2026-03-02T09:15:00+00:00"),
    ],
)
def test_a_moment_keeps_what_was_known_and_no_more(text: str, printed: str) -> None:
    assert str(at(text)) == printed


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-02-30",
        "2026-W10-1",
        "20260302",
        "02.03.2026",
        "2026-3-2",
        "2026-03-02T25:00",
        "2026-03-02T09",
        "2026-03-02T09:15:30.5",
        "2026-03-02T09:15+0530",
        "٢٠٢٦-03-02",
        "2026-03-02 ",
    ],
)
def test_another_form_or_a_day_that_does_not_exist_is_none(text: str) -> None:
    assert parse_moment(text, DUBLIN) is None


def test_a_time_without_offset_is_the_study_s_local_time() -> None:
    assert at("2026-07-02T09:15").time == datetime(2026, 7, 2, 8, 15, tzinfo=UTC)


def test_the_day_of_a_moment_is_the_local_day() -> None:
    late = moment_at(datetime(2026, 7, 1, 23, 30, tzinfo=UTC), DUBLIN)

    assert late.day == date(2026, 7, 2)
    assert late.for_people() == "2026-07-02 00:30"


def test_ages_are_differences_of_dates_where_only_a_day_is_known() -> None:
    assert age_days(at("2026-03-02T23:59"), at("2026-03-03")) == 1
    assert age_days(at("2026-03-02"), at("2026-03-30T01:00")) == 28


# 24 hours of a clock that jumps are 23 or 25 hours of age.
def test_ages_between_times_are_elapsed_and_not_by_the_wall_clock() -> None:
    night = age_days(at("2026-03-28T12:00"), at("2026-03-29T12:00"))

    assert night == pytest.approx(23 / 24)


def test_moments_are_ordered_by_day_then_by_time_where_both_are_known() -> None:
    assert at("2026-03-02") < at("2026-03-03")
    assert at("2026-03-02T09:00") < at("2026-03-02T10:00")
    assert not at("2026-03-02T09:00") < at("2026-03-02")
    assert not at("2026-03-02") < at("2026-03-02T09:00")


def test_on_one_day_a_time_and_a_bare_day_stand_side_by_side() -> None:
    day, time = at("2026-03-02"), at("2026-03-02T09:00")

    assert not day > time
    assert not time > day
    assert day <= time <= day
    assert day >= time >= day


@given(st.integers(1_577_836_800, 2_051_222_400), st.integers(0, 999_999))
def test_the_time_in_entries_reads_back_to_the_second(
    seconds: int, microseconds: int
) -> None:
    time = datetime.fromtimestamp(seconds, UTC).replace(microsecond=microseconds)

    assert parse_utc(utc_text(time)) == time.replace(microsecond=0)


@pytest.mark.parametrize(
    ("typed", "zone"),
    [("9999-12-31T23:59Z", "Asia/Tokyo"), ("0001-01-01T00:00Z", "America/New_York")],
)
def test_a_time_that_no_calendar_reaches_is_none(typed: str, zone: str) -> None:
    assert parse_moment(typed, ZoneInfo(zone)) is None
