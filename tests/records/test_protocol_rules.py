"""Rules for T0, windows, conditions and the analysis of a protocol."""

from __future__ import annotations

import pytest

from stability.errors.files import FaultyFileError
from stability.records.protocol_file import read_protocol

TEXT = """\
format = 1
title = "x"
version = "1"
[t0]
read_after = "48h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "8w", "3M", "12M"]
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["4w", "12w"]
[conditions.FT]
role = "stress"
cycles = 3
steps = [{at = -18, tolerance = 4, for = "24h"}]
read_after_cycles = [1, 3]
untreated_twin = "ROOM"
[conditions.WINDOW]
role = "stress"
light = "window"
dark_twin = "FOIL"
checks = ["2w"]
[conditions.FOIL]
role = "control"
checks = ["2w"]
[attributes.odour]
scale = ["as control", "changed"]
limit = {highest = "changed", reason = "x"}
[analysis]
confidence = 0.95
evaluate_at = ["12M"]
[analysis.provisional]
months = 12
condition = "T40"
check = "12w"
real_time_to = "3M"
confirm_at = ["12M"]
rule = "custom"
source = "common practice"
"""


def faults_of(old: str, new: str) -> list[str]:
    """Return line and text of the faults that a change of the protocol makes."""
    assert old in TEXT
    with pytest.raises(FaultyFileError) as caught:
        read_protocol(TEXT.replace(old, new, 1), "x", "x.toml")
    return [str(fault).removeprefix("x.toml:") for fault in caught.value.faults]


def test_the_protocol_below_has_no_fault() -> None:
    assert read_protocol(TEXT, "x", "x.toml").title == "x"


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        # T0
        ('"96h"', '"24h"', "6: T0 is to be read from 48h on and before 24h"),
        # names
        ("[conditions.FOIL]", "[conditions.Window]\nlight = 'x'", "differs from “WI"),
        # climate
        ("between = [15, 27]", "between = [27, 15]", "9: the range of [conditions.RO"),
        ("between = [15, 27]", "", "7: [conditions.ROOM] is long-term, but nothing te"),
        ("between = [15, 27]", "between = [10, 27]", "give a temperature or a range"),
        ("between = [15, 27]", "between = [15, 27]\ntemperature = 25", "9: [conditi"),
        ("temperature = 40", "", "14: [conditions.T40] has “tolerance” without “temp"),
        ("tolerance = 2", "tolerance = -2", "14: “tolerance” is negative"),
        ("tolerance = 2", "humidity = 101", "14: a relative humidity of 101 % does"),
        ("tolerance = 2", "humidity_tolerance = 5", "14: [conditions.T40] has “humid"),
        # salt
        (
            "tolerance = 2",
            'humidity_salt = "gold"',
            "14: “humidity_salt” cannot be “gold”",
        ),
        (
            "tolerance = 2",
            'humidity = 60\nhumidity_salt = "sodium chloride"',
            "15: over sodium chloride the air has 75.0 % relative humidity, not 60; ",
        ),
        (
            'light = "window"',
            'light = "window"\nhumidity_salt = "sodium chloride"',
            "25: [conditions.WINDOW] has a salt and no temperature that its humidity",
        ),
        (
            "temperature = 40",
            'temperature = 46\nhumidity_salt = "sodium chloride"',
            "14: the humidity over sodium chloride is known from 5 to 45 °C only; ",
        ),
        (
            "temperature = 40",
            'temperature = 4.9\nhumidity_salt = "sodium chloride"',
            "14: the humidity over sodium chloride is known from 5 to 45 °C only; ",
        ),
        # light and clock
        (
            'light = "window"',
            'light = "window"\nlight_dose_lx_h = 0',
            "25: “light_dose_lx_h” is to be above 0, not 0",
        ),
        (
            'light = "window"',
            'light = "window"\nlight_dose_uv = -200',
            "25: “light_dose_uv” is to be above 0, not -200",
        ),
        (
            "tolerance = 2",
            "light_dose_uv = 200",
            "14: [conditions.T40] declares a dose of light and no light; add light",
        ),
        ("tolerance = 2", 'age_from = "opened"', "14: “age_from” cannot be “opened”"),
        (
            "between = [15, 27]",
            'between = [15, 27]\nage_from = "first opening"',
            "10: [conditions.ROOM] is long-term and counts from the first opening, but",
        ),
        # cycles
        ("cycles = 3", "cycles = 0", "19: [conditions.FT] has steps but no number of"),
        ("cycles = 3", "cycles = 1000", "18: [conditions.FT] cannot have 1000 cycles"),
        ("cycles = 3", "cycles = -3", "18: [conditions.FT] cannot have -3 cycles"),
        (
            "steps = [{at",
            "#",
            "18: [conditions.FT] has cycles without steps; add steps",
        ),
        ("[1, 3]", "[]", "20: [conditions.FT] is cycled but never read; add read_aft"),
        ("[1, 3]", "[1, 4]", "20: there is no cycle 4 of 3"),
        ("[1, 3]", "[0, 3]", "20: there is no cycle 0 of 3"),
        ("[1, 3]", "[3, 1]", "20: “read_after_cycles” is out of order"),
        ("[1, 3]", "[3, 3]", "20: “read_after_cycles” is out of order"),
        ('"24h"', '"0h"', "19: a step cannot last 0h"),
        ('"24h"', '"2y"', "19: a step cannot last 2y"),
        # checks
        ('checks = ["4w", "12w"]', "", "11: [conditions.T40] has no checks; add check"),
        ('["4w", "12w"]', '["T0", "12w"]', "15: “T0” is no check by age; T0 is not l"),
        ('["4w", "12w"]', '["c1", "12w"]', "15: “c1” is no check by age; write a len"),
        ('["4w", "12w"]', '["0w", "12w"]', "15: “0w” is no check by age"),
        ('["4w", "12w"]', '["4w", "101y"]', "15: “101y” is no check by age"),
        ('["4w", "12w"]', '["12w", "12w"]', "15: check 12w comes after 12w; put the"),
        ('["4w", "12w"]', '[\n"4w", "12w",\n"3M"]', "17: the windows of 12w and 3M ov"),
        ('["4w", "12w"]', '["30d", "4w", "12w"]', "15: check 4w comes after 30d"),
        # twins
        ('dark_twin = "FOIL"', 'dark_twin = "FOIK"', "25: there is no condition “FOIK"),
        ('dark_twin = "FOIL"', 'dark_twin = "WINDOW"', "25: [conditions.WINDOW] is na"),
        ('light = "window"', "", "25: [conditions.WINDOW] has a dark twin but no ligh"),
        ('untreated_twin = "ROOM"', 'untreated_twin = "ROM"', "21: there is no condi"),
        ("tolerance = 2", 'untreated_twin = "ROOM"', "14: [conditions.T40] has an unt"),
        # analysis
        (
            "confidence = 0.95",
            "confidence = 0.5",
            "34: a confidence of 0.5 is not betw",
        ),
        (
            "confidence = 0.95",
            "confidence = 1",
            "34: a confidence of 1.0 is not betwee",
        ),
        ("confidence = 0.95", "confidence = 95", "34: a confidence of 95.0 is not bet"),
        ('evaluate_at = ["12M"]', 'evaluate_at = ["12w"]', "35: “12w” is no check of"),
        ("months = 12", "months = 0", "37: a provisional answer of 0 months"),
        (
            'condition = "T40"',
            'condition = "T4O"',
            "38: there is no condition “T4O”; d",
        ),
        ('condition = "T40"', 'condition = "FT"', "38: “FT” is stress, not accelerat"),
        ('check = "12w"', 'check = "8w"', "39: there is no check of T40 “8w”"),
        ('real_time_to = "3M"', 'real_time_to = "6M"', "40: there is no long-term ch"),
        ('confirm_at = ["12M"]', 'confirm_at = ["6M"]', "41: “6M” is no check of a l"),
        ('source = "common practice"', 'source = ""', "43: “source” is empty"),
    ],
)
def test_a_broken_rule_is_told_with_the_line_to_change(
    old: str, new: str, fault: str
) -> None:
    found = faults_of(old, new)

    assert any(fault in one for one in found), found


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"96h"', '"48h"'),
        ("tolerance = 2", "tolerance = 0\nhumidity = 0\nhumidity_tolerance = 0"),
        ("tolerance = 2", "humidity = 100"),
        ("tolerance = 2", 'humidity = 73\nhumidity_salt = "sodium chloride"'),
        ("temperature = 40", 'temperature = 45\nhumidity_salt = "sodium chloride"'),
        ("temperature = 40", 'temperature = 5\nhumidity_salt = "sodium chloride"'),
        (
            "between = [15, 27]",
            'between = [15, 27]\nhumidity_salt = "potassium nitrate"',
        ),
        ("cycles = 3", "cycles = 999"),
        ('"24h"', '"366d"'),
        ('"24h"', '"1h"'),
        ("confidence = 0.95", "confidence = 0.51"),
        ("months = 12", "months = 1"),
        ('["4w", "12w"]', '["4w", "12w", "100y"]'),
        ('["4w", "12w"]', '["1h", "4w", "12w"]'),
    ],
)
def test_a_value_at_the_bound_is_fine(old: str, new: str) -> None:
    assert old in TEXT

    assert read_protocol(TEXT.replace(old, new, 1), "x", "x.toml")


