"""Backing up a workspace, and moving it to another database.

A backup is a workspace: one SQLite file with the same entries, digests and seals. It is
opened, verified and gone on with like any other.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Table, insert, inspect, select
from sqlalchemy.exc import IntegrityError

from stability.errors import StabilityError
from stability.errors.archives import (
    BackupExistsError,
    BrokenRecordError,
    FolderNotWritableError,
    NotEmptyError,
)
from stability.errors.database import FullDiskError
from stability.model.entry import Head, WorkspaceHead
from stability.records import attachment as attachments
from stability.records import journal
from stability.records.database import Database, open_database, parse_address
from stability.records.database_fault import is_full
from stability.records.renewal import renew
from stability.records.tables import (
    DERIVED,
    are_current,
    attachment,
    entry,
    missing_guards,
)

#: Rows held in memory at once while a table is copied; an attachment may be large.
_AT_ONCE: Final = 1000
_ATTACHMENTS_AT_ONCE: Final = 4
#: What file systems without hard links answer.
_NO_LINKS: Final = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)


@dataclass(frozen=True, slots=True)
class Backup:
    """What a backup holds: its anchors, to be kept elsewhere."""

    #: The file.
    path: Path
    #: Number and seal of its last entry; None if it holds none.
    head: WorkspaceHead | None
    #: Last entry of each subject, in the order of their names.
    heads: tuple[Head, ...]
    #: How many attachments it holds.
    attachments: int


def back_up(database: Database, path: Path) -> Backup:
    """Write a copy of a workspace into a new SQLite file, whole or not at all.

    Parameters
    ----------
    database
        The workspace, on either kind of database. Others may go on writing: the copy
        holds one state.
    path
        A new file; only its owner can open it.

    Raises
    ------
    BackupExistsError
        If something stands there.
    FolderNotWritableError, FullDiskError
        If its folder does not take it.
    """
    if os.path.lexists(path):
        raise BackupExistsError(path)
    try:
        with tempfile.TemporaryDirectory(prefix=".backup-", dir=path.parent) as folder:
            made = Path(folder, path.name)
            if not _copy_pages(database, made):
                move(database, open_database(made, create=True))
            with open_database(made).reading() as connection:
                told = _told(connection, path)
            _put(made, path)
    except (OSError, sqlite3.Error) as error:
        raise _fault(error, path) from error
    return told


def copy_to(database: Database, target: str) -> Database:
    """Copy a workspace to a new file or to an empty database, and return the copy.

    Parameters
    ----------
    database
        The workspace, on either kind of database; is left as it is.
    target
        A file, or `postgresql://…`.

    Raises
    ------
    BackupExistsError, NotEmptyError
        If something stands at the file, or records in the database.
    StabilityError
        If the target cannot be written or reached.
    """
    where = parse_address(target)
    if where.path is not None:
        back_up(database, where.path)
        return open_database(where.path)
    copy = open_database(target, create=True)
    move(database, copy)
    return copy


def move(source: Database, target: Database) -> None:
    """Copy all records into an empty workspace; digests and seals stay as they are.

    Parameters
    ----------
    source
        Is read and left as it is.
    target
        A new workspace, on either kind of database.

    Raises
    ------
    NotEmptyError
        If the target holds records.
    BrokenRecordError
        If the records do not follow on each other, which the target refuses.
    """
    with source.reading() as reader, target.writing() as writer:
        if journal.workspace_head(writer) or attachments.kept_files(writer):
            raise NotEmptyError(str(target.address))
        try:
            for table in (entry, attachment):
                _copy_rows(reader, writer, table)
        except IntegrityError as error:
            raise BrokenRecordError(str(source.address)) from error
        _derive(reader, writer)


def _derive(reader: Connection, writer: Connection) -> None:
    """Fill the derived tables of a copy: as they were, or anew from an old workspace.

    An earlier version worked out other rows, and had other tables.
    """
    if are_current(reader, frozenset(inspect(reader).get_table_names())):
        for table in DERIVED:
            _copy_rows(reader, writer, table)
    else:
        renew(writer)


def _copy_pages(database: Database, made: Path) -> bool:
    """Copy an SQLite file at one go, so that writers wait for seconds at most.

    False where that cannot be: from a server, and from a file without its triggers,
    whose entries are copied into a workspace that has them.
    """
    if database.address.path is None:
        return False
    with database.reading() as connection:
        driver = connection.connection.driver_connection
        if not isinstance(driver, sqlite3.Connection) or missing_guards(connection):
            return False
        os.close(os.open(made, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with closing(sqlite3.connect(made)) as copy:
            driver.backup(copy)
    return True


def _copy_rows(reader: Connection, writer: Connection, table: Table) -> None:
    at_once = _ATTACHMENTS_AT_ONCE if table is attachment else _AT_ONCE
    query = select(table)
    if "number" in table.c:
        query = query.order_by(table.c.number)
    rows = reader.execute(query, execution_options={"yield_per": at_once})
    for part in rows.mappings().partitions():
        writer.execute(insert(table), [dict(row) for row in part])


def _told(connection: Connection, path: Path) -> Backup:
    return Backup(
        path=path,
        head=journal.workspace_head(connection),
        heads=journal.heads(connection),
        attachments=len(attachments.kept_files(connection)),
    )


def _put(made: Path, path: Path) -> None:
    """Give the finished file its place; unlike a rename, a link replaces nothing."""
    try:
        os.link(made, path)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if os.path.lexists(path):
            raise BackupExistsError(path) from error
        made.rename(path)


def _fault(error: OSError | sqlite3.Error, path: Path) -> StabilityError:
    if isinstance(error, FileExistsError):
        return BackupExistsError(path)
    if isinstance(error, sqlite3.Error) or is_full(error):
        return FullDiskError(str(path))
    return FolderNotWritableError(path.parent, error.strerror or str(error))
