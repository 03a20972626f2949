"""Rules that a study keeps against its protocol, but for its samples."""

from __future__ import annotations

import pytest

from stability.errors.files import FaultyFileError
from stability.records.protocol_file import find_protocol, read_protocol
from stability.records.study_file import read_study

STUDY = """\
format = 1
product = "Day cream"
version = "1.0"
protocol = "real-time-36-months"
time_zone = "Europe/Dublin"
as_sold = {formula = true, pack = true, scale = "5 kg"}
request = {months = 12, after_opening = "6M"}
formula = {Aqua = 88.2, Oil = 11.8}
[packs.JAR]
text = "50 g PP jar"
fill_g = 50.0
tare_g = 32.10
[batches.A]
made = 2026-03-02
filled = 2026-03-02
grams = 400
pH_at_make = 5.51
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
[places]
ROOM = "SHELF-2HCX"
[place_on]
ROOM = 2026-03-02
[omit]
viscosity = "no viscometer"
COLD = "no refrigerator without food"
"""


def faults_of(old: str, new: str) -> list[str]:
    """Return line and text of the faults that a change of the study makes."""
    assert old in STUDY
    text, name, file = find_protocol("real-time-36-months")
    with pytest.raises(FaultyFileError) as caught:
        read_study(
            STUDY.replace(old, new, 1), "s.toml", read_protocol(text, name, file)
        )
    return [str(fault).removeprefix("s.toml:") for fault in caught.value.faults]


def test_the_study_below_has_no_fault() -> None:
    text, name, file = find_protocol("real-time-36-months")

    assert read_study(STUDY, "s.toml", read_protocol(text, name, file)).batches


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("Europe/Dublin", "Europe/Dubln", "5: there is no time zone “Europe/Dubln”; d"),
        ("Europe/Dublin", "Europe", "5: there is no time zone “Europe”"),
        ("Europe/Dublin", "../../x", "write the name of a large city of your zone"),
        ("Europe/Dublin", "", "5: there is no time zone “”"),
        ("months = 12", "months = 0", "7: a shelf life of 0 months cannot be asked"),
        ("months = 12", "months = 1201", "7: a shelf life of 1201 months cannot be"),
        ("months = 12", "months = -3", "7: a shelf life of -3 months cannot be asked"),
        ('"6M"', '"0M"', "7: a period after opening of 0M is none"),
        ('"6M"}', '"6M", markets = ["EU", "EU"]}', "7: the markets name EU more than"),
        ('"6M"}', '"6M", markets = ["GB"]}', "7: “markets” cannot be “GB”"),
        ("Oil = 11.8", "Oil = 11.2", "8: the formula sums to 99.4 %; bring it betwee"),
        ("Oil = 11.8", "Oil = 12.4", "8: the formula sums to 100.6 %"),
        ("Oil = 11.8", "Oil = 11.8, X = 0", "8: 0 % of X cannot be; write its share"),
        ("Oil = 11.8", "Oil = -11.8", "8: -11.8 % of Oil cannot be"),
        (
            'version = "1.0"',
            'version = "1.0"\nfollows = "HDB"',
            "4: the study follows ",
        ),
        ('version = "1.0"', 'version = "1.0"\nchanged = "x"', "4: something was chang"),
        ("fill_g = 50.0", "fill_g = 0", "11: fill_g of pack JAR is to be above 0, not"),
        ("tare_g = 32.10", "tare_g = -1", "12: tare_g of pack JAR is to be above 0"),
        ("fill_g = 50.0", "surfaces = 0", "11: a pack with 0 surfaces offers none to"),
        ("filled = 2026-03-02", "filled = 2026-03-01", "15: batch A was filled on 202"),
        ("grams = 400", "grams = 0", "16: a batch of 0 g is none"),
        ("5.51", "14.1", "17: a pH of 14.1 cannot be measured"),
        ("[batches.A]", '[batches."A/1"]', "13: “A/1” is no name for a batch"),
        ("[packs.JAR]", '[packs."J R"]', "9: “J R” is no name for a pack"),
        ("ROOM = 2026-03-02", "ROOM = 2026-03-01", "26: 2026-03-01 lies before batch"),
        ("ROOM = 2026-03-02", "RAUM = 2026-03-02", "26: there is no condition “RAUM”"),
        ('ROOM = "SHELF-2HCX"', 'RO = "X"', "24: there is no condition “RO”"),
        ('ROOM = "SHELF-2HCX"', 'ROOM = " "', "24: ROOM has no place"),
        ('"no viscometer"', '" "', "28: viscosity is left out without a reason; say"),
        ("viscosity =", "viscocity =", "28: there is no attribute or condition “visco"),
        (
            "viscosity =",
            'spread = "x"\nflow_time = "x"\nconsistency = "x"\nviscosity =',
            "30: nothing is left of thickness: viscosity, spread, flow_time, consisten",
        ),
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
        ("months = 12", "months = 1"),
        ("months = 12", "months = 1200"),
        ('"6M"', '"1d"'),
        ("fill_g = 50.0", "fill_g = 0.5"),
        ("{Aqua = 88.2, Oil = 11.8}", "{Oil = 100}"),
        ("5.51", "0"),
        ("5.51", "14"),
        ("pH_at_make", 'process = {x = "y"}\npH_at_make'),
        ('version = "1.0"', 'version = "1.0"\nfollows = "HDB"\nchanged = "x"'),
        ('time_zone = "Europe/Dublin"\n', ""),
        ("formula = {Aqua = 88.2, Oil = 11.8}\n", ""),
    ],
)
def test_a_value_at_the_bound_is_fine(old: str, new: str) -> None:
    text, name, file = find_protocol("real-time-36-months")
    study = STUDY.replace(old, new, 1)

    assert read_study(study, "s.toml", read_protocol(text, name, file))


