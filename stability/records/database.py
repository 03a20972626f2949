"""Opening a workspace: one SQLite file, or a schema of a PostgreSQL server.

SQLite keeps a rollback journal and syncs at every commit, so that one file is the
whole workspace, can be read from read-only media, and loses nothing that was
acknowledged. A write takes its lock before it reads: two writers never see the same
head of the chain.
"""

from __future__ import annotations

import errno
import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    NullPool,
    create_engine,
    event,
    inspect,
    make_url,
    select,
    text,
)
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from stability.errors.database import (
    AddressError,
    DatabaseError,
    FullDiskError,
    MissingDatabaseError,
    MissingDriverError,
    NewerDatabaseError,
    NotOurDatabaseError,
    ReadOnlyDatabaseError,
    UnreadableDatabaseError,
)
from stability.records.database_fault import fault_of, is_full
from stability.records.tables import (
    APPLICATION_ID,
    FORMAT,
    PRODUCT,
    are_current,
    create_all,
    workspace,
)

#: Waiting for other writers is not fair in SQLite; half a minute serves eight benches.
TIMEOUT_S: Final = 30.0
#: First half of the advisory lock that a writer on PostgreSQL takes; the second half is
#: its schema, so that two workspaces in one database do not wait for each other.
_LOCK: Final = 0x53544142
_POSTGRESQL: Final = ("postgres", "postgresql", "postgresql+psycopg")
#: What of an address's query is printed.
_SHOWN: Final = ("host", "hostaddr", "port", "user", "dbname", "service", "sslmode")
#: Begins like an address that was mistyped; as a file's name it would be printed.
_MISTYPED = re.compile(r"(?i)postgres[a-z+0-9]*:|[^/\\]{2,}:.*@")


@dataclass(frozen=True, slots=True, repr=False)
class Address:
    """Where a workspace is."""

    #: File of an SQLite workspace; None for a server.
    path: Path | None
    #: Address of a PostgreSQL workspace; None for a file.
    url: URL | None

    def __str__(self) -> str:
        if self.url is None:
            return str(self.path)
        # Whatever else stands in the query may be a secret, also under a mistyped name.
        secret = [name for name in self.url.query if name not in _SHOWN]
        shown = self.url.difference_update_query(secret).set(drivername="postgresql")
        return shown.render_as_string(hide_password=True)

    def __repr__(self) -> str:
        return f"Address({self})"


@dataclass(frozen=True, slots=True)
class Database:
    """An open workspace; connections are made when needed and closed at once."""

    #: Where it is; prints without password.
    address: Address
    #: Makes the connections.
    engine: Engine
    #: How long a command waits for another. [s]
    timeout_s: float

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the records and cannot write.

        Close it before long work: under SQLite an open read keeps writers waiting.
        """
        reader = self.engine
        if self.address.url is not None:
            reader = reader.execution_options(
                isolation_level="REPEATABLE READ", postgresql_readonly=True
            )
        with _faults(self), reader.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the one connection that may write now; commit at the end.

        Any error inside takes back everything.
        """
        writer = self.engine.execution_options(stability_writes=True)
        with _faults(self), writer.connect() as connection, connection.begin():
            if self.address.url is not None:
                _lock_server(connection, self.timeout_s)
            _renew(connection)
            yield connection


def parse_address(text: str | Path) -> Address:
    """Read an address of records.

    Parameters
    ----------
    text
        A file, or `postgresql://…` (also `postgres://…`).

    Raises
    ------
    AddressError
        If it names another kind of database or cannot be read. A password in it is
        never shown.
    """
    if isinstance(text, Path) or "://" not in text:
        if not str(text).strip() or "\0" in str(text):
            raise AddressError("The empty text", "it names no file")
        if isinstance(text, str) and _MISTYPED.match(text):
            raise AddressError("What was given", "an address begins postgresql://")
        return Address(Path(text), None)
    scheme = text.split("://", 1)[0]
    if scheme not in _POSTGRESQL:
        raise AddressError(f"{scheme}://…", f"{scheme} is not supported")
    try:
        url = make_url(text).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError) as error:
        raise AddressError(f"{scheme}://…", "it cannot be read") from error
    if "@" in (url.host or ""):
        reason = "a password that holds @ is written with %40 in its place"
        raise AddressError(f"{scheme}://…", reason)
    password = url.query.get("password")
    if isinstance(password, str):
        url = url.set(password=password).difference_update_query(["password"])
    return Address(None, url)


