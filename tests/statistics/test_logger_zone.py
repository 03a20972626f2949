"""Local times of a logger through changes to and from summer time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.errors.storage import LoggerFileError
from stability.statistics.logger_zone import fixed_offset, to_utc
from tests.statistics.loggers import read, table, times

#: Europe/Dublin: forward on 2025-03-30 01:00, back on 2025-10-26 02:00 (IANA data).
DUBLIN = "Europe/Dublin"


def test_the_hour_that_comes_twice_is_told_apart_where_the_time_goes_back() -> None:
    clocks = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    found, _ = read(table([f"2025-10-26 {one},20" for one in clocks]), zone=DUBLIN)

    assert times(found) == [
        "2025-10-25 23:30",
        "2025-10-26 00:00",
        "2025-10-26 00:30",
        "2025-10-26 01:00",
        "2025-10-26 01:30",
        "2025-10-26 02:00",
    ]
    assert "went back" in found.remarks[0]


def test_that_hour_once_is_taken_as_the_first_and_told() -> None:
    clocks = ["00:30", "01:00", "01:30", "02:00"]
    found, _ = read(table([f"2025-10-26 {one},20" for one in clocks]), zone=DUBLIN)

    assert times(found)[1:3] == ["2025-10-26 00:00", "2025-10-26 00:30"]
    assert "declare its offset" in found.remarks[0]


def test_a_reading_that_can_only_be_in_the_second_hour_is() -> None:
    clocks = ["01:45", "01:15", "02:00"]
    found, _ = read(table([f"2025-10-26 {one},20" for one in clocks]), zone=DUBLIN)

    assert times(found) == ["2025-10-26 00:45", "2025-10-26 01:15", "2025-10-26 02:00"]


def test_a_time_that_never_was_is_refused_with_the_winter_offset() -> None:
    rows = [f"2025-03-30 {one},20" for one in ("00:30", "01:30", "02:30")]

    with pytest.raises(LoggerFileError, match=r"line 3.*--zone \+00:00"):
        read(table(rows), zone=DUBLIN)
    found, _ = read(table(rows), zone="+00:00")
    assert times(found)[1] == "2025-03-30 01:30"


@pytest.mark.parametrize(
    ("zone", "seconds"),
    [("UTC", 0), ("+05:30", 19_800), ("-03:00", -10_800), (DUBLIN, None), ("+5", None)],
)
def test_fixed_offsets(zone: str, seconds: int | None) -> None:
    assert fixed_offset(zone) == seconds


@given(
    st.datetimes(datetime(2025, 1, 1), datetime(2026, 12, 31)),  # noqa: DTZ001
    st.lists(st.integers(60, 1_800), min_size=2, max_size=80),
    st.sampled_from(["Europe/Dublin", "America/New_York", "Australia/Sydney"]),
)
@settings(deadline=None, max_examples=150)
def test_a_logger_that_follows_its_zone_comes_back_as_it_was(
    start: datetime, steps: list[int], zone: str
) -> None:
    # Readings every half hour or oftener, so that the hour that comes twice is seen
    # twice; the library's own conversion is the independent way.
    moment = start.replace(microsecond=0, tzinfo=UTC)
    real = [moment]
    for step in steps:
        real.append(real[-1] + timedelta(seconds=step))
    walls = [one.astimezone(ZoneInfo(zone)).replace(tzinfo=UTC) for one in real]
    local = np.array([one.timestamp() for one in walls], dtype=np.int64)
    fold = [one.astimezone(ZoneInfo(zone)).fold for one in real]
    found = to_utc(local, zone)
    meant = np.array([one.timestamp() for one in real], dtype=np.int64)
    twice = np.array(_comes_twice(real, zone))
    sure = ~twice if len(set(np.array(fold)[twice])) < 2 else np.ones(len(real), bool)

    assert not found.skipped.size
    assert found.seconds[sure].tolist() == meant[sure].tolist()


def _comes_twice(real: list[datetime], zone: str) -> list[bool]:
    """Say of each time whether its local hour comes twice that day."""
    found = []
    for one in real:
        local = one.astimezone(ZoneInfo(zone))
        other = local.replace(fold=1 - local.fold)
        found.append(other.utcoffset() != local.utcoffset())
    return found
