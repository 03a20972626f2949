"""The check day as it stands on a sheet, and a workbook that comes back filled."""

from __future__ import annotations

import io
import json
import shutil
import sqlite3
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from stability.errors.codes import MomentError
from stability.errors.command_line import EmptySheetError, SheetScopeError
from stability.errors.files import ReceivedFileError, RowsError
from stability.errors.reports import ReportExistsError
from stability.records.anchors import anchors_in
from stability.workflow import bench, sheets
from stability.workflow.occasion import Occasion
from stability.workflow.records import verify
from tests.records.small_study import BULK_A, ROOM_A, ROOM_B, T40_2W, TWIN_A
from tests.records.workbooks import packed, parts_of
from tests.workflow.conftest import At

DAY = "2026-03-26"


@pytest.fixture
def placed(at: At) -> At:
    """Return occasions in a workspace whose samples are in their places."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    for place in ("ROOM", "T40"):
        bench.place(at("2026-03-12"), [], study="HDC", to=place, done="2026-03-12")
    bench.day(
        at(DAY), "HDC", on=DAY, observers=["Ana", "Ben"],
        settings=["pH.electrode=E1"],
    )  # fmt: skip
    return at


@pytest.fixture
def written(placed: At, tmp_path: Path) -> Path:
    """Return the workbook of 26 March."""
    file = tmp_path / "march.xlsx"
    sheets.write_workbook(placed(DAY), "HDC", file, on=DAY)
    return file


def sheet_of(file: Path, name: str = "HDC") -> Worksheet:
    """Return a sheet as a spreadsheet library reads it."""
    found = load_workbook(file)[name]
    assert isinstance(found, Worksheet)
    return found


def headings(sheet: Worksheet) -> dict[str, int]:
    """Return heading -> column."""
    return {str(cell.value): number for number, cell in enumerate(sheet[1], 1)}


def row_of(sheet: Worksheet, code: str) -> int:
    """Return the row of a sample."""
    return next(row for row in range(2, 99) if sheet.cell(row, 1).value == code)


def fill(file: Path, cells: Mapping[tuple[str, str], object], to: Path) -> None:
    """Fill cells by sample and heading, as a person with a spreadsheet does."""
    book = load_workbook(file)
    sheet = book["HDC"]
    assert isinstance(sheet, Worksheet)
    for (code, heading), value in cells.items():
        cell = sheet.cell(row_of(sheet, code), headings(sheet)[heading])
        assert cell.protection.locked is False, heading
        cell.value = value  # type: ignore[assignment]
    book.save(to)


def contents(at: Occasion) -> list[dict[str, Any]]:
    """Return what every observation says, in the order of the journal."""
    connection = sqlite3.connect(at.records)
    try:
        rows = connection.execute("select line from entry order by number").fetchall()
    finally:
        connection.close()
    entries = [json.loads(line) for (line,) in rows]
    return [
        {key: one[key] for key in ("kind", "done", "person", "content")}
        for one in entries
        if one["kind"] in {"observed/1", "noted/1"}
    ]


FILLED: dict[tuple[str, str], object] = {
    (ROOM_A, "w [g]"): 78.4,
    (ROOM_A, "separation"): "none",
    (ROOM_A, "odour 1"): "as control",
    (ROOM_A, "odour 2"): "slightly changed",
    (ROOM_A, "swollen"): "no",
    (ROOM_A, "pH 1 [pH]"): 5.5,
    (ROOM_A, "pH 2 [pH]"): 5.47,
    (ROOM_A, "spread [mm]"): 60,
    (ROOM_A, "w2 [g]"): 73.1,
    (ROOM_A, "control"): TWIN_A,
    (ROOM_A, "note"): "lid was loose",
    (T40_2W, "separation"): "layer",
    (T40_2W, "layer_mm"): 2,
    (T40_2W, "pH 1 [pH]"): "not-measured",
    (T40_2W, "pH 2 [pH]"): "not-measured",
    (T40_2W, "because"): "electrode dead",
}


def test_a_workbook_filled_and_read_back_says_what_typing_says(
    placed: At, written: Path, tmp_path: Path
) -> None:
    on = placed(DAY)
    typing = replace(on, records=str(tmp_path / "typed.db"))
    shutil.copy(on.records, typing.records)
    filled = tmp_path / "filled.xlsx"
    fill(written, FILLED, filled)

    bench.log_file(on, filled)
    bench.log(
        typing, ROOM_A,
        ["w=78.4", "separation=none", "odour=0/1", "swollen=no", "pH=5.50/5.47",
         "spread=60", "w2=73.1"],
        settings=["pH.dilution=10 %"], control=TWIN_A, done=DAY, check="2w",
    )  # fmt: skip
    bench.note(typing, ROOM_A, "lid was loose", done=DAY)
    bench.log(
        typing, T40_2W, ["separation=layer", "layer_mm=2", "pH=not-measured"],
        because="electrode dead", done=DAY,
    )  # fmt: skip

    assert contents(on) == contents(typing)


def test_the_same_workbook_twice_stores_nothing_twice(
    placed: At, written: Path, tmp_path: Path
) -> None:
    filled = tmp_path / "filled.xlsx"
    fill(written, FILLED, filled)
    bench.log_file(placed(DAY), filled)
    before = contents(placed(DAY))
    more = {**FILLED, (ROOM_B, "spread [mm]"): 61}
    fill(written, more, tmp_path / "more.xlsx")

    again = bench.log_file(placed(DAY), filled)
    logged = bench.log_file(placed(DAY), tmp_path / "more.xlsx")

    assert "byte for byte" in again.remarks[0]
    assert [one.text for one in logged.rows] == [f"{ROOM_B}: 2w: spread 61 mm"]
    assert len(contents(placed(DAY))) == len(before) + 1


def test_an_unfilled_workbook_stores_nothing(placed: At, written: Path) -> None:
    before = contents(placed(DAY))

    logged = bench.log_file(placed(DAY), written)

    assert logged.rows == ()
    assert "no row" in logged.remarks[0]
    assert contents(placed(DAY)) == before


def test_a_workbook_carries_its_anchor_and_the_record_passes_through_it(
    placed: At, written: Path
) -> None:
    (anchor,) = anchors_in(written)

    found = verify(placed(DAY), against=[str(written)])

    assert found.holds
    assert str(anchor).startswith("study:HDC/")
    assert str(anchor) in str(sheet_of(written, "Day")["B4"].value)


def test_a_workbook_of_another_record_is_refused(
    placed: At, written: Path, tmp_path: Path, opened: Path
) -> None:
    elsewhere = replace(placed(DAY), records=str(tmp_path / "elsewhere.db"))
    shutil.copy(opened, elsewhere.records)
    fill(written, {(ROOM_A, "spread [mm]"): 60}, tmp_path / "filled.xlsx")

    with pytest.raises(ReceivedFileError, match="another record of study HDC"):
        bench.log_file(elsewhere, tmp_path / "filled.xlsx")


def test_a_workbook_that_lost_its_properties_is_known_by_its_cells(
    placed: At, written: Path, tmp_path: Path
) -> None:
    filled = tmp_path / "filled.xlsx"
    fill(written, {(ROOM_A, "pH 1 [pH]"): 5.5}, filled)
    parts = parts_of(filled.read_bytes())
    custom = parts["docProps/custom.xml"].replace(b"StabilityAnchors", b"Other")
    filled.write_bytes(packed({**parts, "docProps/custom.xml": custom}))

    bench.log_file(placed(DAY), filled)

    # The settings of the sheet Day came along.
    assert contents(placed(DAY))[-1]["content"]["settings"] == {
        "dilution": "10 %", "electrode": "E1",
    }  # fmt: skip


def test_what_is_not_due_is_grey_locked_and_says_so(written: Path) -> None:
    sheet = sheet_of(written)
    place = headings(sheet)
    grey = sheet.cell(row_of(sheet, T40_2W), place["w2 [g]"])
    white = sheet.cell(row_of(sheet, T40_2W), place["w [g]"])

    # A fresh container is not closed and weighed again.
    assert grey.value == "not due"
    assert grey.protection.locked
    assert white.value is None
    assert not white.protection.locked
    assert sheet.protection.sheet
    assert not sheet.protection.password


def test_worded_scales_are_lists_and_numbers_have_bounds(written: Path) -> None:
    sheet = sheet_of(written)
    place = headings(sheet)
    row = row_of(sheet, ROOM_A)

    def rule(heading: str) -> Any:
        cell = sheet.cell(row, place[heading]).coordinate
        return next(
            one for one in sheet.data_validations.dataValidation if cell in one.sqref
        )

    listed = str(rule("odour 1").formula1)
    assert listed.startswith("'Day'!$")
    day = sheet_of(written, "Day")
    words = [cell.value for (cell,) in day[listed.split("!")[1].replace("$", "")]]
    assert words == [
        "as control", "slightly changed", "changed", "strongly changed",
        "not-measured",
    ]  # fmt: skip
    assert (rule("pH 1 [pH]").formula1, rule("pH 1 [pH]").formula2) == ("0", "14")
    assert "limit: 5.0 to 5.9" in rule("pH 1 [pH]").prompt
    assert "last: 5.50 / 5.52 on 2026-03-05" in rule("pH 1 [pH]").prompt
    assert "48 to 72" in rule("spread [mm]").prompt


def test_numbers_show_as_many_decimals_as_the_instrument(written: Path) -> None:
    sheet = sheet_of(written)
    place = headings(sheet)

    row = row_of(sheet, ROOM_A)
    assert sheet.cell(row, place["pH 1 [pH]"]).number_format == "0.00"
    assert sheet.cell(row, place["spread [mm]"]).number_format == "General"


def test_a_number_finer_than_its_cell_shows_is_refused(
    placed: At, written: Path, tmp_path: Path
) -> None:
    fill(written, {(ROOM_A, "pH 1 [pH]"): 5.476}, tmp_path / "filled.xlsx")

    with pytest.raises(RowsError, match=r"shows 5\.48 and holds 5\.476"):
        bench.log_file(placed(DAY), tmp_path / "filled.xlsx")


def test_the_same_record_gives_the_same_bytes(
    placed: At, written: Path, tmp_path: Path
) -> None:
    again = tmp_path / "again.xlsx"

    sheets.write_workbook(placed(DAY), "HDC", again, on=DAY)

    assert again.read_bytes() == written.read_bytes()
    with zipfile.ZipFile(io.BytesIO(again.read_bytes())) as packed:
        assert {one.date_time[0] for one in packed.infolist()} == {1980}


def test_samples_stand_in_the_order_of_handling(placed: At) -> None:
    day = sheets.sheet_day(placed(DAY), "HDC", DAY)

    checks = [(one.sample.code, one.planned.check) for one in day.samples]
    assert (ROOM_A, "2w") in checks
    assert checks.index((ROOM_A, "2w")) < checks.index((T40_2W, "2w"))
    first = next(one for one in day.samples if one.sample.code == ROOM_A)
    assert [one.task.text for one in first.tasks] == [
        "weight before opening", "separation", "odour", "swollen", "pH", "spread",
        "weight after closing",
    ]  # fmt: skip
    assert first.controls == (TWIN_A,)
    assert day.settings["pH"] == {
        "dilution": "10 %", "sample_temperature": "", "electrode": "E1",
    }  # fmt: skip


def test_what_was_read_already_is_no_longer_asked(placed: At) -> None:
    bench.log(placed(DAY), ROOM_A, ["pH=5.5/5.5"], done=DAY)

    day = sheets.sheet_day(placed(DAY), "HDC", DAY)

    first = next(one for one in day.samples if one.sample.code == ROOM_A)
    assert "pH" not in [one.task.text for one in first.tasks]


def test_a_day_to_come_can_be_prepared(placed: At, tmp_path: Path) -> None:
    file = tmp_path / "april.xlsx"

    told = sheets.write_workbook(placed(DAY), None, file, every=True, on="2026-04-09")

    assert (told.day, told.studies) == (date(2026, 4, 9), ("HDC",))
    assert told.samples == sheet_of(file).max_row - 1


@pytest.mark.parametrize(
    ("study", "on", "error"),
    [
        (None, DAY, SheetScopeError),
        ("HDC", "2026-03-02", EmptySheetError),
        ("HDC", "2/4/2026", MomentError),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_and_no_file_is_left(
    placed: At, tmp_path: Path, study: str | None, on: str, error: type[Exception]
) -> None:
    file = tmp_path / "none.xlsx"

    with pytest.raises(error):
        sheets.write_workbook(placed(DAY), study, file, on=on)
    assert not file.exists()


def test_a_file_that_stands_there_is_kept(placed: At, written: Path) -> None:
    with pytest.raises(ReportExistsError):
        sheets.write_workbook(placed(DAY), "HDC", written, on=DAY)
    assert sheets.write_workbook(
        placed(DAY), "HDC", written, on=DAY, overwrite=True
    ).samples
