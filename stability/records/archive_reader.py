"""Reading an archive: its chains and attachments are verified before all else."""

from __future__ import annotations

import csv
import hashlib
import io
import os
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from stability.errors.archives import (
    ArchiveAttachmentError,
    ArchiveChainError,
    JournalFileError,
    LineFormError,
    NewerKindError,
    NoArchiveError,
)
from stability.errors.files import NewerFormatError
from stability.model.entry import Entry, Head, decode_line, decode_object, link
from stability.model.inert_cell import as_recorded
from stability.model.plain_text import refused_character
from stability.records.archive import ATTACHMENT_NAMES, ATTACHMENTS, FORMAT, JOURNAL
from stability.records.attachment import Attachment, KeptFile

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Archive:
    """An archive as read; its chains hold."""

    #: Its folder.
    folder: Path
    #: Its entries in file order; number and seal are None.
    entries: tuple[Entry, ...]
    #: Its attachments; `read_attachment` gives the bytes.
    files: tuple[KeptFile, ...]
    #: Every other file by its path inside the folder, as bytes.
    views: Mapping[str, bytes]


def is_archive(folder: Path) -> bool:
    """Say whether a folder holds a journal."""
    return (folder / JOURNAL).is_file()


def read_archive(folder: Path, kinds: Collection[str] | None = None) -> Archive:
    """Read an archive and verify its chains and attachments' names.

    Parameters
    ----------
    folder
        As `write_archive` made it.
    kinds
        Kinds of entries that are known; None takes any.

    Raises
    ------
    NoArchiveError, JournalFileError, ArchiveChainError, ArchiveAttachmentError
        If it is none, cannot be read or was altered.
    NewerFormatError, NewerKindError
        If a newer version made it.
    """
    entries = read_journal(folder / JOURNAL)
    for line, one in enumerate(entries, 2):
        if kinds is not None and one.kind not in kinds:
            raise NewerKindError(folder / JOURNAL, line, one.kind)
    return Archive(folder, entries, _read_files(folder), dict(_read_views(folder)))


def read_journal(path: Path) -> tuple[Entry, ...]:
    """Read `journal.jsonl` and hold every entry against its digest."""
    lines = _lines(path)
    _check_format(path, next(lines, ""))
    heads: dict[str, Head] = {}
    entries = []
    for number, text in enumerate(lines, 2):
        one = _journal_entry(path, number, text)
        last = heads.get(one.subject) or Head(one.subject, 0, "")
        follows = link(last.digest, one.line) == one.digest
        if one.position != last.position + 1 or not follows:
            raise ArchiveChainError(path, number, one.subject, last.position + 1)
        heads[one.subject] = Head(one.subject, one.position, one.digest)
        entries.append(one)
    if not entries:
        raise NoArchiveError(path, "it holds no entry")
    return tuple(entries)


def read_attachment(archive: Archive, file: KeptFile) -> Attachment:
    """Return an attachment of an archive, if its bytes are those that were received."""
    path = archive.folder / ATTACHMENTS / file.sha256
    content = path.read_bytes()
    if hashlib.sha256(content).hexdigest() != file.sha256:
        raise ArchiveAttachmentError(path, "is not as it was received")
    return Attachment(file, content)


def differing_views(
    archive: Archive, expected: Mapping[str, str | bytes]
) -> tuple[str, ...]:
    """Return the views that say something else than the journal.

    Parameters
    ----------
    archive
        As read.
    expected
        The views as made from the archive's entries. One that is missing in the
        archive is no contradiction; a file of another name is none of ours. A table
        may lack columns that an earlier version did not write.
    """
    return tuple(
        path
        for path, content in archive.views.items()
        if path in expected and not _says(path, content, expected[path])
    )


