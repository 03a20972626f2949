"""The command that writes labels."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import PLAN, app
from stability.cli.output import short_anchor, tell
from stability.cli.surroundings import occasion
from stability.workflow import labels as labelling
from stability.workflow.labels import WhichLabels, WhichSamples


@app.command("labels", rich_help_panel=PLAN)
def labels(
    *,
    study: options.StudyOrFolder,
    out: options.Out,
    sheet: Annotated[
        str | None,
        typer.Option(
            "--sheet",
            metavar="SIZE",
            help="Labels on a sheet by their size in mm; usually 63.5x38.1.",
        ),
    ] = None,
    printer: Annotated[
        str | None,
        typer.Option(
            "--printer", metavar="SIZE", help="One label a page of this size in mm."
        ),
    ] = None,
    margin: Annotated[
        str | None,
        typer.Option(
            "--margin", metavar="SIZE", help="Left and top margin of the sheet in mm."
        ),
    ] = None,
    pitch: Annotated[
        str | None,
        typer.Option(
            "--pitch", metavar="SIZE", help="From label to label, across and down."
        ),
    ] = None,
    start_at: Annotated[
        int,
        typer.Option(
            "--start-at", metavar="NUMBER", help="First free label, row by row."
        ),
    ] = 1,
    outlines: Annotated[
        bool,
        typer.Option("--outlines", help="Outline every label, to cut or to try."),
    ] = False,
    condition: options.OnlyCondition = None,
    batch: options.OnlyBatch = None,
    pack: options.OnlyPack = None,
    use: options.OnlyUse = None,
    samples: options.OnlySamples = None,
    retired: Annotated[
        bool, typer.Option("--retired", help="Also samples that left the study.")
    ] = False,
    as_of: options.AsOf = None,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write a label for each sample, as a PDF.

    On each: its code in large type and as a QR code, condition, use, product, batch and
    pack, when it was placed and made, which checks wait, and that it is a test sample
    and not for use on skin. Before a sample is placed its label has room for the day;
    its checks then stand as ages, because their dates still move.

    Sheets are named by the size of a label in mm; an unknown size lists the known ones.
    Print at actual size. What had no room on a small label is told.

    Example:

      stability labels HDC --sheet 63.5x38.1 --start-at 5 --out labels.pdf
    """
    written = labelling.labels(
        occasion(records), study, out,
        WhichSamples(batch, pack, condition, use, samples or (), retired),
        WhichLabels(sheet, printer, margin, pitch, start_at, outlines),
        as_of=as_of, font=font, overwrite=overwrite,
    )  # fmt: skip
    tell(
        f"{written.target}: labels of {written.study} as of {written.as_of}: "
        f"{written.labels}; pages: {written.pages}"
    )
    tell(*(f"    {remark}" for remark in written.remarks))
    tell(f"record: {short_anchor(written.anchor)}")
