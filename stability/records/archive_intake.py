"""Taking an archive into a workspace: all of it that is not here yet, or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, select

from stability.errors.archives import DivergingRecordError
from stability.model.entry import Entry, Head
from stability.records import attachment as attachments
from stability.records import journal
from stability.records.archive_reader import Archive, read_attachment
from stability.records.tables import entry


@dataclass(frozen=True, slots=True)
class Intake:
    """What became of one subject of an archive."""

    #: The subject.
    subject: str
    #: All was new, the archive went on from ours, or we had it all.
    outcome: Literal["new", "continues", "contained"]
    #: How many entries were taken in.
    taken: int
    #: The last entry that we have now.
    head: Head


def take_in(connection: Connection, archive: Archive) -> tuple[Intake, ...]:
    """Add what an archive has and we have not.

    Parameters
    ----------
    connection
        In a writing transaction: all subjects are taken in, or none.
    archive
        As read.

    Returns
    -------
    tuple of Intake
        One for each subject, in the order in which the archive begins them.

    Raises
    ------
    DivergingRecordError
        If both tell a subject differently; it names the first position.
    ArchiveAttachmentError
        If an attachment is not as it was received.
    """
    taken = take_in_entries(connection, archive.entries)
    for file in archive.files:
        if not attachments.is_kept(connection, file.sha256):
            given = read_attachment(archive, file)
            attachments.keep(connection, given.content, file.name, file.media_type)
    return taken


def take_in_entries(
    connection: Connection, entries: Sequence[Entry]
) -> tuple[Intake, ...]:
    """Add those of some entries that we have not.

    Parameters
    ----------
    connection
        In a writing transaction: all subjects are taken in, or none.
    entries
        Whole subjects, each from position 1.

    Returns
    -------
    tuple of Intake
        One for each subject, in the order in which they begin.

    Raises
    ------
    DivergingRecordError
        If both tell a subject differently; it names the first position.
    """
    theirs: dict[str, list[Entry]] = {}
    for one in entries:
        theirs.setdefault(one.subject, []).append(one)
    ours = {subject: _ours(connection, subject) for subject in theirs}
    for subject, their_entries in theirs.items():
        for place, (one, digest) in enumerate(zip(their_entries, ours[subject])):  # noqa: B905  (one may go on)
            if one.digest != digest:
                raise DivergingRecordError(subject, place + 1)
    journal.append_chained(
        connection,
        [one for one in entries if one.position > len(ours[one.subject])],
    )
    return tuple(
        _intake(their_entries, len(ours[subject]), connection)
        for subject, their_entries in theirs.items()
    )


def _intake(theirs: Sequence[Entry], had: int, connection: Connection) -> Intake:
    subject = theirs[0].subject
    taken = max(0, len(theirs) - had)
    head = journal.head(connection, subject)
    if head is None:
        raise ValueError(f"nothing of {subject} was taken in")
    if had == 0:
        return Intake(subject, "new", taken, head)
    return Intake(subject, "continues" if taken else "contained", taken, head)


def _ours(connection: Connection, subject: str) -> list[str]:
    query = select(entry.c.digest).where(entry.c.subject == subject)
    return list(connection.scalars(query.order_by(entry.c.position)))
