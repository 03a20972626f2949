"""`sheet --out`: the PDF for a pen, what it tells and refuses."""

from __future__ import annotations

import pypdf

from stability.errors.command_line import SheetFormError
from tests.cli.conftest import Workspace


def test_a_pdf_is_written_and_told_with_its_anchor(logged: Workspace) -> None:
    ran = logged.run("sheet", "TRK", "--on", "2026-04-02", "--out", "april.pdf")

    assert (ran.code, ran.out) == (0, "")
    assert "april.pdf: TRK, 2026-04-02; samples: 2" in ran.err
    text = pypdf.PdfReader(logged.folder / "april.pdf").pages[0].extract_text()
    assert logged.codes["T40"] in text
    assert "last: 89.80 (2w)" in text


def test_the_record_passes_through_a_sheet_that_was_printed(logged: Workspace) -> None:
    logged.run("sheet", "TRK", "--on", "2026-04-02", "--out", "april.pdf")
    logged.run("note", "TRK", "sheet printed")

    ran = logged.run("verify", "--against", "april.pdf")

    assert ran.code == 0
    assert "passes through study:TRK/" in ran.out


def test_both_are_written_at_once_and_neither_over_another(logged: Workspace) -> None:
    both = ("--out", "april.pdf", "--xlsx", "april.xlsx")
    first = logged.run("sheet", "TRK", "--on", "2026-04-02", *both)
    before = (logged.folder / "april.pdf").read_bytes()
    again = logged.run("sheet", "TRK", "--on", "2026-04-02", *both)
    over = logged.run("sheet", "TRK", "--on", "2026-04-02", *both, "--overwrite")

    assert (first.code, again.code, over.code) == (0, 2, 0)
    assert (logged.folder / "april.pdf").read_bytes() == before


def test_what_to_write_must_be_named(logged: Workspace) -> None:
    ran = logged.run("sheet", "TRK", "--on", "2026-04-02")

    assert ran.code == 2
    assert str(SheetFormError()) in ran.err