@pytest.mark.parametrize(
    ("windows", "fault"),
    [
        (
            (
                '[[windows]]\nup_to = "4w"\nbefore = "1d"\nafter = "1d"\n'
                '[[windows]]\nup_to = "1w"\nbefore = "1d"\nafter = "1d"'
            ),
            "38: the window up to 1w comes after the one up to 4w",
        ),
        (
            '[[windows]]\nup_to = "9y"\nbefore = "2w"\nafter = "2w"',
            "10: the windows of 4w and 8w overlap",
        ),
    ],
)
def test_windows_that_cannot_work_are_told(windows: str, fault: str) -> None:
    found = faults_of("[analysis]", f"{windows}\n[analysis]")

    assert any(fault in one for one in found), found


def test_a_protocol_without_any_window_is_told() -> None:
    found = faults_of('version = "1"', 'version = "1"\nwindows = []')

    assert found == ["4: there is no window"]


def test_windows_that_just_do_not_meet_are_fine() -> None:
    # 4w closes on day 28 + 13, 8w opens on day 56 - 14: 41 and 42.
    text = TEXT.replace(
        "[analysis]",
        '[[windows]]\nup_to = "9y"\nbefore = "2w"\nafter = "13d"\n[analysis]',
        1,
    ).replace('"8w", "3M", ', '"8w", ')
    text = text.replace('real_time_to = "3M"', 'real_time_to = "8w"')

    assert read_protocol(text, "x", "x.toml").windows[0].after.count == 13


def test_one_fault_does_not_draw_others_after_it() -> None:
    assert faults_of('role = "long-term"', 'rol = "long-term"') == [
        "8: [conditions.ROOM] has no key “rol”; did you mean “role”?"
    ]
