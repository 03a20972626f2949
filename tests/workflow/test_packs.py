"""A study packed: what is inside, the same again later, and never half written."""

from __future__ import annotations

import errno
import io
import os
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest

from stability.errors.reports import (
    ReportDiskFullError,
    ReportExistsError,
    ReportFolderMissingError,
)
from stability.workflow import bench, evaluate, instruments, records
from stability.workflow.certificates import OfWhat, certificate
from stability.workflow.occasion import Occasion
from tests.records.certified_study import ALL_A, PDF, write_certified
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, ROOM_A, T40_2W, write_files

At = Callable[[str], Occasion]


@pytest.fixture
def read(at: At) -> At:
    """Return the same maker of occasions; T0 and 2w were read."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    bench.log(at("2026-03-20"), ROOM_A, ["pH=5.48/5.50", "spread=61"])
    return at


def packed(at: Occasion, target: Path, as_of: str | None = None) -> dict[str, bytes]:
    """Write a pack and return its files."""
    evaluate.report(at, "HDC", target, kind="pack", as_of=as_of)
    with zipfile.ZipFile(target) as found:
        return {name: found.read(name) for name in found.namelist()}


def test_report_sheets_and_record_are_inside(read: At, tmp_path: Path) -> None:
    now = read("2026-03-21")
    found = packed(now, tmp_path / "pack.zip")
    evaluate.report(now, "HDC", tmp_path / "r.pdf")
    records.export(now, "HDC", tmp_path / "archive")

    assert found["report.pdf"] == (tmp_path / "r.pdf").read_bytes()
    for name in ("summary.pdf", "plan_record.pdf"):
        assert pypdf.PdfReader(io.BytesIO(found[name])).pages
    of_record = {
        name.removeprefix("record/"): content
        for name, content in found.items()
        if name.startswith("record/")
    }
    assert of_record == {
        path.name: path.read_bytes() for path in (tmp_path / "archive").iterdir()
    }


def test_the_record_inside_is_taken_in_and_verified_elsewhere(
    read: At, tmp_path: Path
) -> None:
    now = read("2026-03-21")
    target = tmp_path / "pack.zip"
    packed(now, target)
    with zipfile.ZipFile(target) as found:
        found.extractall(tmp_path / "unpacked")
    other = replace(now, records=str(tmp_path / "other.db"))

    records.import_(other, tmp_path / "unpacked" / "record")

    assert records.verify(other, against=[str(target)]).holds
    assert records.verify(now, against=[str(target)]).holds


def test_certificates_are_inside_under_their_names(
    nowhere: Occasion, tmp_path: Path
) -> None:
    bench.start(nowhere, write_certified(tmp_path / "files"))
    file = tmp_path / "Lab report.pdf"
    file.write_bytes(PDF)
    june = replace(nowhere, now=datetime(2026, 6, 1, 9, tzinfo=UTC))
    of = OfWhat(
        "Corran", "7", "ISO 11930:2019", "A", "1.0", "JAR", None, "T0", "2026-05-04"
    )
    certificate(june, "HDC", "challenge", of, results=ALL_A, file=file)

    found = packed(june, tmp_path / "pack.zip")

    named = [one for one in found if one.startswith("certificates/")]
    assert len(named) == 1
    assert named[0].endswith("_Lab_report.pdf")
    assert found[named[0]] == PDF


def test_a_pack_of_an_earlier_day_is_made_again_byte_for_byte(
    read: At, tmp_path: Path
) -> None:
    before, after = tmp_path / "before.zip", tmp_path / "after.zip"
    packed(read("2026-03-20"), before, as_of="2026-03-20")
    bench.log(read("2026-03-21"), T40_2W, ["pH=4.10/4.12"], accept_far=True)

    packed(read("2028-01-05"), after, as_of="2026-03-20")
    packed(read("2028-01-05"), tmp_path / "now.zip")

    assert before.read_bytes() == after.read_bytes()
    assert (tmp_path / "now.zip").read_bytes() != before.read_bytes()


def test_a_full_disk_leaves_the_older_pack_as_it_was(
    read: At, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "pack.zip"
    target.write_bytes(b"older")
    replaced = Path.replace

    def full(part: Path, to: Any) -> Path:
        if Path(to) == target:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return replaced(part, to)

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(ReportDiskFullError):
        evaluate.report(read("2026-03-21"), "HDC", target, kind="pack", overwrite=True)

    assert target.read_bytes() == b"older"
    assert not list(tmp_path.glob(".*part"))


def test_nothing_is_written_over_or_into_nowhere(read: At, tmp_path: Path) -> None:
    target = tmp_path / "pack.zip"
    target.write_bytes(b"mine")

    with pytest.raises(ReportExistsError):
        evaluate.report(read("2026-03-21"), "HDC", target, kind="pack")
    with pytest.raises(ReportFolderMissingError):
        evaluate.report(
            read("2026-03-21"), "HDC", tmp_path / "no" / "x.zip", kind="pack"
        )
    assert target.read_bytes() == b"mine"


def test_instruments_stand_in_a_pack_as_they_were_on_its_day(
    nowhere: Occasion, tmp_path: Path
) -> None:
    def on(day: str) -> Occasion:
        return replace(nowhere, now=datetime.fromisoformat(f"{day}T12:00:00+00:00"))

    bench.start(nowhere, write_files(tmp_path / "metered", protocol=METERED))
    instruments.add(nowhere, "PH1", "pH meter", "glass", suffix="9XR2")
    read_with = ["pH.instrument=PH1"]
    bench.log(on("2026-03-05"), BULK_A, ["pH=5.50/5.52"], settings=read_with)
    before = packed(on("2026-03-05"), tmp_path / "before.zip", as_of="2026-03-05")
    instruments.calibrate(on("2026-03-09"), "PH1", slope="98.6")

    after = packed(on("2026-03-10"), tmp_path / "after.zip", as_of="2026-03-05")

    assert b"instrument:PH1" in before["record/journal.jsonl"]
    assert after == before
