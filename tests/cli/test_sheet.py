"""`sheet`: what it writes, tells and refuses."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from openpyxl import load_workbook

from stability.errors.command_line import EmptySheetError, SheetScopeError

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


def test_a_workbook_is_written_and_told_with_its_anchor(logged: Workspace) -> None:
    ran = logged.run("sheet", "TRK", "--on", "2026-04-02", "--xlsx", "april.xlsx")

    assert (ran.code, ran.out) == (0, "")
    assert "april.xlsx: TRK, 2026-04-02; samples: 2" in ran.err
    assert "record: study:TRK/" in ran.err
    assert load_workbook(logged.folder / "april.xlsx").sheetnames == ["TRK", "Day"]


def test_what_it_wrote_is_taken_in_again(logged: Workspace) -> None:
    logged.run("sheet", "--all", "--on", "2026-04-02", "--xlsx", "april.xlsx")
    file = logged.folder / "april.xlsx"
    book = load_workbook(file)
    sheet = book["TRK"]
    names = {str(cell.value): place for place, cell in enumerate(sheet[1], 1)}
    for row in range(2, sheet.max_row + 1):
        sheet.cell(row, names["odour"]).value = "slightly changed"
    book.save(file)

    ran = logged.run("log", "--from", "april.xlsx")

    assert ran.code == 0, ran.err
    assert ran.err.count("odour slightly changed") == 2
    assert logged.run("verify", "--against", "april.xlsx").code == 0


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ((), SheetScopeError()),
        (("TRK", "--all"), SheetScopeError()),
        (
            ("TRK", "--on", "2026-03-02"),
            EmptySheetError("study TRK", "2026-03-02"),
        ),
    ],
)
def test_what_cannot_be_written_is_refused(
    logged: Workspace, typed: tuple[str, ...], error: Exception
) -> None:
    ran = logged.run("sheet", *typed, "--xlsx", "none.xlsx")

    assert ran.code == 2
    assert str(error) in ran.err
    assert not (logged.folder / "none.xlsx").exists()
