"""Studies in a workspace: opened, continued, found, read as of a day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from stability.errors.codes import SampleCodeCheckError
from stability.errors.database import BrokenChainError
from stability.errors.studies import (
    AsOfTooEarlyError,
    StudyNeededError,
    UnknownStudyError,
)
from stability.model import content
from stability.model.observation import Reading
from stability.records import agenda, derived, journal, store
from stability.records.continuation import Continuation
from stability.records.database import Database
from tests.records.small_study import BULK_A, ROOM_A, add, opening_entry

DAY = date(2026, 3, 20)


@pytest.fixture
def workspace(either: Database, tmp_path: Path) -> Database:
    """Return a workspace with study HDC, in SQLite and in PostgreSQL."""
    first = opening_entry(tmp_path)
    with either.writing() as connection:
        journal.append_chained(connection, [first])
        derived.refresh(connection, store.record_of([first]).record)
    return either


def read_ph(book: Continuation, value: str) -> None:
    """Add a reading of the bulk at T0."""
    held = content.observed(BULK_A, "pH", "T0", [Reading(value)], unit="pH")
    add(book, content.OBSERVED, held, "2026-03-05")


def test_what_is_kept_is_what_was_added(workspace: Database) -> None:
    with workspace.writing() as connection:
        book = store.continue_study(connection, "HDC")
        read_ph(book, "5.50")
        add(book, content.PLACED, content.placed(ROOM_A, "ROOM", "in"), "2026-03-06")
        store.keep(connection, book)
        kept = journal.entries(connection, "study:HDC")[1:]

    with workspace.reading() as connection:
        source = store.load(connection, "hdc")
        records = list(store.every_record(connection))
        assert derived.differences(connection, records) == ()
    assert source.record == book.record == records[0]
    assert [one.digest for one in kept] == [one.digest for one in book.added]
    assert [one.number for one in kept] == [2, 3]


def test_a_fault_keeps_everything_out(workspace: Database) -> None:
    def write_and_fail() -> None:
        with workspace.writing() as connection:
            book = store.continue_study(connection, "HDC")
            read_ph(book, "5.50")
            store.keep(connection, book)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        write_and_fail()

    with workspace.reading() as connection:
        assert len(store.load(connection, "HDC").entries) == 1
        assert agenda.due_samples(connection, DAY, DAY)[0].remaining[0] == "pH"


def test_a_study_is_found_in_any_case_and_else_the_nearest_offered(
    workspace: Database,
) -> None:
    with workspace.reading() as connection:
        assert store.find_study(connection, " hdc ") == "HDC"
        with pytest.raises(UnknownStudyError, match="Did you mean HDC"):
            store.find_study(connection, "HDD")
        with pytest.raises(UnknownStudyError, match="`studies` lists them"):
            store.find_study(connection, "QQQ")


@pytest.mark.parametrize(
    ("typed", "study"),
    [("HDC-005-Y", None), ("005Y", None), ("005Y", "hdc"), ("HDC-005-Y", "HDC")],
)
def test_a_sample_tells_its_study(
    workspace: Database, typed: str, study: str | None
) -> None:
    with workspace.reading() as connection:
        found = store.find_study_of(connection, typed, study, day=DAY, account="ana")

    assert found == "HDC"


def test_a_sample_of_no_study_is_refused(workspace: Database) -> None:
    with workspace.reading() as connection:
        with pytest.raises(UnknownStudyError):
            store.find_study_of(connection, "QDC-002-J", None, day=DAY, account="ana")
        with pytest.raises(SampleCodeCheckError):
            store.find_study_of(connection, "HDC-005-W", None, day=DAY, account="ana")
        with pytest.raises(SampleCodeCheckError):
            store.find_study_of(connection, "005W", None, day=DAY, account="ana")


def test_in_an_empty_workspace_a_short_code_has_no_study(either: Database) -> None:
    with either.reading() as connection, pytest.raises(StudyNeededError):
        store.find_study_of(connection, "005Y", None, day=DAY, account="ana")


def test_as_of_a_day_later_entries_take_no_part(tmp_path: Path) -> None:
    first = opening_entry(tmp_path)
    book = store.continue_entries([first])
    read_ph(book, "5.50")
    entries = (first, *book.added)

    # Stored on 1 June (the small study's now), though read on 5 March.
    assert not store.record_of(entries, date(2026, 5, 31)).record.observations
    assert store.record_of(entries, date(2026, 6, 1)).record.observations
    with pytest.raises(AsOfTooEarlyError, match="as of 2026-02-28"):
        store.record_of(entries, date(2026, 2, 28))


def test_an_altered_entry_is_not_read(workspace: Database) -> None:
    with workspace.reading() as connection:
        entries = journal.entries(connection, "study:HDC")
    assert entries
    with workspace.writing() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("DROP TRIGGER entry_no_update")
        else:
            connection.exec_driver_sql("ALTER TABLE entry DISABLE TRIGGER USER")
        connection.exec_driver_sql(
            "UPDATE entry SET line = replace(line, 'Ana Reyes', 'Ana Royce')"
        )

    with workspace.reading() as connection, pytest.raises(BrokenChainError):
        store.load(connection, "HDC")


@pytest.mark.parametrize(
    ("typed", "folder"),
    [("HDC", False), ("hdc", False), ("./HDC", True), ("a/b", True), ("x.d", True)],
)
def test_a_folder_is_told_from_a_code(typed: str, *, folder: bool) -> None:
    assert store.is_folder(typed) is folder


def test_a_folder_named_like_a_code_counts_where_it_holds_a_study(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("HDC").mkdir()
    assert not store.is_folder("HDC")
    Path("HDC", "study.toml").touch()
    assert store.is_folder("HDC")