def _says(path: str, content: bytes, expected: str | bytes) -> bool:
    """Say whether a view says what is expected of it."""
    whole = expected.encode() if isinstance(expected, str) else expected
    if content == whole or not path.endswith(".csv"):
        return content == whole
    try:
        theirs, ours = (_rows(one.decode()) for one in (content, whole))
    except (UnicodeDecodeError, csv.Error):
        return False
    header = theirs[0] if theirs else []
    if len(theirs) != len(ours) or not set(header) <= set(ours[0]):
        return False
    places = [ours[0].index(name) for name in header]
    return all(
        len(row) == len(header)
        and all(
            cell in {one[place], as_recorded(one[place])}
            for cell, place in zip(row, places, strict=True)
        )
        for row, one in zip(theirs, ours, strict=True)
    )


def _rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def _lines(path: Path) -> Iterator[str]:
    if path.is_symlink() or not path.is_file():
        raise NoArchiveError(path.parent, f"it has no {JOURNAL}")
    try:
        with path.open(encoding="utf-8", newline="\n") as file:
            for line in file:
                yield line.rstrip("\n")
    except UnicodeDecodeError as error:
        raise NoArchiveError(path, "it is no text in UTF-8") from error
    except OSError as error:
        raise NoArchiveError(path, f"it cannot be read ({error.strerror})") from error


def _check_format(path: Path, text: str) -> None:
    try:
        fields = decode_object(text)
    except LineFormError as error:
        raise NoArchiveError(path, f"in its first line {error.reason}") from error
    found = fields.get("format")
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise NoArchiveError(path, "its first line states no format")
    if found > FORMAT:
        raise NewerFormatError(str(path), 1, found, FORMAT)
    if len(fields) != 1:
        raise NoArchiveError(path, "its first line holds more than the format")


def _journal_entry(path: Path, number: int, text: str) -> Entry:
    try:
        fields = decode_object(text)
        if fields.keys() != {"digest", "line"}:
            raise JournalFileError(path, number, "digest and line are expected")
        digest, line = fields["digest"], fields["line"]
        if not isinstance(digest, str) or not isinstance(line, str):
            raise JournalFileError(path, number, "digest and line are texts")
        return decode_line(line, digest)
    except LineFormError as error:
        raise JournalFileError(path, number, error.reason) from error


def _read_files(folder: Path) -> tuple[KeptFile, ...]:
    """Return the attachments of an archive, with the names that it gives them."""
    named = dict(_read_names(folder / ATTACHMENT_NAMES))
    beside = folder / ATTACHMENTS
    there = {}
    for path in sorted(beside.iterdir()) if beside.is_dir() else ():
        if path.is_symlink() or not path.is_file() or not _SHA256.fullmatch(path.name):
            raise ArchiveAttachmentError(path, "is no attachment of ours")
        there[path.name] = KeptFile(
            path.name, path.name, "application/octet-stream", path.stat().st_size
        )
    for sha256 in named.keys() - there.keys():
        raise ArchiveAttachmentError(beside / sha256, "is missing")
    files = there | named
    return tuple(files[sha256] for sha256 in [*named, *sorted(there.keys() - named)])


def _read_names(path: Path) -> Iterator[tuple[str, KeptFile]]:
    if not path.is_file():
        return
    for number, text in enumerate(_lines(path), 1):
        try:
            file = KeptFile(**decode_object(text))
        except (LineFormError, TypeError) as error:
            raise JournalFileError(path, number, "it names no attachment") from error
        if not _is_named(file):
            raise JournalFileError(path, number, "it names no attachment")
        yield file.sha256, file


def _is_named(file: KeptFile) -> bool:
    texts = (file.sha256, file.name, file.media_type)
    return (
        all(isinstance(one, str) and not refused_character(one) for one in texts)
        and _SHA256.fullmatch(file.sha256) is not None
        and type(file.size) is int
        and file.size >= 0
    )


def _read_views(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield every file of a folder but the journal and the attachments."""
    for parent, folders, names in os.walk(folder):
        folders[:] = sorted(one for one in folders if not one.startswith("."))
        for name in sorted(names):
            path = Path(parent, name)
            inside = path.relative_to(folder).as_posix()
            own = inside in {JOURNAL, ATTACHMENT_NAMES}
            if own or name.startswith(".") or inside.startswith(f"{ATTACHMENTS}/"):
                continue
            if path.is_file() and not path.is_symlink():
                yield inside, path.read_bytes()
