"""Rules for the attributes of a protocol and their limits."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.errors.files import FaultyFileError
from stability.records.protocol_file import read_protocol

HEAD = """\
format = 1
title = "x"
version = "1"
needs = ["pH meter"]
t0 = {read_after = "48h", read_before = "96h"}
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "3M"]
[conditions.T45]
role = "stress"
checks = ["4w"]
[attributes.first]
short = "f"
scale = ["none", "layer"]
extra = ["layer_mm"]
limit = {highest = "none", reason = "x"}
[attributes.tested]
"""
MEASURED = 'limit = {absolute = {lowest = 1, highest = 2}, reason = "x"}\n'
SCORED = 'scale = ["a", "b"]\nlimit = {highest = "a", reason = "x"}\n'
STATED = 'statements = ["yes", "no"]\nlimit = {required = "yes", reason = "x"}\n'


def faults_of(lines: str) -> list[str]:
    """Return the faults of an attribute; its lines begin on line 1 here."""
    with pytest.raises(FaultyFileError) as caught:
        read_protocol(HEAD + lines, "x", "x.toml")
    before = HEAD.count("\n")
    return [
        f"{one.line - before}: {one.text}; {one.hint}" for one in caught.value.faults
    ]


@pytest.mark.parametrize("lines", [MEASURED, SCORED, STATED])
def test_a_limit_with_its_reason_is_fine(lines: str) -> None:
    assert "tested" in read_protocol(HEAD + lines, "x", "x.toml").attributes


def test_what_an_observation_uses_up_is_read_and_may_be_left_out() -> None:
    lines = f"takes_g = 2\nneeds_g = 16.5\ntakes_surfaces = 1\nminutes = 4\n{MEASURED}"
    stated = read_protocol(HEAD + lines, "x", "x.toml").attributes["tested"]
    silent = read_protocol(HEAD + MEASURED, "x", "x.toml").attributes["tested"]

    assert (stated.takes_g, stated.needs_g) == (Decimal(2), Decimal("16.5"))
    assert (stated.takes_surfaces, stated.minutes) == (1, Decimal(4))
    assert (silent.takes_g, silent.needs_g, silent.minutes) == (None, None, None)
    assert silent.takes_surfaces == 0


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        # names
        (f'short = "f"\n{MEASURED}', "1: “f” already stands for first"),
        (f'short = "FIRST"\n{MEASURED}', "1: “FIRST” already stands for first"),
        (f'short = "layer_mm"\n{MEASURED}', "1: “layer_mm” already stands for first"),
        (f'short = "w2"\n{MEASURED}', "1: “w2” already stands for the weights"),
        (f'short = "a b"\n{MEASURED}', "0: “a b” is no name for a reading"),
        (f'extra = ["f"]\n{SCORED}', "1: “f” already stands for first"),
        (f'extra = ["x", "x"]\n{SCORED}', "1: “x” already stands for tested"),
        (f"{MEASURED}[attributes.W]\n{MEASURED}", "2: “W” is kept for another use"),
        (f"{MEASURED}[attributes.First]\n{MEASURED}", "2: “First” differs from “first"),
        # counts
        (f"readings = 0\n{MEASURED}", "1: 0 readings cannot be made"),
        (f"readings = 100\n{MEASURED}", "1: 100 readings cannot be made"),
        (f"observers = -1\n{SCORED}", "1: -1 observers cannot be made"),
        (f"resolution = 0\n{MEASURED}", "1: “resolution” is to be above 0, not 0"),
        (f"far = -0.5\n{MEASURED}", "1: “far” is to be above 0, not -0.5"),
        (
            f"lowest_possible = 3\nhighest_possible = 3\n{MEASURED}",
            "2: nothing lies between 3 and 3",
        ),
        # what an observation uses up
        (f"takes_g = 0\n{MEASURED}", "1: “takes_g” is to be above 0, not 0; leave it"),
        (f"takes_g = -2\n{SCORED}", "1: “takes_g” is to be above 0, not -2"),
        (f"needs_g = 0\n{MEASURED}", "1: “needs_g” is to be above 0, not 0"),
        (f"minutes = -5\n{MEASURED}", "1: “minutes” is to be above 0, not -5"),
        (f"takes_surfaces = -1\n{MEASURED}", "1: an observation cannot use up -1 sur"),
        (f"takes_surfaces = 1.5\n{MEASURED}", "1: “takes_surfaces” is to be a whole"),
        (
            f"takes_g = 1\nfrom_weights = true\n{MEASURED}",
            "1: a weighing uses up no product; take “takes_g” out",
        ),
        # kinetic
        (f"kinetic = true\n{SCORED}", "1: [attributes.tested] is scored: words have"),
        (f"kinetic = true\n{STATED}", "1: [attributes.tested] is stated: words have"),
        (
            f'kinetic = true\nunit = "%"\nfrom_weights = true\n{MEASURED}',
            "1: [attributes.tested] is a loss of weight: the pack sets its rate",
        ),
        (f'kinetic = "yes"\n{MEASURED}', "1: “kinetic” is to be true or false"),
        # units
        (f'unit = "centipoise"\n{MEASURED}', "is not known; write mPa·s, which is"),
        (f'unit = "g"\n{SCORED}', "1: [attributes.tested] is scored and has no unit"),
        (f'unit = "g"\nfrom_weights = true\n{MEASURED}', "1: a loss worked out from w"),
        # scales
        (f'kind = "measured"\n{SCORED}', "2: [attributes.tested] is measured and has"),
        ('scale = ["a"]\nlimit = {highest = "a", reason = "x"}', "1: [attributes.test"),
        (SCORED.replace('"b"', '"A"'), "1: “a” stands twice"),
        (SCORED.replace('"b"', '"b/c"'), "1: “b/c” cannot be typed as a word; leave"),
        (SCORED.replace('"b"', '" "'), "1: “ ” cannot be typed as a word"),
        (SCORED.replace('"b"', '"1"'), "1: “1” would be taken for a place in the sc"),
        (STATED.replace('"no"', '"a:b"'), "1: “a:b” cannot be typed as a word"),
        # places and checks
        (f'compared_with = "T54"\n{SCORED}', "1: there is no condition “T54”; did you"),
        (f'conditions = ["T4"]\n{SCORED}', "1: there is no condition “T4”; did you me"),
        (f'when = ["5w"]\n{SCORED}', "1: “5w” is no check of any condition; known: T0"),
        (f'when = ["end"]\n{SCORED}', "1: “end” is no check of any condition; write a"),
        (
            f"{SCORED}[attributes.tested.limit_at.ROMO]\nrecorded_only = true",
            "3: there is no condition “ROMO”; did you mean “ROOM”?",
        ),
        (
            f'conditions = ["ROOM"]\n{SCORED}limit_at.T45 = {{recorded_only = true}}',
            "4: “tested” has a limit in T45, where it is not read",
        ),
        # instruments and settings
        (f'instrument = "scales"\n{MEASURED}', "1: the protocol does not list “scales"),
        (f"settings.t = {{between = [2, 1]}}\n{MEASURED}", "1: the band of “t” goes f"),
        (f"settings.t = {{between = [2, 2]}}\n{MEASURED}", "1: the band of “t” goes f"),
        (f'settings."a b" = "x"\n{MEASURED}', "1: “a b” is no name for a setting"),
        # limits
        ("", "0: [attributes.tested.limit] sets no bound; give absolute, change or pe"),
        ('scale = ["a", "b"]', "0: [attributes.tested.limit] sets no bound; give the "),
        (MEASURED.replace('"x"', '" "'), "1: [attributes.tested.limit] has no reason"),
        (MEASURED.replace(', reason = "x"', ""), "every limit needs its reason"),
        (
            f"{MEASURED}limit_at.T45 = {{absolute = {{highest = 2}}}}",
            "2: [attributes.tested.limit_at.T45] has no reason",
        ),
        (MEASURED.replace("absolute", "recorded_only = true, absolute"), "1: [attribu"),
        (SCORED.replace('st = "a"', 'st = "c"'), "2: “c” is not among the words of"),
        (STATED.replace('required = "yes"', 'required = "ja"'), "2: “ja” is not among"),
        (STATED.replace("required", "highest"), "2: “tested” is stated: its limit is "),
        (SCORED.replace("highest", "required"), "“tested” is scored: its limit is the"),
        (MEASURED.replace("lowest = 1", "lowest = 3"), "1: the lowest value 3 lies ab"),
        (MEASURED.replace("lowest = 1, highest = 2", ""), "has neither a lowest nor a"),
        (
            MEASURED.replace("absolute", "change"),
            "1: a change from initial is to allow 0",
        ),
        (
            MEASURED.replace("absolute", "percent_of_initial"),
            "1: a share of initial is to allow 100 %",
        ),
        (
            'limit = {percent_of_initial = {highest = 0}, reason = "x"}',
            "1: a share of initial is to be above 0 %",
        ),
        (
            MEASURED.replace("absolute", "percent_of_initial").replace("= 1", "= 0"),
            "1: a share of initial is to be above 0 %",
        ),
        (
            MEASURED.replace("absolute", "percent_of_initial").replace(
                "lowest = 1, highest = 2", "lowest = 90"
            )
            + "from_weights = true",
            "1: a loss of weight is 0 at T0, so it has no share of initial",
        ),
    ],
)  # fmt: skip
def test_a_broken_rule_is_told_with_the_line_to_change(lines: str, fault: str) -> None:
    found = faults_of(lines)

    assert any(fault in one for one in found), found


@pytest.mark.parametrize(
    "lines",
    [
        f"readings = 99\nobservers = 1\n{MEASURED}",
        f"resolution = 0.001\nfar = 0.001\n{MEASURED}",
        MEASURED.replace("lowest = 1", "lowest = 2"),
        MEASURED.replace("lowest = 1", "").replace("{,", "{"),
        MEASURED.replace("absolute = {lowest = 1", "change = {lowest = 0"),
        'limit = {change = {highest = 0}, reason = "x"}',
        MEASURED.replace("absolute = {lowest = 1, highest = 2", "percent_of_initial = "
                         "{lowest = 100, highest = 100"),
        f"settings.t = {{between = [1, 2]}}\n{MEASURED}",
        f'conditions = ["T45"]\n{SCORED}limit_at.T45 = {{recorded_only = true}}',
        f'when = ["T0", "3M"]\n{SCORED}',
    ],
)  # fmt: skip
def test_a_value_at_the_bound_is_fine(lines: str) -> None:
    assert "tested" in read_protocol(HEAD + lines, "x", "x.toml").attributes


def test_a_limit_that_is_recorded_only_needs_no_reason() -> None:
    text = f"{HEAD}limit.recorded_only = true"

    assert read_protocol(text, "x", "x.toml").attributes["tested"].limit.recorded_only


def test_an_instrument_of_a_group_need_not_be_among_the_needs() -> None:
    text = f'{HEAD}one_of = "thickness"\ninstrument = "viscometer"\n{MEASURED}'

    assert read_protocol(text, "x", "x.toml").attributes["tested"].one_of == "thickness"


def test_an_instrument_may_be_listed_with_its_resolution() -> None:
    text = HEAD.replace('"pH meter"', '"Balance 0.01 g"')
    text += f'instrument = "balance"\n{MEASURED}'

    assert (
        read_protocol(text, "x", "x.toml").attributes["tested"].instrument == "balance"
    )


def test_one_fault_in_a_limit_does_not_draw_others_after_it() -> None:
    assert faults_of(MEASURED.replace("absolute", "absolut")) == [
        "1: [attributes.tested.limit] has no key “absolut”; did you mean “absolute”?"
    ]
