"""The tables refuse every change, whoever asks: attacked with bare sqlite3."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

import pytest
from sqlalchemy import inspect

from stability.records import attachment
from stability.records.database import Database
from stability.records.tables import create_all, metadata, missing_guards

Raw = Callable[..., list[tuple[object, ...]]]

#: Written as {d} in the statements below.
DIGEST = "f" * 64

ATTACKS = {
    "update": "UPDATE entry SET line = 'x'",
    "update of one": "UPDATE entry SET digest = seal WHERE number = 3",
    "update or replace": "UPDATE OR REPLACE entry SET number = 1 WHERE number = 3",
    "update or ignore": "UPDATE OR IGNORE entry SET line = 'x'",
    "delete": "DELETE FROM entry",
    "delete the last": "DELETE FROM entry WHERE number = 12",
    "replace by number": "REPLACE INTO entry VALUES (3, {hdc}, 99, '', {d}, {d})",
    "replace by both": "REPLACE INTO entry VALUES (1, {hdc}, 1, '', {d}, {d})",
    "replace by position": "REPLACE INTO entry VALUES (13, {hdc}, 2, '', {d}, {d})",
    "replace the last": "REPLACE INTO entry VALUES (12, {xy}, 6, '', {d}, {d})",
    "ignore": "INSERT OR IGNORE INTO entry VALUES (3, {hdc}, 7, '', {d}, {d})",
    "upsert": (
        "INSERT INTO entry VALUES (1, {hdc}, 1, '', {d}, {d}) "
        "ON CONFLICT (number) DO UPDATE SET line = 'x'"
    ),
    "upsert by position": (
        "INSERT INTO entry VALUES (13, {hdc}, 1, '', {d}, {d}) "
        "ON CONFLICT (subject, position) DO UPDATE SET line = 'x'"
    ),
    "a gap of numbers": "INSERT INTO entry VALUES (14, {hdc}, 7, '', {d}, {d})",
    "a gap of positions": "INSERT INTO entry VALUES (13, {hdc}, 8, '', {d}, {d})",
    "a number below": "INSERT INTO entry VALUES (0, {hdc}, 7, '', {d}, {d})",
    "a negative number": "INSERT INTO entry VALUES (-1, {hdc}, 7, '', {d}, {d})",
    "no number": "INSERT INTO entry VALUES (NULL, {hdc}, 7, '', {d}, {d})",
    "no position": "INSERT INTO entry VALUES (13, {hdc}, NULL, '', {d}, {d})",
    "a subject not from one": "INSERT INTO entry VALUES (13, 'q', 2, '', {d}, {d})",
    "by rowid": (
        "REPLACE INTO entry (rowid, subject, position, line, digest, seal) "
        "VALUES (3, {hdc}, 7, '', {d}, {d})"
    ),
    "a short digest": "INSERT INTO entry VALUES (13, {hdc}, 7, '', 'abc', {d})",
}


def spelled(statement: str) -> str:
    """Return a statement with its abbreviations written out."""
    return (
        statement.replace("{d}", f"'{DIGEST}'")
        .replace("{hdc}", "'study:HDC'")
        .replace("{xy}", "'study:XY'")
    )


@pytest.mark.parametrize("attack", ATTACKS.values(), ids=ATTACKS.keys())
@pytest.mark.parametrize("recursive", [0, 1])
@pytest.mark.usefixtures("filled")
def test_no_statement_changes_an_entry(raw: Raw, attack: str, recursive: int) -> None:
    raw(f"PRAGMA recursive_triggers = {recursive}")
    before = raw("SELECT * FROM entry ORDER BY number")
    assert len(before) == 12

    with pytest.raises(sqlite3.IntegrityError):
        raw(spelled(attack))

    assert raw("SELECT * FROM entry ORDER BY number") == before


@pytest.mark.usefixtures("filled")
def test_an_entry_at_the_end_is_let_in(raw: Raw) -> None:
    raw(spelled("INSERT INTO entry VALUES (13, {hdc}, 7, '', {d}, {d})"))

    assert raw("SELECT count(*) FROM entry") == [(13,)]


@pytest.mark.parametrize(
    "attack",
    [
        "UPDATE attachment SET content = x'00'",
        "UPDATE OR REPLACE attachment SET number = 1 WHERE number = 2",
        "DELETE FROM attachment",
        "REPLACE INTO attachment SELECT * FROM attachment WHERE number = 1",
        (
            "REPLACE INTO attachment SELECT 3, sha256, 'x', 'x', 1, 'none', x'00' "
            "FROM attachment WHERE number = 1"
        ),
        "REPLACE INTO attachment VALUES (1, {d}, 'x', 'x', 1, 'none', x'00')",
        "INSERT INTO attachment VALUES (4, {d}, 'x', 'x', 1, 'none', x'00')",
        "INSERT INTO attachment VALUES (NULL, {d}, '', '', 1, 'none', x'00')",
        (
            "INSERT INTO attachment SELECT 3, sha256, 'x', 'x', 1, 'none', x'00' "
            "FROM attachment WHERE number = 1 "
            "ON CONFLICT (sha256) DO UPDATE SET content = x'00'"
        ),
    ],
)
def test_no_statement_changes_an_attachment(
    database: Database, raw: Raw, attack: str
) -> None:
    with database.writing() as connection:
        attachment.keep(connection, b"one", "one.csv", "text/csv")
        attachment.keep(connection, b"two", "two.csv", "text/csv")
    before = raw("SELECT * FROM attachment ORDER BY number")

    with pytest.raises(sqlite3.IntegrityError):
        raw(spelled(attack))

    assert raw("SELECT * FROM attachment ORDER BY number") == before


def test_all_tables_and_guards_are_there(database: Database) -> None:
    with database.reading() as connection:
        assert set(inspect(connection).get_table_names()) == set(metadata.tables)
        assert missing_guards(connection) == ()


def test_a_guard_that_was_taken_away_is_missed(database: Database, raw: Raw) -> None:
    raw("DROP TRIGGER entry_no_update")
    raw("DROP TRIGGER attachment_in_order")
    raw(
        "CREATE TRIGGER attachment_in_order BEFORE INSERT ON attachment "
        "WHEN 0 BEGIN SELECT 1; END"
    )

    with database.reading() as connection:
        assert missing_guards(connection) == ("entry_no_update", "attachment_in_order")


@pytest.mark.usefixtures("database")
def test_due_dates_are_searched_by_index(raw: Raw) -> None:
    for query in (
        "EXPLAIN QUERY PLAN SELECT * FROM open_check WHERE opens < '2026-01-01'",
        "EXPLAIN QUERY PLAN SELECT * FROM handover WHERE due < '2026-01-01'",
    ):
        assert "USING INDEX" in str(raw(query))


def test_a_workspace_is_made_once(database: Database) -> None:
    with pytest.raises(Exception, match="already exists"), database.writing() as again:
        create_all(again)
