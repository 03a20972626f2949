"""The microbiology lines of page 1, and the chapter of certificates."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model import content
from stability.model.moment import Moment
from stability.records.certifying import certify
from stability.report.chapters_certificates import certificates_chapter
from stability.report.fonts import load_fonts
from stability.report.microbiology import (
    microbiology_lines,
    no_certificate_text,
    outside_lines,
)
from stability.report.study_json import study_json
from stability.report.study_text import study_text
from stability.report.styles import report_styles
from tests.evaluation.builders import Bench, sample, study
from tests.records.certified_study import ALL_A, CLEAN, certified_book, wish
from tests.records.small_study import add
from tests.report.printed import evaluated, read_back

DAY = date(2026, 6, 1)
BELOW_B = (*ALL_A[:4], "A. brasiliensis=log -/-1.0/0.0")


def with_certificates(
    folder: Path, *wishes: tuple[str, dict[str, Any]], **of_study: Any
) -> Evaluation:
    book = certified_book(folder)
    for number, (what, changes) in enumerate(wishes):
        asked = wish(what, **{"number": f"26-{number}", **changes})
        made = certify(book.record, asked, Moment(DAY), DAY)
        add(book, content.CERTIFIED, made.held, DAY.isoformat())
    record = book.record
    return evaluate(replace(record, study=replace(record.study, **of_study)), DAY)


def test_no_microbiological_result_is_ever_assumed() -> None:
    wet = no_certificate_text(study())
    dry = no_certificate_text(replace(study(), contains_water=False))

    assert "needs a preservation efficacy test" in wet
    assert "says nothing about microbiological safety" in wet
    assert "for the assessor to say" in dry
    assert microbiology_lines(evaluated("balm_tin"))[0].startswith(
        "No certificate is recorded."
    )


def test_a_result_is_told_with_all_that_it_is_bound_to(tmp_path: Path) -> None:
    lines = microbiology_lines(
        with_certificates(tmp_path, ("challenge", {"verdict": "criteria A"}))
    )

    for bound in (
        "batch A, JAR", "at the start (T0)", "Corran Laboratory, no. 26-0",
        "2026-05-04", "ISO 11930:2019", "criteria A of ISO 11930 met", "agrees",
    ):  # fmt: skip
        assert bound in lines[0]
    assert "Physical stability says nothing about microbiological safety." in lines


@pytest.mark.parametrize(
    ("what", "changes", "lead"),
    [
        ("challenge", {"results": BELOW_B}, "OUTSIDE: "),
        ("challenge", {"results": ALL_A[1:]}, "NOT DECIDED: "),
        ("count", {"results": ("total=501", *CLEAN[1:])}, "OUTSIDE: "),
        ("challenge", {"version": "0.9"}, "Mismatch, not evidence for this study: "),
    ],
)
def test_what_is_no_plain_pass_is_said_before_all_else(
    tmp_path: Path, what: str, changes: dict[str, Any], lead: str
) -> None:
    lines = microbiology_lines(with_certificates(tmp_path, (what, changes)))

    assert lines[0].startswith(lead)


def test_a_mismatch_leaves_the_product_without_a_test(tmp_path: Path) -> None:
    lines = microbiology_lines(
        with_certificates(tmp_path, ("challenge", {"version": "0.9"}))
    )

    assert "version 0.9, this study is of version 1.0" in lines[0]
    assert lines[1].startswith("No certificate of this study is recorded.")
    assert "needs a preservation efficacy test" in lines[1]


def test_counts_that_say_the_same_share_a_line() -> None:
    first, *others = microbiology_lines(evaluated("plain_lotion"))

    assert first.startswith("6 certificates of counts by Sandhollow Laboratory, each ")
    assert "the specified organisms absent" in first
    assert first.endswith(
        "batch A, BOTTLE, at T0, 12M and 24M; batch B, BOTTLE, at T0, 12M and 24M."
    )
    assert others[0].startswith("Challenge, batch A, BOTTLE")


def test_a_count_outside_or_otherwise_concluded_stands_alone(tmp_path: Path) -> None:
    lines = microbiology_lines(
        with_certificates(
            tmp_path,
            ("count", {}), ("count", {"batch": "B"}),
            ("count", {"results": ("total=501", *CLEAN[1:])}),
            ("count", {"verdict": "meets the limits"}),
        )
    )  # fmt: skip

    assert [line.split(",")[0] for line in lines[:3]] == [
        "OUTSIDE: Count", "2 certificates of counts by Corran Laboratory", "Count",
    ]  # fmt: skip
    assert "meets the limits" in lines[2]


def test_what_is_asked_of_microbes_and_has_not_come_is_told() -> None:
    lines = microbiology_lines(evaluated("day_cream"))

    assert (
        "Asked for by the protocol and not received: count and specified organisms at "
        "12M."
    ) in lines
    assert all("24M" not in line for line in lines)  # not yet reached


def test_a_count_alone_is_no_challenge(tmp_path: Path) -> None:
    lines = microbiology_lines(with_certificates(tmp_path, ("count", {})))

    assert "total <10 CFU" in lines[0]
    assert lines[1].startswith("No challenge certificate of this study is recorded.")


def test_what_is_left_out_is_told_with_why(tmp_path: Path) -> None:
    lines = microbiology_lines(
        with_certificates(tmp_path, omit={"challenge": "a balm without water"})
    )

    assert "Challenge is left out: a balm without water" in lines


def test_a_certificate_outside_without_a_sample_stands_under_outside_limits(
    tmp_path: Path,
) -> None:
    evaluation = with_certificates(
        tmp_path, ("challenge", {"results": BELOW_B}), ("count", {})
    )

    (line,) = outside_lines(evaluation)
    text = study_text(evaluation)

    assert line.startswith("Challenge, batch A")
    outside = text[text.index("Outside limits") : text.index("Shown in real time")]
    assert "Certificates of laboratories" in outside
    assert "does not meet" in " ".join(outside.split())


def test_the_report_prints_page_1_and_the_chapter(tmp_path: Path) -> None:
    evaluation = with_certificates(
        tmp_path,
        ("challenge", {"results": BELOW_B, "verdict": "criteria A"}),
        ("count", {"version": "0.9"}),
        ("acid", {"results": ("9.8",)}),
    )

    report = read_back(evaluation, tmp_path / "report.pdf")
    first = " ".join(report.pages[0].split())
    chapter = " ".join(report.chapter("Certificates").split())

    assert "OUTSIDE: Challenge" in first
    assert "Mismatch, not evidence for this study" in first
    assert "Challenge, no. 26-0: outside" in chapter
    assert "2.0x10^2, 3.097 log" in chapter
    assert "“criteria A”, differs from not met here" in chapter
    assert "Count, no. 26-1: mismatch" in chapter
    assert "inside the limit of ISO 17516" not in chapter  # a mismatch is not judged
    assert "judged alone, in no series" in chapter
    assert "not received" in chapter
    assert "ISO 29621" in chapter


def test_without_certificates_asked_for_there_is_no_chapter() -> None:
    bench = Bench((sample("HDC-1", "ROOM"),)).evaluate("2025-02-01")

    assert bench.certificates.asked == ()
    assert certificates_chapter(bench, report_styles(load_fonts())) == []


def test_json_holds_values_as_typed_and_both_verdicts(tmp_path: Path) -> None:
    evaluation = with_certificates(
        tmp_path, ("challenge", {"verdict": "criteria B"}), ("count", {"batch": "Z"})
    )

    found = json.loads(study_json(evaluation))["certificates"]

    recorded = {one["attribute"]: one for one in found["recorded"]}
    challenge, count = recorded["challenge"], recorded["count"]
    assert challenge["results"][0]["value"] == "2.5x10^5"
    assert challenge["challenge"]["criterion"] == "criteria A"
    assert challenge["challenge"]["organisms"][0]["log_reductions"][0] == {
        "day": 7, "log10": "3.097",
    }  # fmt: skip
    assert challenge["laboratory_states"] == "criteria B"
    assert challenge["mark"] == "outside"
    assert (count["mark"], count["is_evidence"]) == ("mismatch", False)
    assert count["count"]["total_cfu"] == "<10"
    asked = found["asked_for"]
    states = {(one["attribute"], one["check"]): one["state"] for one in asked}
    assert states["challenge", "T0"] == "received"
    assert states["count", "T0"] == "not received"
