"""What waits: by its window, for its placing, by the hour."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import Connection

from stability.model import content
from stability.model.observation import Reading
from stability.records import agenda, derived
from stability.records.continuation import Continuation
from tests.records.small_study import FT_A, ROOM_A, T40_2W, add, place


def groups(
    connection: Connection, day: str, ahead: str
) -> list[tuple[str, str, str, int]]:
    """Return check, condition, state and count of each group."""
    found = agenda.due_groups(
        connection, date.fromisoformat(day), date.fromisoformat(ahead)
    )
    return [(one.check, one.condition, one.state, one.samples) for one in found]


# T0 is read from 24 h to 96 h after making (small protocol): A 3 to 6 March, B 10 to
# 13 March; placed on 6 March, 2w is 20 March with two days on either side.
def test_what_waits_is_told_by_its_window(
    connection: Connection, book: Continuation
) -> None:
    place(book, ROOM_A, "2026-03-06")
    place(book, T40_2W, "2026-03-06")
    derived.refresh(connection, book.record)

    assert ("T0", "", "due", 1) in groups(connection, "2026-03-05", "2026-03-05")
    assert ("T0", "", "overdue", 1) in groups(connection, "2026-03-07", "2026-03-07")
    for day, state in (
        ("2026-03-13", "coming"),
        ("2026-03-18", "due"),
        ("2026-03-22", "due"),
        ("2026-03-23", "overdue"),
    ):
        ahead = "2026-03-20" if state == "coming" else day
        found = groups(connection, day, ahead)
        assert ("2w", "ROOM", state, 1) in found
        assert ("2w", "T40", state, 1) in found


def test_beyond_the_horizon_nothing_is_listed(
    connection: Connection, book: Continuation
) -> None:
    place(book, ROOM_A, "2026-03-06")
    derived.refresh(connection, book.record)

    found = groups(connection, "2026-03-13", "2026-03-19")

    assert not [one for one in found if one[0] == "2w"]


def test_a_sample_that_is_not_placed_waits_for_its_placing_only(
    connection: Connection, book: Continuation
) -> None:
    derived.refresh(connection, book.record)
    day = date(2026, 4, 30)

    checks = {one[0] for one in groups(connection, "2026-04-30", "2026-04-30")}
    moves = agenda.moves(connection, day, day)

    assert checks == {"T0"}
    assert {(one.condition, one.kind, one.samples) for one in moves} == {
        ("ROOM", "place", 2),
        ("ROOM", "place", 1),
        ("T40", "place", 2),
        ("FT", "place", 1),
    }
    assert {one.state for one in moves} == {"overdue"}


def test_a_step_of_a_cycle_is_due_by_the_hour(
    connection: Connection, book: Continuation
) -> None:
    held = content.placed(FT_A, "FT", "in", cycle=1, step=1)
    add(book, content.PLACED, held, "2026-03-06")
    derived.refresh(connection, book.record)

    day = date(2026, 3, 7)
    found = [one for one in agenda.moves(connection, day, day) if one.kind == "step"]

    assert [(one.due, one.text, one.state) for one in found] == [
        ("2026-03-07", "from -18 °C to 22 °C (cycle 1, step 2)", "due")
    ]


def test_each_sample_is_listed_with_what_remains(
    connection: Connection, book: Continuation
) -> None:
    place(book, ROOM_A, "2026-03-06")
    held = content.observed(ROOM_A, "pH", "2w", [Reading("5.5")], unit="pH")
    add(book, content.OBSERVED, held, "2026-03-20")
    derived.refresh(connection, book.record)

    day = date(2026, 3, 20)
    found = agenda.due_samples(connection, day, day, "HDC")
    one = next(one for one in found if (one.sample, one.check) == (ROOM_A, "2w"))

    assert one.remaining == (
        "spread",
        "separation",
        "odour",
        "swollen",
        "weight_loss (before opening)",
    )
    assert agenda.due_samples(connection, day, day, "QDC") == ()


@pytest.mark.parametrize(
    ("scope", "left"),
    [
        ({}, set()),
        ({"batch": "B"}, {ROOM_A, T40_2W}),
        ({"condition": "T40"}, {ROOM_A}),
        ({"sample": ROOM_A}, {T40_2W}),
        ({"pack": "GLASS"}, {ROOM_A, T40_2W}),
    ],
)
def test_what_was_stopped_is_overdue_no_more(
    scope: dict[str, str], left: set[str], connection: Connection, book: Continuation
) -> None:
    place(book, ROOM_A, "2026-03-06")
    place(book, T40_2W, "2026-03-06")
    derived.refresh(connection, book.record)
    day = date(2026, 3, 26)

    def waiting() -> set[str]:
        found = agenda.due_samples(connection, day, day)
        return {one.sample for one in found if one.check == "2w"}

    assert waiting() == {ROOM_A, T40_2W}

    add(book, content.STOPPED, content.stopped(scope, "withdrawn"), "2026-03-25")
    derived.refresh(connection, book.record)

    assert waiting() == left
    listed = agenda.due_groups(connection, day, day)
    assert sum(one.samples for one in listed if one.check == "2w") == len(left)
    assert bool(listed) == bool(scope)


def test_studies_their_days_and_counts_are_listed(
    connection: Connection, book: Continuation
) -> None:
    add(book, content.DAY, content.day("2026-03-20", "ana"), "2026-03-20")
    derived.refresh(connection, book.record)

    assert agenda.study_codes(connection) == ("HDC",)
    assert agenda.sample_counts(connection) == {"HDC": 9}
    assert agenda.studies_of_day(connection, date(2026, 3, 20), "ana") == ("HDC",)
    assert agenda.studies_of_day(connection, date(2026, 3, 20), "ben") == ()
    assert agenda.study_rows(connection)[0]["state"] == "running"
