"""The instrument commands."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

from stability.cli.app import app, load_commands
from stability.cli.listings_instruments import doubtful_lines
from stability.workflow.instruments import Doubtful
from tests.cli.conftest import Command, Workspace, unexplained
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, write_files

load_commands(["instrument"])
GROUP: Any = dict(get_command(app).commands)["instrument"]  # type: ignore[attr-defined]
COMMANDS: dict[str, Any] = dict(GROUP.commands)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_explained_by_a_line_a_paragraph_and_an_example(name: str) -> None:
    assert unexplained(COMMANDS[name], f"instrument {name}") == set()


def test_an_instrument_is_registered_calibrated_and_listed(command: Command) -> None:
    assert command(
        "instrument", "add", "PH1", "--kind", "pH meter", "--what", "glass",
        "--suffix", "9XR2", "--person", "Ana",
    ).code == 0  # fmt: skip
    made = command(
        "instrument", "calibrate", "PH1", "--buffer", "7.01=-15", "--buffer",
        "4.01=160", "--temperature", "25", "--on", "2026-03-02", "--person", "Ana",
    )  # fmt: skip

    assert made.code == 0
    assert made.out == ""
    assert "PH1-9XR2/2  PH1 passed; slope 98.6 %, offset -14.4 mV" in made.err
    assert re.search(
        r"^record: instrument:PH1-9XR2/2:[0-9a-f]{16}$", made.err, re.MULTILINE
    )
    listed = json.loads(command("instrument", "list", "--format", "json").out)
    (row,) = listed["instruments"]
    assert (row["instrument"], row["calibration"], row["last"]) == (
        "PH1-9XR2", "lapsed", "2026-03-02",
    )  # fmt: skip
    shown = command("instrument", "show", "PH1")
    assert "slope 90.0 to 105.0 % (USP <791>)" in shown.out
    assert re.search(r"PH1/2 +2026-03-02 +Ana +passed +98\.6 +-14\.4 +25", shown.out)


def test_rules_are_changed_and_an_instrument_is_retired(command: Command) -> None:
    command("instrument", "add", "PH1", "--kind", "pH meter", "--suffix", "9XR2")
    changed = command("instrument", "rules", "PH1", "--valid-for", "7d", "--from",
                      "2030-01-01", "--because", "procedure 7")  # fmt: skip
    left = command("instrument", "retire", "PH1", "--on", "2026-03-02",
                   "--because", "loan returned", "--person", "Ana")  # fmt: skip

    assert (changed.code, left.code) == (0, 0)
    assert "PH1-9XR2/2  PH1 from 2030-01-01: a calibration holds for 7d" in changed.err
    assert "PH1-9XR2/3  PH1 retired 2026-03-02, by Ana: loan returned" in left.err
    (row,) = json.loads(command("instrument", "list", "--format", "json").out)[
        "instruments"
    ]
    assert (row["calibration"], row["valid_for"]) == ("retired 2026-03-02", "1d")
    shown = command("instrument", "show", "PH1").out
    assert "PH1/2 rules from 2030-01-01: a calibration holds for 7d;" in shown
    assert "PH1/3 retired 2026-03-02, by Ana: loan returned" in shown


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_without_instruments_a_listing_says_so(workspace: Workspace, form: str) -> None:
    listed = workspace.run("instrument", "list", "--format", form)

    assert listed.code == 0
    said = listed.out + listed.err
    assert form == "csv" or "No instrument is registered." in said


def test_one_buffer_is_refused_in_one_line_and_nothing_is_stored(
    command: Command,
) -> None:
    command("instrument", "add", "PH1", "--kind", "pH meter", "--suffix", "9XR2")
    before = command("instrument", "show", "PH1").out

    refused = command("instrument", "calibrate", "PH1", "--buffer", "7.00=-15",
                      "--temperature", "22")  # fmt: skip

    assert refused.code == 2
    assert refused.err.count("\n") == 1
    assert "one buffer tells no slope" in refused.err
    assert command("instrument", "show", "PH1").out == before


def test_a_balance_is_checked_and_a_mistyped_check_set_aside(command: Command) -> None:
    command("instrument", "add", "BAL1", "--kind", "balance", "--suffix", "7KQ4")
    bad = command("instrument", "check", "BAL1", "--weight", "50.00=55.01")
    aside = command("instrument", "invalidate", "BAL1/2", "--because", "mistyped")
    good = command("instrument", "check", "BAL1", "--standard", "50.00=50.01")

    assert (bad.code, aside.code, good.code) == (0, 0, 0)
    assert "failed: 50.00 g gave 55.01 g, not within 0.1 %" in bad.err
    shown = json.loads(command("instrument", "show", "BAL1", "--format", "json").out)
    assert [one["passed"] for one in shown["calibrations"]] == [False, True]
    assert "set aside: mistyped" in shown["calibrations"][0]["result"]
    assert shown["calibration"] == "valid"


def test_a_suffix_is_drawn_anew_for_each_instrument(command: Command) -> None:
    drawn = set()
    for number in range(6):
        made = command("instrument", "add", f"X{number}", "--kind", "timer")
        (found,) = re.findall(r"^X\d-([0-9A-Z]{4})/1 ", made.err, re.MULTILINE)
        drawn.add(found)

    assert len(drawn) > 1


def test_from_the_bench_to_the_report_a_reading_carries_its_doubt(
    command: Command, tmp_path: Path
) -> None:
    study = write_files(tmp_path / "metered", protocol=METERED)
    command("start", str(study))
    command("instrument", "add", "PH1", "--kind", "pH meter", "--suffix", "9XR2")
    command("instrument", "calibrate", "PH1", "--slope", "98", "--on", "2026-03-04")
    logged = command(
        "log", BULK_A, "pH=5.50/5.52", "--set", "instrument=PH1", "--on", "2026-03-05"
    )
    failed = command(
        "instrument", "calibrate", "PH1", "--slope", "88", "--on", "2026-03-06"
    )

    assert "inside; no valid calibration of PH1 on that day (last 2026-03-04" in (
        logged.err
    )
    assert failed.code == 0
    assert "HDC: 1 observation is doubtful, not corrected: HDC/2." in failed.err
    shown = command("show", "HDC", "--format", "json")
    (row,) = json.loads(shown.out)["observations"]
    assert row["mark"] == "inside"
    assert "doubtful: PH1 failed its calibration on 2026-03-06" in row["remarks"]


def test_many_doubtful_readings_are_counted_and_the_first_named() -> None:
    (line,) = doubtful_lines([Doubtful("HDC", tuple(range(1, 13)))])

    assert line == (
        "HDC: 12 observations are doubtful, not corrected: HDC/1, HDC/2, HDC/3, HDC/4, "
        "HDC/5, HDC/6, HDC/7, HDC/8 and 4 more. Read again what can still be read."
    )
