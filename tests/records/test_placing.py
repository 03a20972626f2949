"""Samples put into place, moved, cycled, swapped, replaced and taken out."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors import StabilityError
from stability.errors.samples import (
    PlacingError,
    ReasonNeededError,
    ReplacementError,
    UnknownNameError,
)
from stability.model import content
from stability.model.content import Content
from stability.model.moment import parse_moment
from stability.records.continuation import Continuation
from stability.records.placing import (
    PlacingWish,
    meant_by_condition,
    place,
    swap_one,
)
from tests.records.small_study import (
    BULK_A,
    FT_A,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    T40_2W,
    T40_4W,
    TWIN_A,
    ZONE,
    add,
    opened_book,
)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return a study just opened."""
    return opened_book(tmp_path)


def placed(book: Continuation, code: str, day: str, **wish: object) -> Content:
    """Place a sample, add the entries, return the first content."""
    done = parse_moment(day, ZONE)
    assert done is not None
    every = place(book.plan, code, PlacingWish(**wish), done)  # type: ignore[arg-type]
    for held in every:
        add(book, content.PLACED, held, day)
    return every[0]


def test_a_sample_goes_into_its_own_condition_and_its_named_place(
    book: Continuation,
) -> None:
    held = placed(book, T40_2W, "2026-03-06")

    assert (held["condition"], held["how"], held["place"]) == (
        "T40",
        "in",
        "OVEN-7KQ4",
    )
    assert (held["cycle"], held["step"]) == (None, None)


def test_a_place_typed_comes_before_the_one_named(book: Continuation) -> None:
    assert placed(book, T40_2W, "2026-03-06", place="OVEN-2")["place"] == "OVEN-2"


def test_a_sample_that_is_there_already_is_refused(book: Continuation) -> None:
    placed(book, T40_2W, "2026-03-06")

    with pytest.raises(PlacingError, match="in T40 since 2026-03-06"):
        placed(book, T40_2W, "2026-03-07")


