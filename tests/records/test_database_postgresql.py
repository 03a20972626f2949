"""The same promises on a PostgreSQL server: attacked with bare psycopg."""

from __future__ import annotations

import multiprocessing
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, insert, text

from stability.errors.database import (
    BusyDatabaseError,
    MissingDatabaseError,
    NewerDatabaseError,
    NotOurDatabaseError,
    ReadOnlyDatabaseError,
    ServerError,
)
from stability.model.entry import Draft
from stability.records import answers, attachment, journal
from stability.records.database import Database, open_database
from stability.records.tables import ANSWERS, DERIVED, missing_guards, study
from stability.records.verify import verify
from stability.workflow import bench as at_bench
from stability.workflow import records, studies
from stability.workflow.awaited import catch_up
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, write_files

README = Path(__file__).parents[2] / "README.md"
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
        "UPDATE entry SET line = e.line FROM entry e WHERE entry.number = 1",
        "DELETE FROM entry USING attachment WHERE entry.number = attachment.number",
        "WITH gone AS (DELETE FROM entry RETURNING *) SELECT * FROM gone",
        (
            "MERGE INTO entry USING (SELECT 3 AS n) AS s ON entry.number = s.n "
            "WHEN MATCHED THEN UPDATE SET line = 'x'"
        ),
        (
            "MERGE INTO entry USING (SELECT 3 AS n) AS s ON entry.number = s.n "
            "WHEN MATCHED THEN DELETE"
        ),
        "TRUNCATE entry RESTART IDENTITY CASCADE",
        "INSERT INTO entry SELECT * FROM entry WHERE number = 12",
        "INSERT INTO entry VALUES (13, 'study:HDC', 7, '', 'abc', repeat('f', 64))",
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


#: Someone who owns the server goes around every trigger.
AROUND = "SET session_replication_role = replica; "
SWAPPED = (
    "UPDATE entry SET number = 99 WHERE number = 5; "
    "UPDATE entry SET number = 5 WHERE number = 7; "
    "UPDATE entry SET number = 7 WHERE number = 99"
)
CUT_OFF = "DELETE FROM entry WHERE number > 10"
COPIED = (
    "INSERT INTO entry SELECT 13, subject, 7, line, digest, seal "
    "FROM entry WHERE number = 5"
)


@pytest.mark.parametrize(
    ("attack", "where", "how"),
    [
        (
            "UPDATE entry SET line = replace(line, 'note', 'nope') WHERE number = 7",
            "study:HDC/4", "changed",
        ),
        ("DELETE FROM entry WHERE number = 7", "number 7", "removed"),
        ("DELETE FROM entry WHERE subject = 'study:HDC'", "number 1", "removed"),
        (
            SWAPPED,
            "study:HDC/3", "reordered",
        ),
        (
            COPIED,
            "study:HDC/7", "inserted",
        ),
        ("UPDATE attachment SET content = '\\x00'", "attachment one.csv", "changed"),
    ],
)  # fmt: skip
def test_what_an_owner_does_around_the_triggers_is_named(
    filled: Database, run: Run, attack: str, where: str, how: str
) -> None:
    run(AROUND + attack)

    with filled.reading() as connection:
        flaws = verify(connection).flaws
    named = [(one.where, one.how) for one in flaws]
    assert any(place.startswith(where) and what == how for place, what in named), named


def test_a_tail_that_an_owner_cut_off_shows_against_an_anchor(
    filled: Database, run: Run
) -> None:
    with filled.reading() as connection:
        anchors = verify(connection).heads
    run(f"{AROUND}{CUT_OFF}")

    with filled.reading() as connection:
        assert verify(connection).holds
        flaws = verify(connection, anchors=anchors).flaws
    assert [(one.where, one.how) for one in flaws] == [
        ("study:HDC/6", "cut off"), ("study:XY/6", "cut off"),
    ]  # fmt: skip


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
    """Return the address of an account set up as README says: it owns nothing."""
    assert database.address.url is not None
    (statements,) = re.findall(
        r"```sql\n(.*?)```", README.read_text("utf-8"), re.DOTALL
    )
    schema = run("SELECT current_schema()")[0][0]
    there = run("SELECT rolname FROM pg_roles WHERE rolname = 'bench'")
    for line in statements.replace("SCHEMA public", f"SCHEMA {schema}").splitlines():
        if not (there and line.startswith("CREATE ROLE")):
            run(line)
    return server_address.replace("owner@", "bench@")


