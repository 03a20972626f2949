"""Every output of ours is an anchor to verify the record against."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfWriter

from stability.errors.archives import AnchorFormError, NoAnchorError
from stability.model.entry import Anchor, Draft, Head, WorkspaceHead
from stability.records import journal
from stability.records.anchors import (
    CALENDAR_ANCHORS,
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


def pdf_bytes() -> bytes:
    """Return a PDF that carries anchors."""
    writer = PdfWriter()
    writer.add_blank_page(width=100, height=100)
    writer.add_metadata({PDF_ANCHORS: anchors_text(ANCHORS)})
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


def workbook_bytes() -> bytes:
    """Return as much of a workbook as carries anchors."""
    properties = (
        '<Properties><property pid="2" name="Other"><vt:lpwstr>x</vt:lpwstr></property>'
        f'<property fmtid="x" pid="3" name="{WORKBOOK_ANCHORS}">'
        f"<vt:lpwstr>{anchors_text(ANCHORS)}</vt:lpwstr></property></Properties>"
    )
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("docProps/custom.xml", properties)
    return written.getvalue()


def test_a_pdf_carries_anchors_in_its_document_information(tmp_path: Path) -> None:
    (tmp_path / "report.pdf").write_bytes(pdf_bytes())

    assert anchors_in(tmp_path / "report.pdf") == ANCHORS
    assert anchors_from(str(tmp_path / "report.pdf")) == ANCHORS


def test_a_workbook_carries_anchors_among_its_properties(tmp_path: Path) -> None:
    (tmp_path / "sheet.xlsx").write_bytes(workbook_bytes())

    assert anchors_in(tmp_path / "sheet.xlsx") == ANCHORS


def words_bytes() -> bytes:
    """Return a text that states anchors as people read them."""
    return "\n".join(
        f"record {one.subject}/{one.position}, digest\n {one.digest}. Fingerprint"
        for one in ANCHORS
        if isinstance(one, Head)
    ).encode()


def test_a_calendar_carries_an_anchor_for_each_study(tmp_path: Path) -> None:
    long = f"{CALENDAR_ANCHORS}:{ANCHORS[1]}"
    # RFC 5545, section 3.1: a long line goes on in the next after one blank.
    lines = [
        "BEGIN:VCALENDAR",
        f"{CALENDAR_ANCHORS}:{ANCHORS[0]}",
        "SUMMARY:study:XYZ/9:0123456789abcdef",
        long[:70],
        f" {long[70:]}",
        f"{CALENDAR_ANCHORS}:{ANCHORS[0]}",
        "END:VCALENDAR",
    ]
    (tmp_path / "checks.ics").write_text("\r\n".join(lines), newline="")

    assert anchors_in(tmp_path / "checks.ics") == ANCHORS[:2]


def test_words_carry_anchors_where_a_line_is_broken(tmp_path: Path) -> None:
    (tmp_path / "report.txt").write_bytes(words_bytes())

    assert anchors_in(tmp_path / "report.txt") == ANCHORS[:2]


def test_an_evaluation_as_json_carries_its_anchor(tmp_path: Path) -> None:
    record = {"subject": "study:HDC", "position": 12, "digest": "a" * 64}
    (tmp_path / "study.json").write_text(json.dumps({"record": record}))

    assert anchors_in(tmp_path / "study.json") == ANCHORS[:1]


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
        lambda path: path.write_text("study:HDC/1, digest abc"),
        lambda path: path.write_text("BEGIN:VCALENDAR\nEND:VCALENDAR"),
        lambda path: path.write_text('{"record": 1}'),
        lambda path: path.write_text("{"),
        lambda path: path.write_text("[" * 100_000),
        lambda path: path.write_text('{"record":' * 100_000),
        lambda path: path.write_bytes(b"\xff\xfe\x00"),
        lambda path: path.write_bytes(b"\x89PNG\r\n\x1a\nbroken"),
        lambda path: path.write_text(""),
    ],
)
def test_a_file_without_anchors_is_told(
    tmp_path: Path, make: Callable[[Path], object]
) -> None:
    make(tmp_path / "file")

    with pytest.raises(NoAnchorError, match="carries no anchor"):
        anchors_in(tmp_path / "file")


@settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(cut=st.data(), kind=st.sampled_from(["pdf", "xlsx"]))
def test_no_damage_to_a_file_brings_more_than_a_message(
    tmp_path: Path, cut: st.DataObject, kind: str
) -> None:
    whole = pdf_bytes() if kind == "pdf" else workbook_bytes()
    place = cut.draw(st.integers(5, len(whole) - 1))
    other = cut.draw(st.binary(max_size=3))
    length = cut.draw(st.integers(0, 9))
    broken = tmp_path / "broken"
    broken.write_bytes(whole[:place] + other + whole[place + length :])

    found: tuple[Anchor, ...] = ANCHORS
    try:
        found = anchors_in(broken)
    except NoAnchorError as error:
        assert "carries no anchor" in str(error)  # noqa: PT017  (either may happen)

    assert len(found) <= len(ANCHORS)


def test_a_library_that_reads_foreign_files_says_nothing_itself(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "broken.pdf").write_bytes(pdf_bytes().replace(b"startxref", b"startx"))

    with pytest.raises(NoAnchorError):
        anchors_in(tmp_path / "broken.pdf")
    assert caplog.records == []
