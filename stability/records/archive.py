"""The archive of a study: a folder that can be read without this program.

`journal.jsonl` is the truth: a first line with the format, then each entry's digest
and line as hashed. `attachments/` holds files by their SHA-256, `attachments.jsonl`
their names. Every other file is a view of these, for people and spreadsheets.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import Any, Final

from stability.errors import StabilityError
from stability.errors.archives import (
    ArchiveExistsError,
    FolderNotWritableError,
    UnsafePathError,
)
from stability.errors.database import FullDiskError
from stability.model.entry import Entry
from stability.records.attachment import Attachment
from stability.records.database_fault import is_full

#: Format of archives that this version writes.
FORMAT: Final = 1
JOURNAL: Final = "journal.jsonl"
ATTACHMENTS: Final = "attachments"
ATTACHMENT_NAMES: Final = "attachments.jsonl"
_JSON = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def write_archive(
    folder: Path,
    entries: Iterable[Entry],
    files: Iterable[Attachment],
    views: Mapping[str, str | bytes],
) -> None:
    """Write an archive whole, or not at all.

    Parameters
    ----------
    folder
        A new folder; only its owner can open it.
    entries
        Whole subjects, each from position 1.
    files
        Attachments that the entries name; read one at a time.
    views
        Path inside the folder -> its text or bytes.

    Raises
    ------
    ArchiveExistsError
        If something stands there.
    UnsafePathError
        If the path of a view leads out of the folder or onto the journal.
    FullDiskError, FolderNotWritableError
        If the disk is full or the folder above does not take it.
    """
    if os.path.lexists(folder):
        raise ArchiveExistsError(folder)
    for path in views:
        _check_inside(path)
    with _made_whole(folder) as made:
        for path, parts in archived(entries, files, views):
            _write(made / path, parts)


def archived(
    entries: Iterable[Entry],
    files: Iterable[Attachment],
    views: Mapping[str, str | bytes],
) -> Iterator[tuple[str, Iterable[bytes]]]:
    """Yield the path of each file of an archive and its bytes in parts.

    Parameters
    ----------
    entries, files, views
        As in `write_archive`.

    Raises
    ------
    UnsafePathError
        If the path of a view leads out of the folder or onto the journal.
    """
    for path in views:
        _check_inside(path)
    yield JOURNAL, _journal_lines(entries)
    yield from _attachments(files)
    for path, content in views.items():
        yield path, [content.encode() if isinstance(content, str) else content]


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a new folder, all of them or none.

    Parameters
    ----------
    folder
        A new folder; only its owner can open it.
    files
        Path inside the folder -> its bytes.

    Raises
    ------
    ArchiveExistsError, UnsafePathError, FullDiskError, FolderNotWritableError
        As `write_archive` does.
    """
    if os.path.lexists(folder):
        raise ArchiveExistsError(folder)
    for path in files:
        _check_inside(path)
    with _made_whole(folder) as made:
        for path, content in files.items():
            _write(made / path, [content])


@contextmanager
def _made_whole(folder: Path) -> Iterator[Path]:
    """Give a folder beside the one wanted, which takes its name when it is whole."""
    made: Path | None = None
    try:
        made = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
        yield made
        made.rename(folder)
    except OSError as error:
        raise _fault(error, folder) from error
    finally:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)


def _journal_lines(entries: Iterable[Entry]) -> Iterator[bytes]:
    yield _json_line({"format": FORMAT})
    for one in entries:
        yield _json_line({"digest": one.digest, "line": one.line})


def _json_line(fields: Mapping[str, Any]) -> bytes:
    return f"{_JSON.encode(fields)}\n".encode()


def _attachments(
    files: Iterable[Attachment],
) -> Iterator[tuple[str, Iterable[bytes]]]:
    names = []
    for one in files:
        yield f"{ATTACHMENTS}/{one.file.sha256}", [one.content]
        names.append(
            _json_line(
                {
                    "media_type": one.file.media_type,
                    "name": one.file.name,
                    "sha256": one.file.sha256,
                    "size": one.file.size,
                }
            )
        )
    if names:
        yield ATTACHMENT_NAMES, names


def _write(path: Path, parts: Iterable[bytes]) -> None:
    """Write a new file that only its owner can read, and see it on the disk."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    opened = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(opened, "wb") as file:
        for part in parts:
            file.write(part)
        file.flush()
        os.fsync(file.fileno())


def _fault(error: OSError, folder: Path) -> StabilityError:
    if is_full(error):
        return FullDiskError(str(folder))
    if error.errno in {errno.EEXIST, errno.ENOTEMPTY}:
        return ArchiveExistsError(folder)
    return FolderNotWritableError(folder.parent, error.strerror or str(error))


def _check_inside(path: str) -> None:
    parts = PurePosixPath(path).parts
    own = {JOURNAL, ATTACHMENTS, ATTACHMENT_NAMES}
    if (
        not parts
        or path.startswith("/")
        or any(part in {".", ".."} or part.startswith(".") for part in parts)
        or any(char in path for char in '\\:\0<>|"?*')
        or parts[0] in own
    ):
        raise UnsafePathError(path)
