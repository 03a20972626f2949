"""Files that are written whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from stability.errors.reports import (
    ReportDiskFullError,
    ReportFolderMissingError,
    ReportFolderReadOnlyError,
    ReportNotWrittenError,
    ReportPlaceTakenError,
)

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_FORBIDDEN = (errno.EACCES, errno.EPERM, errno.EROFS)


def check_place(target: Path) -> None:
    """Refuse a place where no file can stand, before any work is done.

    Raises
    ------
    ReportFolderMissingError, ReportPlaceTakenError
        When the folder is missing, or a folder stands there.
    """
    if not target.parent.is_dir():
        raise ReportFolderMissingError(target.parent)
    if target.is_dir():
        raise ReportPlaceTakenError(target)


def write_whole(target: Path, content: bytes) -> None:
    """Write beside the target, then put the whole file in its place.

    Raises
    ------
    ReportFolderReadOnlyError, ReportDiskFullError, ReportNotWrittenError
        When the system refuses.
    """
    part = target.parent / f".report-{os.getpid()}.part"
    flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_NOFOLLOW", 0)
    try:
        with os.fdopen(os.open(part, flags, 0o666), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    except OSError as fault:
        part.unlink(missing_ok=True)
        if fault.errno in _FULL:
            raise ReportDiskFullError(target.parent) from None
        if fault.errno in _FORBIDDEN:
            raise ReportFolderReadOnlyError(target.parent) from None
        raise ReportNotWrittenError(target, fault.strerror or str(fault)) from None
