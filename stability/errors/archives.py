"""Archives, anchors and copies of a record."""

from __future__ import annotations

from stability.errors.base import StabilityError


class AnchorFormError(StabilityError):
    """An anchor to verify against has not the form of one."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"{text!r} is no anchor. Give SUBJECT/POSITION:DIGEST as printed (such as "
            "study:HDC/123: and 16 digits or more), NUMBER:SEAL of a backup, or a "
            "report, archive or backup file."
        )


class LineFormError(StabilityError):
    """A line of a journal is no entry."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(
            f"A line of the journal is no entry: {reason}. Run 'stability verify'."
        )


class StudyFolderError(StabilityError):
    """A study folder that lacks something or holds what does not fit."""

    def __init__(self, folder: str, reason: str) -> None:
        super().__init__(f"{folder}: {reason}.")


class ViewDiffersError(StabilityError):
    """A file of an archive that says something else than its journal."""

    def __init__(self, folder: str, files: str) -> None:
        super().__init__(
            f"{folder}: {files} says something else than journal.jsonl, which is what "
            "counts. Ask the sender which is right, or export the study again."
        )


class ArchiveExistsError(StabilityError):
    """An archive is to be written where something stands already."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"{folder} exists already; an archive never writes over anything. Name a "
            "new folder."
        )


class NoArchiveError(StabilityError):
    """A folder or file is no archive of ours."""

    def __init__(self, folder: object, reason: str) -> None:
        super().__init__(
            f"{folder} is no archive: {reason}. Name a folder that 'stability export' "
            "wrote, with its journal.jsonl."
        )


class JournalFileError(StabilityError):
    """A line of an archive's journal cannot be read."""

    def __init__(self, file: object, line: int, reason: str) -> None:
        super().__init__(
            f"{file}:{line}: {reason}. Nothing was taken in; ask for the archive again."
        )


class ArchiveChainError(StabilityError):
    """An archive's journal does not hold: it was altered on the way."""

    def __init__(self, file: object, line: int, subject: str, position: int) -> None:
        super().__init__(
            f"{file}:{line}: entry {position} of {subject} does not follow from the "
            "entries before it: the archive was changed. Nothing was taken in; ask for "
            "the archive again."
        )


class ArchiveEntryError(StabilityError):
    """An entry of an archive that holds other than what its kind holds."""

    def __init__(self, folder: object, entry: str, fault: str) -> None:
        super().__init__(
            f"{folder}: entry {entry} cannot be read ({fault}): this program did not "
            "write it. Nothing was taken in; ask for the archive again."
        )


class ArchiveAttachmentError(StabilityError):
    """An attachment of an archive is missing or not as it was."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(
            f"{file} {reason}. Nothing was taken in; ask for the archive again."
        )


class DivergingRecordError(StabilityError):
    """An archive and the workspace tell the same subject differently."""

    def __init__(self, subject: str, position: int) -> None:
        super().__init__(
            f"The archive and these records differ from entry {position} of {subject} "
            "on, so one cannot continue the other. Nothing was taken in. Open the "
            "archive in a workspace of its own with --records to compare them."
        )


class NewerKindError(StabilityError):
    """An archive holds a kind of entry that only a newer version knows."""

    def __init__(self, file: object, line: int, kind: str) -> None:
        super().__init__(
            f"{file}:{line}: made by a newer version: it holds the entry kind {kind}. "
            "Install the newer version to take it in."
        )


class NewerEntryError(StabilityError):
    """The records hold an entry of a kind that only a newer version knows."""

    def __init__(self, where: str, kind: str) -> None:
        super().__init__(
            f"Entry {where} is of kind {kind}, which was recorded by a newer version "
            "of this program. Install that version to read it."
        )


class UnsafePathError(StabilityError):
    """A name would lead out of the folder that is being written."""

    def __init__(self, path: str) -> None:
        super().__init__(
            f"{path!r} cannot be written: it is no plain name inside the folder."
        )


class NoAnchorError(StabilityError):
    """A file given to verify against carries no anchor of ours."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} carries no anchor. Give a report, sheet, figure, calendar, "
            "workbook, pack, archive or backup made by this program, "
            "SUBJECT/POSITION:DIGEST or NUMBER:SEAL."
        )


class FolderNotWritableError(StabilityError):
    """A folder does not take what is to be written into it."""

    def __init__(self, folder: object, reason: str) -> None:
        super().__init__(
            f"Nothing could be written into {folder}: {reason}. Name a folder that "
            "exists and that this account may write to."
        )


class BackupExistsError(StabilityError):
    """A backup is to be written where something stands already."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} exists already; a backup never writes over anything. Name a new "
            "file."
        )


class NotEmptyError(StabilityError):
    """Records are to be moved into a workspace that has some."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} holds records already. Move into a new workspace, or use "
            "'stability export' and 'stability import' to join studies."
        )


class BrokenRecordError(StabilityError):
    """Records that do not hold are to be copied entry by entry."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"The records in {shown} do not follow on each other and cannot be copied "
            "entry by entry; nothing was copied. Run 'stability verify' to see what "
            "does not hold, and keep a copy of the database as it is."
        )