def open_database(
    address: str | Path, *, create: bool = False, timeout_s: float = TIMEOUT_S
) -> Database:
    """Open the workspace at an address.

    Parameters
    ----------
    address
        A file, or `postgresql://…`.
    create
        Whether to make a new workspace where there is none. A new file can be read
        and written by its owner only.
    timeout_s
        How long to wait for others. [s]

    Raises
    ------
    DatabaseError
        One subclass for each thing that can be wrong there; nothing is changed.
    """
    where = parse_address(address)
    if where.path is not None:
        _check_file(where.path, create=create)
        engine = _sqlite_engine(where.path, timeout_s)
    else:
        engine = _postgresql_engine(where, timeout_s)
    database = Database(where, engine, timeout_s)
    with database.reading() as connection:
        ready = _is_ready(connection, where)
    if ready:
        return database
    if not create:
        raise MissingDatabaseError(str(where))
    with database.writing() as connection:
        if not _is_ready(connection, where):
            create_all(connection)
    return database


def _check_file(path: Path, *, create: bool) -> None:
    """See that a file is there, or make an empty one that only its owner can open."""
    try:
        if path.is_dir():
            raise NotOurDatabaseError(str(path), "a folder")
        if path.exists():
            return
        if not create:
            raise MissingDatabaseError(str(path))
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except FileExistsError:
        return
    except OSError as error:
        raise _file_fault(error, path, create=create) from error


def _file_fault(error: OSError, path: Path, *, create: bool) -> DatabaseError:
    shown = str(path)
    if is_full(error):
        return FullDiskError(shown)
    if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return (
            ReadOnlyDatabaseError(shown) if create else UnreadableDatabaseError(shown)
        )
    if error.errno == errno.ENOENT:
        return AddressError(shown, "its folder does not exist")
    if error.errno == errno.ENOTDIR:
        return AddressError(shown, "a file stands where a folder should")
    return AddressError(shown, error.strerror or "it cannot be used")


def _sqlite_engine(path: Path, timeout_s: float) -> Engine:
    # Opened for writing even to read: SQLite falls back where it may not, and only so
    # can a reader put right what a crash left behind.
    uri = f"{path.absolute().as_uri()}?mode=rw"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(uri, uri=True, timeout=timeout_s, isolation_level=None)

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    event.listen(engine, "connect", _make_durable)
    event.listen(engine, "begin", _begin)
    return engine


def _make_durable(connection: Any, _record: object) -> None:
    for setting in (
        "foreign_keys = ON",
        "trusted_schema = OFF",
        "journal_mode = DELETE",
        "synchronous = EXTRA",
    ):
        connection.execute(f"PRAGMA {setting}").close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("stability_writes", False)
    connection.exec_driver_sql(f"PRAGMA query_only = {'OFF' if writes else 'ON'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgresql_engine(where: Address, timeout_s: float) -> Engine:
    if where.url is None:
        raise ValueError("no address of a server")
    try:
        return create_engine(
            where.url,
            poolclass=NullPool,
            isolation_level="READ COMMITTED",
            connect_args={"connect_timeout": max(2, round(timeout_s))},
        )
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise MissingDriverError from error


def _lock_server(connection: Connection, timeout_s: float) -> None:
    """Take the one lock of all writers, before anything is read."""
    connection.execute(
        text("SELECT set_config('lock_timeout', :wait, true)"),
        {"wait": f"{round(timeout_s * 1000)}ms"},
    )
    connection.execute(text("SET LOCAL synchronous_commit = on"))
    connection.execute(
        text("SELECT pg_advisory_xact_lock(:lock, hashtext(current_schema()))"),
        {"lock": _LOCK},
    )


def _renew(connection: Connection) -> None:
    """Bring the tables of an earlier version up to date; nothing in a new workspace."""
    there = frozenset(inspect(connection).get_table_names())
    if workspace.name in there and not are_current(connection, there):
        from stability.records.renewal import renew  # noqa: PLC0415  (rarely needed)

        renew(connection)


def _is_ready(connection: Connection, where: Address) -> bool:
    """Say whether a workspace stands at the address; False if nothing stands there.

    Raises
    ------
    NotOurDatabaseError, NewerDatabaseError
        If something else stands there.
    """
    there = set(inspect(connection).get_table_names())
    if where.path is not None:
        mark = connection.exec_driver_sql("PRAGMA application_id").scalar_one()
        if not there and mark == 0:
            return False
        if mark != APPLICATION_ID:
            raise NotOurDatabaseError(str(where), "a database of another program")
    elif not there & {"workspace", "entry", "attachment"}:
        return False
    if "workspace" not in there:
        raise NotOurDatabaseError(str(where), "a database of another program")
    held = connection.execute(select(workspace.c.format, workspace.c.product)).first()
    if held is None or held.product != PRODUCT:
        raise NotOurDatabaseError(str(where), "a database of another program")
    if held.format > FORMAT:
        raise NewerDatabaseError(str(where), held.format, FORMAT)
    return True


@contextmanager
def _faults(database: Database) -> Iterator[None]:
    """Tell what a database cannot do in our words."""
    shown = str(database.address)
    try:
        yield
    except DBAPIError as error:
        url = database.address.url
        secret = None if url is None or url.password is None else str(url.password)
        raise fault_of(
            error.orig or error,
            shown,
            database.timeout_s,
            secret,
            unsent=error.statement is None,
        ) from error
