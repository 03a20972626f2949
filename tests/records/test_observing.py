"""Readings against the study: check, second observation, correction, far readings."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.samples import (
    AlreadyObservedError,
    EntryReferenceError,
    FarReadingError,
    NothingToRepeatError,
    PlacingError,
    ReadingsError,
    ReasonNeededError,
    SampleGoneError,
    TooEarlyError,
    UnknownNameError,
)
from stability.model import content
from stability.model.moment import Moment, parse_moment
from stability.records import observing
from stability.records.continuation import Continuation
from stability.records.typed import BenchFacts
from tests.records.small_study import (
    BULK_A,
    ROOM_A,
    SPARE_A,
    T40_4W,
    ZONE,
    add,
    opened_book,
)

NOTHING = BenchFacts()


def on(day: str) -> Moment:
    """Return a day as a moment."""
    moment = parse_moment(day, ZONE)
    assert moment is not None
    return moment


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return a study with the T0 of batch A read and two samples placed."""
    opened = opened_book(tmp_path)
    log(opened, BULK_A, "2026-03-05", "pH=5.50/5.52", "spread=60")
    for code in (ROOM_A, T40_4W):
        condition = opened.record.samples[code].condition
        held = content.placed(code, condition, "in")
        add(opened, content.PLACED, held, "2026-03-06")
    return opened


def log(
    book: Continuation,
    code: str,
    day: str,
    *typed: str,
    check: str | None = None,
    facts: BenchFacts = NOTHING,
    repeat: str | None = None,
    accept_far: bool = False,
) -> list[int]:
    """Log readings and return the positions of their entries."""
    sample = book.plan.samples[code]
    place = observing.resolve_check(book, sample, check, on(day))
    found = observing.observe(
        book,
        sample,
        place,
        typed,
        facts,
        done=on(day),
        repeat=repeat,
        accept_far=accept_far,
    )
    return [add(book, content.OBSERVED, one.held, day) for one in found]


def check_of(book: Continuation, code: str, day: str) -> str | None:
    """Return the check to which a reading of that day belongs."""
    return observing.resolve_check(book, book.plan.samples[code], None, on(day))


@pytest.mark.parametrize(
    ("code", "day", "check"),
    [
        (BULK_A, "2026-03-05", "T0"),
        (ROOM_A, "2026-03-06", "T0"),
        (ROOM_A, "2026-03-19", "2w"),
        (ROOM_A, "2026-03-22", "2w"),
        (ROOM_A, "2026-04-01", "4w"),
        (T40_4W, "2026-03-20", "4w"),
        (SPARE_A, "2026-03-20", None),
    ],
)
def test_a_reading_finds_its_check(
    book: Continuation, code: str, day: str, check: str | None
) -> None:
    assert check_of(book, code, day) == check


def test_extra_means_no_check(book: Continuation) -> None:
    sample = book.plan.samples[ROOM_A]

    assert observing.resolve_check(book, sample, "extra", on("2026-03-20")) is None


def test_a_check_of_another_sample_is_refused(book: Continuation) -> None:
    with pytest.raises(UnknownNameError, match="no check '2w'"):
        log(book, T40_4W, "2026-03-20", "pH=5.5", check="2w")


def test_nothing_is_read_after_the_start_before_it_is_placed(tmp_path: Path) -> None:
    opened = opened_book(tmp_path)

    with pytest.raises(PlacingError, match="not placed yet"):
        log(opened, ROOM_A, "2026-03-20", "pH=5.5", check="2w")


def test_a_check_before_placing_is_refused(book: Continuation) -> None:
    with pytest.raises(TooEarlyError, match="it was placed on 2026-03-06"):
        log(book, ROOM_A, "2026-03-05", "pH=5.5", check="2w")


def test_a_sample_that_left_is_not_read(book: Continuation) -> None:
    add(book, content.RETIRED, content.retired(ROOM_A, "broken", "fell"), "2026-03-10")

    with pytest.raises(SampleGoneError):
        log(book, ROOM_A, "2026-03-20", "pH=5.5")


def test_a_second_observation_names_the_ways_out(book: Continuation) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.5")[0]

    with pytest.raises(AlreadyObservedError) as caught:
        log(book, ROOM_A, "2026-03-20", "pH=5.6")
    assert f"correct HDC/{first}" in str(caught.value)
    assert "--repeat" in str(caught.value)


