"""Files inside a document, such as the study's observations as CSV."""

from __future__ import annotations

import codecs
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import md5
from typing import Any

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFStream,
    PDFString,
    PDFZCompress,
)

from stability.report.text import metadata_text


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file inside the document."""

    #: its name
    name: str
    #: its bytes
    content: bytes
    #: its kind, such as text/csv
    media_type: str
    #: what it holds, for the reader's list of attachments; empty for nothing
    description: str = ""


def attach(canvas: Any, attachments: Sequence[Attachment], moment: datetime) -> None:
    """Put files into the document of a canvas; each needs a name of its own.

    Raises
    ------
    ValueError
        When two files have one name.
    """
    in_order = sorted(attachments, key=lambda attachment: _encoded(attachment.name))
    if len({attachment.name for attachment in in_order}) < len(in_order):
        msg = "two attachments have one name"
        raise ValueError(msg)
    if not in_order:
        return
    document = canvas._doc  # noqa: SLF001 -- the library has no public way to embed
    names: list[Any] = []
    for number, attachment in enumerate(in_order, start=1):
        stream = document.Reference(_stream(attachment, moment), f"file-{number}")
        place = _place(attachment, stream)
        names += [
            PDFString(metadata_text(attachment.name)),
            document.Reference(place, f"place-{number}"),
        ]
    tree = PDFDictionary({"Names": PDFArray(names)})
    document.Catalog.Names = PDFDictionary({"EmbeddedFiles": tree})


def _stream(attachment: Attachment, moment: datetime) -> PDFStream:
    written = f"D:{moment.astimezone(UTC):%Y%m%d%H%M%S}+00'00'"
    content = attachment.content
    digest = md5(content, usedforsecurity=False).digest()  # the format asks for MD5
    parameters = PDFDictionary(
        {
            "Size": len(content),
            "CreationDate": PDFString(written),
            "ModDate": PDFString(written),
            "CheckSum": PDFString(digest, enc="raw"),
        }
    )
    about = PDFDictionary(
        {
            "Type": PDFName("EmbeddedFile"),
            "Subtype": PDFName(attachment.media_type.replace("/", "#2F")),
            "Params": parameters,
        }
    )
    return PDFStream(about, content, filters=[PDFZCompress])


def _place(attachment: Attachment, stream: Any) -> PDFDictionary:
    name = PDFString(metadata_text(attachment.name))
    place = {
        "Type": PDFName("Filespec"),
        "F": name,
        "UF": name,
        "EF": PDFDictionary({"F": stream, "UF": stream}),
    }
    if attachment.description:
        place["Desc"] = PDFString(metadata_text(attachment.description))
    return PDFDictionary(place)


def _encoded(name: str) -> bytes:
    """Return a name's bytes in the file; the format wants its list in their order."""
    shown = metadata_text(name)
    try:
        return shown.encode("pdfdoc")
    except UnicodeEncodeError:
        return codecs.BOM_UTF16_BE + shown.encode("utf-16-be")
