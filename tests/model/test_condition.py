"""Where samples are kept."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.age import Age
from stability.model.condition import (
    Condition,
    CycleStep,
    StorageClass,
    storage_class_of,
)


def held(temperature: str) -> Condition:
    """Return a condition held at a temperature."""
    return Condition("X", "long-term", temperature=Decimal(temperature))


# 15 °C and above room, 2 to 8 °C refrigerated, -15 °C and below freezer (common
# practice).
@pytest.mark.parametrize(
    ("temperature", "expected"),
    [
        ("25", "room"),
        ("15", "room"),
        ("14.9", None),
        ("8", "refrigerated"),
        ("2", "refrigerated"),
        ("8.1", None),
        ("1.9", None),
        ("-15", "freezer"),
        ("-14.9", None),
        ("-20", "freezer"),
    ],
)
def test_the_storage_class_follows_from_the_temperature(
    temperature: str, expected: StorageClass | None
) -> None:
    assert storage_class_of(held(temperature)) == expected


def test_a_measured_range_must_lie_within_the_class() -> None:
    def measured(low: int, high: int) -> StorageClass | None:
        between = (Decimal(low), Decimal(high))
        return storage_class_of(Condition("X", "long-term", between=between))

    assert measured(15, 27) == "room"
    assert measured(2, 8) == "refrigerated"
    assert measured(2, 12) is None


def test_a_stated_class_goes_before_the_temperature() -> None:
    stated = Condition(
        "X", "long-term", temperature=Decimal(12), storage_class="refrigerated"
    )

    assert storage_class_of(stated) == "refrigerated"
    assert storage_class_of(Condition("X", "long-term")) is None


def test_cycles_add_their_checks_and_their_hours() -> None:
    steps = (
        CycleStep(Decimal(-18), Decimal(4), Age(24, "h")),
        CycleStep(Decimal(22), Decimal(4), Age(1, "d")),
    )
    cycled = Condition(
        "FT", "stress", cycles=3, steps=steps, read_after_cycles=(1, 3), checks=("4w",)
    )

    assert cycled.all_checks == ("4w", "c1", "c3")
    assert cycled.hours_per_cycle == 48
    assert cycled.words() == "3 cycles of 24h at -18 °C, 1d at 22 °C"
    assert replace(cycled, cycles=1, read_after_cycles=(1,)).words() == (
        "1 cycle of 24h at -18 °C, 1d at 22 °C"
    )


def test_a_condition_is_printed_as_it_is_meant() -> None:
    oven = Condition(
        "T40",
        "accelerated",
        temperature=Decimal(40),
        tolerance=Decimal(2),
        humidity=Decimal(75),
        humidity_tolerance=Decimal(5),
    )
    room = Condition("ROOM", "long-term", between=(Decimal(15), Decimal(27)))

    assert oven.words() == "40 ± 2 °C; 75 ± 5 % RH"
    assert room.words() == "15 to 27 °C, not controlled"


def test_humidity_over_a_salt_is_printed_as_it_is_expected() -> None:
    # CRC Handbook, constants of A e^(B/T): 75.25 % at 25 °C.
    box = Condition(
        "HUMID",
        "stress",
        temperature=Decimal(25),
        humidity=Decimal(75),
        humidity_tolerance=Decimal(5),
        humidity_salt="sodium chloride",
    )
    assert box.words() == (
        "25 °C; 75 ± 5 % RH; over saturated sodium chloride, expected 75.3 ± 2 % RH at "
        "25 °C"
    )
    bare = replace(box, humidity=None, humidity_tolerance=None, temperature=None)
    assert bare.words() == "over saturated sodium chloride"
    # By the same constants: 94.4 % at 15 °C and 91.5 % at 27 °C.
    room = replace(
        bare, between=(Decimal(15), Decimal(27)), humidity_salt="potassium nitrate"
    )
    assert room.words().endswith(
        "over saturated potassium nitrate, expected 94.4 to 91.5 ± 2 % RH at 15 to "
        "27 °C"
    )


def test_a_condition_tells_its_dose_its_shaking_and_its_clock() -> None:
    lamp = Condition("LAMP", "stress", light="LED lamp", light_dose_uv=Decimal(200))
    van = Condition("VAN", "stress", vibration="shaken for 3 h at 5 Hz")
    opened = Condition(
        "IN-USE",
        "stress",
        between=(Decimal(15), Decimal(27)),
        age_from="first opening",
    )
    both = replace(lamp, light_dose_lx_h=Decimal(1200000))

    assert lamp.words() == "LED lamp; dose meant: 200 W·h/m²"
    assert both.words() == "LED lamp; dose meant: 1200000 lx·h and 200 W·h/m²"
    assert van.words() == "shaken for 3 h at 5 Hz"
    assert (
        opened.words() == "15 to 27 °C, not controlled; age counts from first opening"
    )
