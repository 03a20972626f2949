"""Readings left to the files of a report: what is of note stays in print."""

from __future__ import annotations

import csv
import io
from functools import cache

import pytest

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.report import in_print
from stability.report.in_print import MOST_PRINTED, left_to_files
from stability.report.judged_csv import COLUMNS, judged_csv
from stability.report.readings_summary import left_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.report.printed import evaluated


@cache
def of_note() -> Evaluation:
    """Return a study with one reading of each kind that has to be printed."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM"), sample("HDC-2", "T40")))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.place("HDC-2", "T40")
    bench.read("HDC-1", "pH", "4w", "5.48", "5.48", done="2025-02-07")
    bench.read(
        "HDC-1", "odour", "4w", "Ana:as control", "Bo:as control", done="2025-02-07"
    )
    bench.read("HDC-1", "pH", "3M", "5.46", "5.46", done="2025-06-30")
    bench.read("HDC-2", "pH", "4w", "4.1", "4.1", done="2025-02-07")
    return bench.evaluate("2025-07-01")


def printed(evaluation: Evaluation) -> list[JudgedObservation]:
    """Return what is printed one by one where the rest is left."""
    left = left_to_files(evaluation, "attach")
    return [one for one in evaluation.judged if one.position not in left]


def test_what_is_outside_or_deviates_stays_and_what_is_plain_goes() -> None:
    evaluation = of_note()
    kept = {(one.sample.code, one.attribute, one.check) for one in printed(evaluation)}

    late = next(one for one in evaluation.judged if one.check == "3M")
    assert late.mark == "inside"
    assert late.deviations
    assert kept == {("HDC-2", "pH", "4w"), ("HDC-1", "pH", "3M")}


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_nothing_of_note_is_left_to_the_files(name: str) -> None:
    evaluation = evaluated(name)
    left = left_to_files(evaluation, "attach")
    away = [one for one in evaluation.judged if one.position in left]

    assert away
    assert {one.mark for one in away} <= {"inside", "changed, inside", "recorded only"}
    assert all(one.takes_part and not one.deviations for one in away)
    assert not any(one.is_outside or one.is_doubtful for one in away)
    out = {
        position
        for series in evaluation.measured
        for test in series.trend_tests
        if test.result.is_out
        for point in series.points
        if (point.check, point.day) == (test.check, test.day)
        for position in point.positions
    }
    assert not out & left


def test_weighings_and_words_of_one_row_are_printed_together() -> None:
    evaluation = evaluated("day_cream")
    left = left_to_files(evaluation, "attach")
    kinds = evaluation.identity.protocol.attributes
    rows: dict[tuple[object, ...], set[bool]] = {}
    for one in evaluation.judged:
        table = one.attribute if kinds[one.attribute].kind == "measured" else "words"
        row = (table, one.sample.code, one.check, one.observation.done.day)
        rows.setdefault(row, set()).add(one.position in left)

    assert all(len(found) == 1 for found in rows.values())


def test_readings_are_left_only_above_the_size_that_is_declared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    evaluation = of_note()
    assert len(evaluation.judged) <= MOST_PRINTED
    assert left_to_files(evaluation, "print") == frozenset()
    assert left_to_files(evaluation, "auto") == frozenset()

    monkeypatch.setattr(in_print, "MOST_PRINTED", len(evaluation.judged) - 1)

    assert left_to_files(evaluation, "print") == frozenset()
    assert left_to_files(evaluation, "auto") == left_to_files(evaluation, "attach")
    assert left_to_files(evaluation, "auto")


def test_the_file_holds_every_reading_with_value_limit_and_mark() -> None:
    evaluation = evaluated("day_cream")
    left = left_to_files(evaluation, "attach")

    rows = list(csv.DictReader(io.StringIO(judged_csv(evaluation, left))))

    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == len(evaluation.judged)
    for row, seen in zip(rows, evaluation.judged, strict=True):
        assert row["entry"] == f"QDC/{seen.position}"
        assert row["mark"] == seen.mark
        assert row["limit"].removeprefix("'") == seen.limit_text
        assert row["value"].removeprefix("'") == seen.value_text
        assert row["printed"] == ("no" if seen.position in left else "yes")
    assert {row["mark"] for row in rows} >= {"inside", "outside"}


def test_what_is_left_is_said_with_its_place() -> None:
    words = left_text(12, 14)

    assert words.startswith("12 of 14 readings lie inside")
    assert "readings.csv and observations.csv inside this document" in words
