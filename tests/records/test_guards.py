"""Times, samples and reasons of everything that is done."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from stability.errors.codes import FutureMomentError, MomentError, SampleCodeCheckError
from stability.errors.samples import (
    ReasonNeededError,
    SampleGoneError,
    TooEarlyError,
    UnknownSampleError,
)
from stability.model import content
from stability.model.moment import parse_moment
from stability.records import guards
from stability.records.continuation import Continuation
from tests.records.small_study import NOW, ROOM_A, ZONE, add


def test_nothing_typed_means_now_in_the_zone_of_the_study() -> None:
    moment = guards.checked_moment(None, ZONE, NOW)

    assert str(moment) == "2026-06-01T10:00:00+01:00"


@pytest.mark.parametrize(
    "typed", ["2026-02-30", "20260302", "2026-W10-1", "yesterday", "2026-03-02T25:00"]
)
def test_a_day_that_does_not_exist_is_refused(typed: str) -> None:
    with pytest.raises(MomentError, match="Write 2026-03-02"):
        guards.checked_moment(typed, ZONE, NOW)


def test_a_day_that_does_not_exist_is_told_apart_from_another_form() -> None:
    with pytest.raises(MomentError, match="there is no such day"):
        guards.checked_moment("2026-02-30", ZONE, NOW)


@pytest.mark.parametrize("typed", ["0114-06-10", "0001-01-01T00:00", "1899-12-31"])
def test_a_year_of_no_study_is_refused(typed: str) -> None:
    with pytest.raises(MomentError, match="is no year of a study"):
        guards.checked_moment(typed, ZONE, NOW)


@pytest.mark.parametrize("typed", ["2026-06-01T10:10", "2026-06-01"])
def test_ten_minutes_ahead_are_a_clock_that_differs(typed: str) -> None:
    assert guards.checked_moment(typed, ZONE, NOW)


@pytest.mark.parametrize("typed", ["2026-06-01T10:11", "2026-06-02"])
def test_the_future_is_refused(typed: str) -> None:
    with pytest.raises(FutureMomentError, match="lies in the future"):
        guards.checked_moment(typed, ZONE, NOW)


def test_today_is_today_where_the_study_is() -> None:
    late = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)

    assert str(guards.checked_moment("2026-06-02", ZONE, late)) == "2026-06-02"


@pytest.mark.parametrize("typed", ["HDC-005-Y", "hdc005y", "005Y", "5-y"])
def test_a_code_is_found_however_it_is_typed(book: Continuation, typed: str) -> None:
    if typed == "5-y":
        with pytest.raises(Exception, match="no sample code"):
            guards.resolve_sample(book.record, typed)
    else:
        assert guards.resolve_sample(book.record, typed).code == ROOM_A


def test_a_wrong_check_character_is_refused(book: Continuation) -> None:
    with pytest.raises(SampleCodeCheckError):
        guards.resolve_sample(book.record, "HDC-005-W")


def test_an_unknown_sample_is_offered_the_nearest(book: Continuation) -> None:
    with pytest.raises(UnknownSampleError, match="HDC-017-Q"):
        guards.resolve_sample(book.record, "HDC-019-M")


def test_a_sample_of_another_study_is_none_of_this(book: Continuation) -> None:
    with pytest.raises(UnknownSampleError, match="Study HDC has no sample QDC-002-J"):
        guards.resolve_sample(book.record, "QDC-002-J")


def test_nothing_happens_before_the_batch_is_made(book: Continuation) -> None:
    sample = book.record.samples[ROOM_A]
    early = parse_moment("2026-03-01", ZONE)
    assert early is not None

    with pytest.raises(TooEarlyError, match="batch A was made on 2026-03-02"):
        guards.not_before_made(book.record, sample, early)


def test_a_batch_may_be_read_on_the_day_it_is_made(book: Continuation) -> None:
    sample = book.record.samples[ROOM_A]
    made = parse_moment("2026-03-02", ZONE)
    assert made is not None

    guards.not_before_made(book.record, sample, made)  # nothing is raised
    assert made.day == book.record.study.batches[sample.batch].made


@pytest.mark.parametrize(
    ("kind", "held", "told"),
    [
        (content.RETIRED, content.retired(ROOM_A, "broken", "fell"), "broken"),
        (content.STOPPED, content.stopped({"batch": "A"}, "recalled"), "recalled"),
    ],
)
def test_nothing_happens_to_a_sample_that_left(
    book: Continuation, kind: str, held: dict[str, object], told: str
) -> None:
    add(book, kind, held, "2026-03-20")
    sample = book.record.samples[ROOM_A]
    days = [parse_moment(f"2026-03-{day}", ZONE) for day in (19, 20, 21)]
    before, same, after = (one for one in days if one is not None)

    guards.still_there(book.record, sample, before)
    guards.still_there(book.record, sample, same)
    with pytest.raises(SampleGoneError, match=told):
        guards.still_there(book.record, sample, after)


@pytest.mark.parametrize("because", [None, "", "  "])
def test_a_reason_is_more_than_blanks(because: str | None) -> None:
    with pytest.raises(ReasonNeededError, match="Retiring it needs a reason"):
        guards.reasoned(because, "Retiring it")
