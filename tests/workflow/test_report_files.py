"""The study's files inside its report, and reports of an earlier day made again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from stability.workflow import bench, evaluate, records
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]


@pytest.fixture
def read(at: At) -> At:
    """Return the same maker of occasions; T0 and 2w were read."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    bench.log(at("2026-03-20"), ROOM_A, ["pH=5.48/5.50", "spread=61"])
    return at


def files_of(target: Path) -> dict[str, bytes]:
    """Return name -> bytes of the files inside a report."""
    return {
        name: found[0] for name, found in pypdf.PdfReader(target).attachments.items()
    }


def test_the_views_of_the_record_are_inside_as_an_archive_has_them(
    read: At, tmp_path: Path
) -> None:
    now = read("2026-03-21")
    evaluate.report(now, "HDC", tmp_path / "r.pdf")
    records.export(now, "HDC", tmp_path / "archive")

    inside = files_of(tmp_path / "r.pdf")

    assert set(inside) - {"differences.csv"} == {
        "observations.csv",
        "study.toml",
        "protocol.toml",
        "readings.csv",
    }
    for name in set(inside) - {"readings.csv", "differences.csv"}:
        assert inside[name] == (tmp_path / "archive" / name).read_bytes()


def test_a_report_of_an_earlier_day_is_made_again_byte_for_byte(
    read: At, tmp_path: Path
) -> None:
    before, after = tmp_path / "before.pdf", tmp_path / "after.pdf"
    evaluate.report(read("2026-03-20"), "HDC", before, as_of="2026-03-20")
    bench.log(read("2026-03-21"), T40_2W, ["pH=4.10/4.12"], accept_far=True)
    bench.note(read("2026-03-22"), "HDC", "the oven was opened")

    evaluate.report(read("2028-01-05"), "HDC", after, as_of="2026-03-20")
    evaluate.report(read("2028-01-05"), "HDC", tmp_path / "now.pdf")

    assert before.read_bytes() == after.read_bytes()
    assert files_of(tmp_path / "now.pdf") != files_of(before)


def test_progress_is_told_up_to_the_end(read: At, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []

    def note(done: int, of: int) -> None:
        told.append((done, of))

    evaluate.report(read("2026-03-21"), "HDC", tmp_path / "r.pdf", progress=note)

    assert told
    assert all(0 <= done <= of for done, of in told)
    assert told[-1][0] > told[0][0]
