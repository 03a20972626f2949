"""A report packed with all that it rests on, read back by other programs."""

from __future__ import annotations

import io
import shutil
import subprocess
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.archives import NoAnchorError, UnsafePathError
from stability.model.entry import Head
from stability.records.anchors import anchors_in
from stability.records.pack import (
    MANIFEST,
    anchors_listed,
    certificate_path,
    pack_bytes,
    packed_record,
)

MOMENT = datetime(2026, 9, 30, 12, tzinfo=UTC)
HEADS = (Head("study:HDC", 7, "ab" * 32), Head("place:OVEN-1", 2, "cd" * 32))
FILES = {"report.pdf": b"%PDF", "record/a.csv": b"1,2\n", "größe.txt": b""}


def packed(files: dict[str, bytes] | None = None) -> bytes:
    """Return a pack of a few files."""
    return pack_bytes(files or FILES, "Study HDC", HEADS, MOMENT)


def test_files_stand_in_order_at_one_time_with_the_list_last() -> None:
    content = packed()
    with zipfile.ZipFile(io.BytesIO(content)) as found:
        assert found.testzip() is None
        assert found.namelist() == [*sorted(FILES), MANIFEST]
        assert {one.date_time for one in found.infolist()} == {(2026, 9, 30, 12, 0, 0)}
        assert {name: found.read(name) for name in FILES} == FILES


def test_the_order_in_which_files_are_given_changes_no_byte() -> None:
    assert packed(dict(reversed(FILES.items()))) == packed()


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum here")
def test_the_list_is_checked_without_this_program(tmp_path: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(packed())) as found:
        found.extractall(tmp_path)

    def check() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["sha256sum", "-c", MANIFEST],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
        )

    whole = check()
    (tmp_path / "report.pdf").write_bytes(b"%PDG")
    changed = check()

    assert whole.returncode == 0, whole.stderr
    assert whole.stderr == ""
    assert whole.stdout.count(": OK\n") == len(FILES)
    assert changed.returncode == 1
    assert "report.pdf: FAILED" in changed.stdout


def test_the_anchors_are_read_back(tmp_path: Path) -> None:
    target = tmp_path / "pack.zip"
    target.write_bytes(packed())

    assert anchors_listed(target) == " ".join(map(str, HEADS))
    assert anchors_in(target) == HEADS


@pytest.mark.parametrize("cut", [4, 40, 400])
def test_a_pack_cut_short_carries_no_anchor(tmp_path: Path, cut: int) -> None:
    target = tmp_path / "pack.zip"
    target.write_bytes(packed()[:-cut])

    with pytest.raises(NoAnchorError):
        anchors_in(target)


def test_a_list_without_anchors_is_no_pack(tmp_path: Path) -> None:
    target = tmp_path / "other.zip"
    with zipfile.ZipFile(target, "w") as other:
        other.writestr(MANIFEST, "0000  report.pdf\n")

    with pytest.raises(NoAnchorError):
        anchors_in(target)


def test_a_record_stands_in_a_folder_of_its_own() -> None:
    found = packed_record((), (), {"study.toml": "é"})

    assert sorted(found) == ["record/journal.jsonl", "record/study.toml"]
    assert found["record/study.toml"] == "é".encode()
    with pytest.raises(UnsafePathError):
        packed_record((), (), {"../study.toml": ""})


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("lab.pdf", "lab.pdf"),
        ("../../etc/passwd", "etc_passwd"),
        ("a\nb:c.pdf", "a_b_c.pdf"),
        ("...", "file"),
        ("報告.pdf", "報告.pdf"),
        ("x" * 300 + ".pdf", "x" * 76 + ".pdf"),
    ],
)
def test_names_of_certificates_lead_nowhere(name: str, plain: str) -> None:
    assert certificate_path(name, "0123456789") == f"certificates/01234567_{plain}"