def test_moving_needs_a_reason_and_says_moved(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-06")

    with pytest.raises(ReasonNeededError):
        placed(book, ROOM_A, "2026-03-07", to="T40")
    held = placed(book, ROOM_A, "2026-03-07", to="t40", because="by mistake")
    assert (held["how"], held["condition"]) == ("moved", "T40")


def test_another_condition_than_its_own_needs_a_reason(book: Continuation) -> None:
    with pytest.raises(ReasonNeededError):
        placed(book, T40_2W, "2026-03-06", to="ROOM")


def test_an_unknown_condition_is_offered_the_nearest(book: Continuation) -> None:
    with pytest.raises(UnknownNameError, match="ROOM"):
        placed(book, ROOM_A, "2026-03-06", to="ROMM")


def test_a_sample_meant_for_no_condition_must_be_told_one(book: Continuation) -> None:
    with pytest.raises(PlacingError, match="name one with --to"):
        placed(book, BULK_A, "2026-03-06")


def test_it_cannot_be_placed_before_it_was_placed_last(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-10")

    with pytest.raises(PlacingError, match="later than 2026-03-09"):
        placed(book, ROOM_A, "2026-03-09", to="T40", because="moved")


def test_it_may_be_moved_on_the_day_it_was_placed(book: Continuation) -> None:
    placed(book, T40_2W, "2026-03-06")
    held = placed(
        book, T40_2W, "2026-03-06", to="ROOM", because="the oven is not ready yet"
    )

    assert (held["condition"], held["how"]) == ("ROOM", "moved")


def test_cycles_go_step_by_step_to_their_end(book: Continuation) -> None:
    first = placed(book, FT_A, "2026-03-06")
    days = ("2026-03-07", "2026-03-08", "2026-03-09")
    steps = [first, *(placed(book, FT_A, day, step="next") for day in days)]

    assert [(one["cycle"], one["step"]) for one in steps] == [
        (1, 1),
        (1, 2),
        (2, 1),
        (2, 2),
    ]
    assert [one["how"] for one in steps] == ["in", "step", "step", "step"]
    with pytest.raises(PlacingError, match="all cycles in FT are done"):
        placed(book, FT_A, "2026-03-10", step="next")
    out = placed(book, FT_A, "2026-03-10", out=True)
    assert (out["condition"], out["how"]) == (None, "out")


def test_leaving_out_a_step_needs_a_reason(book: Continuation) -> None:
    placed(book, FT_A, "2026-03-06")

    with pytest.raises(ReasonNeededError, match="next is 1/2"):
        placed(book, FT_A, "2026-03-08", step="2/1")
    assert placed(book, FT_A, "2026-03-08", step="2/1", because="away")["cycle"] == 2


@pytest.mark.parametrize("step", ["3/1", "1/3", "0/1", "two"])
def test_a_step_that_there_is_not_is_refused(book: Continuation, step: str) -> None:
    placed(book, FT_A, "2026-03-06")

    with pytest.raises(PlacingError, match="from 1/1 to 2/2"):
        placed(book, FT_A, "2026-03-07", step=step)


def test_a_step_outside_cycles_is_refused(book: Continuation) -> None:
    with pytest.raises(PlacingError, match="has no cycles"):
        placed(book, ROOM_A, "2026-03-06", step="next")
    placed(book, ROOM_A, "2026-03-06")
    with pytest.raises(PlacingError, match="in no cycled condition"):
        placed(book, ROOM_A, "2026-03-07", step="next")


def test_an_untreated_twin_goes_where_it_stays_untreated(book: Continuation) -> None:
    assert placed(book, TWIN_A, "2026-03-06")["condition"] == "ROOM"


def test_taking_out_needs_a_reason_before_the_end(book: Continuation) -> None:
    with pytest.raises(PlacingError, match="in no condition"):
        placed(book, ROOM_A, "2026-03-06", out=True)
    placed(book, ROOM_A, "2026-03-06")
    with pytest.raises(ReasonNeededError):
        placed(book, ROOM_A, "2026-03-07", out=True)


def test_swapped_samples_take_each_others_place(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-06")
    placed(book, T40_2W, "2026-03-06")

    placed(book, ROOM_A, "2026-03-08", swap_with=T40_2W, because="mixed up")

    first, second = book.record.placings[-2:]
    assert (first.sample, first.condition, first.place) == (ROOM_A, "T40", "OVEN-7KQ4")
    assert (second.sample, second.condition) == (T40_2W, "ROOM")
    assert (first.swapped_with, second.swapped_with) == (T40_2W, ROOM_A)
    assert {first.how, second.how} == {"swapped"}


def test_only_placed_samples_are_swapped(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-06")

    with pytest.raises(PlacingError, match="only two samples that are placed"):
        placed(book, ROOM_A, "2026-03-08", swap_with=T40_2W, because="mixed up")


def test_half_a_swap_says_into_which_condition(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-06")
    placed(book, T40_2W, "2026-03-06")
    done = parse_moment("2026-03-08", ZONE)
    assert done is not None
    wish = PlacingWish(swap_with=T40_2W, to="T40", because="mixed up")

    held = swap_one(book.plan, ROOM_A, wish, done)

    assert (held["condition"], held["swapped_with"]) == ("T40", T40_2W)
    with pytest.raises(PlacingError, match="into which condition"):
        swap_one(
            book.plan, ROOM_A, PlacingWish(swap_with=T40_2W, because="mixed up"), done
        )


def test_a_spare_takes_the_part_of_what_broke(book: Continuation) -> None:
    placed(book, T40_4W, "2026-03-06")
    add(book, content.RETIRED, content.retired(T40_4W, "broken", "fell"), "2026-03-09")

    held = placed(book, SPARE_A, "2026-03-10", replaces=T40_4W)

    assert (held["condition"], held["replaces"]) == ("T40", T40_4W)
    assert book.record.samples[SPARE_A].checks == ("4w",)


@pytest.mark.parametrize(
    ("code", "replaced", "reason"),
    [
        (SPARE_A, T40_4W, "still in the study"),
        (ROOM_B, T40_4W, "its batch is B, not A"),
        (FT_A, T40_4W, "its pack is GLASS, not JAR"),
        (SPARE_A, BULK_A, "its pack is JAR, not None"),
    ],
)
def test_what_cannot_replace_is_refused(
    book: Continuation, code: str, replaced: str, reason: str
) -> None:
    with pytest.raises(ReplacementError, match=reason):
        placed(book, code, "2026-03-10", replaces=replaced)


def test_a_sample_is_replaced_once_by_one_that_is_free(book: Continuation) -> None:
    placed(book, ROOM_A, "2026-03-06")
    add(book, content.RETIRED, content.retired(T40_4W, "broken", "fell"), "2026-03-09")
    with pytest.raises(ReplacementError, match="it is placed already"):
        placed(book, ROOM_A, "2026-03-10", replaces=T40_4W)
    placed(book, SPARE_A, "2026-03-10", replaces=T40_4W)

    with pytest.raises(ReplacementError, match=f"{SPARE_A} replaced it already"):
        placed(book, T40_2W, "2026-03-10", replaces=T40_4W)


def test_all_that_wait_for_a_condition_are_meant_by_its_name(
    book: Continuation,
) -> None:
    assert meant_by_condition(book.plan, "t40", None, inside=False) == (T40_2W, T40_4W)
    placed(book, T40_2W, "2026-03-06")
    assert meant_by_condition(book.plan, "T40", None, inside=False) == (T40_4W,)
    assert meant_by_condition(book.plan, "T40", None, inside=True) == (T40_2W,)
    assert meant_by_condition(book.plan, "ROOM", "B", inside=False) == (ROOM_B,)
    with pytest.raises(StabilityError, match="no sample waits"):
        meant_by_condition(book.plan, "FT", "B", inside=False)
