"""Which samples get a label, and on what."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stability.errors.labels import LabelSheetError, NoLabelsError
from stability.errors.reports import ReportExistsError
from stability.errors.samples import UnknownNameError, UnknownSampleError
from stability.workflow import bench
from stability.workflow.labels import WhichLabels, WhichSamples, labels
from tests.records.small_study import FT_A, ROOM_A, T40_2W, T40_4W, TWIN_A

if TYPE_CHECKING:
    from tests.workflow.conftest import At


def many(at: At, which: WhichSamples, tmp_path: Path) -> int:
    """Return how many labels are written."""
    target = tmp_path / "labels.pdf"
    return labels(
        at("2026-03-10"), "HDC", target, which, overwrite=True
    ).labels  # fmt: skip


@pytest.mark.parametrize(
    ("which", "number"),
    [
        (WhichSamples(), 9),
        (WhichSamples(condition="t40"), 2),
        (WhichSamples(batch="B"), 2),
        (WhichSamples(pack="glass"), 2),
        (WhichSamples(use="fresh"), 2),
        (WhichSamples(use="spare", batch="A"), 1),
        (WhichSamples(samples=(FT_A, TWIN_A, ROOM_A)), 3),
        (WhichSamples(samples=(FT_A, TWIN_A), condition="FT"), 1),
    ],
)
def test_limits_narrow_each_other(
    at: At, tmp_path: Path, which: WhichSamples, number: int
) -> None:
    assert many(at, which, tmp_path) == number


def test_what_left_is_left_out_unless_asked(at: At, tmp_path: Path) -> None:
    bench.retire(at("2026-03-09"), T40_2W, "broken", because="dropped")

    assert many(at, WhichSamples(condition="T40"), tmp_path) == 1
    assert many(at, WhichSamples(condition="T40", retired=True), tmp_path) == 2
    with pytest.raises(NoLabelsError, match="--retired"):
        many(at, WhichSamples(samples=(T40_2W,)), tmp_path)


def test_what_left_later_is_still_there_as_of_an_earlier_day(
    at: At, tmp_path: Path
) -> None:
    bench.retire(at("2026-03-09"), T40_2W, "broken", because="dropped")
    written = labels(
        at("2026-03-10"), "HDC", tmp_path / "labels.pdf",
        WhichSamples(condition="T40"), as_of="2026-03-08",
    )  # fmt: skip

    assert (written.labels, written.as_of.isoformat()) == (2, "2026-03-08")


def test_nothing_that_fits_all_limits_is_told(at: At, tmp_path: Path) -> None:
    with pytest.raises(NoLabelsError, match="no sample is in all"):
        many(at, WhichSamples(condition="T40", batch="B"), tmp_path)
    assert not (tmp_path / "labels.pdf").exists()


def test_names_that_are_not_known_are_told(at: At, tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="use"):
        many(at, WhichSamples(use="nonsense"), tmp_path)
    with pytest.raises(UnknownSampleError):
        many(at, WhichSamples(samples=("HDC-019-M",)), tmp_path)
    with pytest.raises(LabelSheetError, match=r"63\.5x38\.1"):
        labels(at("2026-03-10"), "HDC", tmp_path / "l.pdf", on=WhichLabels(sheet="9x9"))


def test_a_file_that_is_there_is_kept(at: At, tmp_path: Path) -> None:
    target = tmp_path / "labels.pdf"
    target.write_bytes(b"mine")

    with pytest.raises(ReportExistsError):
        labels(at("2026-03-10"), "HDC", target)
    assert target.read_bytes() == b"mine"


def test_what_was_written_is_told(at: At, tmp_path: Path) -> None:
    written = labels(
        at("2026-03-10"), "HDC", tmp_path / "labels.pdf",
        WhichSamples(samples=(T40_2W, T40_4W)), WhichLabels(start_at=21),
    )  # fmt: skip

    assert (written.study, written.labels, written.pages) == ("HDC", 2, 2)
    assert written.anchor.startswith("study:HDC/1:")
    assert written.remarks
