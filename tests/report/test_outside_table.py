"""Readings outside their limits with what may explain them, in print."""

from __future__ import annotations

from pathlib import Path

from stability.evaluation.explanations import beside_of
from stability.report.outside_table import explained_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.report.printed import printed, read_back


def failed() -> Bench:
    """Return a late pH outside its limit, the cold control beside it inside."""
    bench = Bench([bulk(), sample("HDC-HOT", "T40"), sample("HDC-COLD", "COLD")])
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    for code, condition in (("HDC-HOT", "T40"), ("HDC-COLD", "COLD")):
        bench.place(code, condition)
    bench.read("HDC-HOT", "pH", "4w", "4.7", "4.7", done="2025-02-08")
    bench.read("HDC-COLD", "pH", "4w", "5.5", "5.5", done="2025-02-08")
    return bench


def test_remarks_of_the_reading_stand_before_what_stands_beside_it() -> None:
    evaluation = failed().evaluate("2025-02-20")
    (seen,) = [one for one in evaluation.judged if one.is_outside]
    assert explained_text(seen, beside_of(evaluation)) == (
        "late (1 day); weight: not known at this check; cold control COLD: 5.5, not "
        "changed"
    )


def test_the_column_is_printed_under_outside_limits(tmp_path: Path) -> None:
    found = read_back(failed().evaluate("2025-02-20"), tmp_path / "outside.pdf")
    chapter = " ".join(found.chapter("Outside limits").split())
    assert "Explained by" in chapter
    assert "late (1 day)" in chapter
    assert "cold control COLD: 5.5" in " ".join(chapter.split())


def test_the_day_cream_prints_its_loss_beside_its_separation() -> None:
    chapter = " ".join(printed("day_cream").chapter("Outside limits").split())
    assert "weight loss: 0.988 % at this check" in chapter


def test_what_a_failure_means_is_said_once_for_a_condition() -> None:
    chapter = printed("day_cream").chapter("Outside limits")
    assert chapter.count("Protocol on T45: storage and transport words") == 1
