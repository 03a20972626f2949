"""The command that writes what an assessor reads."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import REPORT, app
from stability.cli.output import ASSESSMENT, short_anchor, tell
from stability.cli.surroundings import occasion
from stability.workflow import evaluate as evaluating


class Kind(StrEnum):
    """What is written."""

    pdf = "pdf"
    text = "text"
    json = "json"
    plan = "plan"


@app.command("report", rich_help_panel=REPORT)
def report(
    *,
    study: options.StudyOrFolder,
    out: options.Out,
    kind: Annotated[
        Kind,
        typer.Option(
            "--kind",
            help="The whole as PDF or JSON, page 1 as text, or the plan record.",
        ),
    ] = Kind.pdf,
    as_of: options.AsOf = None,
    font: options.Font = None,
    overwrite: options.Overwrite = False,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write the study report, usually as a PDF.

    What it is and what was asked, outside limits first, what real time shows, every
    reading with its limit, drift, what was missed, late, corrected or lost, and where
    the record stands. The same records, date and versions give the same bytes.

    Example:

      stability report HDC --as-of 2026-11-01 --out day-cream.pdf
    """
    written = evaluating.report(
        occasion(records), study, out, kind=kind.value, as_of=as_of, font=font,
        overwrite=overwrite,
    )  # fmt: skip
    tell(f"{written.target}: report of {written.study} as of {written.as_of}")
    tell(f"record: {short_anchor(written.anchor)}", ASSESSMENT)
