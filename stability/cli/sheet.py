"""The command that writes what is read on a check day."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.output import short_anchor, tell
from stability.cli.surroundings import occasion
from stability.errors.command_line import SheetFormError
from stability.workflow import sheets
from stability.workflow.sheets import SheetWritten


@app.command("sheet", rich_help_panel=BENCH)
def sheet(
    *,
    study: Annotated[
        str | None,
        typer.Argument(metavar="[STUDY]", help="Study code, or a study folder."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="The PDF to write, for a pen."),
    ] = None,
    xlsx: Annotated[
        Path | None,
        typer.Option("--xlsx", metavar="FILE", help="The workbook to write."),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Every study of the records.")
    ] = False,
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="DATE", help="The check day; usually today."),
    ] = None,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write the samples that are due, to be filled in at the bench.

    --out writes a PDF for a pen: a block for each sample, comparisons first, with its
    code as on the label and an empty box for each reading in the order of handling,
    the last value and the limit beside it. 'enter' takes what was written.

    --xlsx writes a workbook: one row for each sample, comparisons first, with a column
    for each reading; words of a scale are chosen from a list, and what is not due is
    grey. The last reading and the limit show beside a cell that is selected. The sheet
    Day holds observers and settings for the whole day. Fill it, save it, and take it in
    with: stability log --from FILE. An empty cell is not recorded.

    Example:

      stability sheet HDC --on 2026-04-09 --out april.pdf
    """
    at = occasion(records)
    if out is None and xlsx is None:
        raise SheetFormError
    if out is not None:
        written = sheets.write_paper(
            at, study, out, every=every, on=on, font=font, overwrite=overwrite
        )
        _tell(written)
    if xlsx is not None:
        written = sheets.write_workbook(
            at, study, xlsx, every=every, on=on, overwrite=overwrite
        )
        _tell(written)


def _tell(written: SheetWritten) -> None:
    studies = ", ".join(written.studies)
    tell(f"{written.target}: {studies}, {written.day}; samples: {written.samples}")
    tell(*(f"record: {short_anchor(one)}" for one in written.anchors))
