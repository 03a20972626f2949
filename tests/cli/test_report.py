"""The report as a file, and what is said beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


def test_a_report_is_written_with_anchor_and_note(logged: Workspace) -> None:
    ran = logged.run("report", "TRK", "--out", "report.pdf")

    assert (ran.code, ran.out) == (0, "")
    assert (logged.folder / "report.pdf").read_bytes().startswith(b"%PDF")
    assert "record: study:TRK/" in ran.err
    assert "qualified safety assessor" in ran.err


def test_a_report_is_not_overwritten_unless_asked(logged: Workspace) -> None:
    target = logged.folder / "report.pdf"
    target.write_bytes(b"mine")

    refused = logged.run("report", "TRK", "--out", "report.pdf")
    kept = target.read_bytes()
    replaced = logged.run("report", "TRK", "--out", "report.pdf", "--overwrite")

    assert (refused.code, replaced.code) == (2, 0), replaced.err
    assert kept == b"mine"
    assert target.read_bytes().startswith(b"%PDF")


def test_a_report_verifies_the_record_it_was_made_of(logged: Workspace) -> None:
    logged.run("report", "TRK", "--out", "report.pdf")

    assert logged.run("verify", "--against", "report.pdf").code == 0


def test_a_font_that_is_not_there_is_named(logged: Workspace) -> None:
    ran = logged.run("report", "TRK", "--out", "report.pdf", "--font", "none.ttf")

    assert ran.code == 2
    assert "none.ttf" in ran.err
    assert not (logged.folder / "report.pdf").exists()


def test_a_folder_that_is_not_there_is_named(logged: Workspace) -> None:
    ran = logged.run("report", "TRK", "--out", "none/report.pdf")

    assert ran.code == 2
    assert "none" in ran.err
