"""Follow-ups in print and in JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stability.report.chapters_follow_ups import follow_ups_text
from stability.report.study_json import study_json
from stability.report.study_text import study_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.report.printed import read_back

JAR, HOT = "HDC-001-A", "HDC-002-B"


@pytest.fixture
def bench() -> Bench:
    """Return a study with readings outside, entries 5 and 6, and a failed jar: 7."""
    made = Bench([bulk(), sample(JAR, "ROOM"), sample(HOT, "T40")])
    made.read("BULK-A", "pH", "T0", "5.50", "5.50", done="2025-01-09")
    made.place(JAR, "ROOM")
    made.place(HOT, "T40")
    made.read(JAR, "pH", "4w", "4.80", "4.80", done="2025-02-07")
    made.read(HOT, "pH", "4w", "4.70", "4.70", done="2025-02-07")
    made.retire(HOT, "mouldy", "2025-02-08", "grey dots")
    return made


def test_open_ones_are_printed_under_their_finding_and_counted_on_page_1(
    bench: Bench, tmp_path: Path
) -> None:
    read = read_back(bench.evaluate("2025-02-09"), tmp_path / "r.pdf")

    first, printed = " ".join(read.pages[0].split()), read.flowing
    assert "3 follow-ups of what lies outside: 3 open." in first
    assert "3 follow-ups open." in first
    for position in (5, 6, 7):
        assert f"◆ Follow-up open (entry {position})." in printed
    assert "Follow-ups of what lies outside its limit (3)" in printed
    assert "open, of entry 5: pH 4.80 at 4w: below 5.0" in printed


def test_an_answer_is_printed_with_checks_outcome_and_reason(
    bench: Bench, tmp_path: Path
) -> None:
    bench.read(
        JAR, "pH", "4w", "4.82", "4.82", done="2025-02-07", repeats=5, because="again"
    )
    bench.answer(5, "not explained", "2025-02-08", "no meter", calibration="no")
    bench.answer(5, "confirmed", "2025-02-09", "two meters agree", right_sample="yes")
    read = read_back(bench.evaluate("2025-02-10"), tmp_path / "r.pdf")

    # Cells break, so that words of several columns stand on one line.
    # Page 1 names the group too.
    chapter = read.flowing.rpartition("Bearing the request (long-term storage)")[2]
    finding = set(chapter.partition("Intermediate and accelerated")[0].split())
    assert finding >= {"(superseded)", "meter", "repeat,", "8:", "4.82,", "10"}
    assert finding >= {"5", "confirmed", "two", "meters", "agree", "sample:", "yes;"}
    assert chapter.partition("Intermediate")[0].count("repeat,") == 1
    assert "superseded by entry 10" in read.flowing
    assert "3 follow-ups of what lies outside: 2 open." in read.flowing


def test_a_study_without_any_prints_none(tmp_path: Path) -> None:
    made = Bench([bulk()])
    made.read("BULK-A", "pH", "T0", "5.50", "5.50", done="2025-01-09")
    evaluation = made.evaluate("2025-01-10")

    assert follow_ups_text(evaluation) == ""
    assert "ollow-up" not in read_back(evaluation, tmp_path / "r.pdf").flowing
    assert json.loads(study_json(evaluation))["follow_ups"] == []


def test_text_and_json_say_the_same(bench: Bench) -> None:
    bench.answer(6, "confirmed", "2025-02-09", "second meter", right_sample="yes")
    evaluation = bench.evaluate("2025-02-10")

    assert "3 follow-ups of what lies outside: 2 open." in " ".join(
        study_text(evaluation).split()
    )
    held = json.loads(study_json(evaluation))["follow_ups"]
    assert [(one["refers_to"], one["state"]) for one in held] == [
        (5, "open"), (6, "answered"), (7, "open"),
    ]  # fmt: skip
    (said,) = held[1]["answers"]
    assert said["checks"]["right sample"] == "yes"
    assert said["checks"]["weight"] == "not looked at"
    assert (said["outcome"], said["because"]) == ("confirmed", "second meter")