def test_every_table_has_its_rights(bench: str, run: Run) -> None:
    granted: dict[str, set[str]] = {}
    for table, right in run(
        "SELECT table_name, privilege_type FROM information_schema.table_privileges "
        "WHERE grantee = 'bench' AND table_schema = current_schema()"
    ):
        granted.setdefault(table, set()).add(right)

    kept = {"SELECT", "INSERT"}
    assert bench.startswith("postgresql://bench@")
    assert granted == {
        "workspace": {"SELECT"},
        "entry": kept,
        "attachment": kept,
        **{table.name: {*kept, "UPDATE", "DELETE"} for table in (*DERIVED, *ANSWERS)},
    }


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


def test_a_study_is_lived_through_by_an_account_that_owns_nothing(
    bench: str, tmp_path: Path
) -> None:
    now = datetime(2026, 3, 5, 12, tzinfo=UTC)
    at = Occasion(bench, now, "ana", zone="Europe/Dublin")
    at_bench.start(at, write_files(tmp_path))
    at_bench.log(at, BULK_A, ["pH=5.50/5.52"])
    at_bench.correct(at, "HDC/2", ["pH=5.51/5.52"], because="misread")
    at_bench.note(at, "HDC", "all jars photographed")

    catch_up(at, ["study:HDC"])

    with open_database(bench).reading() as connection:
        assert answers.lagging(connection) == ()
    assert records.verify(at, rebuild=True).holds
    assert records.verify(at).entries == 4


@pytest.mark.parametrize(
    "before",
    [
        "REVOKE ALL ON awaited, awaited_until FROM bench",
        "REVOKE INSERT ON awaited_until FROM bench",
        "DROP TABLE awaited, awaited_until",
    ],
)
def test_an_account_with_the_rights_of_before_works_and_is_told_what_is_open(
    before: str, bench: str, run: Run, tmp_path: Path
) -> None:
    at = Occasion(bench, datetime(2026, 3, 5, 12, tzinfo=UTC), "ana", zone="Etc/UTC")
    at_bench.start(at, write_files(tmp_path))
    catch_up(at, ["study:HDC"])
    run(before)

    at_bench.log(at, BULK_A, ["pH=4.50/4.52"], accept_far=True)
    catch_up(at, ["study:HDC"])

    assert [one.kind for one in studies.due(at).awaited] == ["follow-up"]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(
    "attack",
    [
        "UPDATE entry SET line = 'x'",
        "DELETE FROM entry",
        "TRUNCATE entry",
        "TRUNCATE attachment",
        "UPDATE attachment SET content = ''",
        "UPDATE workspace SET format = 2",
        "INSERT INTO workspace VALUES (2, 'x')",
        "ALTER TABLE entry DISABLE TRIGGER entry_kept",
        "ALTER TABLE entry DISABLE TRIGGER ALL",
        "ALTER TABLE entry DROP COLUMN seal",
        "ALTER TABLE entry OWNER TO bench",
        "DROP TRIGGER entry_kept ON entry",
        "DROP TABLE entry CASCADE",
        "DROP FUNCTION entry_refuse() CASCADE",
        (
            "CREATE OR REPLACE FUNCTION entry_refuse() RETURNS trigger "
            "LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"
        ),
        "CREATE RULE away AS ON INSERT TO entry DO INSTEAD NOTHING",
        "SET session_replication_role = replica",
        "SET ROLE owner",
        (
            "INSERT INTO entry SELECT * FROM entry WHERE number = 1 "
            "ON CONFLICT (number) DO UPDATE SET line = 'x'"
        ),
        # Granting what one does not own is a warning only; it must have no effect.
        "GRANT UPDATE ON entry TO bench; UPDATE entry SET line = 'x'",
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


# Durability


def test_a_writer_waits_for_the_disk_whatever_the_account_usually_does(
    database: Database, run: Run, server_address: str
) -> None:
    lax = f"{server_address}%20-csynchronous_commit%3Doff"
    with open_database(lax).reading() as connection:
        assert connection.execute(text("SHOW synchronous_commit")).scalar() == "off"
    for one in (open_database(lax), database):
        with one.writing() as connection:
            shown = connection.execute(text("SHOW synchronous_commit")).scalar()
            level = connection.execute(text("SHOW transaction_isolation")).scalar()
        assert (shown, level) == ("on", "read committed")
    assert run("SELECT count(*) FROM entry") == [(0,)]


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
