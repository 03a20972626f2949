"""Verbs that change the rules of an instrument, retire it, or set a slip aside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from stability.errors.instruments import InstrumentRetiredError, InstrumentRulesError
from stability.workflow import bench, instrument_changes, instruments, records
from stability.workflow.marks import judged_now, marks
from stability.workflow.occasion import Occasion
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, write_files

At = Callable[[str], Occasion]


@pytest.fixture
def metered(nowhere: Occasion, tmp_path: Path) -> At:
    """Return a maker of occasions; study HDC reads pH with PH1."""
    bench.start(nowhere, write_files(tmp_path / "metered", protocol=METERED))
    instruments.add(nowhere, "PH1", "pH meter", "glass", suffix="9XR2")

    def on(day: str) -> Occasion:
        return replace(nowhere, now=datetime.fromisoformat(f"{day}T12:00:00+00:00"))

    return on


def test_changed_rules_are_told_whole_with_their_reason(metered: At) -> None:
    made = instrument_changes.change_rules(
        metered("2026-03-05"), "ph1", slope="95 to 103", because="procedure 7"
    )

    assert made.text == (
        "PH1 from 2026-03-05: a calibration holds on its day only (common practice); "
        "slope 95 to 103 %; offset 0 ± 30 mV (USP <791>); a buffer read again within "
        "0.02 pH (common practice); because procedure 7"
    )
    assert made.kind == "instrument-rules"


def test_a_calibration_is_held_against_the_rules_of_its_day(metered: At) -> None:
    instruments.calibrate(metered("2026-03-02"), "PH1", slope="92")
    instrument_changes.change_rules(
        metered("2026-03-05"), "PH1", slope="95 to 103", because="procedure 7"
    )
    at = metered("2026-03-06")
    late = instruments.calibrate(at, "PH1", slope="92", done="2026-03-04")
    new = instruments.calibrate(at, "PH1", slope="92")

    assert late.written.text.startswith("PH1 passed")
    assert new.written.text.startswith("PH1 failed")
    kept = instruments.instrument(at, "PH1").record.calibrations
    assert [one.passed for one in kept] == [True, True, False]


def test_of_a_change_that_is_refused_nothing_is_stored(metered: At) -> None:
    at = metered("2026-03-05")
    before = instruments.instrument(at, "PH1").record.head

    with pytest.raises(InstrumentRulesError):
        instrument_changes.change_rules(
            at, "PH1", valid_for="7d", since="2026-03-04", because="x"
        )

    assert instruments.instrument(at, "PH1").record.head == before


def test_a_reading_after_its_instrument_left_is_stored_with_a_caution(
    metered: At,
) -> None:
    left = instrument_changes.retire(
        metered("2026-03-05"), "PH1", because="loan returned", done="2026-03-03"
    )
    at = metered("2026-03-05")
    stored = bench.log(at, BULK_A, ["pH=5.5/5.5"], settings=["instrument=PH1"])

    assert left.text == "PH1 retired 2026-03-03, by ana: loan returned"
    (said,) = marks(judged_now(at, stored)).values()
    assert "PH1 was retired on 2026-03-03, before this reading (loan returned)" in said


def test_a_calibration_after_it_left_is_stored_and_remarked_on(metered: At) -> None:
    instrument_changes.retire(metered("2026-03-05"), "PH1", because="sold")

    made = instruments.calibrate(metered("2026-03-06"), "PH1", slope="98")

    assert "PH1 was retired on 2026-03-05" in made.written.remarks
    with pytest.raises(InstrumentRetiredError):
        instrument_changes.retire(metered("2026-03-06"), "PH1", because="sold")


def test_both_travel_with_the_study_and_hold(metered: At, tmp_path: Path) -> None:
    at = metered("2026-03-05")
    bench.log(at, BULK_A, ["pH=5.5/5.5"], settings=["instrument=PH1"])
    instrument_changes.change_rules(at, "PH1", valid_for="7d", because="procedure 7")
    left = instrument_changes.retire(at, "PH1", because="sold")
    records.export(at, "HDC", tmp_path / "archive")

    new = replace(at, records=str(tmp_path / "new.db"))
    records.import_(new, tmp_path / "archive")

    assert records.verify(new, against=[left.anchor]).holds
    there = instruments.instrument(new, "PH1").record
    assert there == instruments.instrument(at, "PH1").record
    assert there.retired is not None
    assert len(there.changes) == 1
