"""Retiring, stopping, missing, days, notes and references."""

from __future__ import annotations

import pytest

from stability.errors.samples import (
    EntryReferenceError,
    MissedError,
    ReadingsError,
    ReasonNeededError,
    SampleGoneError,
    StoppedError,
    UnknownNameError,
)
from stability.model import content
from stability.model.moment import Moment, parse_moment
from stability.model.observation import Reading
from stability.records import acts
from stability.records.acts import Scope
from stability.records.continuation import Continuation
from tests.records.small_study import (
    FT_A,
    ROOM_A,
    ROOM_B,
    T40_2W,
    T40_4W,
    TWIN_A,
    ZONE,
    add,
)


def on(day: str) -> Moment:
    """Return a day as a moment."""
    moment = parse_moment(day, ZONE)
    assert moment is not None
    return moment


def test_a_sample_leaves_once_for_a_known_reason(book: Continuation) -> None:
    sample = book.record.samples[T40_2W]

    held = acts.retire(book.record, sample, "Bro", "fell", on("2026-03-20"))
    add(book, content.RETIRED, held, "2026-03-20")

    assert held["reason"] == "broken"
    with pytest.raises(SampleGoneError, match="left the study on 2026-03-20: broken"):
        acts.retire(book.record, sample, "lost", "gone", on("2026-03-21"))


def test_an_unknown_reason_for_leaving_is_refused(book: Continuation) -> None:
    with pytest.raises(UnknownNameError, match="gassing"):
        acts.retire(
            book.record, book.record.samples[T40_2W], "gasing", "hiss", on("2026-03-20")
        )


def test_a_sample_does_not_leave_without_a_reason(book: Continuation) -> None:
    with pytest.raises(ReasonNeededError):
        acts.retire(
            book.record, book.record.samples[T40_2W], "lost", None, on("2026-03-20")
        )


def test_a_missed_check_names_every_sample_that_waits(book: Continuation) -> None:
    held = acts.miss(book.record, "2w", Scope(), "holiday")

    assert held["samples"] == [ROOM_A, ROOM_B, T40_2W]


@pytest.mark.parametrize(
    ("scope", "codes"),
    [
        (Scope(batch="b"), [ROOM_B]),
        (Scope(condition="T40"), [T40_2W]),
        (Scope(pack="JAR", batch="A"), [ROOM_A, T40_2W]),
        (Scope(samples=("005Y",)), [ROOM_A]),
    ],
)
def test_a_scope_narrows_what_was_missed(
    book: Continuation, scope: Scope, codes: list[str]
) -> None:
    assert acts.miss(book.record, "2w", scope, "holiday")["samples"] == codes


def test_a_check_after_cycles_is_missed_by_its_name(book: Continuation) -> None:
    assert acts.miss(book.record, "c2", Scope(), "away")["samples"] == [FT_A, TWIN_A]


def test_a_check_that_nobody_waits_for_is_not_missed(book: Continuation) -> None:
    add(book, content.MISSED, content.missed("2w", [ROOM_B], "away"), "2026-03-20")

    with pytest.raises(MissedError, match="no sample within this scope"):
        acts.miss(book.record, "2w", Scope(batch="B"), "away")
    with pytest.raises(MissedError, match=f"nothing waits for it on {T40_4W}"):
        acts.miss(book.record, "2w", Scope(samples=(T40_4W,)), "away")


@pytest.mark.parametrize("check", ["4M", "5w", "week 4"])
def test_a_check_that_is_not_planned_is_refused(book: Continuation, check: str) -> None:
    with pytest.raises(UnknownNameError, match="no check"):
        acts.miss(book.record, check, Scope(), "away")


def test_a_stop_holds_what_ends_and_only_once(book: Continuation) -> None:
    held = acts.stop(book.record, Scope(batch="b", condition="t40"), "split")
    add(book, content.STOPPED, held, "2026-04-01")

    assert held["scope"] == {"batch": "B", "condition": "T40"}
    with pytest.raises(StoppedError, match="batch B, condition T40 was stopped"):
        acts.stop(book.record, Scope(batch="B", condition="T40"), "again")
    assert acts.stop(book.record, Scope(), "all")["scope"] == {}


def test_after_the_whole_study_nothing_is_stopped(book: Continuation) -> None:
    add(book, content.STOPPED, content.stopped({}, "done"), "2026-04-01")

    with pytest.raises(StoppedError):
        acts.stop(book.record, Scope(batch="A"), "again")


def test_a_day_holds_names_settings_and_controls(book: Continuation) -> None:
    held = acts.day(
        book.record,
        on("2026-03-20"),
        "ana",
        observers=["Ana", "Ben", "Ana"],
        settings=["pH.dilution=10 %", "electrode=E2"],
        control=[ROOM_A, f"odour={ROOM_B}"],
        blind=True,
    )

    assert held == {
        "day": "2026-03-20",
        "account": "ana",
        "observers": ["Ana", "Ben"],
        "settings": {"pH": {"dilution": "10 %", "electrode": "E2"}},
        "control": {"": ROOM_A, "odour": ROOM_B},
        "blind": True,
    }


def test_a_setting_without_a_value_is_refused(book: Continuation) -> None:
    with pytest.raises(ReadingsError):
        acts.day(book.record, on("2026-03-20"), "ana", settings=["pH.dilution"])


def observed(book: Continuation) -> int:
    """Add an observation and return its position."""
    held = content.observed(ROOM_A, "pH", "T0", [Reading("5.5")], unit="pH")
    return add(book, content.OBSERVED, held, "2026-03-05")


def test_a_reference_leads_to_what_stands(book: Continuation) -> None:
    first = observed(book)
    seen = book.observation(first)
    assert acts.referred("HDC/2", first, seen) is seen

    again = dict(content.observed(ROOM_A, "pH", "T0", [Reading("5.6")], unit="pH"))
    add(book, content.CORRECTED, content.corrected(2, again, "typo"), "2026-03-05")
    with pytest.raises(EntryReferenceError, match="corrected by HDC/3; name that"):
        acts.referred("HDC/2", 2, book.observation(2))

    add(book, content.INVALIDATED, content.invalidated(3, "spilt"), "2026-03-06")
    with pytest.raises(EntryReferenceError, match="set aside by HDC/4"):
        acts.referred("HDC/3", 3, book.observation(3))
    with pytest.raises(EntryReferenceError, match="no observation"):
        acts.referred("HDC/1", 1, book.observation(1))


def test_a_note_is_about_something_that_there_is(book: Continuation) -> None:
    held = acts.note(book.record, "lid loose", 1, "005Y")

    assert held == {"text": "lid loose", "refers_to": 1, "sample": ROOM_A}
    with pytest.raises(EntryReferenceError, match="no entry"):
        acts.note(book.record, "lid loose", 2, None)
    with pytest.raises(ReasonNeededError):
        acts.note(book.record, " ", None, None)
