"""A file of readings as it was received: a text table, or a workbook."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from stability.errors.files import ReceivedFileError
from stability.model.entry import Head
from stability.model.plain_text import unix_newlines
from stability.records.attachment import Attachment, attachment_of
from stability.records.sheet_table import SheetTable, read_csv

#: Larger files are no table of readings. [bytes]
MOST_BYTES: Final = 64_000_000
_TEXT: Final = "text/csv"
_WORKBOOK: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
#: How a password, or a workbook of an old program, begins.
_COMPOUND: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_OTHER_TEXT: Final = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class ReceivedTable:
    """One table of a file, with what the file says of all its rows."""

    #: The table.
    table: SheetTable
    #: Study that the file names; None where it names none.
    study: str | None = None
    #: Where the study's record stood when a workbook of ours was written.
    anchor: Head | None = None
    #: Settings as typed that hold where a row states none.
    settings: tuple[str, ...] = ()
    #: Facts by column that hold where a row states none.
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ReceivedFile:
    """A file of readings, split into cells."""

    #: The file as received.
    kept: Attachment
    #: Its tables.
    tables: tuple[ReceivedTable, ...]


def read_received(
    file: Path, sheet: str | None = None, *, decimal_comma: bool = False
) -> ReceivedFile:
    """Read a file of readings.

    Parameters
    ----------
    file
        A text file with comma, semicolon or tab between cells, or an XLSX workbook.
    sheet
        Sheet of a workbook; None for the only one, or for all of a workbook of ours.
    decimal_comma
        Whether numbers are written with a comma.

    Raises
    ------
    StabilityError
        If it cannot be read, or holds what is no plain table.
    """
    content = _bytes(file)
    if content.startswith(_COMPOUND):
        reason = (
            "it has a password, or is a workbook of an old kind (.xls); save it as "
            ".xlsx without a password"
        )
        raise ReceivedFileError(file.name, reason)
    if content.startswith(b"PK"):
        # Only who reads a workbook waits for the library.
        from stability.records.workbook_reader import read_workbook  # noqa: PLC0415

        tables = read_workbook(content, file.name, sheet, decimal_comma=decimal_comma)
        return ReceivedFile(attachment_of(content, file.name, _WORKBOOK), tables)
    if sheet is not None:
        raise ReceivedFileError(
            file.name,
            f"it is no workbook and has no sheet {sheet!r}; leave --sheet out",
        )
    table = read_csv(_text(content, file.name), file.name)
    return ReceivedFile(
        attachment_of(content, file.name, _TEXT), (ReceivedTable(table),)
    )


def _bytes(file: Path) -> bytes:
    try:
        if file.stat().st_size > MOST_BYTES:
            reason = f"it is larger than {MOST_BYTES // 1_000_000} MB; divide it"
            raise ReceivedFileError(file.name, reason)
        return file.read_bytes()
    except OSError as error:
        reason = error.strerror or "the system refuses it"
        raise ReceivedFileError(file, f"{reason}; name another file") from error


def _text(content: bytes, name: str) -> str:
    """Return the text of a file in UTF-8."""
    if content.startswith(_OTHER_TEXT):
        reason = "its text is in UTF-16; save it as CSV in UTF-8"
        raise ReceivedFileError(name, reason)
    nul = content.find(b"\0")
    if nul >= 0:
        line = content.count(b"\n", 0, nul) + 1
        reason = (
            f"line {line} holds a NUL byte, so it is no text, or was damaged; export "
            "it again as CSV in UTF-8"
        )
        raise ReceivedFileError(name, reason)
    try:
        return unix_newlines(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        reason = f"line {line} is no text in UTF-8; save it as CSV in UTF-8"
        raise ReceivedFileError(name, reason) from error
