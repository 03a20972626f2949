"""Verbs of instruments: what is stored, and what a failed calibration tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from stability.errors.codes import FutureMomentError
from stability.errors.instruments import (
    CalibrationError,
    InstrumentKnownError,
    InstrumentReferenceError,
    UnknownInstrumentError,
)
from stability.workflow import bench, instrument_changes, instruments
from stability.workflow.occasion import Occasion
from stability.workflow.records import verify
from stability.workflow.sources import entries_of
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, BULK_B, ROOM_A, write_files

At = Callable[[str], Occasion]


@pytest.fixture
def meter(at: At) -> At:
    """Return a maker of occasions in a workspace with study HDC and a meter PH1."""
    instruments.add(at("2026-03-01"), "PH1", "pH meter", "glass", suffix="9XR2")
    return at


def test_an_instrument_is_registered_before_any_study_is_there(
    nowhere: Occasion,
) -> None:
    made = instruments.add(nowhere, "bal1", "balance", "0.01 g", suffix="7KQ4")

    assert made.anchor.startswith("instrument:BAL1-7KQ4/1:")
    assert made.reference == "BAL1-7KQ4/1"
    assert made.text == (
        "BAL1-7KQ4: balance, 0.01 g; a calibration holds for 1M (common practice); "
        "within 0.1 % (common practice)"
    )
    (line,) = instruments.instruments(nowhere)
    assert (line.record.person, line.now.standing) == ("ana", "never")


def test_a_name_is_given_once_and_nothing_is_stored_of_a_second(meter: At) -> None:
    with pytest.raises(InstrumentKnownError):
        instruments.add(meter("2026-03-02"), "PH1", "balance", "", suffix="CCCC")

    assert len(instruments.instruments(meter("2026-03-02"))) == 1


def test_a_calibration_is_stored_with_its_result(meter: At) -> None:
    made = instruments.calibrate(
        meter("2026-03-02"), "ph1", buffers=["7.01=-15", "4.01=160"], temperature="25"
    )

    assert made.written.text == (
        "PH1 passed; slope 98.6 %, offset -14.4 mV, buffers 7.01 -15 mV, 4.01 160 mV, "
        "25 °C"
    )
    assert made.doubtful == ()
    line = instruments.instrument(meter("2026-03-02"), "PH1")
    assert (line.now.standing, len(line.record.calibrations)) == ("valid", 1)
    assert instruments.instrument(meter("2026-03-03"), "PH1").now.standing == "lapsed"


def test_of_a_calibration_that_cannot_be_taken_nothing_is_stored(meter: At) -> None:
    before = instruments.instrument(meter("2026-03-02"), "PH1").record.head

    with pytest.raises(CalibrationError):
        instruments.calibrate(meter("2026-03-02"), "PH1", buffers=["7.00=-15"])
    with pytest.raises(FutureMomentError):
        instruments.calibrate(meter("2026-03-02"), "PH1", slope="98", done="2026-03-04")
    with pytest.raises(UnknownInstrumentError):
        instruments.calibrate(meter("2026-03-02"), "PH2", slope="98")

    assert instruments.instrument(meter("2026-03-02"), "PH1").record.head == before


def test_a_calibration_that_was_mistyped_is_set_aside(meter: At) -> None:
    instruments.calibrate(meter("2026-03-02"), "PH1", slope="9.86")

    made = instrument_changes.invalidate(
        meter("2026-03-02"), "PH1/2", because="98.6 mistyped"
    )

    assert made.text == "PH1/2 set aside: 98.6 mistyped"
    assert instruments.instrument(meter("2026-03-02"), "PH1").now.standing == "never"
    for reference in ("PH1", "2", "PH1/x", "PH1/2", "PH1/9"):
        with pytest.raises(InstrumentReferenceError):
            instrument_changes.invalidate(
                meter("2026-03-03"), reference, because="again"
            )


def test_as_of_a_day_later_calibrations_are_not_known(meter: At) -> None:
    instruments.calibrate(meter("2026-03-02"), "PH1", slope="98.6")

    def listed(day: str) -> list[str]:
        lines = instruments.instruments(meter("2026-03-09"), as_of=day)
        return [line.now.standing for line in lines]

    assert listed("2026-02-28") == []
    assert listed("2026-03-01") == ["never"]
    assert listed("2026-03-02") == ["valid"]
    assert listed("2026-03-09") == ["lapsed"]
    with pytest.raises(InstrumentReferenceError):
        instruments.instrument(meter("2026-03-09"), "PH1", as_of="2026-02-28")


def test_the_record_holds_with_instruments_in_it(meter: At) -> None:
    instruments.calibrate(meter("2026-03-02"), "PH1", slope="88")
    made = instruments.calibrate(meter("2026-03-03"), "PH1", slope="98")

    checked = verify(meter("2026-03-03"), against=[made.written.anchor])
    assert checked.holds
    assert [str(one.subject) for one in checked.heads] == [
        "instrument:PH1-9XR2",
        "study:HDC",
    ]


@pytest.fixture
def metered(nowhere: Occasion, tmp_path: Path) -> At:
    """Return a maker of occasions; study HDC reads pH with PH1, weights with BAL1."""
    bench.start(nowhere, write_files(tmp_path / "metered", protocol=METERED))
    instruments.add(nowhere, "PH1", "pH meter", "glass", suffix="9XR2")
    instruments.add(nowhere, "BAL1", "balance", "0.01 g", suffix="7KQ4")

    def on(day: str) -> Occasion:
        return replace(nowhere, now=datetime.fromisoformat(f"{day}T12:00:00+00:00"))

    return on


def settings_of(at: Occasion, position: int) -> dict[str, str]:
    """Return the settings of an observation as stored."""
    (entry,) = [one for one in entries_of(at, "HDC") if one.position == position]
    return dict(entry.content.get("observation", entry.content)["settings"])


def test_a_reading_names_its_instrument_for_the_day_or_with_the_line(
    metered: At,
) -> None:
    at = metered("2026-03-05")
    bench.day(at, "HDC", settings=["instrument=PH1", "weight_loss.instrument=bal1"])
    (of_day, weight) = bench.log(at, ROOM_A, ["pH=5.5/5.5", "w=80.12"])
    (of_line,) = bench.log(at, BULK_A, ["pH=5.5/5.5"], settings=["instrument=PH1"])

    assert settings_of(at, of_day.position) == {"instrument": "PH1-9XR2"}
    assert settings_of(at, weight.position) == {"instrument": "BAL1-7KQ4"}
    assert settings_of(at, of_line.position) == {"instrument": "PH1-9XR2"}


def test_a_correction_keeps_the_instrument_or_names_another(metered: At) -> None:
    at = metered("2026-03-05")
    (made,) = bench.log(at, BULK_A, ["pH=5.5/5.5"], settings=["pH.instrument=PH1"])
    (kept,) = bench.correct(at, made.reference, ["pH=5.51/5.5"], because="mistyped")
    (other,) = bench.correct(
        at, kept.reference, ["pH=5.51/5.5"], settings=["pH.instrument=E7"], because="x"
    )

    assert settings_of(at, kept.position) == {"instrument": "PH1-9XR2"}
    assert settings_of(at, other.position) == {"instrument": "E7"}


def test_a_file_of_readings_names_instruments(metered: At, tmp_path: Path) -> None:
    at = metered("2026-03-05")
    rows = tmp_path / "rows.csv"
    rows.write_text(
        "sample,attribute,reading,settings\n"
        f"{BULK_A},pH,5.5/5.5,instrument=PH1\n"
        f"{BULK_A},viscosity,5100,instrument=V9\n",
        encoding="utf-8",
    )

    bench.log_file(at, rows)

    assert settings_of(at, 2) == {"instrument": "PH1-9XR2"}
    assert settings_of(at, 3) == {"instrument": "V9"}


def test_a_failed_calibration_tells_which_readings_are_doubtful(metered: At) -> None:
    instruments.calibrate(metered("2026-03-02"), "PH1", slope="98")
    at = metered("2026-03-05")
    (made,) = bench.log(at, BULK_A, ["pH=5.5/5.5"], settings=["instrument=PH1"])
    instruments.add(at, "PH2", "pH meter", "spare", suffix="CCCC")
    bench.log(at, ROOM_A, ["pH=5.5/5.5"], settings=["instrument=PH2"])
    bench.log(metered("2026-03-12"), BULK_B, ["pH=5.5/5.5"])

    failed = instruments.calibrate(metered("2026-03-09"), "PH1", slope="88")
    again = instruments.calibrate(metered("2026-03-10"), "PH1", slope="88")

    (told,) = failed.doubtful
    assert (told.study, told.positions) == ("HDC", (made.position,))
    assert again.doubtful == ()
