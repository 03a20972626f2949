"""Rules for the samples of a study: what, where, how many, for which check."""

from __future__ import annotations

import pytest

from stability.errors.files import FaultyFileError
from stability.model.study import Study
from stability.records.protocol_file import find_protocol, read_protocol
from stability.records.study_file import read_study

STUDY = """\
format = 1
product = "Day cream"
version = "1.0"
protocol = "emulsion-combined"
as_sold = {formula = true, pack = true, scale = "5 kg"}
request = {months = 12}
[omit]
COLD = "x"
T45 = "x"
WINDOW = "x"
FOIL = "x"
[packs.JAR]
text = "50 g PP jar"
fill_g = 50
[packs.VIAL]
text = "vial"
fill_g = 15
[batches.A]
made = 2026-03-02
grams = 400
[[samples]]
batch = "A"
kind = "bulk"
grams = 35
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "untouched"
open_at = "12M"
[[samples]]
batch = "A"
pack = "JAR"
condition = "T40"
use = "fresh per check"
checks = ["4w", "12w"]
[[samples]]
batch = "A"
pack = "VIAL"
condition = "FT"
use = "reopened"
count = 3
untreated_twins = 1
[[samples]]
batch = "A"
pack = "JAR"
use = "retained"
keep_for = "2y"
"""


def read(text: str) -> Study:
    """Read a study against the combined protocol."""
    protocol_text, name, file = find_protocol("emulsion-combined")
    return read_study(text, "s.toml", read_protocol(protocol_text, name, file))


def faults_of(old: str, new: str) -> list[str]:
    """Return line and text of the faults that a change of the study makes."""
    assert old in STUDY
    with pytest.raises(FaultyFileError) as caught:
        read(STUDY.replace(old, new, 1))
    return [str(fault).removeprefix("s.toml:") for fault in caught.value.faults]


def test_the_study_below_has_no_fault() -> None:
    assert len(read(STUDY).samples) == 5


def test_only_samples_in_use_stand_where_age_counts_from_the_opening() -> None:
    text, name, file = find_protocol("emulsion-combined")
    opened = text.replace(
        "[conditions.T40]", '[conditions.T40]\nage_from = "first opening"'
    )
    protocol = read_protocol(opened, name, file)
    in_use = STUDY.replace('use = "fresh per check"', 'use = "in use"')

    with pytest.raises(FaultyFileError) as caught:
        read_study(STUDY, "s.toml", protocol)
    (fault,) = map(str, caught.value.faults)
    assert fault.startswith("s.toml:35: age in T40 counts from the first opening, but")
    assert "“fresh per check” have none" in fault
    assert read_study(in_use, "s.toml", protocol).samples[2].use == "in use"


UNTOUCHED = 'condition = "ROOM"\nuse = "untouched"\nopen_at = "12M"'
FRESH = 'use = "fresh per check"'


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        # names
        ('batch = "A"\nkind', 'batch = "B"\nkind', "22: there is no batch “B”; known:"),
        ('batch = "A"\nkind', "batch = []\nkind", "22: [[samples]] no. 1 has no batch"),
        (
            'batch = "A"\nkind',
            'batch = ["A", "A"]\nkind',
            "22: batch A stands twice in",
        ),
        ('pack = "JAR"', 'pack = "JRA"', "27: there is no pack “JRA”; did you mean “J"),
        ('"ROOM"', '"ROM"', "28: there is no condition “ROM”; did you mean “ROOM”?"),
        ('"ROOM"', '"COLD"', "28: COLD is left out of this study: x; take it out of ["),
        # counts
        (
            "count = 3",
            "count = 0",
            "42: [[samples]] no. 4 counts 0 samples; write 1 to",
        ),
        ("count = 3", "count = -1", "42: [[samples]] no. 4 counts -1 samples"),
        ("count = 3", "count = 1000", "42: [[samples]] no. 4 counts 1000 samples"),
        ("twins = 1", "twins = -1", "43: [[samples]] no. 4 counts -1 untreated twins"),
        ("grams = 35", "grams = 0", "24: a sample of 0 g is none"),
        # use
        ('use = "retained"\n', "", "44: [[samples]] no. 5 lacks “use”"),
        ('"untouched"', '"untuched"', "29: “use” cannot be “untuched”; did you mean “"),
        ('kind = "bulk"', 'kind = "bulk"\nuse = "reopened"', "24: a bulk cannot be “r"),
        ('kind = "bulk"', 'kind = "bulk"\npack = "JAR"', "24: a bulk has no pack; tak"),
        ('kind = "bulk"', 'use = "T0"', "21: [[samples]] no. 1 has containers and no "),
        ('condition = "T40"\n', "", "31: [[samples]] no. 3 is “fresh per check” and h"),
        (
            'use = "retained"',
            'use = "retained"\ncondition = "ROOM"',
            "48: samples that are “retained” do not enter a condition; take the condit",
        ),
        (FRESH, f'{FRESH}\nkeep_for = "2y"', "36: “keep_for” is for retained samples"),
        (FRESH, f'{FRESH}\nopen_at = "4w"', "36: “open_at” belongs to untouched sam"),
        ('open_at = "12M"\n', "", "25: “open_at” belongs to untouched samples, which"),
        # checks
        ('"4w", "12w"', '"4w", "13w"', "36: there is no check of T40 “13w”; did you m"),
        ('"4w", "12w"', '"4w", "4w"', "36: check 4w stands twice"),
        ('open_at = "12M"', 'open_at = "13M"', "30: there is no check of ROOM “13M”"),
        ('open_at = "12M"', 'open_at = "T0"', "30: there is no check of ROOM “T0”"),
        (
            'open_at = "12M"',
            'open_at = "12M"\nchecks = ["6M"]',
            "31: an untouched sample has no checks but the one at which it is opened",
        ),
        (
            'kind = "bulk"',
            'kind = "bulk"\nchecks = ["4w"]',
            "24: samples that are “T0” have no checks of their own",
        ),
        ('kind = "bulk"', 'kind = "tube"\nchecks = ["5w"]', "24: there is no check “5"),
        # twins
        (FRESH, f"{FRESH}\nuntreated_twins = 1", "36: the protocol names no untreated"),
        # conditions
        ('T45 = "x"\n', "", "20: no sample stands in T45; add [[samples]] for it, or "),
        # sums
        (
            "[[samples]]",
            "[batches.B]\nmade = 2026-03-02\n[[samples]]",
            "21: batch B has no samples; add [[samples]] for it, or take it out",
        ),
    ],
)
def test_a_broken_rule_is_told_with_the_line_to_change(
    old: str, new: str, fault: str
) -> None:
    found = faults_of(old, new)

    assert any(fault in one for one in found), found


