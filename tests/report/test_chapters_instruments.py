"""Instruments in print: calibrations used, what is doubtful, anchors at the end."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pypdf
import pytest

from stability.evaluation.findings import Evaluation
from stability.model.age import Age
from stability.model.instrument_rules import RulesChange
from stability.model.moment import Moment
from stability.report.study_json import study_json
from stability.report.study_text import study_text
from tests.evaluation.instruments import bench, evaluated, instrument, read
from tests.report.printed import Printed, read_back

FAILS = instrument(
    "PH1-9XR2", "pH meter", ("2025-02-07", True), ("2025-04-20", False),
)  # fmt: skip


def evaluation() -> Evaluation:
    """Return a study read with a meter that failed afterwards."""
    made = bench()
    read(made, "2025-02-07", "5.50", "PH1-9XR2", "4w")
    read(made, "2025-04-10", "5.45", "PH1-9XR2", "3M")
    made.read("HDC-001-A", "weight_loss", "4w", "90", done="2025-02-07", part="before")
    return evaluated(made, "2025-05-01", FAILS)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Return its report, read back."""
    return read_back(evaluation(), tmp_path_factory.mktemp("report") / "r.pdf")


def test_the_first_page_counts_what_is_doubtful_and_what_is_not_named(
    report: Printed,
) -> None:
    first = " ".join(report.pages[0].split())

    assert "PH1-9XR2: 2 observations, 2 doubtful, not corrected" in first
    assert "No instrument is named for weight loss" in first
    assert "2 doubtful" in first


def test_the_record_lists_doubtful_readings_and_those_without_calibration(
    report: Printed,
) -> None:
    assert "Doubtful, not corrected: the instrument failed a calibration (2)" in (
        report.flowing
    )
    assert "Read without a valid calibration (1)" in report.flowing


def test_the_chapter_shows_the_calibrations_with_rules_and_results(
    report: Printed,
) -> None:
    printed = report.flowing

    assert "PH1-9XR2, pH meter" in printed
    assert "a calibration holds on its day only" in printed
    assert "7.00 -15 mV" in printed
    assert "failed" in printed
    assert "98.6" in printed


def test_the_report_carries_the_anchors_of_its_instruments(
    report: Printed, tmp_path: Path
) -> None:
    assert f"instrument:PH1-9XR2/3:{FAILS.head.digest[:16]}" in report.flowing.replace(
        " ", ""
    )
    path = tmp_path / "r.pdf"
    path.write_bytes(report.content)
    information = pypdf.PdfReader(path).metadata
    assert information is not None
    carried = str(information["/StabilityAnchors"]).split()
    assert str(FAILS.head) in carried
    assert len(carried) == 2


def test_the_json_marks_doubtful_observations_and_tells_of_instruments() -> None:
    held = json.loads(study_json(evaluation()))

    assert [one["doubtful"] for one in held["observations"]] == [True, True, False]
    (meter,) = held["instruments"]["named"]
    assert meter["instrument"] == "PH1-9XR2"
    assert meter["record"]["digest"] == FAILS.head.digest
    assert meter["doubtful"] == [3, 4]
    assert meter["without_valid_calibration"] == [4]
    assert [one["result"] for one in meter["calibrations"]] == ["passed", "failed"]
    assert held["instruments"]["not_named"] == [
        {"attribute": "weight_loss", "observations": 1, "of": 1}
    ]
    assert "No instrument is named" in held["instruments"]["caution"]


def test_the_text_says_what_the_first_page_says() -> None:
    said = " ".join(study_text(evaluation()).split())

    assert "2 doubtful, not corrected, 1 without a valid calibration." in said


def test_changed_rules_and_a_retirement_stand_in_the_chapter(tmp_path: Path) -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", "PH1", "4w")
    read(made, "2025-04-10", "5.45", "PH1", "3M")
    left = instrument("PH1-9XR2", "pH meter", ("2025-02-07", True), left="2025-03-23")
    rules = replace(left.rules, valid_for=Age(7, "d"))
    change = RulesChange(
        9, date(2025, 3, 1), rules, "procedure 7", Moment(date(2025, 2, 28)),
        datetime(2025, 2, 28, 12, tzinfo=UTC), "Mara",
    )  # fmt: skip
    found = evaluated(made, "2025-05-01", replace(left, changes=(change,)))
    printed = read_back(found, tmp_path / "r.pdf")

    assert "from 2025-03-01: a calibration holds for 7d" in printed.flowing
    assert "because procedure 7 (Mara, 2025-02-28, entry 9)" in printed.flowing
    assert "2025-03-23, by Mara: loan returned (entry 3)" in printed.flowing
    assert "Read with an instrument after it was retired (1)" in printed.flowing
    assert "1 after it was retired" in " ".join(printed.pages[0].split())
    (meter,) = json.loads(study_json(found))["instruments"]["named"]
    assert meter["rules_changed"][0]["since"] == "2025-03-01"
    assert [one["because"] for one in meter["retired"]] == ["loan returned"]
    assert meter["after_retirement"] == [4]


def test_a_study_that_names_none_has_no_chapter_and_one_line(tmp_path: Path) -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", None, "4w")
    report = read_back(evaluated(made, "2025-05-01", FAILS), tmp_path / "r.pdf")

    assert report.flowing.count("No instrument is named for pH") == 1
    assert "A reading without a valid calibration is listed" not in report.flowing


def test_a_meter_that_was_never_calibrated_is_said_to_be(tmp_path: Path) -> None:
    made = bench()
    read(made, "2025-02-07", "5.50", "PH1", "4w")
    bare = instrument("PH1-9XR2", "pH meter")
    report = read_back(evaluated(made, "2025-05-01", bare), tmp_path / "r.pdf")

    assert "No calibration of it is on record by the day of any reading." in (
        report.flowing
    )
