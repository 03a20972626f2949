"""Study files read against their protocol."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings

from stability.errors import StabilityError
from stability.errors.files import FaultyFileError, NewerFormatError
from stability.model.age import Age
from stability.model.protocol import Protocol
from stability.model.sample import assign_samples
from stability.model.study import AsSold, Batch, Pack, Request, SampleRow
from stability.records.protocol_file import find_protocol, read_protocol
from stability.records.study_file import read_draft, read_study, study_protocol_name
from tests.records.odd_values import changed

STUDY = """\
format = 1
code = "hdc"
product = "<b>A & B</b>"
version = "1.0"
protocol = "real-time-36-months"
time_zone = "Europe/Dublin"
maker = "Heather & Moss"
product_type = "oil-in-water emulsion"
contains_water = true
person = "Ana"
opened = 2026-03-01T09:00:00
follows = "HDB"
changed = "citrate buffer added"
[as_sold]
formula = true
pack = false
scale = "400 g; sale batches will be 5 kg"
[request]
months = 12
after_opening = "6M"
storage = "below 25 °C"
[formula]
"Aqua" = 88.2
"Caprylic/capric triglyceride" = 11.80
[packs.JAR]
text = "50 g PP jar"
fill_g = 50.0
tare_g = 32.10
[packs.GLASS]
text = "vial"
inert = true
fill_g = 15
[batches.A]
made = 2026-03-02
filled = "2026-03-03"
grams = 400
pH_at_make = 5.51
process = {fill_temperature = "42 °C", additions = 3, acid = 1.20}
[batches.B]
made = 2026-03-09
[[samples]]
batch = "A"
kind = "bulk"
grams = 35
[[samples]]
batch = ["A", "B"]
pack = "JAR"
condition = "ROOM"
use = "reopened"
count = 2
[[samples]]
batch = "A"
pack = "JAR"
use = "retained"
keep_for = "3y"
[places]
ROOM = "SHELF-2HCX"
[place_on]
ROOM = 2026-03-12
[omit]
viscosity = "no viscometer"
COLD = "no refrigerator without food"
"""


@pytest.fixture(scope="module")
def protocol() -> Protocol:
    text, name, file = find_protocol("real-time-36-months")
    return read_protocol(text, name, file)


def test_a_study_is_read_into_its_records(protocol: Protocol) -> None:
    study = read_study(STUDY, "study.toml", protocol)

    assert study.code == "HDC"
    assert study.product == "<b>A & B</b>"
    assert study.as_sold == AsSold(
        formula=True, pack=False, scale="400 g; sale batches will be 5 kg"
    )
    assert study.request == Request(12, Age(6, "M"), "below 25 °C")
    assert study.formula["Caprylic/capric triglyceride"] == Decimal("11.80")
    assert list(study.packs.values()) == [
        Pack(
            "JAR",
            "50 g PP jar",
            inert=False,
            fill_g=Decimal("50.0"),
            tare_g=Decimal("32.10"),
        ),
        Pack("GLASS", "vial", inert=True, fill_g=Decimal(15)),
    ]
    assert study.batches["A"] == Batch(
        "A",
        date(2026, 3, 2),
        date(2026, 3, 3),
        Decimal(400),
        Decimal("5.51"),
        {"fill_temperature": "42 °C", "additions": "3", "acid": "1.20"},
    )
    assert study.samples == (
        SampleRow(("A",), "T0", kind="bulk", grams=Decimal(35)),
        SampleRow(("A", "B"), "reopened", 2, "JAR", "ROOM"),
        SampleRow(("A",), "retained", 1, "JAR", keep_for=Age(3, "y")),
    )
    assert study.places == {"ROOM": "SHELF-2HCX"}
    assert study.place_on == {"ROOM": date(2026, 3, 12)}
    assert study.omit["viscosity"] == "no viscometer"
    assert (study.follows, study.changed) == ("HDB", "citrate buffer added")
    assert (study.person, study.opened) == ("Ana", "2026-03-01T09:00:00")


def test_a_study_may_leave_its_code_to_be_allotted(protocol: Protocol) -> None:
    text = STUDY.replace('code = "hdc"\n', "")

    assert read_study(text, "study.toml", protocol).code == ""


@pytest.mark.parametrize(
    ("code", "fault"),
    [
        ('"HDS"', "'HDS' is no study code: 'S' is not used in codes"),
        ('"HD2"', "'HD2' is no study code: it ends in a digit"),
        ('"HDCFGH"', "'HDCFGH' is no study code: it has 6 characters"),
        ("12", "“code” is to be text in quotes, not 12"),
    ],
)
def test_a_code_that_would_be_misread_is_told(
    protocol: Protocol, code: str, fault: str
) -> None:
    text = STUDY.replace('"hdc"', code)

    with pytest.raises(FaultyFileError) as caught:
        read_study(text, "study.toml", protocol)

    assert caught.value.faults[0].line == 2
    assert fault in caught.value.faults[0].text


def test_the_protocol_is_known_before_the_rest_is_read() -> None:
    text = 'format = 1\nprotocol = "x.toml"\nunknown = 1'

    name, where = study_protocol_name(text, "study.toml")
    assert (name, where) == ("x.toml", "study.toml:2")


@pytest.mark.parametrize("line", ["", "protocol = 1", 'protocol = " "'])
def test_a_study_without_a_protocol_is_told(line: str) -> None:
    with pytest.raises(FaultyFileError, match="the file names no protocol; write"):
        study_protocol_name(f"format = 1\n{line}", "study.toml")


def test_a_newer_study_is_told_as_newer(protocol: Protocol) -> None:
    text = STUDY.replace("format = 1", "format = 2\nshape = 1")

    with pytest.raises(NewerFormatError):
        study_protocol_name(text, "study.toml")
    with pytest.raises(NewerFormatError):
        read_study(text, "study.toml", protocol)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("opened = 2026-03-01T09:00:00", 'opened = "March"', "11: “opened” is to be a"),
        ('fill_temperature = "42 °C"', "hot = true", "38: “hot” is to be text in"),
        ("made = 2026-03-02", "made = 2026-03-02T10:00:00", "34: “made” is to be a"),
        ('batch = "A"\nkind', "batch = 1\nkind", "42: “batch” is to be an array"),
        ("as_sold", "as_solt", "14: the file has no key “as_solt”; did you mean “as_"),
        ("months = 12", "", "18: [request] lacks “months”"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(
    protocol: Protocol, old: str, new: str, fault: str
) -> None:
    assert old in STUDY
    with pytest.raises(FaultyFileError) as caught:
        read_study(STUDY.replace(old, new, 1), "study.toml", protocol)

    assert fault in str(caught.value)


@pytest.mark.parametrize("key", ["batches", "packs", "samples", "formula", "omit"])
def test_a_table_of_another_kind_is_told(protocol: Protocol, key: str) -> None:
    head = STUDY.partition("[as_sold]")[0]

    with pytest.raises(FaultyFileError, match=f"“{key}” is to be an? (table|array)"):
        read_study(f"{head}{key} = 3\n", "study.toml", protocol)


@settings(max_examples=100, deadline=None)
@given(changed(STUDY))
def test_whatever_is_written_a_study_is_read_or_refused_in_words(text: str) -> None:
    protocol_text, name, file = find_protocol("real-time-36-months")
    protocol = read_protocol(protocol_text, name, file)
    try:
        study = replace(read_study(text, "study.toml", protocol), code="HDC")
        told = assign_samples(study, protocol)[0].code
    except StabilityError as error:
        told = str(error)

    assert told.startswith(("study.toml:", "HDC-001-5"))


def test_a_draft_may_have_no_samples_yet(protocol: Protocol) -> None:
    text = STUDY[: STUDY.index("[[samples]]")] + STUDY[STUDY.index("[omit]") :]

    assert read_draft(text, "s.toml", protocol).samples == ()
    with pytest.raises(FaultyFileError, match=r"the study has no \[\[samples\]\]"):
        read_study(text, "s.toml", protocol)


def test_a_draft_may_need_more_than_there_is_of_a_batch(
    protocol: Protocol,
) -> None:
    text = STUDY.replace("grams = 400", "grams = 4")

    assert read_draft(text, "s.toml", protocol).batches["A"].grams == 4
    with pytest.raises(FaultyFileError, match="tells the ways out"):
        read_study(text, "s.toml", protocol)


def test_a_draft_is_else_checked_as_a_study_is(protocol: Protocol) -> None:
    for text in (
        STUDY.replace("made = 2026-03-02", "made = 2026-13-02"),
        STUDY.replace('pack = "JAR"', 'pack = "JARR"', 1),
        STUDY.replace("months = 12", "months = 0"),
    ):
        with pytest.raises(StabilityError):
            read_draft(text, "s.toml", protocol)
