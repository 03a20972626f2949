"""Tables of an earlier version are brought up to date; those of ours are left."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select

from stability.errors.archives import NewerEntryError
from stability.errors.database import MissingDatabaseError
from stability.model import content
from stability.model.entry import Draft
from stability.records import derived, journal, renewal, store
from stability.records.database import Database, open_database
from stability.records.tables import open_check, refreshed
from tests.records.small_study import add, opened_book, opening_entry


@pytest.fixture
def filled(either: Database, tmp_path: Path) -> Database:
    """Return a workspace with the small study, on each kind of database."""
    opening = opening_entry(tmp_path)
    with either.writing() as connection:
        journal.append_chained(connection, [opening])
        derived.refresh(connection, store.record_of([opening]).record)
    return either


def state(database: Database) -> tuple[tuple[str, ...], list[object]]:
    """Return which studies are doubtful, and what waits."""
    with database.reading() as connection:
        waiting = connection.execute(select(open_check)).all()
        return derived.doubtful(connection, ["HDC"]), sorted(waiting, key=str)


def test_a_study_just_refreshed_is_beyond_doubt(filled: Database) -> None:
    assert state(filled)[0] == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE open_check SET due = '2020-01-01' WHERE sample = 'HDC-001-5'",
        "DELETE FROM open_check WHERE sample = 'HDC-001-5'",
        "DELETE FROM sample",
        "INSERT INTO check_day VALUES ('HDC', '2026-03-02', 'ana')",
        "UPDATE sample SET pack = 'GLASS' WHERE code = 'HDC-005-Y'",
        "UPDATE refreshed SET head = 'x'",
        "DELETE FROM refreshed",
    ],
)
def test_whatever_is_altered_there_makes_it_doubtful(
    filled: Database, statement: str
) -> None:
    with filled.writing() as connection:
        connection.exec_driver_sql(statement)

    assert state(filled)[0] == ("HDC",)


def test_an_entry_that_was_added_past_us_makes_it_doubtful(
    filled: Database, tmp_path: Path
) -> None:
    book = opened_book(tmp_path)
    add(book, content.NOTED, content.noted("seen"), "2026-03-05")
    with filled.writing() as connection:
        journal.append_chained(connection, book.added)

    assert state(filled)[0] == ("HDC",)


def test_tables_that_are_missing_are_made_and_filled_by_the_next_writer(
    filled: Database,
) -> None:
    before = state(filled)
    with filled.writing() as connection:
        connection.exec_driver_sql("DROP TABLE refreshed")
        connection.exec_driver_sql("DROP TABLE open_check")
    with filled.reading() as connection:
        assert derived.doubtful(connection, ["HDC"]) == ("HDC",)
        assert derived.comparable(connection, ["HDC"]) == ("HDC",)

    with filled.writing():
        pass

    with filled.reading() as connection:
        assert derived.comparable(connection, ["HDC"]) == ("HDC",)

    assert state(filled) == before


def test_rows_of_other_rules_are_worked_out_anew_by_the_next_writer(
    filled: Database,
) -> None:
    before = state(filled)
    with filled.writing() as connection:
        connection.exec_driver_sql("UPDATE refreshed SET rules = 0")
        connection.exec_driver_sql("DELETE FROM open_check")
    assert state(filled) == ((), [])
    with filled.reading() as connection:
        assert derived.comparable(connection, ["HDC"]) == ()

    with filled.writing():
        pass

    assert state(filled) == before


def test_rows_of_our_rules_are_not_touched(
    filled: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(_connection: object) -> None:
        raise AssertionError

    monkeypatch.setattr(renewal, "renew", never)

    with filled.writing() as connection:
        assert connection.execute(select(refreshed)).all()


def test_a_study_that_cannot_be_read_keeps_nobody_from_writing(
    filled: Database,
) -> None:
    newer = Draft(
        "study:HDC", "dreamt/1", "Ana", "2026-03-05", "2026-03-05T09:00:00Z", {}
    )
    with filled.writing() as connection:
        journal.append(connection, [newer])
        connection.exec_driver_sql("UPDATE refreshed SET rules = 0")

    with filled.writing() as connection:
        assert len(journal.entries(connection, "study:HDC")) == 2


def test_an_entry_of_a_newer_version_is_told_as_newer(filled: Database) -> None:
    newer = Draft(
        "study:HDC", "dreamt/1", "Ana", "2026-03-05", "2026-03-05T09:00:00Z", {}
    )
    with filled.writing() as connection:
        journal.append(connection, [newer])

    for read in (store.load, store.continue_study):
        with (
            filled.reading() as connection,
            pytest.raises(NewerEntryError, match="study:HDC/2 is of kind dreamt/1"),
        ):
            read(connection, "HDC")


def test_a_workspace_being_made_needs_no_renewal(tmp_path: Path) -> None:
    with pytest.raises(MissingDatabaseError):
        open_database(tmp_path / "new.db")
    with open_database(tmp_path / "new.db", create=True).writing() as connection:
        assert connection.execute(select(refreshed)).all() == []
