"""The same promises on a PostgreSQL server: attacked with bare psycopg."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import delete, insert, text

from stability.errors import (
    BusyDatabaseError,
    MissingDatabaseError,
    NewerDatabaseError,
    NotOurDatabaseError,
    ReadOnlyDatabaseError,
    ServerError,
)
from stability.model.entry import Draft
from stability.records import attachment, journal
from stability.records.database import Database, open_database
from stability.records.tables import DERIVED, missing_guards, study
from stability.records.verify import verify

Drafts = Callable[..., list[Draft]]
Run = Callable[..., list[tuple[Any, ...]]]


@pytest.fixture
def database(server_address: str) -> Database:
    """Return a new workspace on the server."""
    return open_database(server_address, create=True, timeout_s=5)


@pytest.fixture
def filled(database: Database, drafts: Drafts) -> Database:
    """Return a workspace of two studies whose entries take turns: six each."""
    one, other = drafts(6), drafts(6, "study:XY")
    turns = [draft for pair in zip(one, other, strict=True) for draft in pair]
    with database.writing() as connection:
        journal.append(connection, turns)
        attachment.keep(connection, b"one", "one.csv", "text/csv")
    return database


@pytest.fixture
def run(server_address: str) -> Run:
    """Return a way to run SQL without any of our code; each statement commits."""
    import psycopg

    def execute(sql: str) -> list[tuple[Any, ...]]:
        with psycopg.connect(server_address, autocommit=True) as connection:
            cursor = connection.execute(sql.encode())
            return cursor.fetchall() if cursor.description else []

    return execute


VALUES = "'', repeat('f', 64), repeat('f', 64))"


@pytest.mark.parametrize(
    "attack",
    [
        "UPDATE entry SET line = 'x'",
        "UPDATE entry SET number = number + 100 WHERE number = 12",
        "DELETE FROM entry",
        "DELETE FROM entry WHERE number = 12",
        "TRUNCATE entry",
        "TRUNCATE entry, attachment CASCADE",
        "INSERT INTO entry VALUES (14, 'study:HDC', 7, {values}",
        "INSERT INTO entry VALUES (13, 'study:HDC', 8, {values}",
        "INSERT INTO entry VALUES (0, 'study:HDC', 7, {values}",
        "INSERT INTO entry VALUES (13, 'study:Q', 2, {values}",
        "INSERT INTO entry VALUES (NULL, 'study:HDC', 7, {values}",
        (
            "INSERT INTO entry VALUES (1, 'study:HDC', 1, {values} "
            "ON CONFLICT (number) DO UPDATE SET line = 'x'"
        ),
        (
            "INSERT INTO entry VALUES (13, 'study:HDC', 1, {values} "
            "ON CONFLICT (subject, position) DO UPDATE SET line = 'x'"
        ),
        "UPDATE attachment SET content = ''",
        "DELETE FROM attachment",
        "TRUNCATE attachment",
        (
            "INSERT INTO attachment SELECT 2, sha256, 'x', 'x', 1, 'none', '' "
            "FROM attachment ON CONFLICT (sha256) DO UPDATE SET content = ''"
        ),
    ],
)
@pytest.mark.usefixtures("filled")
def test_no_statement_changes_the_record(run: Run, attack: str) -> None:
    import psycopg

    everything = (
        "SELECT e::text FROM entry e UNION ALL SELECT a::text FROM attachment a"
    )
    before = sorted(run(everything))
    assert len(before) == 13

    with pytest.raises(psycopg.Error):
        run(attack.replace("{values}", VALUES))

    assert sorted(run(everything)) == before


@pytest.mark.usefixtures("filled")
def test_an_entry_at_the_end_is_let_in(run: Run) -> None:
    statement = "INSERT INTO entry VALUES (13, 'study:HDC', 7, {values}"
    run(statement.replace("{values}", VALUES))

    assert run("SELECT count(*) FROM entry") == [(13,)]


def test_a_guard_that_was_switched_off_is_missed(filled: Database, run: Run) -> None:
    with filled.reading() as connection:
        assert missing_guards(connection) == ()
    run("ALTER TABLE entry DISABLE TRIGGER entry_kept")
    run("DROP TRIGGER attachment_not_emptied ON attachment")

    with filled.reading() as connection:
        assert missing_guards(connection) == ("entry_kept", "attachment_not_emptied")
        assert not verify(connection).holds


def test_a_changed_entry_is_named(filled: Database, run: Run) -> None:
    run("ALTER TABLE entry DISABLE TRIGGER entry_kept")
    run("UPDATE entry SET line = replace(line, 'note', 'nope') WHERE number = 5")
    run("ALTER TABLE entry ENABLE TRIGGER entry_kept")

    with filled.reading() as connection:
        flaws = verify(connection).flaws
    assert [(one.where, one.how) for one in flaws] == [("study:HDC/3", "changed")]


def test_subjects_are_sorted_by_their_bytes(database: Database, drafts: Drafts) -> None:
    names = ["study:a1", "study:DC10", "study:A1", "study:dc1", "study:Ärz"]
    with database.writing() as connection:
        journal.append(connection, [drafts(1, name)[0] for name in names])
    with database.reading() as connection:
        ordered = connection.scalars(text("SELECT subject FROM entry ORDER BY subject"))

        assert list(ordered) == sorted(names)
        assert list(journal.subjects(connection)) == sorted(names)


# Opening


def test_opening_without_creating_makes_nothing(server_address: str, run: Run) -> None:
    with pytest.raises(MissingDatabaseError):
        open_database(server_address)

    query = (
        "SELECT count(*) FROM pg_class WHERE relnamespace = "
        "current_schema()::regnamespace"
    )
    assert run(query) == [(0,)]


def test_another_programs_tables_are_left_as_they_are(
    server_address: str, run: Run
) -> None:
    run("CREATE TABLE entry (name text)")

    with pytest.raises(NotOurDatabaseError):
        open_database(server_address, create=True)


@pytest.mark.usefixtures("database")
def test_a_newer_workspace_is_refused_as_newer(server_address: str, run: Run) -> None:
    run("UPDATE workspace SET format = 2")

    with pytest.raises(NewerDatabaseError, match="format 2"):
        open_database(server_address)


def test_an_unknown_database_is_told(server: str) -> None:
    with pytest.raises(ServerError, match="does not exist") as refused:
        open_database(server.replace("/postgres?", "/nowhere?"))

    assert "\n" not in str(refused.value)


# Rights


@pytest.fixture
def bench(database: Database, run: Run, server_address: str) -> str:
    """Return the address of an account that may add and read, and owns nothing."""
    assert database.address.url is not None
    run(
        "DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'bench') "
        "THEN CREATE ROLE bench LOGIN; END IF; END $$"
    )
    schema = run("SELECT current_schema()")[0][0]
    run(f"GRANT USAGE ON SCHEMA {schema} TO bench")
    run(f"GRANT SELECT ON ALL TABLES IN SCHEMA {schema} TO bench")
    run("GRANT INSERT ON entry, attachment TO bench")
    derived = ", ".join(table.name for table in DERIVED)
    run(f"GRANT INSERT, UPDATE, DELETE ON {derived} TO bench")
    return server_address.replace("owner@", "bench@")


def test_an_account_that_owns_nothing_adds_entries(
    bench: str, database: Database, drafts: Drafts
) -> None:
    with open_database(bench).writing() as connection:
        journal.append(connection, drafts(3))
        attachment.keep(connection, b"one", "one.csv", "text/csv")
        connection.execute(insert(study).values(dict.fromkeys(study.c.keys(), "x")))
        connection.execute(delete(study))
    with database.reading() as connection:
        found = verify(connection)

    assert found.holds
    assert (found.entries, found.attachments) == (3, 1)


@pytest.mark.parametrize(
    "attack",
    [
        "ALTER TABLE entry DISABLE TRIGGER entry_kept",
        "DROP TRIGGER entry_kept ON entry",
        # Granting what one does not own is a warning only; it must have no effect.
        "GRANT UPDATE ON entry TO bench; UPDATE entry SET line = 'x'",
        "UPDATE entry SET line = 'x'",
        "TRUNCATE entry",
    ],
)
def test_an_account_that_owns_nothing_cannot_take_the_guards_away(
    bench: str, attack: str
) -> None:
    import psycopg
    from psycopg.errors import InsufficientPrivilege

    with (
        psycopg.connect(bench) as connection,
        pytest.raises(InsufficientPrivilege),
    ):
        connection.execute(attack.encode())


def test_an_account_that_may_only_read_is_told(
    bench: str, run: Run, drafts: Drafts
) -> None:
    run("REVOKE INSERT ON entry FROM bench")

    with (
        pytest.raises(ReadOnlyDatabaseError),
        open_database(bench).writing() as connection,
    ):
        journal.append(connection, drafts(1))


def test_a_reading_connection_cannot_write(filled: Database, drafts: Drafts) -> None:
    with (
        pytest.raises(ReadOnlyDatabaseError),
        filled.reading() as connection,
    ):
        journal.append(connection, drafts(1))


# Several writers


def test_a_busy_server_is_told_after_the_wait(
    filled: Database, server_address: str, drafts: Drafts
) -> None:
    other = open_database(server_address, timeout_s=0.2)
    with filled.writing() as connection:
        journal.append(connection, drafts(1))
        with (
            pytest.raises(BusyDatabaseError, match=r"in use for 0\.2 s"),
            other.writing() as second,
        ):
            journal.append(second, drafts(1))


def test_reading_sees_one_state_while_others_write(
    filled: Database, drafts: Drafts
) -> None:
    with filled.reading() as connection:
        before = journal.heads(connection)
        with filled.writing() as writer:
            journal.append(writer, drafts(1))
        assert journal.heads(connection) == before
    with filled.reading() as connection:
        assert journal.heads(connection) != before


def write_many(address: str, count: int, subject: str) -> None:
    """Add entries one command at a time, as one bench of several."""
    database = open_database(address)
    draft = Draft(
        subject, "noted/1", "Ana", "2026-03-02", "2026-03-02T09:00:00Z", {"text": "x"}
    )
    for _ in range(count):
        with database.writing() as connection:
            journal.append(connection, [draft, draft])


def test_eight_writers_lose_nothing_and_keep_the_chain(
    database: Database, server_address: str
) -> None:
    context = multiprocessing.get_context("fork")
    writers = [
        context.Process(target=write_many, args=(server_address, 15, subject))
        for subject in ["study:HDC", "study:XY"] * 4
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(timeout=60)

    assert [writer.exitcode for writer in writers] == [0] * 8
    with database.reading() as connection:
        found = verify(connection)
    assert found.holds
    assert found.entries == 8 * 15 * 2


def create_at_once(address: str) -> None:
    """Open a workspace that does not exist yet."""
    open_database(address, create=True)


def test_two_who_begin_a_workspace_at_once_share_it(server_address: str) -> None:
    context = multiprocessing.get_context("fork")
    starters = [
        context.Process(target=create_at_once, args=(server_address,)) for _ in range(4)
    ]
    for starter in starters:
        starter.start()
    for starter in starters:
        starter.join(timeout=60)

    assert [starter.exitcode for starter in starters] == [0] * 4
