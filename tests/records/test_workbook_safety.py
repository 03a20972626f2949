"""Workbooks that are not what they seem are refused before they are opened."""

from __future__ import annotations

import io
import struct
import time
import zipfile

import pytest

from stability.errors.files import ReceivedFileError
from stability.records.workbook_safety import MOST_PARTS, check_workbook
from tests.records.workbooks import by_hand, new_sheet, packed, parts_of, saved

GOOD = saved(new_sheet([["sample", "date", "pH"], ["001-5", "2026-03-05", 5.5]])[0])


def refused(content: bytes) -> str:
    """Return why a workbook is refused, which must take no time."""
    begun = time.monotonic()
    with pytest.raises(ReceivedFileError) as caught:
        check_workbook(content, "day.xlsx")
    assert time.monotonic() - begun < 5
    return str(caught.value)


def test_a_workbook_of_a_spreadsheet_program_passes() -> None:
    for content in (GOOD, packed(by_hand(""))):
        try:
            check_workbook(content, "day.xlsx")
        except ReceivedFileError as error:
            pytest.fail(str(error))


def test_a_part_that_grows_without_measure_is_refused() -> None:
    parts = {**parts_of(GOOD), "xl/worksheets/sheet2.xml": b" " * 30_000_000}

    assert "grows more than" in refused(packed(parts))


def test_parts_that_unpack_to_too_much_together_are_refused() -> None:
    noise = bytes(range(256)) * 80_000
    parts = {**parts_of(GOOD), **{f"xl/media/{n}.bin": noise for n in range(4)}}

    assert "unpacks to more than" in refused(packed(parts))


def test_too_many_parts_are_refused() -> None:
    parts = {**parts_of(GOOD), **{f"xl/p{n}.xml": b"" for n in range(MOST_PARTS)}}

    assert "parts" in refused(packed(parts))


def test_a_size_that_lies_is_noticed() -> None:
    # The size in the directory is made small, as one would to get past the limits.
    content = bytearray(packed({"xl/workbook.xml": b"<a/>" + b" " * 3_000_000}))
    directory = content.rindex(b"PK\x01\x02")
    content[directory + 24 : directory + 28] = struct.pack("<I", 100)

    assert "damaged" in refused(bytes(content))


@pytest.mark.parametrize(
    "text",
    [
        b'<!DOCTYPE a [<!ENTITY b "bbbbbbbb"><!ENTITY c "&b;&b;&b;">]><a>&c;</a>',
        b'<?xml version="1.0"?><!DOCTYPE a SYSTEM "http://example.invalid/a.dtd"><a/>',
        "<a/>".encode("utf-16"),
    ],
)
def test_declarations_that_grow_or_fetch_are_refused(text: bytes) -> None:
    parts = {**parts_of(GOOD), "xl/sharedStrings.xml": text}

    assert "declarations" in refused(packed(parts))


@pytest.mark.parametrize(
    "content",
    [b"PK", b"PK\x03\x04" + b"\0" * 100, GOOD[: len(GOOD) // 2], packed({"a": "b"})],
)
def test_what_is_no_workbook_is_refused(content: bytes) -> None:
    assert "save it" in refused(content)


def test_a_part_with_a_password_is_refused() -> None:
    kept = io.BytesIO(packed({"xl/workbook.xml": "<a/>"}))
    with zipfile.ZipFile(kept, "a") as archive:
        archive.filelist[0].flag_bits |= 1
        archive._didModify = True  # type: ignore[attr-defined]

    assert "damaged" in refused(kept.getvalue())