def test_a_study_that_leaves_every_attribute_out_is_told() -> None:
    names = [
        "pH", "separation", "odour", "colour", "appearance", "weight_loss",
        "spread", "flow_time", "consistency", "count", "specified_organisms",
        "challenge",
    ]  # fmt: skip
    found = faults_of("[omit]", "\n".join(["[omit]", *(f'{x} = "x"' for x in names)]))

    assert any("27: [omit] leaves no attribute" in one for one in found), found


def test_a_formula_may_miss_or_pass_100_by_rounding() -> None:
    text, name, file = find_protocol("real-time-36-months")
    for share in ("11.3", "12.3"):
        study = STUDY.replace("Oil = 11.8", f"Oil = {share}")

        assert read_study(study, "s.toml", read_protocol(text, name, file)).formula


def test_a_day_of_placing_counts_only_for_batches_that_stand_there() -> None:
    later = '[batches.B]\nmade = 2026-05-01\n[[samples]]\nbatch = "B"\nkind = "bulk"\n'
    study = STUDY.replace("[[samples]]", f"{later}[[samples]]", 1)
    text, name, file = find_protocol("real-time-36-months")

    assert read_study(study, "s.toml", read_protocol(text, name, file)).place_on


@pytest.mark.parametrize(
    ("limit", "fault"),
    [
        ("{temperature = 38}", "9: [structural_limit] lacks “reason”"),
        ('{temperature = 38, reason = " "}', "9: “reason” is empty"),
        ('{reason = "wax"}', "9: [structural_limit] lacks “temperature”"),
        ('{temperature = "38", reason = "wax"}', "9: “temperature” is to be a number"),
        (
            '{temperature = -1, reason = "wax"}',
            "9: no product's structure gives way at",
        ),
        ('{temperature = 151, reason = "wax"}', "write a temperature in °C, 0 to 150"),
        (
            '{temperature = 15, reason = "wax"}',
            "15 °C, inside the long-term storage ROOM (15 to 27 °C, not controlled); ",
        ),
    ],
)
def test_a_structural_limit_without_sense_is_told_with_its_line(
    limit: str, fault: str
) -> None:
    found = faults_of("[packs.JAR]", f"structural_limit = {limit}\n[packs.JAR]")

    assert any(fault in one for one in found), found


@pytest.mark.parametrize("celsius", ["15.1", "38", "150"])
def test_a_structural_limit_above_the_coolest_storage_is_kept(celsius: str) -> None:
    text, name, file = find_protocol("real-time-36-months")
    limit = f'structural_limit = {{temperature = {celsius}, reason = "the wax melts"}}'
    changed = STUDY.replace("[packs.JAR]", f"{limit}\n[packs.JAR]")
    study = read_study(changed, "s.toml", read_protocol(text, name, file))

    assert study.structural_limit is not None
    assert str(study.structural_limit.temperature) == celsius
    assert study.structural_limit.reason == "the wax melts"


@pytest.mark.parametrize("category", ["0", "3", "-1"])
def test_plate_counts_have_two_categories(category: str) -> None:
    found = faults_of("version =", f"microbial_category = {category}\nversion =")

    assert any(f"no category {category} for plate counts" in one for one in found), (
        found
    )


@pytest.mark.parametrize("category", ["1", "2"])
def test_a_category_of_plate_counts_is_kept(category: str) -> None:
    text, name, file = find_protocol("real-time-36-months")
    line = f"microbial_category = {category}\nversion ="
    changed = STUDY.replace("version =", line, 1)

    study = read_study(changed, "s.toml", read_protocol(text, name, file))

    assert study.microbial_category == int(category)
