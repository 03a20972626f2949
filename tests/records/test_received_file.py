"""Files of readings as they come: text, workbooks, and what is neither."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from stability.errors import StabilityError
from stability.errors.files import ReceivedFileError
from stability.records import received_file
from stability.records.received_file import read_received
from tests.records.workbooks import new_sheet, saved

TEXT = "sample,date,pH\n001-5,2026-03-05,5.5\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return where the file stands."""
    return tmp_path / "day.csv"


def refused(file: Path, content: bytes) -> str:
    """Return why these bytes are refused."""
    file.write_bytes(content)
    with pytest.raises(ReceivedFileError) as caught:
        read_received(file)
    return str(caught.value)


def test_a_text_is_kept_byte_for_byte(file: Path) -> None:
    content = b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode()
    file.write_bytes(content)

    received = read_received(file)

    assert received.kept.content == content
    assert received.kept.file.media_type == "text/csv"
    assert received.tables[0].table.rows[0].cells == ("001-5", "2026-03-05", "5.5")


def test_a_workbook_is_known_by_what_it_is_and_not_by_its_name(file: Path) -> None:
    file.write_bytes(saved(new_sheet([["sample", "date", "pH"]])[0]))

    received = read_received(file)

    assert received.tables[0].table.sheet == "Sheet"
    assert received.kept.file.media_type.endswith("spreadsheetml.sheet")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (TEXT.encode("utf-16"), "UTF-16"),
        (TEXT.replace("pH", "pHµ").encode("latin-1"), "line 1 is no text in UTF-8"),
        (TEXT.encode() + b"002-3,\0,5\n", "line 3 holds a NUL byte"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 500, "password"),
        (b"PK\x03\x04", "damaged"),
    ],
)
def test_what_cannot_be_read_is_told_in_one_message_with_the_way_out(
    file: Path, content: bytes, told: str
) -> None:
    said = refused(file, content)

    assert told in said
    assert "save it" in said or "export it" in said
    assert "\n" not in said


def test_a_file_that_is_no_table_for_its_size_is_refused(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(received_file, "MOST_BYTES", 10)

    assert "larger than" in refused(file, TEXT.encode())


def test_a_file_that_is_not_there_is_named(file: Path) -> None:
    with pytest.raises(ReceivedFileError, match=r"day\.csv"):
        read_received(file)


def test_a_text_has_no_sheets(file: Path) -> None:
    file.write_text(TEXT, encoding="utf-8")

    with pytest.raises(ReceivedFileError, match="leave --sheet out"):
        read_received(file, "May")


def test_damaged_texts_never_end_in_anything_but_a_message(file: Path) -> None:
    chance = random.Random(11)  # noqa: S311 - no secret
    refused_count = 0
    for _ in range(300):
        content = bytearray((TEXT * 3).encode())
        for _ in range(chance.randint(1, 8)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        file.write_bytes(bytes(content))
        try:
            assert read_received(file).tables
        except StabilityError:
            refused_count += 1
    assert refused_count > 100
