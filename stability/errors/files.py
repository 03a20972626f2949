"""Files that are read: protocols, studies, tables and workbooks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stability.errors.base import StabilityError


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a protocol or study file."""

    #: File, as the user named it.
    file: str
    #: Line, counted from 1.
    line: int
    #: What is wrong.
    text: str
    #: How to mend it; "" where the text says it all.
    hint: str = ""

    def __str__(self) -> str:
        hint = f"; {self.hint}" if self.hint else ""
        return f"{self.file}:{self.line}: {self.text}{hint}"


class FaultyFileError(StabilityError):
    """A protocol or study file has faults of content; all are told at once."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, faults)))


class TomlSyntaxError(StabilityError):
    """A protocol or study file is not written as TOML."""

    def __init__(self, file: str, line: int, reason: str) -> None:
        super().__init__(
            f"{file}:{line}: this is not TOML: {reason}. Mend this line first; the "
            "lines after it have not been read."
        )


class NewerFormatError(StabilityError):
    """A file was made by a newer version of this program."""

    def __init__(self, file: str, line: int, found: int, known: int) -> None:
        super().__init__(
            f"{file}:{line}: made by a newer version: format {found}, and this version "
            f"reads formats up to {known}. Install the newer version to read it."
        )


class UnknownProtocolError(StabilityError):
    """There is no ready-made protocol and no file of this name."""

    def __init__(
        self,
        name: str,
        nearest: Sequence[str],
        known: Sequence[str],
        where: str | None = None,
    ) -> None:
        guess = f"Did you mean {' or '.join(nearest)}? " if nearest else ""
        lead = f"{where}: there" if where else "There"
        super().__init__(
            f"{lead} is no protocol {name!r}. {guess}Give a file that ends in .toml or "
            f"one of the ready-made protocols: {', '.join(known)}."
        )


class UnreadableFileError(StabilityError):
    """A protocol or study file cannot be read."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(f"{file} cannot be read: {reason}. Name a text file in UTF-8.")


class RowsError(StabilityError):
    """Rows of a file that cannot be taken; all of them at once."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        rows = "1 fault" if len(self.faults) == 1 else f"{len(self.faults)} faults"
        super().__init__(
            f"{file}: {rows}, nothing was written.\n" + "\n".join(self.faults)
        )


class DayOrderError(StabilityError):
    """Days of a table whose order of day, month and year cannot be told."""

    def __init__(self, typed: str, reason: str) -> None:
        self.typed = typed
        super().__init__(
            f"The day {typed} cannot be read: {reason}. Say the order with --dates "
            "dmy, mdy or ymd, or write days as 2026-04-03."
        )


class ReceivedFileError(StabilityError):
    """A table or workbook that cannot be taken in as it is."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(f"{file} cannot be taken in: {reason}. Nothing was written.")
