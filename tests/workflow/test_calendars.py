"""Whose days a calendar holds, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stability.errors.labels import (
    CalendarScopeError,
    NothingPlannedError,
    ReminderError,
)
from stability.errors.reports import ReportExistsError
from stability.workflow import bench
from stability.workflow.calendars import calendar

if TYPE_CHECKING:
    from tests.workflow.conftest import At


def test_one_study_or_all_of_them(at: At, tmp_path: Path) -> None:
    one = calendar(at("2026-03-02"), "HDC", tmp_path / "one.ics")
    every = calendar(at("2026-03-02"), None, tmp_path / "all.ics", every=True)

    assert one.studies == every.studies == ("HDC",)
    assert (tmp_path / "one.ics").read_bytes() == (tmp_path / "all.ics").read_bytes()
    assert one.anchors[0].startswith("study:HDC/1:")


@pytest.mark.parametrize(("study", "every"), [(None, False), ("HDC", True)])
def test_neither_or_both_are_refused(
    at: At, tmp_path: Path, study: str | None, *, every: bool
) -> None:
    with pytest.raises(CalendarScopeError):
        calendar(at("2026-03-02"), study, tmp_path / "c.ics", every=every)


@pytest.mark.parametrize("typed", ["1M", "1y", "d", "", "-1d", "T0"])
def test_a_reminder_of_no_fixed_length_is_refused(
    at: At, tmp_path: Path, typed: str
) -> None:
    with pytest.raises(ReminderError):
        calendar(at("2026-03-02"), "HDC", tmp_path / "c.ics", remind=typed)
    assert not (tmp_path / "c.ics").exists()


@pytest.mark.parametrize(
    ("typed", "trigger"), [("12h", "-PT12H"), ("1d", "-P1D"), ("1w", "-P7D")]
)
def test_a_reminder_is_so_long_before(
    at: At, tmp_path: Path, typed: str, trigger: str
) -> None:
    calendar(at("2026-03-02"), "HDC", tmp_path / "c.ics", remind=typed)

    assert f"TRIGGER:{trigger}" in (tmp_path / "c.ics").read_text(encoding="utf-8")


def test_events_are_counted_by_their_state(at: At, tmp_path: Path) -> None:
    before = calendar(at("2026-03-02"), "HDC", tmp_path / "c.ics")
    bench.stop(at("2026-03-03"), "HDC", because="given up")
    after = calendar(at("2026-03-03"), "HDC", tmp_path / "c.ics", overwrite=True)

    assert before.cancelled == 0
    assert 0 < before.tentative < before.planned
    assert (after.planned, after.tentative) == (0, 0)
    assert after.cancelled == before.planned


def test_nothing_planned_any_more_is_told(at: At, tmp_path: Path) -> None:
    bench.stop(at("2026-03-03"), "HDC", because="given up")

    with pytest.raises(NothingPlannedError, match="study HDC"):
        calendar(at("2027-03-03"), "HDC", tmp_path / "c.ics")
    assert not (tmp_path / "c.ics").exists()


def test_a_file_that_is_there_is_kept(at: At, tmp_path: Path) -> None:
    target = tmp_path / "c.ics"
    target.write_bytes(b"mine")

    with pytest.raises(ReportExistsError):
        calendar(at("2026-03-02"), "HDC", target)
    assert target.read_bytes() == b"mine"
