"""The workspace's database."""

from __future__ import annotations

from stability.errors.base import StabilityError


class DatabaseError(StabilityError):
    """Base of what can be wrong with the database of a workspace."""


class AddressError(DatabaseError):
    """An address of records is neither a file nor a PostgreSQL server."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} is no address of records: {reason}. Give a file such as "
            "stability.db, or postgresql://USER@HOST/DATABASE."
        )


class MissingDatabaseError(DatabaseError):
    """There is no workspace at the address."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"There are no records at {shown}. 'stability start STUDY_FILE' begins "
            "them; --records or STABILITY_RECORDS names records kept elsewhere."
        )


class NotOurDatabaseError(DatabaseError):
    """Something stands at the address, but no records of ours."""

    def __init__(self, shown: str, found: str) -> None:
        super().__init__(
            f"{shown} is {found}, not a stability workspace; it was left as it is. "
            "Name another place with --records or STABILITY_RECORDS."
        )


class NewerDatabaseError(DatabaseError):
    """A workspace was made by a newer version."""

    def __init__(self, shown: str, found: int, known: int) -> None:
        super().__init__(
            f"{shown} was made by a newer version: format {found}, and this version "
            f"reads formats up to {known}. Install the newer version to open it."
        )


class ReadOnlyDatabaseError(DatabaseError):
    """Records cannot be written where they are."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} cannot be written: the file, its folder or the account allows "
            "reading only. Nothing was changed. Allow writing there, or name another "
            "place with --records."
        )


class UnreadableDatabaseError(DatabaseError):
    """Records are there but may not be read."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} cannot be opened: this account may not read it, or not write "
            "beside it after a crash. Ask for the right to it, or copy file and "
            "-journal file together to a folder of your own."
        )


class FullDiskError(DatabaseError):
    """The disk took no more."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"The disk of {shown} is full or failing. Nothing of this command was "
            "written, and what was recorded before is whole. Make room, then repeat it."
        )


class BusyDatabaseError(DatabaseError):
    """Others held the records for too long."""

    def __init__(self, shown: str, seconds: float) -> None:
        super().__init__(
            f"{shown} was in use for {seconds:g} s by another command or program. "
            "Nothing was written. Close what holds it open, then repeat the command."
        )


class DamagedDatabaseError(DatabaseError):
    """The database says of itself that it is damaged."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} is damaged ({reason}). Do not write to it: copy it as it is, and "
            "go on from the last backup."
        )


class MissingDriverError(DatabaseError):
    """PostgreSQL is asked for, but its driver is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "Records on PostgreSQL need its driver, which is not installed: "
            "pip install 'stability-study[postgres]'."
        )


class ServerError(DatabaseError):
    """The PostgreSQL server does not let us in, or is not there."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} cannot be used: {reason}. Check address, account and that the "
            "server runs. If the connection was lost while writing, look with "
            "'stability history' whether the last entry is there before repeating it."
        )


class BrokenChainError(DatabaseError):
    """An entry does not follow from the one before it: the record was altered."""

    def __init__(self, subject: str, position: int) -> None:
        super().__init__(
            f"The record of {subject} does not hold from entry {position} on: it was "
            "changed outside this program. 'stability verify' tells how; go on from "
            "the last backup."
        )


class MissingAttachmentError(DatabaseError):
    """An attachment that the record names is not kept."""

    def __init__(self, sha256: str) -> None:
        super().__init__(
            f"The file with SHA-256 {sha256} is not kept here. 'stability verify' "
            "tells what else is missing; go on from the last backup."
        )


class ChangedAttachmentError(DatabaseError):
    """An attachment's bytes are not those that were received."""

    def __init__(self, name: str, sha256: str) -> None:
        super().__init__(
            f"The attachment {name} is not as it was received: its bytes do not give "
            f"SHA-256 {sha256}. Go on from the last backup."
        )