def test_a_repeat_stands_beside_the_first(book: Continuation) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.5")[0]
    again = log(book, ROOM_A, "2026-03-20", "pH=5.6", repeat="doubted")[0]
    third = log(book, ROOM_A, "2026-03-20", "pH=5.6", repeat="still")[0]

    assert book.observation(again).repeats == first  # type: ignore[union-attr]
    assert book.observation(third).repeats == first  # type: ignore[union-attr]
    assert len([one for one in book.record.standing() if one.check == "2w"]) == 3


def test_a_repeat_needs_a_first_and_a_reason(book: Continuation) -> None:
    with pytest.raises(NothingToRepeatError, match="no observation to repeat"):
        log(book, ROOM_A, "2026-03-20", "pH=5.5", repeat="doubted")
    log(book, ROOM_A, "2026-03-20", "pH=5.5")
    with pytest.raises(ReasonNeededError):
        log(book, ROOM_A, "2026-03-20", "pH=5.5", repeat=" ")


def test_extra_observations_follow_each_other_but_not_on_one_day(
    book: Continuation,
) -> None:
    log(book, ROOM_A, "2026-03-12", "pH=5.5", check="extra")
    log(book, ROOM_A, "2026-03-13", "pH=5.5", check="extra")

    assert len([one for one in book.record.observations if one.check is None]) == 2


def test_the_same_extra_observation_on_one_day_is_refused(book: Continuation) -> None:
    log(book, ROOM_A, "2026-03-12", "pH=5.5", check="extra")

    with pytest.raises(AlreadyObservedError):
        log(book, ROOM_A, "2026-03-12", "pH=5.5", check="extra")


def test_what_was_set_aside_may_be_read_again(book: Continuation) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.5")[0]
    held = observing.invalidate(book, first, "wrong jar")
    add(book, content.INVALIDATED, held, "2026-03-20")

    assert log(book, ROOM_A, "2026-03-20", "pH=5.5")


def test_a_reading_far_from_the_bulk_is_asked_about(book: Continuation) -> None:
    with pytest.raises(FarReadingError, match=r"5\.50 / 5\.52 on 2026-03-05.*--yes"):
        log(book, ROOM_A, "2026-03-20", "pH=6.4")

    assert log(book, ROOM_A, "2026-03-20", "pH=6.4", accept_far=True)


@pytest.mark.parametrize("grams", ["79.45", "73.90", "82.40"])
def test_a_weight_far_from_the_one_it_was_closed_with_is_asked_about(
    book: Continuation, grams: str
) -> None:
    # Closed with 77.80 g: 2 % above is 79.36 g, 5 % below 73.91 g.
    log(book, ROOM_A, "2026-03-20", "w=82.40", "w2=77.80")

    with pytest.raises(FarReadingError, match=r"77\.80 on 2026-03-20"):
        log(book, ROOM_A, "2026-04-03", f"w={grams}")


@pytest.mark.parametrize("grams", ["79.30", "77.75", "73.95"])
def test_a_weight_near_the_one_it_was_closed_with_is_not(
    book: Continuation, grams: str
) -> None:
    log(book, ROOM_A, "2026-03-20", "w=82.40", "w2=77.80")

    assert log(book, ROOM_A, "2026-04-03", f"w={grams}")


def test_where_it_was_not_weighed_again_product_may_have_been_taken(
    book: Continuation,
) -> None:
    log(book, ROOM_A, "2026-03-06", "w=84.00", "w2=83.90", accept_far=True)
    log(book, ROOM_A, "2026-03-20", "w=83.80")

    assert log(book, ROOM_A, "2026-04-03", "w=78.00")


def test_the_samples_own_last_reading_comes_before_the_bulk(book: Continuation) -> None:
    log(book, ROOM_A, "2026-03-20", "pH=6.0", accept_far=True)

    assert log(book, ROOM_A, "2026-04-03", "pH=6.4")


def test_nothing_typed_is_refused(book: Continuation) -> None:
    with pytest.raises(ReadingsError, match="no reading was typed"):
        log(book, ROOM_A, "2026-03-20")


@pytest.mark.parametrize(
    ("day", "remark"),
    [
        ("2026-03-20", None),
        ("2026-03-21", "late (1 day)"),
        ("2026-03-19", "early (1 day)"),
        ("2026-03-23", "late (3 days), beyond the window"),
    ],
)
def test_the_echo_says_how_late_a_reading_is(
    book: Continuation, day: str, remark: str | None
) -> None:
    sample = book.plan.samples[ROOM_A]

    found = observing.observe(book, sample, "2w", ["pH=5.5/5.5"], NOTHING, done=on(day))

    assert found[0].remarks == (() if remark is None else (remark,))


