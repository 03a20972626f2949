"""What is looked at in a workbook before a library opens it.

A workbook is a ZIP archive of XML from somebody else. It may unpack to far more than
it seems, name files elsewhere, or hold entities that grow; none of it is followed.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterable
from typing import Final

from stability.errors.files import ReceivedFileError

#: All parts unpacked; a sheet of 10,000 rows and 20 columns has 10 MB. [bytes]
MOST_UNPACKED: Final = 60_000_000
#: Parts of a workbook; one of 50 sheets has about 120. [-]
MOST_PARTS: Final = 2_000
#: How much a large part may shrink; sheets of one repeated word shrink 80-fold. [-]
MOST_SHRUNK: Final = 250
#: Parts below this size are not held against the ratio. [bytes]
_SMALL: Final = 1_000_000
#: The part without which it is no workbook, and no other document in a ZIP archive.
_WORKBOOK: Final = "xl/workbook.xml"
_FORBIDDEN: Final = (b"<!DOCTYPE", b"<!ENTITY")
_OTHER_TEXT: Final = (b"\xff\xfe", b"\xfe\xff")


def check_workbook(content: bytes, name: str) -> None:
    """Refuse a workbook that may not be what it seems.

    Parameters
    ----------
    content
        Its bytes.
    name
        Its name, for messages.

    Raises
    ------
    ReceivedFileError
        If it is damaged, is none, or would unpack to too much.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            _check_sizes(packed.infolist(), name)
            _check_parts(packed, name)
    except (
        zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError,
        ValueError, OSError,
    ) as error:  # fmt: skip
        reason = "it is damaged or no workbook; save it anew as .xlsx"
        raise ReceivedFileError(name, reason) from error


def _check_sizes(parts: Iterable[zipfile.ZipInfo], name: str) -> None:
    listed = list(parts)
    total = sum(one.file_size for one in listed)
    if len(listed) > MOST_PARTS or total > MOST_UNPACKED:
        reason = (
            f"it unpacks to more than {MOST_UNPACKED // 1_000_000} MB or "
            f"{MOST_PARTS} parts; save the table alone as .xlsx or CSV"
        )
        raise ReceivedFileError(name, reason)
    for one in listed:
        grows = one.file_size > MOST_SHRUNK * max(1, one.compress_size)
        if one.file_size > _SMALL and grows:
            reason = (
                f"its part {one.filename} grows more than {MOST_SHRUNK}-fold when "
                "unpacked; save the table alone as .xlsx or CSV"
            )
            raise ReceivedFileError(name, reason)
    if _WORKBOOK not in {one.filename for one in listed}:
        raise ReceivedFileError(name, "it is no XLSX workbook; save it as .xlsx")


def _check_parts(packed: zipfile.ZipFile, name: str) -> None:
    for one in packed.infolist():
        if not one.filename.endswith((".xml", ".rels", ".vml")):
            continue
        text = packed.read(one)  # never more than the size that was looked at
        if text.startswith(_OTHER_TEXT) or any(sign in text for sign in _FORBIDDEN):
            reason = (
                f"its part {one.filename} holds declarations that no spreadsheet "
                "program writes; save it anew as .xlsx"
            )
            raise ReceivedFileError(name, reason)
