"""What a database says when it cannot, in words that tell what to do."""

from __future__ import annotations

import errno
from collections.abc import Callable
from typing import Final

from stability.errors.database import (
    BusyDatabaseError,
    DamagedDatabaseError,
    DatabaseError,
    FullDiskError,
    NotOurDatabaseError,
    ReadOnlyDatabaseError,
    ServerError,
    UnreadableDatabaseError,
)

_FULL: Final = (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG)
#: States of PostgreSQL: https://www.postgresql.org/docs/15/errcodes-appendix.html
_STATE_FULL: Final = ("53100",)
_STATE_BUSY: Final = ("55P03", "57014", "40P01")
_STATE_READ_ONLY: Final = ("42501", "25006")


def fault_of(
    error: BaseException,
    shown: str,
    timeout_s: float,
    secret: str | None = None,
    *,
    unsent: bool = False,
) -> BaseException:
    """Return what to raise for an error of the driver.

    Parameters
    ----------
    error
        As the driver raised it.
    shown
        Address without password.
    timeout_s
        How long was waited. [s]
    secret
        Password of the address, which is taken out of what the server says.
    unsent
        Whether no statement was sent yet: the address itself may hold what no server
        takes.

    Returns
    -------
    BaseException
        One of our errors; the given one where the fault is our own, such as a
        statement that a trigger refused.
    """
    name = getattr(error, "sqlite_errorname", None)
    if name is not None:
        return _sqlite_fault(name, error, shown, timeout_s)
    return _server_fault(error, shown, timeout_s, secret, unsent=unsent)


def is_full(error: OSError) -> bool:
    """Say whether the disk took no more."""
    return error.errno in _FULL


def _sqlite_fault(
    name: str, error: BaseException, shown: str, timeout_s: float
) -> BaseException:
    faults: tuple[tuple[str, Callable[[], DatabaseError]], ...] = (
        ("SQLITE_BUSY", lambda: BusyDatabaseError(shown, timeout_s)),
        ("SQLITE_LOCKED", lambda: BusyDatabaseError(shown, timeout_s)),
        ("SQLITE_FULL", lambda: FullDiskError(shown)),
        ("SQLITE_IOERR", lambda: FullDiskError(shown)),
        ("SQLITE_READONLY_ROLLBACK", lambda: UnreadableDatabaseError(shown)),
        ("SQLITE_READONLY_RECOVERY", lambda: UnreadableDatabaseError(shown)),
        ("SQLITE_READONLY", lambda: ReadOnlyDatabaseError(shown)),
        ("SQLITE_CANTOPEN", lambda: UnreadableDatabaseError(shown)),
        ("SQLITE_PERM", lambda: UnreadableDatabaseError(shown)),
        ("SQLITE_NOTADB", lambda: NotOurDatabaseError(shown, "no database")),
        ("SQLITE_CORRUPT", lambda: DamagedDatabaseError(shown, str(error))),
    )
    return next((make() for begin, make in faults if name.startswith(begin)), error)


def _server_fault(
    error: BaseException,
    shown: str,
    timeout_s: float,
    secret: str | None,
    *,
    unsent: bool,
) -> BaseException:
    state = getattr(error, "sqlstate", None)
    if state in _STATE_BUSY:
        return BusyDatabaseError(shown, timeout_s)
    if state in _STATE_FULL:
        return FullDiskError(shown)
    if state in _STATE_READ_ONLY:
        return ReadOnlyDatabaseError(shown)
    connecting = state is None or state[:2] in {"08", "28", "3D", "53", "57"}
    misread = unsent and state is None and type(error).__name__ == "ProgrammingError"
    if misread or (connecting and type(error).__name__ == "OperationalError"):
        said = " ".join(str(error).split())
        return ServerError(shown, said.replace(secret, "***") if secret else said)
    return error
