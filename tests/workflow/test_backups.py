"""A workspace copied to a file, to a server and back, and what is told of the copy."""

from __future__ import annotations

import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from stability.errors.archives import (
    BackupExistsError,
    BrokenRecordError,
    NotEmptyError,
)
from stability.errors.database import MissingDatabaseError
from stability.workflow import backups, bench, evaluate, records
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A

At = Callable[[str], Occasion]


@pytest.fixture
def logged(at: At) -> Occasion:
    """Return a workspace of one study with a reading."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    return at("2026-03-06")


def entries_of(path: str) -> list[tuple[object, ...]]:
    """Return every entry as stored, read without our code."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("SELECT * FROM entry ORDER BY number").fetchall()


def test_a_backup_says_what_it_holds_and_is_taken_as_an_anchor(
    logged: Occasion, tmp_path: Path
) -> None:
    target = str(tmp_path / "kept.db")
    made = backups.backup(logged, target)

    rows = entries_of(target)
    assert rows == entries_of(logged.records)
    assert (made.target, made.entries, made.flaws) == (target, 2, ())
    assert made.anchors == (f"study:HDC/2:{rows[1][4]}", f"2:{rows[1][5]}")
    assert records.verify(logged, against=[target, *made.anchors]).holds
    assert stat.S_IMODE(Path(target).stat().st_mode) == 0o600


def test_a_backup_is_held_against_a_record_that_was_cut_off_later(
    logged: Occasion, tmp_path: Path
) -> None:
    target = str(tmp_path / "kept.db")
    backups.backup(logged, target)
    with closing(sqlite3.connect(logged.records)) as connection:
        connection.execute("DROP TRIGGER entry_no_delete")
        connection.execute("DELETE FROM entry WHERE number = 2")
        connection.commit()

    found = records.verify(logged, against=[target])
    assert {("study:HDC/2", "cut off"), ("number 2", "cut off")} <= {
        (flaw.where, flaw.how) for flaw in found.flaws
    }


def test_nothing_is_written_over_and_nothing_made_of_nothing(
    logged: Occasion, nowhere: Occasion, tmp_path: Path
) -> None:
    (tmp_path / "kept.db").write_text("mine")
    with pytest.raises(BackupExistsError):
        backups.backup(logged, str(tmp_path / "kept.db"))
    with pytest.raises(BackupExistsError):
        backups.backup(logged, logged.records)
    with pytest.raises(MissingDatabaseError):
        backups.backup(
            replace(nowhere, records=str(tmp_path / "none.db")),
            str(tmp_path / "new.db"),
        )

    assert (tmp_path / "kept.db").read_text() == "mine"
    assert not (tmp_path / "new.db").exists()


def test_records_go_to_a_server_and_back_and_say_the_same(
    logged: Occasion, server_address: str, tmp_path: Path
) -> None:
    there = backups.backup(logged, server_address)
    on_server = replace(logged, records=server_address)
    bench.note(on_server, "HDC", "logged on the server")
    back = backups.backup(on_server, str(tmp_path / "back.db"))
    home = replace(logged, records=str(tmp_path / "back.db"))

    assert there.entries == 2
    assert back.entries == 3
    assert entries_of(home.records)[:2] == entries_of(logged.records)
    assert records.verify(home, against=[*there.anchors, logged.records]).holds
    assert records.verify(on_server, against=back.anchors).holds
    shown = [evaluate.show(one, "HDC", as_of="2026-03-06") for one in (home, on_server)]
    assert shown[0] == shown[1]
    with pytest.raises(NotEmptyError):
        backups.backup(logged, server_address)


def test_records_without_their_guards_get_them_again(
    logged: Occasion, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(logged.records)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        connection.commit()
    assert not records.verify(logged).holds

    target = str(tmp_path / "kept.db")
    assert backups.backup(logged, target).flaws == ()
    assert records.verify(replace(logged, records=target)).holds
    assert entries_of(target) == entries_of(logged.records)


def change(path: str, statement: str) -> None:
    """Change a record by someone who puts the guards back afterwards."""
    with closing(sqlite3.connect(path)) as connection:
        found = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        guards = connection.execute(found).fetchall()
        for name, _ in guards:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(statement)
        for _, sql in guards:
            connection.execute(sql)
        connection.commit()


def test_a_backup_of_a_changed_record_is_made_and_says_so(
    logged: Occasion, tmp_path: Path
) -> None:
    change(logged.records, "UPDATE entry SET line = replace(line, '5.52', '5.58')")

    made = backups.backup(logged, str(tmp_path / "kept.db"))
    assert made.entries == 2
    assert "study:HDC/2 was changed" in made.flaws[0]


def test_a_record_with_a_gap_does_not_go_to_a_server(
    logged: Occasion, server_address: str, tmp_path: Path
) -> None:
    bench.note(logged, "HDC", "a third")
    change(logged.records, "DELETE FROM entry WHERE number = 2")

    with pytest.raises(BrokenRecordError, match="stability verify"):
        backups.backup(logged, server_address)
    assert backups.backup(logged, str(tmp_path / "kept.db")).flaws != ()
    on_server = replace(logged, records=server_address)
    assert records.verify(on_server).entries == 0


def test_progress_is_told_of_the_copy(logged: Occasion, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    backups.backup(
        logged, str(tmp_path / "kept.db"), lambda done, of: told.append((done, of))
    )

    assert told == [(2, 2)]
