"""Derived tables: refreshed they are what a rebuild gives; the agenda they answer."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from sqlalchemy import Connection, select

from stability.model import content
from stability.model.observation import Reading
from stability.records import agenda, derived
from stability.records.continuation import Continuation
from stability.records.tables import DERIVED
from tests.records.small_study import (
    BULK_A,
    FT_A,
    ROOM_A,
    ROOM_B,
    T40_2W,
    T40_4W,
    TWIN_A,
    add,
    place,
)


def contents(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of every derived table."""
    return {
        table.name: sorted(map(tuple, connection.execute(select(table))), key=str)
        for table in DERIVED
    }


def live_through(book: Continuation) -> Iterator[None]:
    """Do what a study meets, one step at a time."""
    place(book, ROOM_A, "2026-03-06")
    yield
    place(book, FT_A, "2026-03-06", cycle=1, step=1)
    yield
    held = content.observed(BULK_A, "pH", "T0", [Reading("5.5")], unit="pH")
    add(book, content.OBSERVED, held, "2026-03-05")
    yield
    add(book, content.DAY, content.day("2026-03-20", "ana"), "2026-03-20")
    yield
    add(book, content.MISSED, content.missed("2w", [ROOM_A], "away"), "2026-03-22")
    yield
    add(book, content.RETIRED, content.retired(T40_4W, "lost", "gone"), "2026-03-22")
    yield
    place(book, T40_2W, "2026-03-23")
    yield
    add(book, content.STOPPED, content.stopped({"batch": "B"}, "split"), "2026-04-01")
    yield
    add(book, content.STOPPED, content.stopped({}, "over"), "2026-04-02")
    yield


def test_refreshing_after_each_entry_is_a_rebuild(
    connection: Connection, book: Continuation
) -> None:
    seen = []
    for _ in live_through(book):
        derived.refresh(connection, book.record)
        refreshed = contents(connection)
        assert derived.differences(connection, [book.record]) == ()
        derived.rebuild(connection, [book.record])
        assert contents(connection) == refreshed
        seen.append(refreshed)

    assert all(one != two for one, two in pairwise(seen))


def test_a_row_that_was_altered_is_told(
    connection: Connection, book: Continuation
) -> None:
    derived.refresh(connection, book.record)
    connection.exec_driver_sql("update open_check set due = '2020-01-01'")
    connection.exec_driver_sql("insert into check_day values ('QDC', 'x', 'y')")

    differing = derived.differences(connection, [book.record])

    assert any(one.startswith("open_check of study HDC") for one in differing)
    assert derived.strangers(connection, ["HDC"]) == (
        "check_day holds study QDC, which the journal does not know",
    )


def test_a_study_that_was_taken_away_leaves_nothing_after_a_rebuild(
    connection: Connection, book: Continuation
) -> None:
    derived.refresh(connection, book.record)

    derived.rebuild(connection, [])

    assert not any(contents(connection).values())


def test_only_rows_that_differ_are_touched(
    connection: Connection, book: Continuation
) -> None:
    derived.refresh(connection, book.record)
    before = connection.exec_driver_sql("select total_changes()").scalar_one()
    held = content.observed(BULK_A, "pH", "T0", [Reading("5.5")], unit="pH")
    add(book, content.OBSERVED, held, "2026-03-05")

    derived.refresh(connection, book.record)

    after = connection.exec_driver_sql("select total_changes()").scalar_one()
    assert after - before == 4, "one row goes, its successor comes; so with `refreshed`"


def test_every_sample_says_where_it_is(
    connection: Connection, book: Continuation
) -> None:
    place(book, ROOM_A, "2026-03-06")
    place(book, TWIN_A, "2026-03-06")
    add(book, content.PLACED, content.placed(TWIN_A, None, "out"), "2026-03-08")
    add(book, content.RETIRED, content.retired(T40_4W, "gassing", "hiss"), "2026-03-08")
    add(book, content.STOPPED, content.stopped({"batch": "B"}, "split"), "2026-03-09")
    derived.refresh(connection, book.record)

    rows = connection.exec_driver_sql("select code, state from sample")
    states = dict(map(tuple, rows))

    assert states[ROOM_A] == "placed"
    assert states[TWIN_A] == "taken out"
    assert states[T40_4W] == "gassing"
    assert states[ROOM_B] == "stopped"
    assert states[T40_2W] == "not placed"


def test_the_tables_of_one_folder_need_no_workspace(book: Continuation) -> None:
    with derived.tables_of(book.record) as connection:
        assert agenda.study_codes(connection) == ("HDC",)
