"""The tables of a workspace, and the triggers that let them only grow.

`entry` and `attachment` hold the truth. Triggers refuse every change, replacement and
removal, and additions anywhere but at the end: a guard against mistakes and other
programs. Whoever owns the database can drop a trigger; the chain and its anchors show
that.

On a PostgreSQL server two accounts make them hold against the bench as well: the owner
begins the workspace, and the account of the bench is granted USAGE on its schema,
SELECT on all tables, INSERT on `entry` and `attachment`, and INSERT, UPDATE and DELETE
on the derived tables alone. It can then neither take a trigger away nor grant itself
more.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Connection,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    UniqueConstraint,
    insert,
    inspect,
    select,
    text,
)
from sqlalchemy.types import TypeEngine

#: Format of workspaces that this version writes.
FORMAT: Final = 1
#: Says in the `workspace` table whose database it is.
PRODUCT: Final = "stability"
#: The same in the header of an SQLite file: the letters STAB.
APPLICATION_ID: Final = 0x53544142

#: Byte order everywhere: a database's language must not decide the order of records.
TEXT: Final[TypeEngine[str]] = String().with_variant(
    String(collation="C"), "postgresql"
)
_NUMBER: Final[TypeEngine[int]] = BigInteger().with_variant(Integer, "sqlite")

metadata = MetaData()

workspace = Table(
    "workspace",
    metadata,
    Column("format", Integer, nullable=False),
    Column("product", TEXT, nullable=False),
)

entry = Table(
    "entry",
    metadata,
    Column("number", _NUMBER, primary_key=True, autoincrement=False),
    Column("subject", TEXT, nullable=False),
    Column("position", _NUMBER, nullable=False),
    Column("line", TEXT, nullable=False),
    Column("digest", TEXT, nullable=False),
    Column("seal", TEXT, nullable=False),
    UniqueConstraint("subject", "position", name="entry_of_subject"),
    CheckConstraint("length(digest) = 64", name="entry_digest_whole"),
    CheckConstraint("length(seal) = 64", name="entry_seal_whole"),
)

attachment = Table(
    "attachment",
    metadata,
    Column("number", _NUMBER, primary_key=True, autoincrement=False),
    Column("sha256", TEXT, nullable=False, unique=True),
    Column("name", TEXT, nullable=False),
    Column("media_type", TEXT, nullable=False),
    Column("size", _NUMBER, nullable=False),
    Column("coding", TEXT, nullable=False),
    Column("content", LargeBinary, nullable=False),
    CheckConstraint("length(sha256) = 64", name="attachment_sha256_whole"),
)

study = Table(
    "study",
    metadata,
    Column("code", TEXT, primary_key=True),
    Column("subject", TEXT, nullable=False, unique=True),
    Column("product", TEXT, nullable=False),
    Column("version", TEXT, nullable=False),
    Column("protocol", TEXT, nullable=False),
    Column("state", TEXT, nullable=False),
    Column("opened", TEXT, nullable=False),
)

sample = Table(
    "sample",
    metadata,
    Column("code", TEXT, primary_key=True),
    Column("study", TEXT, nullable=False, index=True),
    Column("batch", TEXT, nullable=False),
    Column("pack", TEXT),
    Column("condition", TEXT),
    Column("use", TEXT, nullable=False),
    Column("state", TEXT, nullable=False),
)

open_check = Table(
    "open_check",
    metadata,
    Column("study", TEXT, nullable=False, index=True),
    Column("sample", TEXT, nullable=False),
    Column("condition", TEXT),
    Column("batch", TEXT, nullable=False),
    Column("pack", TEXT),
    Column("check_name", TEXT, nullable=False),
    Column("opens", TEXT, nullable=False, index=True),
    Column("due", TEXT, nullable=False),
    Column("closes", TEXT, nullable=False),
    Column("remaining", TEXT, nullable=False),
    UniqueConstraint("sample", "check_name", name="open_check_of_sample"),
)

check_group = Table(
    "check_group",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("check_name", TEXT, primary_key=True),
    Column("condition", TEXT, primary_key=True),
    Column("opens", TEXT, primary_key=True, index=True),
    Column("due", TEXT, primary_key=True),
    Column("closes", TEXT, primary_key=True),
    Column("samples", Integer, nullable=False),
)

handover = Table(
    "handover",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("condition", TEXT, primary_key=True),
    Column("kind", TEXT, primary_key=True),
    Column("due", TEXT, primary_key=True, index=True),
    Column("text", TEXT, primary_key=True),
    Column("samples", TEXT, nullable=False),
)

awaited = Table(
    "awaited",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("kind", TEXT, primary_key=True),
    Column("due", TEXT, primary_key=True),
    Column("condition", TEXT, nullable=False),
    Column("sample", TEXT, nullable=False),
    Column("position", Integer, primary_key=True),
    Column("text", TEXT, primary_key=True),
)

awaited_until = Table(
    "awaited_until",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("rules", Integer, nullable=False),
    Column("rows_sha256", TEXT, nullable=False),
)

check_day = Table(
    "check_day",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("day", TEXT, primary_key=True),
    Column("account", TEXT, primary_key=True),
)

refreshed = Table(
    "refreshed",
    metadata,
    Column("study", TEXT, primary_key=True),
    Column("head", TEXT, nullable=False),
    Column("rules", Integer, nullable=False),
    Column("rows_sha256", TEXT, nullable=False),
)

#: Rises whenever other rows are worked out from the same entries, or other tables are
#: filled: all are then worked out anew at the next command that writes.
RULES: Final = 4
#: Rises whenever other answers are found missing from the same entries; those of a
#: study are then worked out anew by `due`, and kept by the next command that writes.
AWAITED_RULES: Final = 2
#: Tables that are rebuilt from the journal; only records/derived changes them.
DERIVED: Final = (
    study,
    sample,
    open_check,
    check_group,
    handover,
    check_day,
    refreshed,
)
#: What waits for an answer, and up to which entry of a study that was worked out. Rows
#: are kept after an entry is stored and may lag behind; `due` then works them out.
ANSWERS: Final = (awaited, awaited_until)

_APPEND_ONLY: Final = {
    "entry": "entries are only added at the end",
    "attachment": "attachments are only added",
}

_SQLITE_ORDER: Final = {
    "entry": (
        "NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM entry) "
        "OR NEW.position IS NOT (SELECT coalesce(max(position), 0) + 1 FROM entry "
        "WHERE subject = NEW.subject)"
    ),
    # Without the number as its row's identity, a replacement could come in by it.
    "attachment": (
        "NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM attachment) "
        "OR EXISTS (SELECT 1 FROM attachment WHERE sha256 = NEW.sha256)"
    ),
}

_POSTGRESQL_ORDER: Final = {
    name: condition.replace("IS NOT (", "IS DISTINCT FROM (")
    for name, condition in _SQLITE_ORDER.items()
}


def create_all(connection: Connection) -> None:
    """Create tables and triggers in an empty database and name its format.

    Parameters
    ----------
    connection
        In a writing transaction: all is created, or nothing.
    """
    dialect = connection.dialect.name
    metadata.create_all(connection)
    guards = _sqlite_guards() if dialect == "sqlite" else _postgresql_guards()
    for statement in guards.values():
        connection.execute(text(statement))
    connection.execute(insert(workspace).values(format=FORMAT, product=PRODUCT))
    if dialect == "sqlite":
        connection.execute(text(f"PRAGMA application_id = {APPLICATION_ID}"))


def missing_guards(connection: Connection) -> tuple[str, ...]:
    """Return the names of triggers that should be there and are not, or are off."""
    if connection.dialect.name == "sqlite":
        expected = _sqlite_guards()
        query = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        there = {row.name: row.sql for row in connection.execute(text(query))}
        return tuple(name for name, sql in expected.items() if there.get(name) != sql)
    query = (
        "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
        "WHERE relnamespace = current_schema()::regnamespace AND tgenabled <> 'D'"
    )
    enabled = {name for (name,) in connection.execute(text(query))}
    return tuple(
        f"{table}_{what}"
        for table in _APPEND_ONLY
        for what in ("in_order", "kept", "not_emptied")
        if f"{table}_{what}" not in enabled
    )


def _sqlite_guards() -> dict[str, str]:
    """Return the statements that create the triggers, by trigger."""
    guards = {}
    for table, message in _APPEND_ONLY.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        for event in ("update", "delete"):
            name = f"{table}_no_{event}"
            guards[name] = (
                f"CREATE TRIGGER {name} BEFORE {event.upper()} ON {table} {refuse}"
            )
        name = f"{table}_in_order"
        guards[name] = (
            f"CREATE TRIGGER {name} BEFORE INSERT ON {table} "
            f"WHEN {_SQLITE_ORDER[table]} {refuse}"
        )
    return guards


def _postgresql_guards() -> dict[str, str]:
    """Return the statements that create functions and triggers, by their names.

    Row triggers do not see TRUNCATE, so a statement trigger stands beside them.
    """
    guards = {}
    for table, message in _APPEND_ONLY.items():
        refuse = f"RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'"
        guards[f"{table}_refuse"] = (
            f"CREATE FUNCTION {table}_refuse() RETURNS trigger LANGUAGE plpgsql "
            f"AS $$ BEGIN {refuse}; END $$"
        )
        guards[f"{table}_check_order"] = (
            f"CREATE FUNCTION {table}_check_order() RETURNS trigger LANGUAGE plpgsql "
            f"AS $$ BEGIN IF {_POSTGRESQL_ORDER[table]} THEN {refuse}; END IF; "
            f"RETURN NEW; END $$"
        )
        guards[f"{table}_in_order"] = (
            f"CREATE TRIGGER {table}_in_order BEFORE INSERT ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {table}_check_order()"
        )
        guards[f"{table}_kept"] = (
            f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {table}_refuse()"
        )
        guards[f"{table}_not_emptied"] = (
            f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_refuse()"
        )
    return guards


def are_current(connection: Connection, there: frozenset[str]) -> bool:
    """Say whether all tables are there and filled by the rules of this version.

    Parameters
    ----------
    connection
        To the workspace.
    there
        Names of the tables of the workspace.
    """
    if not {table.name for table in DERIVED} <= there:
        return False
    other = select(refreshed.c.study).where(refreshed.c.rules != RULES)
    return connection.execute(other.limit(1)).first() is None


def answers_are_there(connection: Connection) -> bool:
    """Say whether what waits for an answer is kept where this account may read it.

    An earlier version did not have the tables; on a server, tables that the owner made
    later may be closed to an account of before.
    """
    if connection.dialect.name == "sqlite":
        return inspect(connection).has_table(awaited_until.name)
    query = (
        "SELECT relname FROM pg_class WHERE relkind = 'r' "
        "AND relnamespace = current_schema()::regnamespace "
        "AND has_table_privilege(oid, 'SELECT')"
    )
    readable = {name for (name,) in connection.execute(text(query))}
    return {table.name for table in ANSWERS} <= readable
