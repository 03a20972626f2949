"""The command that writes what an assessor reads."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import REPORT, app
from stability.cli.output import ASSESSMENT, short_anchor, tell
from stability.cli.surroundings import occasion, progress_bar
from stability.workflow import evaluate as evaluating


class Kind(StrEnum):
    """What is written."""

    pdf = "pdf"
    text = "text"
    json = "json"
    summary = "summary"
    plan = "plan"
    pack = "pack"


class Readings(StrEnum):
    """Which readings are printed one by one."""

    print = "print"
    attach = "attach"
    auto = "auto"


@app.command("report", rich_help_panel=REPORT)
def report(
    *,
    study: options.StudyOrFolder,
    out: options.Out,
    kind: Annotated[
        Kind,
        typer.Option(
            "--kind",
            help="The whole as PDF or JSON, page 1 and conclusion as text, a summary "
            "of one page, the plan record, or all in one ZIP file.",
        ),
    ] = Kind.pdf,
    as_of: options.AsOf = None,
    readings: Annotated[
        Readings,
        typer.Option(
            "--readings",
            help="Print every reading; or leave those inside their limit with nothing "
            "to remark to the files in the PDF; usually so above 3000.",
        ),
    ] = Readings.auto,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write the study report, usually as a PDF.

    What it is and what was asked, outside limits first, what real time shows, a
    conclusion drafted for the assessor, every reading with its limit, drift, what was
    missed, late, corrected or lost, and where the record stands. With --kind summary
    one page of it for the maker's file. The same records, date and versions give the
    same bytes.

    Example:

      stability report HDC --as-of 2026-11-01 --out day-cream.pdf
    """
    with progress_bar("report", long=1) as progress:
        written = evaluating.report(
            occasion(records), study, out, kind=kind.value, as_of=as_of, font=font,
            overwrite=overwrite, readings=readings.value, progress=progress,
        )  # fmt: skip
    tell(f"{written.target}: report of {written.study} as of {written.as_of}")
    tell(f"record: {short_anchor(written.anchor)}", ASSESSMENT)
