"""An archive is written whole or not at all, and never outside its folder."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from stability.errors.archives import (
    ArchiveExistsError,
    FolderNotWritableError,
    UnsafePathError,
)
from stability.errors.database import FullDiskError
from stability.model.entry import Draft, Entry, chain
from stability.records.archive import write_archive
from stability.records.attachment import Attachment, attachment_of

Drafts = Callable[..., list[Draft]]
LOGGER = attachment_of(b"time;temperature\n", "logger.csv", "text/csv")
VIEWS: dict[str, str | bytes] = {
    "study.toml": "format = 1\n",
    "storage/OVEN.csv": "time;temperature\n",
    "photographs/HDC-014-W.jpg": b"\xff\xd8\xff",
    "README.md": "Crème\r\n",
}


@pytest.fixture
def entries(drafts: Drafts) -> tuple[Entry, ...]:
    return chain([*drafts(3), *drafts(2, "place:OVEN-7KQ4")])


def test_the_journal_is_the_format_and_then_digest_and_line_of_each_entry(
    tmp_path: Path, entries: tuple[Entry, ...]
) -> None:
    write_archive(tmp_path / "HDC", entries, [], {})
    first, *rest = (tmp_path / "HDC/journal.jsonl").read_text("utf-8").splitlines()

    assert first == '{"format":1}'
    assert [json.loads(line) for line in rest] == [
        {"digest": one.digest, "line": one.line} for one in entries
    ]


def test_a_journal_is_verified_in_five_lines_without_this_program(
    tmp_path: Path, drafts: Drafts
) -> None:
    write_archive(tmp_path / "HDC", chain(drafts(3)), [], {})

    digest = ""
    with (tmp_path / "HDC/journal.jsonl").open(encoding="utf-8") as file:
        for one in map(json.loads, list(file)[1:]):
            text = f"{digest}\n{one['line']}".encode()
            digest = hashlib.sha256(text).hexdigest()
            assert digest == one["digest"]


def test_attachments_are_named_by_their_digest(
    tmp_path: Path, entries: tuple[Entry, ...]
) -> None:
    write_archive(tmp_path / "HDC", entries, [LOGGER], {})

    kept = tmp_path / "HDC/attachments" / hashlib.sha256(LOGGER.content).hexdigest()
    assert kept.read_bytes() == LOGGER.content


def test_views_are_written_as_given(tmp_path: Path, entries: tuple[Entry, ...]) -> None:
    write_archive(tmp_path / "HDC", entries, [], VIEWS)

    for name, content in VIEWS.items():
        whole = content.encode() if isinstance(content, str) else content
        assert (tmp_path / "HDC" / name).read_bytes() == whole


def test_only_the_owner_can_open_an_archive(
    tmp_path: Path, entries: tuple[Entry, ...]
) -> None:
    before = os.umask(0)
    try:
        write_archive(tmp_path / "HDC", entries, [LOGGER], VIEWS)
    finally:
        os.umask(before)

    for one in [tmp_path / "HDC", *(tmp_path / "HDC").rglob("*")]:
        expected = 0o700 if one.is_dir() else 0o600
        assert stat.S_IMODE(one.stat().st_mode) == expected, one


@pytest.mark.parametrize("make", [Path.mkdir, Path.touch])
def test_nothing_is_written_over(
    tmp_path: Path, entries: tuple[Entry, ...], make: Callable[[Path], None]
) -> None:
    make(tmp_path / "HDC")

    with pytest.raises(ArchiveExistsError, match="never writes over"):
        write_archive(tmp_path / "HDC", entries, [], {})
    assert [one.name for one in tmp_path.iterdir()] == ["HDC"]


@pytest.mark.parametrize(
    "name",
    [
        "", "/etc/x", "../x", "a/../../x", "a/./b/../x", "..", ".", ".hidden", "a/.b",
        "a\\b", "C:x", "a\0b", "journal.jsonl", "attachments/x", "attachments.jsonl",
        "a:b", "a*b",
    ],
)  # fmt: skip
def test_no_view_leads_out_of_the_folder(
    tmp_path: Path, entries: tuple[Entry, ...], name: str
) -> None:
    with pytest.raises(UnsafePathError):
        write_archive(tmp_path / "HDC", entries, [], {name: "x"})

    assert list(tmp_path.iterdir()) == []


def test_what_fails_half_way_leaves_nothing(
    tmp_path: Path, entries: tuple[Entry, ...]
) -> None:
    def files() -> Iterator[Attachment]:
        yield LOGGER
        raise RuntimeError("half way")

    with pytest.raises(RuntimeError, match="half way"):
        write_archive(tmp_path / "HDC", entries, files(), VIEWS)

    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_told_and_leaves_nothing(
    tmp_path: Path, entries: tuple[Entry, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FullDiskError, match="full"):
        write_archive(tmp_path / "HDC", entries, [], {})

    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_told(tmp_path: Path, entries: tuple[Entry, ...]) -> None:
    with pytest.raises(FolderNotWritableError, match="exists and that this account"):
        write_archive(tmp_path / "no" / "HDC", entries, [], {})
