"""The study report as an assessor holds it: printed, then read by other readers."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from stability.model.age import check_text
from stability.model.program import program_name
from stability.model.study import Pack
from stability.report.pages import PageSetup
from stability.report.wording import FOOTER, NOT_TAGGED
from tests.evaluation.builders import Bench, bulk, protocol, sample, study
from tests.report.printed import EXAMPLES, FOLDERS, Printed, printed, read_back

KEYS = (
    "What it is",
    "As sold?",
    "Asked",
    "Outside limits",
    "Shown in real time",
    "Beyond what is",
    "Precision",
    "Microbiology",
    "After opening",
    "Limits",
    "Record",
)
#: Where a study has samples in heat, or a kinetic attribute.
HEAT = "Accelerated and real time"
CHAPTERS = [
    "Findings by attribute and condition",
    "Outside limits",
    "What happened in the record",
    "Conclusion, drafted for the assessor",
    "Certificates",
    "Shelf life",
    HEAT,
    "Cautions",
    "Still running",
    "Protocol",
    "Samples",
    "Storage",
    "Readings",
    "Scores and statements",
    "Comparisons",
    "Drift",
    "Out of trend",
    "The record behind this report",
    "Measured, reviewed, assessed",
]
PRINT = """
import sys
from pathlib import Path
from tests.report.printed import evaluated
from stability.report.study_report import write_report
write_report(evaluated("balm_tin"), Path(sys.argv[1]))
"""


@pytest.fixture(params=EXAMPLES)
def report(request: pytest.FixtureRequest) -> Printed:
    """Return the report of each example."""
    return printed(request.param)


def tokens(text: str) -> str:
    """Return text without any space, so that a wrapped line is found too."""
    return "".join(text.split())


def test_the_note_on_assessment_stands_on_page_one_and_at_the_foot_of_every_page(
    report: Printed,
) -> None:
    note = " ".join(report.pages[0].split())
    assert "supports and does not replace assessment by a qualified safety" in note
    for number, page in enumerate(report.pages, start=1):
        last = page.splitlines()[-1]
        assert (
            last == f"{FOOTER} {program_name()} · page {number} of {len(report.pages)}"
        )


def test_page_one_answers_in_the_order_in_which_an_assessor_asks(
    report: Printed,
) -> None:
    lines = report.pages[0].splitlines()
    places = [
        next(at for at, line in enumerate(lines) if line.startswith(key))
        for key in KEYS
    ]
    assert places == sorted(places)
    assert lines[-2].startswith("study limits, not the product's release")


def test_position_and_digest_of_the_record_are_printed_and_machine_readable(
    report: Printed,
) -> None:
    head = report.evaluation.identity.head
    told = tokens(f"{head.subject}/{head.position}, digest {head.digest}")
    assert told in tokens(report.pages[0])
    assert f"{head.position} {head.digest[:16]}" in report.pages[-1].splitlines()[0]
    described = report.reader.metadata
    assert described is not None
    assert str(described["/StabilityAnchors"]) == str(head)
    assert str(described["/StabilityAsOf"]) == "2026-09-30"
    assert report.evaluation.identity.fingerprint in tokens(report.pages[0])


def test_the_document_is_named_after_its_study(report: Printed) -> None:
    study = report.evaluation.identity.study
    described = report.reader.metadata
    assert described is not None
    assert described.title == (
        f"Stability study {study.code}: {study.product} {study.version}"
    )


def test_every_chapter_has_a_bookmark_in_order(report: Printed) -> None:
    ageing = report.evaluation.ageing
    assert ageing is not None
    there = {
        HEAT: bool(ageing.heat or ageing.kinetics),
        "Certificates": bool(report.evaluation.certificates.findings),
    }
    assert report.titles() == [one for one in CHAPTERS if there.get(one, True)]


def test_no_heading_stands_alone_at_the_foot_of_a_page(report: Printed) -> None:
    for page in report.pages:
        assert page.splitlines()[-2] not in CHAPTERS


def test_no_word_leaves_the_page_or_its_margins(report: Printed) -> None:
    page = PageSetup()
    left, _, right, _ = (margin * 72 / 25.4 for margin in page.margins_mm)
    width, height = page.size
    for words in report.words:
        for word in words:
            assert word["x0"] >= left - 1, word["text"]
            assert word["x1"] <= width - right + 1, word["text"]
            assert 0 < word["top"] < word["bottom"] < height, word["text"]


def test_every_observation_outside_its_limit_is_printed_under_outside_limits(
    report: Printed,
) -> None:
    chapter = report.chapter("Outside limits").splitlines()
    outside = [one for one in report.evaluation.judged if one.is_outside]
    for seen in outside:
        start = f"{seen.sample.code} {check_text(seen.check or 'extra')} "
        assert any(
            line.startswith(start)
            and "■ outside" in line
            and line.endswith(f" {seen.position}")
            for line in chapter
        ), seen.position
    if not outside:
        assert any("lies outside its limit." in line for line in chapter)


def test_page_one_names_every_group_of_findings(report: Printed) -> None:
    page = " ".join(report.pages[0].split())
    for group in report.evaluation.outside:
        for finding in group.findings[:4]:
            assert finding.text in page


def test_every_caution_and_every_remark_is_printed(report: Printed) -> None:
    # A text may go on over a page's end: its head and foot stand between.
    inner = [page.splitlines()[1:-1] for page in report.pages]
    flowing = tokens("".join(line for lines in inner for line in lines))
    for caution in report.evaluation.cautions:
        assert tokens(caution.text) in flowing
    assert NOT_TAGGED in report.text


def test_every_sample_is_listed(report: Printed) -> None:
    chapter = report.chapter("Samples")
    for fate in report.evaluation.samples:
        assert f"\n{fate.sample.code} {fate.sample.batch} " in chapter


def test_the_shelf_life_says_where_its_rules_come_from(report: Printed) -> None:
    flowing = " ".join(report.chapter("Shelf life").split())
    assert "borrowed from ICH Q1E, which is written for medicines" in flowing
    life = report.evaluation.shelf_life
    assert life is not None
    assert life.look.text in flowing


def test_the_day_cream_stays_below_forty_pages() -> None:
    assert len(printed("day_cream").pages) < 37


def test_a_report_is_the_same_bytes_in_any_process(tmp_path: Path) -> None:
    digests = set()
    for number, changed in enumerate(
        (
            {"PYTHONHASHSEED": "1", "TZ": "Asia/Tokyo", "LC_ALL": "C"},
            {
                "PYTHONHASHSEED": "77",
                "TZ": "America/Lima",
                "LC_ALL": "C.UTF-8",
                "SOURCE_DATE_EPOCH": "1",
            },
        )
    ):
        target = tmp_path / f"{number}.pdf"
        subprocess.run(
            [sys.executable, "-c", PRINT, str(target)],
            check=True,
            cwd=FOLDERS.parent,
            env={**os.environ, "PYTHONPATH": str(FOLDERS.parent), **changed},
        )
        digests.add(hashlib.sha256(target.read_bytes()).hexdigest())
    assert len(digests) == 1


def test_what_people_typed_prints_as_typed_and_reads_no_file(tmp_path: Path) -> None:
    named = study(
        ("$5$",),
        product="<b>A & B</b>",
        maker="<img src=/etc/passwd>",
        packs={"JAR": Pack("JAR", '<a href="file:///etc/passwd">jar</a> {x} %s')},
    )
    bench = Bench((bulk("$5$"), sample("HDC-1", "ROOM", batch="$5$")), study=named)
    bench.read("BULK-$5$", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    found = read_back(bench.evaluate("2025-03-01"), tmp_path / "typed.pdf")
    assert found.pages[0].splitlines()[1] == "<b>A & B</b>, version 1.0"
    assert "Maker: <img src=/etc/passwd>." in found.pages[0]
    assert '<a href="file:///etc/passwd">jar</a> {x} %s' in found.pages[0]
    assert "$5$ made 2025-01-06" in found.pages[0]
    assert "ROOM, JAR, batch $5$" in found.text
    assert "root:" not in found.text
    assert b"/URI" not in found.content


def test_a_study_of_which_nothing_was_read_says_so(tmp_path: Path) -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    found = read_back(bench.evaluate("2025-01-07"), tmp_path / "nothing.pdf")
    assert "Nothing has been read yet." in found.pages[0]
    assert "Nothing has been read yet." in found.chapter("Readings")


def test_checks_of_which_nothing_was_recorded_are_printed_as_missing(
    tmp_path: Path,
) -> None:
    bench = Bench((bulk(), sample("HDC-1", "ROOM")))
    bench.place("HDC-1", "ROOM")
    found = read_back(bench.evaluate("2026-06-01"), tmp_path / "missing.pdf")
    chapter = found.chapter("What happened in the record")
    assert "Checks not recorded by the end of their window" in chapter
    for check in ("4w", "3M", "6M", "9M", "12M"):
        assert f"\nHDC-1 {check} " in chapter
    assert "0 of" in found.pages[0]


def test_a_study_in_which_everything_failed_prints_every_failure(
    tmp_path: Path,
) -> None:
    bench = Bench((bulk(), sample("HDC-1", "ROOM"), sample("HDC-2", "T40")))
    bench.read("BULK-A", "pH", "T0", "4.1", "4.2", done="2025-01-09")
    for code, condition in (("HDC-1", "ROOM"), ("HDC-2", "T40")):
        bench.place(code, condition)
        bench.read(code, "pH", "4w", "4.0", "4.1", done="2025-02-07")
        bench.read(code, "odour", "4w", "Ana:changed", "Bo:changed", done="2025-02-07")
    found = read_back(bench.evaluate("2025-02-20"), tmp_path / "failed.pdf")
    chapter = found.chapter("Outside limits")
    assert chapter.count("■ outside") >= 5
    for title in ("Bearing the request", "Intermediate and accelerated", "Initial"):
        assert title in found.pages[0]
    assert "changed (Ana, Bo)" in chapter


def test_one_batch_read_once_says_what_it_cannot_show(tmp_path: Path) -> None:
    bench = Bench((bulk(), sample("HDC-1", "ROOM", checks=("4w",))))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    found = read_back(bench.evaluate("2025-03-01"), tmp_path / "one.pdf")
    assert "One batch cannot show how batches differ." in found.pages[0]
    assert "a line needs at least" in found.chapter("Drift")


def test_a_remark_longer_than_a_page_is_printed_to_its_end(tmp_path: Path) -> None:
    bench = Bench((bulk(), sample("HDC-1", "ROOM")))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    why = " ".join(f"word{number:04}" for number in range(1200))
    bench.miss("4w", "HDC-1", because=why, done="2025-02-07")
    found = read_back(bench.evaluate("2025-03-01"), tmp_path / "long.pdf")
    for number in (0, 600, 1199):
        assert f"word{number:04}" in found.text


def test_names_of_200_characters_stay_on_the_page(tmp_path: Path) -> None:
    long = "Very long name without end " * 8
    word = "w" * 200
    named = study(
        (word,),
        product=long[:200],
        maker=word,
        packs={"JAR": Pack("JAR", word)},
    )
    bench = Bench((bulk(word), sample("HDC-1", "ROOM", batch=word)), study=named)
    bench.read(f"BULK-{word}", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    found = read_back(bench.evaluate("2025-03-01"), tmp_path / "names.pdf")
    assert word in tokens(found.text)
    width = PageSetup().size[0]
    right = PageSetup().margins_mm[2] * 72 / 25.4
    assert all(one["x1"] <= width - right + 1 for page in found.words for one in page)


def test_an_attribute_left_out_before_t0_has_no_row_and_gives_its_reason(
    tmp_path: Path,
) -> None:
    without = study(omit={"odour": "no second nose"})
    bench = Bench((bulk(), sample("HDC-1", "ROOM")), study=without)
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    found = read_back(bench.evaluate("2025-01-20"), tmp_path / "omit.pdf")
    assert "odour: no second nose" in found.chapter("Protocol")
    findings = found.chapter("Findings by attribute and condition")
    assert "\nodour " not in findings


def test_the_protocol_prints_each_limit_with_its_reason(
    tmp_path: Path,
) -> None:
    rules = protocol()
    limit = replace(rules.attributes["pH"].limit, reason="the active is at risk")
    changed = replace(rules.attributes["pH"], limit=limit)
    rules = replace(rules, attributes={**rules.attributes, "pH": changed})
    bench = Bench((bulk(), sample("HDC-1", "ROOM")), protocol=rules)
    found = read_back(bench.evaluate("2025-01-20"), tmp_path / "reason.pdf")
    chapter = found.chapter("Protocol")
    assert "5.0 to 5.9 The active is at risk." in chapter
    assert "preservative." in chapter
