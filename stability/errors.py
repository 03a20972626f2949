"""What a user can put right: one base class, one class per fault.

The wording of each message lives in its class: what is wrong, where, and how to
mend it. Nothing of ours is imported here.
"""

from __future__ import annotations


class StabilityError(Exception):
    """Base of everything a user can put right; printed as one line, exit code 2."""


# --- reports: fonts and files ---


class FontFileMissing(StabilityError):
    """The font that the user named is not there."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"There is no font file {path}. Name a TrueType file (.ttf), or leave the "
            "font out."
        )


class FontFileUnreadable(StabilityError):
    """The font that the user named cannot be read."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The font file {path} cannot be used: {reason}. Name another TrueType "
            "file (.ttf), or leave the font out."
        )


class FontNotTrueType(StabilityError):
    """The font that the user named has no TrueType outlines."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The file {path} is not a TrueType font: {reason}. A report can only hold "
            "fonts with TrueType outlines; name another file (.ttf)."
        )


class FontForbidsEmbedding(StabilityError):
    """The font that the user named may not be put into a document."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"The font {path} forbids being put into a document. Name another TrueType "
            "file (.ttf)."
        )


class ReportFolderMissing(StabilityError):
    """The folder a report is to be written into is not there."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"There is no folder {folder} to write the report into. Make it first, or "
            "name another file with --out."
        )


class ReportFolderReadOnly(StabilityError):
    """A report may not be written into its folder."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"Nothing may be written in the folder {folder}. Name another file with "
            "--out, or change the rights of the folder."
        )


class ReportPlaceTaken(StabilityError):
    """A folder stands where a report is to be written."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} is a folder. Name a file for the report with --out, such as "
            "report.pdf."
        )


class ReportDiskFull(StabilityError):
    """The disk has no room for a report."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"The disk that holds {folder} is full; no report was written. Make room, "
            "or name a file on another disk with --out."
        )


class ReportNotWritten(StabilityError):
    """A report could not be written for another reason of the system's."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The report {path} could not be written: {reason}. Name another file "
            "with --out."
        )


# Numbers, text and codes


class NumberFormError(StabilityError):
    """A number is not written as `5.47`, `<10` or `-3`."""

    def __init__(self, text: str, reason: str, where: str = "") -> None:
        place = f"{where}: " if where else ""
        super().__init__(f"{place}{text!r} is not read as a number: {reason}.")


class TextFormError(StabilityError):
    """A text holds a character that cannot be kept or printed, or is empty."""

    def __init__(self, what: str, reason: str) -> None:
        super().__init__(f"{what} {reason}.")


class StudyCodeError(StabilityError):
    """A study code is not one that fits on a lid without being misread."""

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(
            f"{text!r} is no study code: {reason}. A study code has 2 to 5 of "
            "23456789CDFGHJKMNPQRTVWXY and ends in a letter, such as HDC."
        )


class SampleCodeFormError(StabilityError):
    """A sample code has not the form of one."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"{text!r} is no sample code. A code has the study, three or four digits "
            "and a check character, such as HDC-014-W; within one study 014W suffices."
        )


class SampleCodeCheckError(StabilityError):
    """The check character of a sample code does not fit: it is mistyped."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"The check character of {text!r} does not fit: a character is mistyped or "
            "two are swapped. Read the label again and type it as it stands there."
        )


class TooManySamplesError(StabilityError):
    """A study has run out of sample numbers."""

    def __init__(self, study: str, count: int) -> None:
        super().__init__(
            f"Study {study} has no numbers left for {count} samples: numbers end at "
            "9999. Divide it into two studies."
        )


# Entries of the journal


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


# The command line


class NothingToLogError(StabilityError):
    """`log` was given no reading."""

    def __init__(self, sample: str | None) -> None:
        super().__init__(
            f"Nothing to log for {sample or 'no sample'}. Give a sample and its "
            "readings, as in 'stability log 014W pH=5.47/5.49', or a file with --from."
        )


class ReadingsAndFileError(StabilityError):
    """`log` was given a sample as well as a file."""

    def __init__(self, file: object, sample: str) -> None:
        super().__init__(
            f"Both a file ({file}) and a sample ({sample}) are given. The file names "
            "its own samples: log the file alone, then the sample."
        )
