"""A calibration as typed: what is taken, what is refused and with which words."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from stability.errors.instruments import CalibrationError
from stability.model.entry import Draft, chain
from stability.model.instrument import InstrumentRecord, fold_instrument
from stability.model.instrument_content import REGISTERED
from stability.records.calibrating import CalibrationWish, Told, calibration
from stability.records.instruments import Rules, registration

DAY = date(2026, 3, 2)


def instrument(kind: str = "pH meter", **rules: str) -> InstrumentRecord:
    """Return an instrument with usual rules, but for those given."""
    held = registration("X1", kind, "", Rules(**rules))
    entry = Draft("instrument:X1-AAAA", REGISTERED, "Ana", "2026-01-02",
                  "2026-01-02T12:00:00Z", held)  # fmt: skip
    return fold_instrument(chain([entry]))


def told(kind: str = "pH meter", **wish: Any) -> Told:
    """Return a calibration as typed."""
    return calibration(instrument(kind), CalibrationWish(**wish), DAY)


def refused(kind: str = "pH meter", **wish: Any) -> str:
    """Return why a calibration is refused."""
    with pytest.raises(CalibrationError) as fault:
        told(kind, **wish)
    assert "\n" not in str(fault.value)
    return str(fault.value)


TWO = ("7.01=-15", "4.01=160")


def test_two_buffers_are_worked_out_and_kept_as_typed() -> None:
    held = told(buffers=TWO, temperature="25.0", reread="4.01=4.02").held

    assert held["how"] == "buffers"
    assert (held["result"], held["faults"]) == ("passed", [])
    assert held["buffers"] == [{"ph": "7.01", "mv": "-15"}, {"ph": "4.01", "mv": "160"}]
    assert held["temperature"] == "25.0"
    assert (held["slope_percent"], held["offset_mv"]) == ("98.6", "-14.4")
    assert held["reread"] == {"expected": "4.01", "read": "4.02"}


def test_a_slope_of_88_percent_fails() -> None:
    held = told(slope="88", offset="-12").held

    assert (held["how"], held["result"]) == ("slope", "failed")
    assert held["faults"] == ["slope 88 % is not 90.0 to 105.0 %"]


@pytest.mark.parametrize(("read", "result"), [("50.05", "passed"), ("50.06", "failed")])
def test_a_check_weight_passes_within_its_tolerance(read: str, result: str) -> None:
    held = told("balance", standards=[f"50.00={read}"]).held

    assert (held["how"], held["result"], held["unit"]) == ("standards", result, "g")
    assert held["standards"] == [{"expected": "50.00", "read": read}]


def test_a_standard_fluid_is_read_in_its_unit() -> None:
    held = told("viscometer", standards=["1000=1021"]).held

    assert (held["unit"], held["result"]) == ("mPa·s", "failed")
    assert held["faults"] == ["1000 mPa·s gave 1021 mPa·s, not within 2 %"]


def test_a_service_visit_is_taken_at_its_word_and_said_to_lack_numbers() -> None:
    made = told("balance", result="Passed", because="service, certificate 2231")

    assert (made.held["how"], made.held["result"]) == ("stated", "passed")
    assert made.held["because"] == "service, certificate 2231"
    assert made.remarks == ("the numbers of this calibration are not on record",)


def test_good_numbers_may_be_called_failed_with_a_reason() -> None:
    made = told(buffers=TWO, temperature="25", result="failed", because="it drifts")

    assert (made.held["result"], made.held["faults"]) == ("failed", [])


@pytest.mark.parametrize(
    ("kind", "wish", "said"),
    [
        ("pH meter", {"buffers": ["7.00=-15"], "temperature": "22"}, "one buffer"),
        ("pH meter", {"buffers": ["7.00=-15", "7.00=-14"], "temperature": "22"},
         "the buffers 7.00 and 7.00 are the same"),
        ("pH meter", {"buffers": ["7.00=-15", "6.86=-14"], "temperature": "22"},
         "closer than 1 pH"),
        ("pH meter", {"buffers": ["17.00=-15", "4.01=160"], "temperature": "22"},
         "no buffer has pH 17.00"),
        ("pH meter", {"buffers": ["7.00=-15", "4.01=1600"], "temperature": "22"},
         "no glass electrode gives 1600 mV"),
        ("pH meter", {"buffers": TWO}, "give the buffers' --temperature"),
        ("pH meter", {"buffers": TWO, "temperature": "61"}, "60 °C, not at 61"),
        ("pH meter", {"slope": "98", "temperature": "-1"}, "60 °C, not at -1"),
        ("pH meter", {"buffers": ["7.00=160", "4.01=-15"], "temperature": "22"},
         "changed places"),
        ("pH meter", {"buffers": ["7.00", "4.01=160"], "temperature": "22"},
         "--buffer 7.00: write it as 7.00=-15"),
        ("pH meter", {"buffers": ["7.00=-1,5", "4.01=160"], "temperature": "22"},
         "write a point for the comma"),
        ("pH meter", {"buffers": ["7.00=<15", "4.01=160"], "temperature": "22"},
         "write the number alone"),
        ("pH meter", {"buffers": TWO, "temperature": "22", "slope": "98"}, "either"),
        ("pH meter", {"offset": "3"}, "an offset goes with --slope"),
        ("pH meter", {}, "nothing was typed of it; give two buffers"),
        ("pH meter", {"result": "passed"}, "say with --because"),
        ("pH meter", {"reread": "4.01=4.02", "result": "passed", "because": "seen"},
         "goes with --buffer"),
        ("pH meter", {"standards": ["50=50"]}, "calibrated with --buffer or --slope"),
        ("pH meter", {"slope": "88", "result": "passed"}, "leave --result out"),
        ("pH meter", {"slope": "98", "result": "failed"}, "say why it failed"),
        ("pH meter", {"slope": "98", "result": "good"}, "write passed or failed"),
        ("balance", {"buffers": TWO, "temperature": "22"}, "it is a balance; check it"),
        ("balance", {"temperature": "22"}, "it is a balance; check it"),
        ("balance", {}, "give what it read, such as --standard 50.00=50.01"),
        ("balance", {"standards": ["0=0.00"]}, "give a value above 0"),
        ("flow cup", {"standards": ["60=61"]}, "no tolerance was fixed"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_is_told_in_one_message(
    kind: str, wish: dict[str, Any], said: str
) -> None:
    message = refused(kind, **wish)

    assert message.startswith("The calibration of X1 was not stored: ")
    assert said in message


def test_everything_that_is_wrong_is_told_at_once() -> None:
    message = refused(buffers=["7.00=x"], reread="4", result="good")

    for part in ("'x'", "one buffer", "--temperature", "--reread 4", "--result good"):
        assert part in message


def test_a_dead_electrode_is_a_failure_and_no_mistyping() -> None:
    held = told(buffers=["7.00=3", "4.01=2"], temperature="25").held

    assert held["result"] == "failed"


@pytest.mark.parametrize(
    ("buffers", "celsius", "said"),
    [
        (("7.00=0", "9.18=-126"), "10", "the borate buffer has pH 9.33 at 10 °C"),
        (("7.00=0", "4.01=175"), "22", None),
        (("7.00=0", "4.01=175"), "40", "the phthalate buffer has pH 4.03 at 40 °C"),
        (("7.00=0", "9.33=-131"), "10", None),
    ],
)
def test_a_buffer_typed_as_on_its_bottle_is_remarked_on(
    buffers: tuple[str, ...], celsius: str, said: str | None
) -> None:
    remarks = told(buffers=buffers, temperature=celsius).remarks

    assert len(remarks) == (said is not None)
    assert said is None or remarks[0].startswith(said)


def test_stated_rules_decide() -> None:
    strict = instrument(slope="95-105", offset="15", reread="0.01")

    wish = CalibrationWish(slope="94.9", offset="16", reread="4.01=4.03")
    assert calibration(strict, wish, DAY).held["faults"] == [
        "slope 94.9 % is not 95 to 105 %",
        "offset 16 mV is not 0 ± 15 mV",
        "the buffer 4.01 read again gave 4.03, not within 0.01",
    ]
