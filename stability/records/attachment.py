"""Files kept with the records: photographs, logger files, certificates, spreadsheets.

A file is known by the SHA-256 of its bytes, kept once, and never changed.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from stability.errors.database import ChangedAttachmentError, MissingAttachmentError
from stability.model.entry import Entry
from stability.records.tables import attachment

#: Fast, and logger files still shrink to a fifth.
_COMPRESSION_LEVEL = 1


@dataclass(frozen=True, slots=True)
class KeptFile:
    """What is known of an attachment without its bytes."""

    #: SHA-256 of its bytes.
    sha256: str
    #: Name of the file when it was first received.
    name: str
    #: Media type, such as text/csv.
    media_type: str
    #: Size. [bytes]
    size: int


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file with its bytes as received."""

    #: What is known of it.
    file: KeptFile
    #: Its bytes.
    content: bytes


def attachment_of(content: bytes, name: str, media_type: str) -> Attachment:
    """Return bytes as an attachment under their SHA-256."""
    digest = hashlib.sha256(content).hexdigest()
    return Attachment(KeptFile(digest, name, media_type, len(content)), content)


def keep(connection: Connection, content: bytes, name: str, media_type: str) -> str:
    """Keep a file, once however often it comes.

    Parameters
    ----------
    connection
        In a writing transaction.
    content
        The bytes as received.
    name
        Name of the file; a label, never a path.
    media_type
        Such as text/csv.

    Returns
    -------
    str
        SHA-256 of the bytes, by which entries refer to it.
    """
    given = attachment_of(content, name, media_type)
    if is_kept(connection, given.file.sha256):
        return given.file.sha256
    packed = zlib.compress(content, _COMPRESSION_LEVEL)
    smaller = len(packed) < len(content)
    number = select(func.coalesce(func.max(attachment.c.number), 0) + 1)
    connection.execute(
        insert(attachment).values(
            number=connection.execute(number).scalar_one(),
            sha256=given.file.sha256,
            name=name,
            media_type=media_type,
            size=len(content),
            coding="zlib" if smaller else "none",
            content=packed if smaller else content,
        )
    )
    return given.file.sha256


def keep_all(connection: Connection, files: Iterable[Attachment]) -> None:
    """Keep files that entries about to be written name."""
    for one in files:
        keep(connection, one.content, one.file.name, one.file.media_type)


def cited(entries: Iterable[Entry]) -> tuple[str, ...]:
    """Return the SHA-256 of every file that entries name, each once, in order."""
    files = (one.content.get("file") for one in entries)
    named = (one.get("sha256") for one in files if isinstance(one, Mapping))
    return tuple(dict.fromkeys(one for one in named if isinstance(one, str)))


def is_kept(connection: Connection, sha256: str) -> bool:
    """Say whether a file of this SHA-256 is kept."""
    query = select(attachment.c.number).where(attachment.c.sha256 == sha256)
    return connection.execute(query).first() is not None


def fetch(connection: Connection, sha256: str) -> Attachment:
    """Return a kept file, byte for byte as received.

    Raises
    ------
    MissingAttachmentError
        If it is not kept.
    ChangedAttachmentError
        If its bytes are not those that were received.
    """
    query = select(attachment).where(attachment.c.sha256 == sha256)
    row = connection.execute(query).first()
    if row is None:
        raise MissingAttachmentError(sha256)
    content = _unpacked(row.content, row.coding, row.size)
    if content is None or hashlib.sha256(content).hexdigest() != sha256:
        raise ChangedAttachmentError(row.name, sha256)
    file = KeptFile(sha256, row.name, row.media_type, len(content))
    return Attachment(file, content)


def kept_files(connection: Connection) -> tuple[KeptFile, ...]:
    """Return every kept file in the order in which they came, without their bytes."""
    query = select(
        attachment.c.sha256,
        attachment.c.name,
        attachment.c.media_type,
        attachment.c.size,
    ).order_by(attachment.c.number)
    return tuple(KeptFile(*row) for row in connection.execute(query))


def _unpacked(stored: bytes, coding: str, size: int) -> bytes | None:
    """Return the bytes; None where they cannot be had from what is stored."""
    if coding == "none":
        return stored
    unpacker = zlib.decompressobj()
    try:
        # One byte more than stated shows a change without unpacking without end.
        content = unpacker.decompress(stored, size + 1)
    except zlib.error:
        return None
    return content
