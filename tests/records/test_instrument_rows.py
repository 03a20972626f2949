"""Instruments of a hand-made folder: rows, their faults, and digests that repeat."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.files import RowsError
from stability.model.instrument import fold_instrument
from stability.records.instrument_rows import (
    COLUMNS,
    instrument_entries,
)
from stability.records.rows import read_rows
from stability.records.study_folder import instruments_of_folder, read_hand_made
from stability.records.subject_rows import SubjectRowRules
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, NOW, ROOM_A, ZONE, write_files

HEADER = ",".join(COLUMNS)
ROWS = """\
registered,2026-03-01,,,PH1-9XR2,pH meter,valid_for=1d; offset=25,,glass electrode
registered,2026-03-01,,Ben,BAL1-7KQ4,balance 0.01 g,tolerance=0.02 g,,
calibrated,2026-03-05T08:30,,,PH1,7.01=-15; 4.01=160,temperature=25; reread=4.01=4.02,,
checked,2026-03-05,,,BAL1,50.00=50.01,,,
calibrated,2026-03-09,2026-03-10,,PH1,,slope=88; offset=-12,,old electrode
calibrated,2026-03-09,,,ph1-9xr2,,slope=9.86,,
invalidated,2026-03-09,,,PH1,,,4,98.6 mistyped
"""
RULES = SubjectRowRules("folder/instruments.csv", "Ana Reyes", ZONE, NOW)


def folder(tmp_path: Path, rows: str = ROWS) -> Path:
    """Return a hand-made folder whose readings name the instruments of its rows."""
    write_files(tmp_path, protocol=METERED)
    (tmp_path / "instruments.csv").write_text(f"{HEADER}\n{rows}", encoding="utf-8")
    (tmp_path / "events.csv").write_text(
        "kind,done,sample,attribute,reading,settings\n"
        f"observed,2026-03-05T09:00,{BULK_A},pH,5.50/5.52,instrument=PH1\n"
        f"day,2026-03-06,,,,pH.instrument=PH1; weight_loss.instrument=BAL1\n"
        f"observed,2026-03-06,{ROOM_A},w,80.12,\n",
        encoding="utf-8",
    )
    return tmp_path


def faults(rows: str) -> tuple[str, ...]:
    """Return what is wrong with rows."""
    with pytest.raises(RowsError) as fault:
        instrument_entries(read_rows(f"{HEADER}\n{rows}", "x", COLUMNS), RULES)
    return fault.value.faults


def test_rows_become_the_entries_of_each_instrument(tmp_path: Path) -> None:
    made = instruments_of_folder(folder(tmp_path), NOW)
    meter = fold_instrument([one for one in made if one.subject.endswith("9XR2")])
    balance = fold_instrument([one for one in made if one.subject.endswith("7KQ4")])

    assert (meter.code, meter.text, meter.person) == (
        "PH1-9XR2", "glass electrode", "Ana Reyes",
    )  # fmt: skip
    assert (str(meter.rules.acceptance.offset), meter.rules.usual) == (
        "25",
        ("slope", "reread"),
    )
    first, failed, aside = meter.calibrations
    assert (first.slope_percent, first.reread, str(first.done)) == (
        "98.6", ("4.01", "4.02"), "2026-03-05T08:30:00+00:00",
    )  # fmt: skip
    assert (failed.passed, failed.because) == (False, "old electrode")
    assert failed.entered.isoformat() == "2026-03-10T12:00:00+00:00"
    assert aside.invalidated is not None
    assert aside.invalidated.because == "98.6 mistyped"
    assert (balance.kind, balance.person) == ("balance 0.01 g", "Ben")
    assert balance.calibrations[0].passed


def test_rows_change_rules_from_a_day_on_and_retire(tmp_path: Path) -> None:
    rows = (
        "rules,2026-03-08,2026-03-09,,PH1,,valid_for=7d; from=2026-03-10,,procedure 7\n"
        "retired,2026-03-09,,Ben,BAL1,,,,loan returned\n"
    )
    made = instruments_of_folder(folder(tmp_path, ROWS + rows), NOW)
    meter = fold_instrument([one for one in made if one.subject.endswith("9XR2")])
    balance = fold_instrument([one for one in made if one.subject.endswith("7KQ4")])

    (change,) = meter.changes
    assert (str(change.since), change.because) == ("2026-03-10", "procedure 7")
    assert (str(change.rules.valid_for), change.person) == ("7d", "Ana Reyes")
    assert balance.retired is not None
    assert (balance.retired.because, balance.retired.person) == ("loan returned", "Ben")


def test_a_row_cannot_change_rules_before_it_was_stored() -> None:
    first = "registered,2026-03-01,,,PH1-9XR2,pH meter,,,\n"
    row = "rules,2026-03-01,2026-03-09,,PH1,,valid_for=7d; from=2026-03-08,,x\n"

    (fault,) = faults(first + row)
    assert "today or a later day" in fault


def test_the_same_rows_give_the_same_digests(tmp_path: Path) -> None:
    one = instruments_of_folder(folder(tmp_path / "one"), NOW)
    other = instruments_of_folder(folder(tmp_path / "other"), NOW)

    assert [entry.digest for entry in one] == [entry.digest for entry in other]
    assert [entry.position for entry in one] == [1, 1, 2, 2, 3, 4, 5]


def test_readings_of_the_folder_name_instruments_by_their_whole_name(
    tmp_path: Path,
) -> None:
    made = read_hand_made(folder(tmp_path), NOW)

    assert [one.content.get("settings") for one in made.entries[1:]] == [
        {"instrument": "PH1-9XR2"},
        {
            "pH": {"instrument": "PH1"},
            "weight_loss": {"instrument": "BAL1"},
        },
        {"instrument": "BAL1-7KQ4"},
    ]


def test_a_folder_without_the_file_has_no_instruments(tmp_path: Path) -> None:
    made = folder(tmp_path)
    (made / "instruments.csv").unlink()

    assert instruments_of_folder(made, NOW) == ()
    assert read_hand_made(made, NOW).instruments == ()


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("weighed,2026-03-01,,,PH1-9XR2,,,,", "there is no kind 'weighed'"),
        ("registered,,,,PH1-9XR2,pH meter,,,", "column done is empty"),
        ("registered,2027-03-01,,,PH1-9XR2,pH meter,,,", "2027-03-01"),
        ("registered,2026-03-01,,,PH1,pH meter,,,", "is no name of an instrument"),
        ("registered,2026-03-01,,,PH1-9XR2,,,,", "column reading is empty"),
        ("registered,2026-03-01,,,PH1-9XR2,pH meter,color=red,,", "'color=red'"),
        ("registered,2026-03-01,,,PH1-9XR2,pH meter,slope=90,,", "write a range"),
        ("calibrated,2026-03-01,,,PH1,,slope=98,,", "rows above register none"),
        ("invalidated,2026-03-01,,,PH1,,,2,x", "rows above register none"),
    ],
)
def test_a_row_that_cannot_be_taken_is_told_with_its_line(row: str, said: str) -> None:
    (fault,) = faults(row)

    assert fault.startswith("line 2: ")
    assert said in fault


def test_all_faults_of_the_file_are_told_at_once() -> None:
    registered = ROWS.splitlines()[0]
    found = faults(
        f"{registered}\n{registered}\n"
        "calibrated,2026-03-05,,,PH1,7.00=-15,temperature=22,,\n"
        "invalidated,2026-03-05,,,PH1,,,,x\n"
        "invalidated,2026-03-05,,,PH1,,,9,x\n"
        "checked,2026-03-05,,,PH2,50=50,,,\n"
    )

    assert [one.partition(":")[0] for one in found] == [
        "line 3", "line 4", "line 5", "line 6", "line 7",
    ]  # fmt: skip
    assert "registered already" in found[0]
    assert "one buffer tells no slope" in found[1]
    assert "write the number of an entry" in found[2]
    assert "no calibration or retirement of this number" in found[3]
    assert "rows above register PH1-9XR2" in found[4]


def test_an_unknown_column_is_told(tmp_path: Path) -> None:
    made = folder(tmp_path)
    (made / "instruments.csv").write_text("kind,sample\n", encoding="utf-8")

    with pytest.raises(RowsError, match="there is no column 'sample'"):
        instruments_of_folder(made, NOW)
