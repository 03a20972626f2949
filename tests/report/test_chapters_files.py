"""Files inside a report: unchanged, listed with digests; readings left to them."""

from __future__ import annotations

import hashlib
import re

import pytest

from stability.report.attachments import Attachment
from stability.report.chapters_files import files_chapter, judged_files
from stability.report.in_print import left_to_files
from stability.report.study_report import write_report
from stability.report.styles import ReportStyles
from tests.report.printed import Printed, evaluated, printed, read_file

VIEWS = (
    Attachment("observations.csv", b"entry,sample\n", "text/csv", "as recorded"),
    Attachment("study.toml", 'code = "ü"\n'.encode(), "application/toml", "study file"),
)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Return the day cream's report with files, its plain readings left to them."""
    target = tmp_path_factory.mktemp("files") / "report.pdf"
    evaluation = evaluated("day_cream")
    write_report(evaluation, target, attachments=VIEWS, readings="attach")
    return read_file(evaluation, target)


def test_files_come_back_unchanged_and_stand_in_the_list(report: Printed) -> None:
    inside = {name: found[0] for name, found in report.reader.attachments.items()}
    left = left_to_files(report.evaluation, "attach")
    judged = judged_files(report.evaluation, left)

    assert inside == {one.name: one.content for one in (*VIEWS, *judged)}
    chapter = "".join(report.chapter("The record behind this report").split())
    assert "Filesinsidethisdocument" in chapter
    for name, content in inside.items():
        assert f"{name}" in chapter
        assert hashlib.sha256(content).hexdigest() in chapter


def test_every_attribute_says_how_many_readings_were_left_and_where(
    report: Printed,
) -> None:
    evaluation = report.evaluation
    left = left_to_files(evaluation, "attach")
    here = [one for one in evaluation.judged if one.attribute == "pH"]
    away = sum(one.position in left for one in here)

    words = f"{away} of {len(here)} readings lie inside their limit"
    assert 0 < away < len(here)
    assert words in report.flowing


def test_every_reading_outside_its_limit_is_printed_with_its_entry(
    report: Printed,
) -> None:
    readings = report.chapter("Readings") + report.chapter("Scores and statements")
    entries = {int(one) for one in re.findall(r"\d+", readings)}
    for first, last in re.findall(r"(\d+)–(\d+)", readings):
        entries.update(range(int(first), int(last) + 1))
    for seen in report.evaluation.judged:
        if seen.is_outside:
            assert seen.sample.code in readings
            assert seen.position in entries


def test_fewer_pages_are_printed_where_readings_are_left(report: Printed) -> None:
    assert len(report.pages) < len(printed("day_cream").pages) - 2


def test_without_files_there_is_no_list(styles: ReportStyles) -> None:
    assert files_chapter((), styles) == []
