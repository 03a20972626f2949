"""A calibration held against the rules of its instrument.

USP <791>: slope 90.0 to 105.0 %, offset 0 ± 30 mV. Re-reading within 0.02 pH and the
tolerances of balances and viscometers: common practice.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.model.age import Age
from stability.model.entry import Draft, chain
from stability.model.instrument import fold_instrument
from stability.model.instrument_checks import (
    check_buffers,
    check_slope,
    check_standards,
    rules_words,
    usual_rules,
)
from stability.model.instrument_content import REGISTERED, registered
from stability.model.instrument_rules import Acceptance
from stability.model.ph_electrode import BufferReading, nernst_slope

METER = usual_rules("pH meter")[1]
ROOM = Decimal(25)


def buffers(*typed: str) -> list[BufferReading]:
    """Return buffers from `7.00=-15` each."""
    pairs = [one.split("=") for one in typed]
    return [BufferReading(Decimal(ph), Decimal(mv)) for ph, mv in pairs]


@pytest.mark.parametrize(
    ("typed", "slope", "offset", "fault"),
    [
        (("7.01=-15", "4.01=160"), "98.6", "-14.4", ""),
        (("7.01=15", "4.01=160"), "81.7", "15.5", "slope 81.7 % is not 90.0 to 105.0"),
        (("7.00=-31", "4.00=146.5"), "100.0", "-31.0", "offset -31.0 mV is not 0 ± 30"),
        (("7.00=0", "4.00=190"), "107.1", "0.0", "slope 107.1 %"),
    ],
)
def test_buffers_pass_or_fail_with_their_reason(
    typed: tuple[str, ...], slope: str, offset: str, fault: str
) -> None:
    found = check_buffers(buffers(*typed), ROOM, METER)

    assert (found.slope_percent, found.offset_mv) == (slope, offset)
    assert bool(found.faults) is bool(fault)
    assert not fault or found.faults[0].startswith(fault)


def test_rounding_brings_no_slope_inside_its_range() -> None:
    fall = nernst_slope(ROOM) * Decimal("0.8996")
    made = [BufferReading(Decimal(7), Decimal(0)), BufferReading(Decimal(4), 3 * fall)]

    found = check_buffers(made, ROOM, METER)

    assert found.slope_percent == "89.96"
    assert found.faults == ("slope 89.96 % is not 90.0 to 105.0 %",)


def test_of_three_buffers_each_side_is_judged() -> None:
    bent = buffers("4.01=177", "7.00=0", "10.01=-150")

    found = check_buffers(bent, ROOM, METER)

    assert found.slope_percent == "92.1"
    assert found.faults == (
        "between pH 7.00 and 10.01 slope 84.2 % is not 90.0 to 105.0 %",
    )


@pytest.mark.parametrize(("read", "passes"), [("4.03", True), ("4.04", False)])
def test_a_buffer_read_again_must_agree(read: str, passes: bool) -> None:
    again = (Decimal("4.01"), Decimal(read))

    made = check_buffers(buffers("7.00=0", "4.01=177"), ROOM, METER, again)
    shown = check_slope(Decimal("98.6"), None, METER, again)

    assert (not made.faults) is passes
    assert (not shown.faults) is passes


@pytest.mark.parametrize(
    ("slope", "offset", "faults"),
    [
        ("98.6", "-12", 0), ("90.0", "30", 0), ("105.0", "-30", 0), ("89.9", None, 1),
        ("88", "31", 2), ("105.1", "0", 1),
    ],
)  # fmt: skip
def test_a_slope_as_shown_is_held_against_the_same_rules(
    slope: str, offset: str | None, faults: int
) -> None:
    shown = None if offset is None else Decimal(offset)
    found = check_slope(Decimal(slope), shown, METER)

    assert (found.slope_percent, found.offset_mv) == (slope, offset)
    assert len(found.faults) == faults


@pytest.mark.parametrize(
    ("unit", "tolerance", "read", "passes"),
    [
        ("%", "0.1", "50.05", True),
        ("%", "0.1", "50.06", False),
        ("%", "0.1", "49.95", True),
        ("%", "0.1", "49.94", False),
        ("g", "0.02", "50.02", True),
        ("g", "0.02", "49.97", False),
    ],
)
def test_a_weight_lies_within_its_tolerance(
    unit: str, tolerance: str, read: str, passes: bool
) -> None:
    rules = Acceptance(tolerance=Decimal(tolerance), tolerance_unit=unit)

    found = check_standards([(Decimal("50.00"), Decimal(read))], "g", rules)

    assert (not found.faults) is passes


def test_without_a_tolerance_nothing_is_judged() -> None:
    found = check_standards([(Decimal(1), Decimal(9))], "s", Acceptance())

    assert found.faults == ()


@pytest.mark.parametrize(
    ("kind", "valid_for", "said"),
    [
        ("pH meter", Age(1, "d"), "offset 0 ± 30 mV (USP <791>)"),
        ("balance", Age(1, "M"), "within 0.1 % (common practice)"),
        ("viscometer", Age(1, "M"), "within 2 % (common practice)"),
        ("flow cup", Age(1, "y"), "1y (common practice)"),
    ],
)
def test_usual_rules_say_where_they_come_from(
    kind: str, valid_for: Age, said: str
) -> None:
    usual, rules = usual_rules(kind)
    held = registered(
        "X1", kind, "", str(usual), slope=rules.slope, offset=rules.offset,
        reread=rules.reread, tolerance=rules.tolerance,
        tolerance_unit=rules.tolerance_unit,
        usual=["valid_for", "slope", "offset", "reread", "tolerance"],
    )  # fmt: skip
    entry = Draft("instrument:X1-AAAA", REGISTERED, "Ana", "2026-01-02",
                  "2026-01-02T12:00:00Z", held)  # fmt: skip

    assert usual == valid_for
    assert said in rules_words(fold_instrument(chain([entry])).rules)


def test_stated_rules_are_told_without_a_source() -> None:
    held = registered("B1", "balance", "", "7d", tolerance=Decimal("0.02"),
                      tolerance_unit="g", usual=[])  # fmt: skip
    entry = Draft("instrument:B1-AAAA", REGISTERED, "Ana", "2026-01-02",
                  "2026-01-02T12:00:00Z", held)  # fmt: skip

    words = rules_words(fold_instrument(chain([entry])).rules)
    assert words == "a calibration holds for 7d; within 0.02 g"
