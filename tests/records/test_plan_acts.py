"""A plan lodged, and a study taken over."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.codes import TextFormError
from stability.errors.samples import ReasonNeededError, TooEarlyError
from stability.model.moment import Moment, moment_at
from stability.model.study_record import StudyRecord
from stability.records.plan_acts import lodged, taken_over
from tests.records.small_study import ZONE, opened_book


@pytest.fixture
def record(tmp_path: Path) -> StudyRecord:
    return opened_book(tmp_path).record


def on(day: int) -> Moment:
    return moment_at(datetime(2026, 3, day, 12, tzinfo=UTC), ZONE)


def test_a_lodging_holds_who_received_which_fingerprint(record: StudyRecord) -> None:
    held = lodged(record, "Dr Orla Keane", " by post ", on(1))

    assert held == {
        "receiver": "Dr Orla Keane",
        "fingerprint": record.opening.fingerprint,
        "note": "by post",
    }


def test_nothing_is_lodged_before_it_was_opened(record: StudyRecord) -> None:
    before = Moment(on(1).day.replace(month=2))

    with pytest.raises(TooEarlyError, match="opened on 2026-03-01"):
        lodged(record, "Dr Orla Keane", None, before)


@pytest.mark.parametrize("receiver", ["", "  ", "a\x00b"])
def test_a_receiver_needs_a_name(record: StudyRecord, receiver: str) -> None:
    with pytest.raises(TextFormError):
        lodged(record, receiver, None, on(1))


def test_a_study_is_taken_over_for_a_reason() -> None:
    assert taken_over("green notebook, p. 12") == {"because": "green notebook, p. 12"}
    with pytest.raises(ReasonNeededError):
        taken_over(" ")
