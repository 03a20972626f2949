"""Every output of ours is an anchor to verify the record against."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfWriter

from stability.errors import AnchorFormError, NoAnchorError
from stability.model.entry import Anchor, Draft, Head, WorkspaceHead
from stability.records import journal
from stability.records.anchors import (
    PDF_ANCHORS,
    WORKBOOK_ANCHORS,
    anchors_from,
    anchors_in,
    anchors_text,
)
from stability.records.archive import write_archive
from stability.records.database import Database

Drafts = Callable[..., list[Draft]]
ANCHORS: tuple[Anchor, ...] = (
    Head("study:HDC", 12, "a" * 64),
    Head("place:OVEN-7KQ4", 3, "b" * 64),
    WorkspaceHead(4711, "c" * 64),
)


def test_an_archive_carries_the_head_of_each_subject(
    filled: Database, tmp_path: Path
) -> None:
    with filled.reading() as connection:
        write_archive(tmp_path / "HDC", journal.all_entries(connection), [], {})
        heads = journal.heads(connection)

    assert anchors_in(tmp_path / "HDC") == heads
    assert anchors_in(tmp_path / "HDC" / "journal.jsonl") == heads


def test_a_backup_carries_heads_and_seal(filled: Database, path: Path) -> None:
    with filled.reading() as connection:
        expected = (*journal.heads(connection), journal.workspace_head(connection))

    assert anchors_in(path) == expected


def test_a_pdf_carries_anchors_in_its_document_information(tmp_path: Path) -> None:
    writer = PdfWriter()
    writer.add_blank_page(width=100, height=100)
    writer.add_metadata({PDF_ANCHORS: anchors_text(ANCHORS)})
    writer.write(tmp_path / "report.pdf")

    assert anchors_in(tmp_path / "report.pdf") == ANCHORS
    assert anchors_from(str(tmp_path / "report.pdf")) == ANCHORS


def test_a_workbook_carries_anchors_among_its_properties(tmp_path: Path) -> None:
    properties = (
        '<Properties><property pid="2" name="Other"><vt:lpwstr>x</vt:lpwstr></property>'
        f'<property fmtid="x" pid="3" name="{WORKBOOK_ANCHORS}">'
        f"<vt:lpwstr>{anchors_text(ANCHORS)}</vt:lpwstr></property></Properties>"
    )
    with zipfile.ZipFile(tmp_path / "sheet.xlsx", "w") as packed:
        packed.writestr("docProps/custom.xml", properties)

    assert anchors_in(tmp_path / "sheet.xlsx") == ANCHORS


def test_an_anchor_may_be_typed() -> None:
    assert anchors_from(str(ANCHORS[0])) == (ANCHORS[0],)


def test_what_is_neither_anchor_nor_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AnchorFormError):
        anchors_from(str(tmp_path / "not-there.pdf"))


def foreign_pdf(path: Path) -> None:
    writer = PdfWriter()
    writer.add_blank_page(width=100, height=100)
    writer.write(path)


def foreign_workbook(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("other.xml", "x")


@pytest.mark.parametrize(
    "make",
    [
        foreign_pdf,
        foreign_workbook,
        lambda path: path.write_bytes(b"%PDF-1.7\nbroken"),
        lambda path: path.write_bytes(b"PK\x03\x04broken"),
        lambda path: path.write_text("words"),
        lambda path: path.write_text(""),
    ],
)
def test_a_file_without_anchors_is_told(
    tmp_path: Path, make: Callable[[Path], object]
) -> None:
    make(tmp_path / "file")

    with pytest.raises(NoAnchorError, match="carries no anchor"):
        anchors_in(tmp_path / "file")
