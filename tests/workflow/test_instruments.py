"""Verbs of instruments: what is stored, and what a failed calibration tells."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.errors import (
    CalibrationError,
    FutureMomentError,
    InstrumentKnownError,
    InstrumentReferenceError,
    UnknownInstrumentError,
)
from stability.workflow import instruments
from stability.workflow.occasion import Occasion
from stability.workflow.records import verify

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

    made = instruments.invalidate(meter("2026-03-02"), "PH1/2", because="98.6 mistyped")

    assert made.text == "PH1/2 set aside: 98.6 mistyped"
    assert instruments.instrument(meter("2026-03-02"), "PH1").now.standing == "never"
    for reference in ("PH1", "2", "PH1/x", "PH1/2", "PH1/9"):
        with pytest.raises(InstrumentReferenceError):
            instruments.invalidate(meter("2026-03-03"), reference, because="again")


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
