"""Files are kept once, byte for byte, under the SHA-256 of what was received."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors.database import ChangedAttachmentError, MissingAttachmentError
from stability.records import attachment
from stability.records.database import Database

Raw = Callable[..., list[tuple[object, ...]]]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(content=st.binary() | st.binary(min_size=1).map(lambda one: one * 5000))
def test_a_file_comes_back_byte_for_byte(either: Database, content: bytes) -> None:
    with either.writing() as connection:
        sha256 = attachment.keep(connection, content, "logger.csv", "text/csv")
    with either.reading() as connection:
        fetched = attachment.fetch(connection, sha256)

    assert fetched.content == content
    assert sha256 == hashlib.sha256(content).hexdigest()
    assert fetched.file.size == len(content)


def test_the_same_bytes_are_kept_once_under_their_first_name(
    either: Database,
) -> None:
    with either.writing() as connection:
        first = attachment.keep(connection, b"same", "a.csv", "text/csv")
        again = attachment.keep(connection, b"same", "b.csv", "text/plain")
        files = attachment.kept_files(connection)

    assert first == again
    assert [(file.name, file.media_type) for file in files] == [("a.csv", "text/csv")]


def test_a_logger_file_is_kept_small(database: Database, raw: Raw) -> None:
    rows = b"2026-03-02T09:15:00Z;40.1;75.0\n" * 10_000
    with database.writing() as connection:
        attachment.keep(connection, rows, "logger.csv", "text/csv")

    (stored,) = raw("SELECT length(content), size FROM attachment")
    assert stored[1] == len(rows)
    assert isinstance(stored[0], int)
    assert stored[0] < len(rows) / 10


def test_what_is_not_kept_is_told(either: Database) -> None:
    with (
        either.reading() as connection,
        pytest.raises(MissingAttachmentError, match="f" * 64),
    ):
        attachment.fetch(connection, "f" * 64)


@pytest.mark.parametrize("stored", [b"\0", b"", b"\0" * 100])
@pytest.mark.parametrize("content", [b"short", b"long " * 100])
def test_changed_bytes_are_never_given_out(
    database: Database, raw: Raw, content: bytes, stored: bytes
) -> None:
    with database.writing() as connection:
        sha256 = attachment.keep(connection, content, "a.csv", "text/csv")
    raw("DROP TRIGGER attachment_no_update")
    raw("UPDATE attachment SET content = ?", stored)

    with (
        database.reading() as connection,
        pytest.raises(ChangedAttachmentError, match=r"a\.csv"),
    ):
        attachment.fetch(connection, sha256)
