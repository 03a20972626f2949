"""Protocol files: found by name, read whole, refused with every fault at once."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings

from stability.errors import StabilityError
from stability.errors.files import (
    FaultyFileError,
    UnknownProtocolError,
    UnreadableFileError,
)
from stability.model.age import Age
from stability.model.attribute import Setting
from stability.model.condition import CycleStep
from stability.model.limit import Band
from stability.model.protocol import USUAL_WINDOWS, Window
from stability.model.protocol_remarks import remarks
from stability.records import protocol_file
from stability.records.protocol_file import (
    find_protocol,
    protocol_digest,
    protocol_names,
    read_protocol,
)
from tests.records.odd_values import changed

CREAM = """\
format = 1
title = "Cream"
version = "2"
needs = ["pH meter"]
[t0]
read_after = "48h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "3M"]
[conditions.FT]
role = "stress"
cycles = 3
steps = [{at = -18, tolerance = 4, for = "24h"}, {at = 22.5, tolerance = 4, for = "1d"}]
read_after_cycles = [1, 3]
untreated_twin = "ROOM"
[attributes.pH]
unit = "pH"
settings.dilution = "10 %"
settings.speed = 12
settings.spindle = "fixed at T0"
settings.electrode = "recorded"
settings.sample_temperature = {between = [18, 26.5]}
[attributes.pH.limit]
absolute = {lowest = 5.0, highest = 5.90}
reason = "benzoate works below 5.9"
reason_kind = "active or preservative"
[attributes.pH.limit_at.FT]
recorded_only = true
[attributes.odour]
scale = ["as control", "changed"]
limit = {highest = "as control", reason = "seen", reason_kind = "felt or seen"}
[attributes.pump]
limit = {required = "yes", reason = "it is sold as a pump"}
[attributes.mould]
statements = ["absent", "present"]
limit = {required = "absent", reason = "not fit for use"}
"""


def test_a_protocol_is_read_into_its_records() -> None:
    protocol = read_protocol(CREAM, "cream", "cream.toml")

    assert (protocol.name, protocol.title, protocol.version) == ("cream", "Cream", "2")
    assert protocol.t0.read_after == Age(48, "h")
    assert protocol.windows == USUAL_WINDOWS
    assert list(protocol.conditions) == ["ROOM", "FT"]
    assert protocol.conditions["ROOM"].between == (Decimal(15), Decimal(27))
    assert protocol.conditions["FT"].all_checks == ("c1", "c3")
    assert protocol.conditions["FT"].steps[1] == CycleStep(
        Decimal("22.5"), Decimal(4), Age(1, "d")
    )
    assert protocol.attributes["pH"].limit.absolute == Band(
        Decimal("5.0"), Decimal("5.90")
    )
    assert protocol.attributes["pH"].limit_in("FT").recorded_only


def test_limits_keep_the_digits_that_were_written() -> None:
    limit = read_protocol(CREAM, "cream", "cream.toml").attributes["pH"].limit

    assert limit.words("pH") == "5.0 to 5.90"


def test_settings_are_written_as_plain_values() -> None:
    settings = read_protocol(CREAM, "cream", "cream.toml").attributes["pH"].settings

    assert settings == {
        "dilution": Setting("dilution", "fixed", "10 %"),
        "speed": Setting("speed", "fixed", "12"),
        "spindle": Setting("spindle", "fixed"),
        "electrode": Setting("electrode", "recorded"),
        "sample_temperature": Setting(
            "sample_temperature", "band", None, Decimal(18), Decimal("26.5")
        ),
    }


def test_what_is_given_tells_the_kind_of_an_attribute() -> None:
    attributes = read_protocol(CREAM, "cream", "cream.toml").attributes

    assert {name: one.kind for name, one in attributes.items()} == {
        "pH": "measured",
        "odour": "scored",
        "pump": "stated",
        "mould": "stated",
    }
    assert attributes["pump"].scale == ("yes", "no")
    assert attributes["mould"].scale == ("absent", "present")


MEASURED = """
[attributes.{name}]
{lines}
limit = {{absolute = {{highest = 3}}, reason = "x"}}
"""


@pytest.mark.parametrize(
    ("unit", "lowest", "highest", "scale"),
    [
        ("pH", "0", "14", "linear"),
        ("%", "0", "100", "linear"),
        ("mm", "0", None, "linear"),
        ("g", "0", None, "linear"),
        ("s", "0", None, "linear"),
        ("°C", "-273.15", None, "linear"),
        ("degC", "-273.15", None, "linear"),
        ("mPa·s", "0", None, "ln"),
        ("mPa.s", "0", None, "ln"),
        ("CFU/g", "0", None, "ln"),
        ("meq/kg", "0", None, "ln"),
        ("1", None, None, "linear"),
    ],
)
def test_a_unit_tells_what_cannot_be_read_and_on_which_scale_it_drifts(
    unit: str, lowest: str | None, highest: str | None, scale: str
) -> None:
    text = CREAM + MEASURED.format(name="x", lines=f'unit = "{unit}"')
    attribute = read_protocol(text, "cream", "cream.toml").attributes["x"]

    assert attribute.lowest_possible == (lowest and Decimal(lowest))
    assert attribute.highest_possible == (highest and Decimal(highest))
    assert attribute.fit_scale == scale


def test_what_a_protocol_says_itself_goes_before_what_a_unit_tells() -> None:
    lines = 'unit = "%"\nhighest_possible = 150\nfit_scale = "ln"'
    text = CREAM + MEASURED.format(name="active", lines=lines)
    attribute = read_protocol(text, "cream", "cream.toml").attributes["active"]

    assert attribute.highest_possible == Decimal(150)
    assert attribute.fit_scale == "ln"


def test_weight_loss_is_worked_out_from_weights() -> None:
    text = CREAM + MEASURED.format(name="weight_loss", lines="")
    attribute = read_protocol(text, "cream", "cream.toml").attributes["weight_loss"]

    assert attribute.from_weights
    assert (attribute.unit, attribute.direction) == ("%", "increasing")
    assert attribute.lowest_possible == 0
    assert attribute.highest_possible is None


def test_windows_and_units_may_be_the_protocols_own() -> None:
    text = CREAM.replace('version = "2"', 'version = "2"\nunits = ["drops"]')
    text += '[[windows]]\nup_to = "2y"\nbefore = "5d"\nafter = "1w"\n'
    text += MEASURED.format(name="x", lines='unit = "drops"')

    protocol = read_protocol(text, "cream", "cream.toml")

    assert protocol.windows == (Window(Age(2, "y"), Age(5, "d"), Age(1, "w")),)


TEN_FAULTS = """\
cream.toml:3: “version” is to be text in quotes, not 2; write "2"
cream.toml:7: T0 is to be read from 48h on and before 24h; let read_before be the \
later of the two
cream.toml:9: “role” cannot be “longterm”; did you mean “long-term”? (known: \
long-term, intermediate, accelerated, stress, control)
cream.toml:11: check 4w comes after 3M; put the shortest age first, each once
cream.toml:17: there is no condition “ROM”; did you mean “ROOM”?
cream.toml:19: the unit “PH” is not known; did you mean “pH”? Another is declared by \
units = ["…"]
cream.toml:26: the lowest value 6.0 lies above the highest 5.90; swap the two
cream.toml:28: “reason_kind” cannot be “preservative”; did you mean “active or \
preservative”? (known: active or preservative, felt or seen, pack, law, standard, \
custom)
cream.toml:33: [attributes.odour.limit] has no reason; every limit needs its reason; \
add reason = "…" and reason_kind
cream.toml:33: “as contol” is not among the words of “odour”; did you mean “as \
control”?"""


def test_ten_faults_are_told_in_ten_lines_each_with_its_line_and_the_way_out() -> None:
    changes = [
        ('version = "2"', "version = 2"),
        ('read_before = "96h"', 'read_before = "24h"'),
        ('role = "long-term"', 'role = "longterm"'),
        ('checks = ["4w", "3M"]', 'checks = ["3M", "4w"]'),
        ('untreated_twin = "ROOM"', 'untreated_twin = "ROM"'),
        ('unit = "pH"', 'unit = "PH"'),
        ("lowest = 5.0", "lowest = 6.0"),
        ('reason_kind = "active or preservative"', 'reason_kind = "preservative"'),
        ('{highest = "as control", reason = "seen",', '{highest = "as contol",'),
    ]
    text = CREAM
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)

    with pytest.raises(FaultyFileError) as caught:
        read_protocol(text, "cream", "cream.toml")

    assert str(caught.value) == TEN_FAULTS
    assert len(caught.value.faults) == 10


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        ("true", "setting “load” cannot be true; write text, a number"),
        ("nan", "setting “load” cannot be nan"),
        ("{between = [1]}", "is to hold a lowest and a highest value; write {between"),
        ('{between = [1, "x"]}', "“highest” is to be a number, not “x”"),
        ("{betwen = [1, 2]}", "has no key “betwen”"),
    ],
)
def test_a_setting_that_cannot_be_kept_is_told(written: str, fault: str) -> None:
    text = CREAM.replace("settings.speed = 12", f"settings.load = {written}")

    with pytest.raises(FaultyFileError) as caught:
        read_protocol(text, "cream", "cream.toml")

    assert caught.value.faults[0].line == 21
    assert fault in str(caught.value)


def test_scale_and_statements_together_are_a_fault() -> None:
    text = CREAM.replace('statements = ["absent"', 'scale = ["a"]\nstatements = ["a"')

    with pytest.raises(FaultyFileError, match="both “scale” and “statements”"):
        read_protocol(text, "cream", "cream.toml")


@settings(max_examples=100, deadline=None)
@given(changed(find_protocol("emulsion-combined")[0]))
def test_whatever_is_written_a_protocol_is_read_or_refused_in_words(text: str) -> None:
    try:
        told = " ".join(remarks(read_protocol(text, "x", "x.toml")))
    except StabilityError as error:
        told = str(error)

    assert told.startswith(("x.toml:", "It needs", "For thickness"))


# Finding


def test_a_ready_made_protocol_is_found_by_its_name() -> None:
    text, name, file = find_protocol("emulsion-combined")

    assert name == "emulsion-combined"
    assert file == "emulsion-combined.toml"
    assert read_protocol(text, name, file).name == name


def test_a_file_is_found_beside_the_study(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_bytes(b"\xef\xbb\xbfformat = 1\r\n")

    text, name, file = find_protocol("mine.toml", tmp_path)

    assert (text, name) == ("format = 1\n", "mine")
    assert file == str(tmp_path / "mine.toml")


def test_an_unknown_protocol_is_answered_with_the_nearest_names(tmp_path: Path) -> None:
    with pytest.raises(UnknownProtocolError) as caught:
        find_protocol("emulsion-combind.toml", tmp_path)

    assert "Did you mean emulsion-combined?" in str(caught.value)
    assert "real-time-36-months" in str(caught.value)


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b"\xff\xfe\x00")

    with pytest.raises(UnreadableFileError, match="not a text in UTF-8"):
        find_protocol("x.toml", tmp_path)


def test_a_protocol_installed_with_the_package_goes_before_the_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "protocols").mkdir()
    (tmp_path / "protocols" / "only.toml").write_text("format = 1", encoding="utf-8")
    (tmp_path / "protocols" / "README.md").write_text("", encoding="utf-8")
    monkeypatch.setattr(protocol_file, "files", lambda _package: tmp_path)

    assert protocol_names() == ("only",)


def test_the_digest_is_that_of_the_text_with_newlines_as_line_ends() -> None:
    known = hashlib.sha256("a = 1\nö = 2\n".encode()).hexdigest()

    assert protocol_digest("a = 1\nö = 2\n") == known
    assert protocol_digest("a = 1\r\nö = 2\r\n") == known