def test_a_pack_without_fill_and_tare_is_told_where_weight_loss_is_read() -> None:
    assert faults_of('jar"\nfill_g = 50', 'jar"') == [
        (
            "12: pack JAR has neither fill nor tare, so its net weight is not known "
            "and weight_loss cannot be worked out; add tare_g or fill_g, or say under "
            "[omit] why it is left out"
        )
    ]
    assert read(STUDY.replace("fill_g = 50", "tare_g = 32.1"))
    without = STUDY.replace("fill_g = 50\n", "").replace(
        "[omit]", '[omit]\nweight_loss = "no balance"'
    )
    assert read(without)


def test_a_pack_that_is_weighed_only_as_a_twin_needs_its_tare_too() -> None:
    found = faults_of('vial"\nfill_g = 15', 'vial"')

    assert len(found) == 1
    assert "pack VIAL has neither fill nor tare" in found[0]
    assert read(STUDY.replace("fill_g = 15\n", "").replace("untreated_twins = 1\n", ""))


def test_a_batch_that_is_just_large_enough_has_no_fault() -> None:
    # 35 bulk + 50 untouched + 2 x 50 fresh + (3 + 1) x 15 vials + 50 retained = 295.
    assert read(STUDY.replace("grams = 400", "grams = 295"))
    found = faults_of("grams = 400", "grams = 294.99")
    assert "20: batch A has 294.99 g, its samples need 295 g" in found[0]


def test_a_batch_without_a_sample_for_initial_values_is_told() -> None:
    text = STUDY.replace('"reopened"', '"fresh per check"')
    for row in ('kind = "tube"', 'pack = "JAR"\nuse = "spare"'):
        with pytest.raises(FaultyFileError) as caught:
            read(text.replace('kind = "bulk"', row))

        assert str(caught.value) == (
            's.toml:18: batch A has no sample for T0; add one with kind = "bulk" or '
            'use = "T0", or a reopened one'
        )


@pytest.mark.parametrize(
    "row",
    [
        'pack = "JAR"\nuse = "T0"',
        'pack = "JAR"\ncondition = "ROOM"\nuse = "reopened"',
        'pack = "JAR"\ncondition = "ROOM"\nuse = "in use"',
        'pack = "JAR"\ncondition = "ROOM"\nuse = "fresh per check"\nchecks = ["T0"]',
    ],
)
def test_initial_values_may_come_from_any_of_these(row: str) -> None:
    text = STUDY.replace('kind = "bulk"\ngrams = 35', row)

    assert read(text)


def test_a_row_may_count_up_to_999() -> None:
    text = STUDY.replace("grams = 400\n", "").replace("count = 3", "count = 999")
    text = text.replace("untreated_twins = 1", "untreated_twins = 999")

    assert read(text).samples[3].count == 999


def test_an_untouched_sample_may_be_opened_at_the_first_check() -> None:
    study = read(STUDY.replace('open_at = "12M"', 'open_at = "4w"'))

    assert study.samples[1].open_at == "4w"


def test_the_same_row_may_stand_twice() -> None:
    row = '[[samples]]\nbatch = "A"\npack = "JAR"\nuse = "spare"\n'

    assert len(read(STUDY + row + row).samples) == 7


def test_one_fault_does_not_draw_others_after_it() -> None:
    assert faults_of('use = "untouched"', 'us = "untouched"') == [
        "29: [[samples]] no. 2 has no key “us”; did you mean “use”?"
    ]
