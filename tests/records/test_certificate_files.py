"""Files of certificates: kept only if somebody can open them."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from pypdf import PdfWriter

from stability.errors.certificates import CertificateFileError
from stability.records.certificate_files import MOST_BYTES, read_certificate_file
from tests.records.certified_study import PDF

PNG = b"\x89PNG\r\n\x1a\n" + b"picture" + b"\x00\x00\x00\x00IEND\xaeB`\x82"
JPEG = b"\xff\xd8\xff\xe0" + b"picture" + b"\xff\xd9"


@pytest.mark.parametrize(
    ("name", "content", "media_type"),
    [
        ("report.pdf", PDF, "application/pdf"),
        ("scan.png", PNG, "image/png"),
        ("photo.jpg", JPEG, "image/jpeg"),
        ("named wrongly.txt", PDF, "application/pdf"),
    ],
)
def test_a_file_is_taken_as_it_is_by_what_it_holds(
    tmp_path: Path, name: str, content: bytes, media_type: str
) -> None:
    (tmp_path / name).write_bytes(content)

    taken = read_certificate_file(tmp_path / name)

    assert taken.content == content
    assert taken.file.name == name
    assert taken.file.media_type == media_type
    assert taken.file.sha256 == hashlib.sha256(content).hexdigest()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "no PDF, PNG or JPEG"),
        (b"MZ program", "no PDF, PNG or JPEG"),
        (b"%PDF-1.4 and nothing more", "cannot be opened as a PDF"),
        (PNG[:20], "cut off"),
        (JPEG[:-2], "cut off"),
    ],
)
def test_what_nobody_can_open_is_refused(
    tmp_path: Path, content: bytes, says: str, caplog: pytest.LogCaptureFixture
) -> None:
    file = tmp_path / "file"
    file.write_bytes(content)

    with pytest.raises(CertificateFileError, match=says):
        read_certificate_file(file)
    # One clear message: a library says nothing besides.
    assert caplog.records == []


def test_a_pdf_behind_a_password_is_refused(tmp_path: Path) -> None:
    writer = PdfWriter()
    writer.add_blank_page(99, 99)
    writer.encrypt("secret", algorithm="RC4-128")
    writer.write(tmp_path / "locked.pdf")

    with pytest.raises(CertificateFileError, match="password"):
        read_certificate_file(tmp_path / "locked.pdf")


def test_a_file_that_is_too_large_or_not_there_is_refused(tmp_path: Path) -> None:
    large = tmp_path / "large.pdf"
    with large.open("wb") as file:
        file.truncate(MOST_BYTES + 1)

    with pytest.raises(CertificateFileError, match=r"it has 20\.0 MB"):
        read_certificate_file(large)
    with pytest.raises(CertificateFileError, match="cannot be read"):
        read_certificate_file(tmp_path / "nowhere.pdf")
    with pytest.raises(CertificateFileError, match="cannot be read"):
        read_certificate_file(tmp_path)
