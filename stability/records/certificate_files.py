"""The file of a certificate: taken only if somebody can read it in ten years."""

from __future__ import annotations

import io
import logging
from pathlib import Path
from typing import Final

from stability.errors.certificates import CertificateFileError
from stability.model.plain_text import one_line
from stability.records.attachment import Attachment, attachment_of

#: Largest file that is kept [bytes]; a scan of ten pages has a tenth of it.
MOST_BYTES: Final = 20_000_000
_PDF, _PNG, _JPEG = b"%PDF-", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
#: How far from the end of a picture its closing mark may stand [bytes].
_TAIL: Final = 4096


def read_certificate_file(path: Path) -> Attachment:
    """Return a certificate's file, to be kept as it is.

    Parameters
    ----------
    path
        A PDF, PNG or JPEG.

    Raises
    ------
    CertificateFileError
        If it cannot be read, is too large, of another kind, cut off or locked.
    """
    content = _bytes_of(path)
    if content.startswith(_PDF):
        media_type, fault = "application/pdf", _pdf_fault(content)
    elif content.startswith(_PNG):
        whole = b"IEND" in content[-_TAIL:]
        media_type, fault = "image/png", "" if whole else "the picture is cut off"
    elif content.startswith(_JPEG):
        whole = b"\xff\xd9" in content[-_TAIL:]
        media_type, fault = "image/jpeg", "" if whole else "the picture is cut off"
    else:
        media_type, fault = "", "it is no PDF, PNG or JPEG"
    if fault:
        raise CertificateFileError(path, fault)
    return attachment_of(content, one_line(path.name), media_type)


def _bytes_of(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            size = path.stat().st_size / 1_000_000
            raise CertificateFileError(path, f"it has {size:.1f} MB")
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise CertificateFileError(path, f"it cannot be read ({reason})") from error


def _pdf_fault(content: bytes) -> str:
    """Say why nobody could read a PDF; "" where its first page opens."""
    # Only a certificate with a PDF needs it, and loading it takes a third of a second.
    from pypdf import PdfReader  # noqa: PLC0415
    from pypdf.errors import PyPdfError  # noqa: PLC0415

    log = logging.getLogger("pypdf")
    level = log.level
    # One message tells what is wrong; what the library says besides is no help.
    log.setLevel(logging.CRITICAL)
    try:
        reader = PdfReader(io.BytesIO(content))
        if reader.is_encrypted and not reader.decrypt(""):
            return "it asks for a password, which would be lost one day"
        pages = len(reader.pages)
    except (PyPdfError, ValueError, KeyError, TypeError, NotImplementedError) as error:
        return f"it cannot be opened as a PDF ({one_line(str(error))})"
    finally:
        log.setLevel(level)
    return "" if pages else "it has no page"