def correct(book: Continuation, position: int, *typed: str, **more: object) -> int:
    """Correct an observation and return the position of the correction."""
    options: dict[str, object] = {"because": "mistyped", **more}
    one = observing.correct(book, position, typed, NOTHING, **options)  # type: ignore[arg-type]
    return add(book, content.CORRECTED, one.held, "2026-03-20")


def test_a_correction_supersedes_and_keeps_what_was_not_wrong(
    book: Continuation,
) -> None:
    facts = BenchFacts(settings={"pH": {"dilution": "10 %"}})
    first = log(book, ROOM_A, "2026-03-20", "pH=5.50/5.52", facts=facts)[0]

    new = book.observation(correct(book, first, "5.40/5.42"))

    assert new is not None
    assert [one.value for one in new.readings] == ["5.40", "5.42"]
    assert (new.settings, new.check) == ({"dilution": "10 %"}, "2w")
    assert (new.corrects, new.because) == (first, "mistyped")
    old = book.observation(first)
    assert old is not None
    assert [one.value for one in old.readings] == ["5.50", "5.52"]
    assert not old.stands


def test_a_correction_may_name_its_attribute_but_no_other(book: Continuation) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.50")[0]

    with pytest.raises(ReadingsError, match="is an observation of pH"):
        correct(book, first, "spread=60")
    assert correct(book, first, "ph=5.45")


def test_a_correction_can_say_that_it_was_not_measured(book: Continuation) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.50")[0]

    new = book.observation(correct(book, first, "not-measured"))

    assert new is not None
    assert (new.readings, new.not_measured) == ((), "mistyped")


def test_a_correction_of_the_check_takes_no_place_that_is_taken(
    book: Continuation,
) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.50")[0]
    log(book, ROOM_A, "2026-04-03", "pH=5.50")

    with pytest.raises(AlreadyObservedError):
        correct(book, first, "5.50", check="4w")
    new = book.observation(correct(book, first, "5.50", check="extra"))
    assert new is not None
    assert new.check is None


def test_a_corrected_observation_is_corrected_again_by_its_newest_entry(
    book: Continuation,
) -> None:
    first = log(book, ROOM_A, "2026-03-20", "pH=5.50")[0]
    second = correct(book, first, "5.45")

    with pytest.raises(EntryReferenceError, match=f"corrected by HDC/{second}"):
        correct(book, first, "5.44")
    assert correct(book, second, "5.44")


def test_a_correction_needs_a_reason_and_asks_about_far_readings(
    book: Continuation,
) -> None:
    log(book, ROOM_A, "2026-03-20", "pH=5.50")
    later = log(book, ROOM_A, "2026-04-03", "spread=61")[0]

    with pytest.raises(ReasonNeededError):
        correct(book, later, "62", because=None)
    assert correct(book, later, "99"), "only another observation is far from it"


@pytest.mark.parametrize("typed", ["QDC/5", "HDC/x", "HDC/0", "HDC/", "٥"])
def test_a_reference_is_written_as_study_and_number(typed: str) -> None:
    with pytest.raises(EntryReferenceError, match="HDC/12"):
        observing.position_of(typed, "HDC")


@pytest.mark.parametrize("typed", ["HDC/5", "hdc/5", "5"])
def test_within_its_study_the_number_suffices(typed: str) -> None:
    assert observing.position_of(typed, "HDC") == 5


def test_what_is_typed_with_the_line_comes_before_the_day(book: Continuation) -> None:
    held = content.day(
        "2026-03-20",
        "ana",
        observers=["Ana", "Ben"],
        settings={"pH": {"dilution": "10 %", "electrode": "E1"}},
        control={"": ROOM_A},
    )
    add(book, content.DAY, held, "2026-03-20")
    day = observing.day_facts(book.record, on("2026-03-20"), "ana")

    facts = observing.bench_facts(
        day, observers=["Cat"], settings={"pH": {"electrode": "E2"}}
    )

    assert facts.observers == ("Cat",)
    assert facts.settings == {"pH": {"dilution": "10 %", "electrode": "E2"}}
    assert facts.control == {"": ROOM_A}


def test_the_day_of_another_account_or_date_is_not_taken(book: Continuation) -> None:
    add(book, content.DAY, content.day("2026-03-20", "ana"), "2026-03-20")

    assert observing.day_facts(book.record, on("2026-03-20"), "ben") is None
    assert observing.day_facts(book.record, on("2026-03-21"), "ana") is None
    assert observing.day_facts(book.record, on("2026-03-20"), None) is not None
