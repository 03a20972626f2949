"""`log --from`: what it prints, and what it refuses."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stability.cli.main import run
from stability.errors.command_line import FileOptionError, FileSaysItselfError
from tests.records.workbooks import new_sheet, saved

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


def count(folder: Path) -> int:
    """Return how many entries the journal holds."""
    connection = sqlite3.connect(folder / "stability.db")
    try:
        (found,) = connection.execute("select count(*) from entry").fetchone()
    finally:
        connection.close()
    return int(found)


@pytest.fixture
def file(logged: Workspace) -> str:
    """Return a file with two readings of one check."""
    hot = logged.codes["T40"]
    (logged.folder / "april.csv").write_text(
        f"sample;date;pH 1;pH 2;odour\n{hot};2/4/2026;5,38;5,40;2\n", encoding="utf-8"
    )
    return "april.csv"


def test_a_dry_run_prints_rows_with_marks_and_stores_nothing(
    logged: Workspace, file: str
) -> None:
    before = count(logged.folder)

    ran = logged.run(
        "log", "--from", file, "--decimal-comma", "--dates", "dmy", "--dry-run"
    )

    assert ran.code == 0, ran.err
    assert "line 2, column pH 1" in ran.out
    assert "pH 5.38 / 5.40" in ran.out
    assert "outside" in ran.out
    assert "Nothing was stored" in ran.out
    assert "qualified safety assessor" in ran.out
    assert count(logged.folder) == before


def test_a_dry_run_goes_to_another_program(logged: Workspace, file: str) -> None:
    ran = logged.run(
        "log", "--from", file, "--decimal-comma", "--dates", "dmy",
        "--dry-run", "--format", "json",
    )  # fmt: skip

    told = json.loads(ran.out)
    assert (told["file"], told["new"]) == ("april.csv", 2)
    assert [row["done"] for row in told["rows"]] == ["2026-04-02", "2026-04-02"]


def test_what_was_stored_is_told_with_marks_and_the_receipt(
    logged: Workspace, file: str
) -> None:
    ran = logged.run("log", "--from", file, "--decimal-comma", "--dates", "dmy")

    assert ran.code == 0, ran.err
    assert ran.out == ""
    assert "mean 5.39" in ran.err
    assert "received april.csv; rows: 1, entries: 2; SHA-256" in ran.err
    assert ran.err.count("record: study:TRK/") == 1

    again = logged.run("log", "--from", file, "--decimal-comma", "--dates", "dmy")
    assert again.code == 0
    assert "nothing is stored twice" in again.err


def test_days_that_may_be_two_say_how_to_be_told(logged: Workspace, file: str) -> None:
    ran = logged.run("log", "--from", file, "--decimal-comma")

    assert ran.code == 2
    assert "2 April or 4 February" in ran.err
    assert "--dates" in ran.err


def test_a_workbook_with_a_formula_is_refused_with_its_cell(
    logged: Workspace,
) -> None:
    before = count(logged.folder)
    book, _ = new_sheet(
        [["sample", "date", "pH"], [logged.codes["T40"], "2026-04-02", "=5+0.4"]]
    )
    (logged.folder / "april.xlsx").write_bytes(saved(book))

    ran = logged.run("log", "--from", "april.xlsx", "--sheet", "Sheet")

    assert ran.code == 2
    assert "sheet Sheet, row 2, column C (pH): it holds a formula" in ran.err
    assert "Traceback" not in ran.err
    assert count(logged.folder) == before


@pytest.mark.parametrize(
    "option",
    [
        ("--on", "2026-04-02"),
        ("--check", "4w"),
        ("--repeat", "again"),
        ("--because", "why"),
        ("--set", "pH.dilution=1 %"),
        ("--observer", "Ana"),
        ("--control", "TRK-001-X"),
        ("--blind",),
    ],
)
def test_what_a_file_says_itself_is_refused_beside_it(
    logged: Workspace, file: str, option: tuple[str, ...]
) -> None:
    before = count(logged.folder)

    ran = logged.run(
        "log", "--from", file, "--decimal-comma", "--dates", "dmy", *option
    )

    assert ran.code == 2
    assert str(FileSaysItselfError("april.csv", [option[0]])) in ran.err
    assert count(logged.folder) == before


@pytest.mark.parametrize(
    "option", [("--dry-run",), ("--dates", "dmy"), ("--sheet", "May")]
)
def test_what_means_a_file_is_refused_without_one(
    logged: Workspace, option: tuple[str, ...]
) -> None:
    before = count(logged.folder)

    # Somebody who asks for a dry run expects that nothing is stored.
    ran = logged.run("log", logged.codes["T40"], "pH=5.4/5.4", *option)

    assert ran.code == 2
    assert str(FileOptionError([option[0]])) in ran.err
    assert count(logged.folder) == before


def test_the_help_says_how_a_file_looks(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(("log", "--help")) == 0
    told = " ".join(capsys.readouterr().out.split())
    for word in ("--from", "--sheet", "--dry-run", "--dates", "empty cell"):
        assert word in told
