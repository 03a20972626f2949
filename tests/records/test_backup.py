"""A backup is a workspace of its own, with the same entries, digests and seals."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import stat
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import insert, select

from stability.errors.archives import (
    BackupExistsError,
    FolderNotWritableError,
    NotEmptyError,
)
from stability.errors.database import FullDiskError
from stability.model.entry import Draft
from stability.records import attachment, backup, derived, journal
from stability.records.anchors import anchors_in
from stability.records.backup import back_up, move
from stability.records.database import Database, open_database
from stability.records.store import every_record
from stability.records.tables import handover, missing_guards
from stability.records.verify import verify

Drafts = Callable[..., list[Draft]]
STEP = {
    "study": "HDC", "sample": "HDC-014-W", "condition": "FT", "due": "2026-03-02",
    "step": "out of the freezer",
}  # fmt: skip


@pytest.fixture
def used(either: Database, drafts: Drafts) -> Database:
    """Return a workspace with entries, attachments and a derived row."""
    with either.writing() as connection:
        journal.append(connection, [*drafts(5), *drafts(3, "place:OVEN-7KQ4")])
        for content in (b"one", b"two" * 1000, b"three", b"four", b"five"):
            attachment.keep(connection, content, "logger.csv", "text/csv")
        row = {name: STEP.get(name, "x") for name in handover.c.keys()}  # noqa: SIM118
        connection.execute(insert(handover).values(row))
    return either


def test_a_backup_holds_the_same_record(used: Database, tmp_path: Path) -> None:
    told = back_up(used, tmp_path / "backup.db")

    copy = open_database(tmp_path / "backup.db")
    with used.reading() as ours, copy.reading() as theirs:
        assert list(journal.all_entries(ours)) == list(journal.all_entries(theirs))
        assert attachment.kept_files(ours) == attachment.kept_files(theirs)
        steps = [one.execute(select(handover)).all() for one in (ours, theirs)]
        assert steps[0] == steps[1] != []
        assert verify(theirs, anchors=[*told.heads, told.head or told.heads[0]]).holds
        assert missing_guards(theirs) == ()
    assert told.attachments == 5
    assert anchors_in(tmp_path / "backup.db") == (*told.heads, told.head)


def test_a_backup_can_be_opened_by_its_owner_only(
    used: Database, tmp_path: Path
) -> None:
    before = os.umask(0)
    try:
        back_up(used, tmp_path / "backup.db")
    finally:
        os.umask(before)

    assert stat.S_IMODE((tmp_path / "backup.db").stat().st_mode) == 0o600


def test_a_backup_is_gone_on_with_like_any_workspace(
    used: Database, tmp_path: Path, drafts: Drafts
) -> None:
    back_up(used, tmp_path / "backup.db")
    with open_database(tmp_path / "backup.db").writing() as connection:
        (added,) = journal.append(connection, drafts(1))

    assert (added.number, added.position) == (9, 6)


def test_a_backup_never_writes_over_anything(used: Database, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")

    with pytest.raises(BackupExistsError):
        back_up(used, tmp_path / "taken")
    assert (tmp_path / "taken").read_text() == "mine"


def test_what_came_meanwhile_is_not_written_over(
    used: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(_connection: object, path: Path) -> None:
        path.write_text("came meanwhile")

    monkeypatch.setattr(backup, "_told", late)
    with pytest.raises(BackupExistsError):
        back_up(used, tmp_path / "backup.db")
    assert (tmp_path / "backup.db").read_text() == "came meanwhile"


def test_a_disk_without_links_takes_a_backup_too(
    used: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_source: Path, _target: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    back_up(used, tmp_path / "backup.db")

    with open_database(tmp_path / "backup.db").reading() as connection:
        assert verify(connection).entries == 8


def test_a_backup_that_fails_leaves_nothing(used: Database, tmp_path: Path) -> None:
    with pytest.raises(FolderNotWritableError):
        back_up(used, tmp_path / "no" / "backup.db")

    assert not (tmp_path / "no").exists()


def test_a_full_disk_is_told_and_leaves_nothing(
    used: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_source: Path, _target: Path) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "link", full)
    before = {one.name for one in tmp_path.iterdir()}
    with pytest.raises(FullDiskError, match="full"):
        back_up(used, tmp_path / "backup.db")

    assert {one.name for one in tmp_path.iterdir()} == before


def test_a_backup_holds_one_state_while_others_write(
    either: Database, tmp_path: Path, drafts: Drafts
) -> None:
    stop = threading.Event()

    def write() -> None:
        # SQLite's waiting is not fair: one that never pauses could keep others out.
        while not stop.wait(0.002):
            with either.writing() as connection:
                journal.append(connection, drafts(4))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        told = [back_up(either, tmp_path / f"{place}.db") for place in range(4)]
    finally:
        stop.set()
        writer.join()

    for one in told:
        with open_database(one.path).reading() as connection:
            found = verify(connection)
        assert found.holds
        assert found.entries % 4 == 0
    with either.reading() as connection:
        anchors = [one.head for one in told if one.head is not None]
        assert verify(connection, anchors=anchors).holds


def test_records_move_to_a_server_and_back_with_their_seals(
    server_address: str, database: Database, tmp_path: Path, drafts: Drafts
) -> None:
    with database.writing() as connection:
        journal.append(connection, drafts(5))
        attachment.keep(connection, b"one", "logger.csv", "text/csv")
    on_server = open_database(server_address, create=True)
    move(database, on_server)
    back = open_database(tmp_path / "back.db", create=True)
    move(on_server, back)

    with database.reading() as ours, back.reading() as theirs:
        assert list(journal.all_entries(ours)) == list(journal.all_entries(theirs))
        assert attachment.kept_files(ours) == attachment.kept_files(theirs)
        assert verify(theirs).holds


def test_records_are_not_moved_among_others(
    used: Database, tmp_path: Path, drafts: Drafts
) -> None:
    other = open_database(tmp_path / "other.db", create=True)
    with other.writing() as connection:
        journal.append(connection, drafts(1))

    with pytest.raises(NotEmptyError, match="holds records already"):
        move(used, other)
    with other.reading() as connection:
        assert verify(connection).entries == 1


def test_a_workspace_of_an_earlier_version_moves_and_is_worked_out_anew(
    tmp_path: Path,
) -> None:
    landed = Path(__file__).parent / "landed" / "2026-11-26" / "stability.db"
    shutil.copy(landed, tmp_path / "old.db")
    with closing(sqlite3.connect(tmp_path / "old.db")) as connection:
        connection.execute("DROP TABLE handover")
        connection.commit()
    old = open_database(tmp_path / "old.db")
    moved = open_database(tmp_path / "new.db", create=True)

    move(old, moved)

    with old.reading() as ours, moved.reading() as theirs:
        assert list(journal.all_entries(ours)) == list(journal.all_entries(theirs))
        assert verify(theirs).holds
        records = list(every_record(theirs))
        assert derived.differences(theirs, records) == ()
        assert len(records) == 2
