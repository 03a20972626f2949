"""Anchors that earlier outputs carry, to verify a record against.

Each output carries them in full: a PDF in its document information, a workbook among
its properties, a pack in its list, a calendar in a line for each study, an evaluation
as JSON beside the study's name, text and drawn figures as words; an archive and a
backup are their own anchors.
"""

from __future__ import annotations

import json
import logging
import re
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, select

from stability.errors.archives import AnchorFormError, NoAnchorError
from stability.model.entry import Anchor, Head, parse_anchor
from stability.records import journal
from stability.records.archive import JOURNAL
from stability.records.archive_reader import read_journal
from stability.records.database import open_database
from stability.records.pack import anchors_listed
from stability.records.tables import entry

#: Key of a PDF's document information; its value is `anchors_text`.
PDF_ANCHORS: Final = "/StabilityAnchors"
#: Name of a workbook's own property; its value is `anchors_text`.
WORKBOOK_ANCHORS: Final = "StabilityAnchors"

#: Property of a calendar; its value is one anchor.
CALENDAR_ANCHORS: Final = "X-STABILITY-RECORD"

_SQLITE = b"SQLite format 3\0"
_PROPERTIES = "docProps/custom.xml"
_PROPERTY = re.compile(
    rf'name="{WORKBOOK_ANCHORS}"[^>]*>\s*<vt:lpwstr>([^<]*)</vt:lpwstr>'
)
_MOST_PROPERTIES = 1_000_000
#: Where a record stood, as printed: in a text its line may be broken between words.
_PRINTED = re.compile(
    r"(?<![\w/])(\w[\w:-]*)/([1-9][0-9]*),\s+digest\s+([0-9a-f]{64})\b"
)
#: More than any text of ours holds [bytes].
_MOST_TEXT = 500_000_000
#: What the readers of other formats raise at files that are damaged.
_BROKEN: Final = (
    ArithmeticError, AttributeError, EOFError, LookupError, OSError, RuntimeError,
    TypeError, ValueError, zlib.error,
)  # fmt: skip


def anchors_text(anchors: Iterable[Anchor]) -> str:
    """Return anchors as an output carries them, separated by blanks."""
    return " ".join(map(str, anchors))


def anchors_from(text: str) -> tuple[Anchor, ...]:
    """Return what `--against` names: an anchor as typed, or those that a file carries.

    Raises
    ------
    AnchorFormError
        If it is neither an anchor nor a file.
    """
    try:
        return (parse_anchor(text),)
    except AnchorFormError:
        if not Path(text).exists():
            raise
    return anchors_in(Path(text))


def anchors_in(path: Path) -> tuple[Anchor, ...]:
    """Return the anchors that a file or folder of ours carries.

    Parameters
    ----------
    path
        An archive or its journal, a backup, a PDF report or sheet, a pack, a
        workbook, a calendar, an evaluation as text or JSON, or a drawn figure.

    Raises
    ------
    NoAnchorError
        If it carries none.
    """
    if path.is_dir():
        return _journal_heads(path / JOURNAL)
    if path.name == JOURNAL:
        return _journal_heads(path)
    begin = _begin(path)
    if begin == _SQLITE:
        found = _backup_heads(path)
    elif begin.startswith(b"%PDF-"):
        found = _parsed(path, _pdf_text(path))
    elif begin.startswith(b"PK"):
        found = _parsed(path, _zipped_text(path))
    else:
        found = _parsed(path, _written_text(path, begin))
    if not found:
        raise NoAnchorError(path)
    return found


def passes_through(connection: Connection, anchor: Head) -> bool:
    """Say whether the record of a subject passes through where it once stood."""
    query = select(entry.c.digest).where(
        entry.c.subject == anchor.subject, entry.c.position == anchor.position
    )
    digest = connection.execute(query).scalar()
    return digest is not None and str(digest).startswith(anchor.digest)


def _begin(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(len(_SQLITE))
    except OSError as error:
        raise NoAnchorError(path) from error


def _journal_heads(path: Path) -> tuple[Anchor, ...]:
    heads: dict[str, Head] = {}
    for one in read_journal(path):
        heads[one.subject] = Head(one.subject, one.position, one.digest)
    return tuple(heads.values())


def _backup_heads(path: Path) -> tuple[Anchor, ...]:
    with open_database(path).reading() as connection:
        last = journal.workspace_head(connection)
        heads = journal.heads(connection)
    return heads if last is None else (*heads, last)


def _parsed(path: Path, text: str) -> tuple[Anchor, ...]:
    try:
        return tuple(parse_anchor(one) for one in text.split())
    except AnchorFormError as error:
        raise NoAnchorError(path) from error


def _pdf_text(path: Path) -> str:
    from pypdf import PdfReader  # noqa: PLC0415  (only where a PDF is given)
    from pypdf.errors import PyPdfError  # noqa: PLC0415  (the same)

    log = logging.getLogger("pypdf")
    level = log.level
    # What it says of a foreign file is of no use to the reader of our message.
    log.setLevel(logging.CRITICAL)
    try:
        information: Mapping[str, object] = PdfReader(path).metadata or {}
        return str(information.get(PDF_ANCHORS, ""))
    except (PyPdfError, *_BROKEN) as error:
        raise NoAnchorError(path) from error
    finally:
        log.setLevel(level)


def _zipped_text(path: Path) -> str:
    try:
        return anchors_listed(path) or _workbook_text(path)
    except (zipfile.BadZipFile, *_BROKEN) as error:
        raise NoAnchorError(path) from error


def _workbook_text(path: Path) -> str:
    with zipfile.ZipFile(path) as packed, packed.open(_PROPERTIES) as file:
        text = file.read(_MOST_PROPERTIES).decode("utf-8", "replace")
    match = _PROPERTY.search(text)
    return match[1] if match else ""


def _written_text(path: Path, begin: bytes) -> str:
    """Return the anchors that a file of words, or an image with words in it, states."""
    try:
        if begin.startswith(b"\x89PNG"):
            return _printed(_words_of_image(path))
        with path.open("rb") as file:
            text = file.read(_MOST_TEXT).decode("utf-8")
        if begin.startswith(b"BEGIN:VCALENDAR"):
            return _calendar_text(text)
        return _evaluation_text(text) if begin.startswith(b"{") else _printed(text)
    except (RecursionError, SyntaxError, *_BROKEN) as error:
        raise NoAnchorError(path) from error


def _calendar_text(text: str) -> str:
    """Return the records of a calendar, whose long lines go on after a blank."""
    lines = re.sub(r"\r?\n[ \t]", "", text).splitlines()
    start = f"{CALENDAR_ANCHORS}:"
    found = (one.removeprefix(start) for one in lines if one.startswith(start))
    return " ".join(dict.fromkeys(found))


def _evaluation_text(text: str) -> str:
    record = json.loads(text)["record"]
    return f"{record['subject']}/{record['position']}:{record['digest']}"


def _printed(text: str) -> str:
    found = (f"{one[1]}/{one[2]}:{one[3]}" for one in _PRINTED.finditer(text))
    return " ".join(dict.fromkeys(found))


def _words_of_image(path: Path) -> str:
    from PIL import Image  # noqa: PLC0415  (only where an image is given)

    with Image.open(path, formats=("PNG",)) as image:
        return str(image.info.get("Description", ""))
