"""Options that do not fit together."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class NothingToLogError(StabilityError):
    """`log` was given no reading."""

    def __init__(self, sample: str | None) -> None:
        super().__init__(
            f"Nothing to log for {sample or 'no sample'}. Give a sample and its "
            "readings, as in 'stability log 014W pH=5.47/5.49', or a file with --from."
        )


class ReadingsAndFileError(StabilityError):
    """`log` was given readings as well as a file."""

    def __init__(self, file: object, sample: str) -> None:
        super().__init__(
            f"Both a file ({file}) and readings of {sample} are given. Log the file "
            "alone, then the readings. A sample beside a file, without readings, means "
            "that all rows of the file are of it."
        )


class FileSaysItselfError(StabilityError):
    """`log --from` was given what the rows of its file say."""

    def __init__(self, file: object, options: Sequence[str]) -> None:
        super().__init__(
            f"The rows of {file} say themselves what {', '.join(options)} would say. "
            "Write it into the file and leave the options out."
        )


class FileOptionError(StabilityError):
    """Options that mean a file, without one."""

    def __init__(self, options: Sequence[str]) -> None:
        super().__init__(
            f"Without a file {', '.join(options)} means nothing. Name one with --from, "
            "or leave it out."
        )


class SheetScopeError(StabilityError):
    """A bench sheet of neither one study nor all."""

    def __init__(self) -> None:
        super().__init__("Name a study for the sheet, or write every study with --all.")


class SheetFormError(StabilityError):
    """A bench sheet that is to be written nowhere."""

    def __init__(self) -> None:
        super().__init__(
            "Name what to write: --out FILE.pdf for a pen, --xlsx FILE.xlsx for a "
            "workbook, or both."
        )


class EmptySheetError(StabilityError):
    """A bench sheet of a day on which nothing is due."""

    def __init__(self, what: str, day: str) -> None:
        super().__init__(
            f"In {what} nothing is due on {day}. See 'stability due' for the days, and "
            "name one with --on."
        )
