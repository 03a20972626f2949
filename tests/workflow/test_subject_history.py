"""The history of storage places and instruments: every entry, and what became of it."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.studies import UnknownStudyError
from stability.workflow import instrument_changes, instruments, studies
from stability.workflow.occasion import Occasion

LANDED = Path(__file__).parents[1] / "records" / "landed" / "2026-11-26"


@pytest.fixture
def at(nowhere: Occasion, tmp_path: Path) -> Occasion:
    """Return an occasion in a workspace with every kind of entry."""
    shutil.copy(LANDED / "stability.db", tmp_path / "landed.db")
    now = datetime(2027, 1, 4, 9, 0, tzinfo=UTC)
    return replace(nowhere, records=str(tmp_path / "landed.db"), now=now)


def test_a_place_is_told_from_its_registration_on(at: Occasion) -> None:
    lines = studies.history(at, "oven")

    assert [one.reference for one in lines] == [f"OVEN-7KQ4/{n}" for n in range(1, 9)]
    assert [one.kind for one in lines][:3] == [
        "place-registered", "storage-logged", "storage-looked",
    ]  # fmt: skip
    assert lines[0].text == (
        "registered: incubator, 40 ± 2 °C; a reading stands for up to 2h (common "
        "practice); times in Europe/Dublin"
    )
    assert lines[1].text.startswith("logger oven.csv: 120 readings, ")
    assert lines[1].text.endswith("; SHA-256 9bb46d85814dca6d")
    assert lines[3].text == (
        "power cut, colder than meant, 2026-03-15 22:00 to 2026-03-16 07:00"
    )
    assert lines[4].text == (
        "2026-03-01 00:00 to 2026-03-20 12:00 answered: continued, because 9 h of 4 "
        "weeks, below the temperature meant"
    )
    assert "answered: continued for TRK, because 6 h, short" in lines[7].text


def test_what_was_set_aside_stands_with_who_did_it_and_why(at: Occasion) -> None:
    lines = studies.history(at, "OVEN-7KQ4")

    assert lines[5].state == "set aside by OVEN-7KQ4/7"
    assert lines[6].text == "6 set aside: typed 3.91 for 39.1"
    assert (lines[6].person, lines[6].done) == ("Ana Reyes", "2026-03-21")
    assert "set aside" not in lines[5].text


def test_an_instrument_is_told_with_its_rules_and_its_end(at: Occasion) -> None:
    instrument_changes.change_rules(at, "PH1", valid_for="7d", because="procedure 7")
    instrument_changes.retire(at, "PH1", because="loan returned")
    lines = studies.history(at, "PH1")

    assert lines[0].text.startswith(
        "registered: pH meter, glass electrode; a calibration holds on its day only"
    )
    assert lines[1].text.startswith("passed; slope 98.6 %, offset -14.4 mV, buffers")
    assert lines[2].state == "set aside by PH1-9XR2/4"
    assert lines[4].text.endswith("; because old electrode")
    assert lines[5].text.startswith(
        "rules from 2027-01-04: a calibration holds for 7d; "
    )
    assert lines[6].text == "retired: loan returned"


def test_a_study_comes_before_a_place_of_its_name(at: Occasion) -> None:
    instruments.add(at, "TRK", "balance", "", suffix="CCCC")

    assert studies.history(at, "TRK")[0].kind == "study-opened"
    assert studies.history(at, "TRK-CCCC")[0].kind == "instrument-registered"


def test_a_name_of_two_tells_neither_and_names_both(at: Occasion) -> None:
    instruments.add(at, "OVEN", "thermometer", "", suffix="CCCC")

    with pytest.raises(UnknownStudyError, match="OVEN-7KQ4 or OVEN-CCCC"):
        studies.history(at, "OVEN")
    with pytest.raises(UnknownStudyError):
        studies.history(at, "SHED")
