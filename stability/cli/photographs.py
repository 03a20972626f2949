"""The command that lists photographs and writes them out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import REPORT, app
from stability.cli.listings_follow_ups import photographs_listing
from stability.cli.output import print_listing, tell
from stability.cli.surroundings import occasion
from stability.workflow import photographs as showing

MayOut = Annotated[
    Path | None,
    typer.Option(
        "--out", metavar="FOLDER", help="Write them out; the folder must not exist."
    ),
]


@app.command("photographs", rich_help_panel=REPORT)
def photographs(
    *,
    study: options.StudyOrFolder,
    sample: options.OnlySample = None,
    check: options.OnlyCheck = None,
    condition: options.OnlyCondition = None,
    out: MayOut = None,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List the photographs of a study, or write them out.

    Kept is a cleaned copy: upright, in common colours, the longest edge 1,600 pixels,
    without place or other data of the camera. The original is not kept; its digest
    tells later whether a file is the one. --out writes the copies, named by sample,
    check and day.

    Example:

      stability photographs HDC --condition T40 --out hot-jars
    """
    at = occasion(records)
    found = showing.photographs(
        at, study, sample=sample, check=check, condition=condition, as_of=as_of
    )
    if out is not None:
        written = showing.write_out(at, study, found, out)
        tell(f"{written.folder}: photographs written, {len(written.names)} files")
    print_listing(photographs_listing(found), form)
