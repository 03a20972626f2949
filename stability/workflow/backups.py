"""The verb that copies all records: into a file to keep, or to another database."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.records.verify import Verification

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A copy of a workspace, read back and verified."""

    #: The file or address; prints without password.
    target: str
    #: How many entries it holds.
    entries: int
    #: How many files received with the entries it holds.
    attachments: int
    #: Last entry of each subject, with its digest, then number and seal of the last
    #: entry of all: to be kept elsewhere.
    anchors: tuple[str, ...]
    #: What does not hold in the copy, and so in the records that were copied.
    flaws: tuple[str, ...]


def backup(at: Occasion, target: str, progress: Progress | None = None) -> BackedUp:
    """Copy the whole workspace into a new file or an empty database, and verify it.

    Parameters
    ----------
    at
        The occasion; others may go on writing meanwhile.
    target
        A file that does not exist yet, or the address of a server's empty database.
    progress
        Called with the entries verified and the entries there are.

    Raises
    ------
    StabilityError
        If there are no records, something stands at the target, or it takes nothing.
    """
    from stability.records.backup import copy_to
    from stability.records.database import open_database
    from stability.records.verify import verify

    copied = copy_to(open_database(at.records), target)
    with copied.reading() as connection:
        found = verify(connection, progress=progress)
    return _backed_up(str(copied.address), found)


def _backed_up(target: str, found: Verification) -> BackedUp:
    anchors = [str(head) for head in found.heads]
    if found.head is not None:
        anchors.append(str(found.head))
    return BackedUp(
        target=target,
        entries=found.entries,
        attachments=found.attachments,
        anchors=tuple(anchors),
        flaws=tuple(map(str, found.flaws)),
    )
