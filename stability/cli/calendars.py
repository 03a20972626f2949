"""The command that writes check days as a calendar."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import PLAN, app
from stability.cli.output import short_anchor, tell
from stability.cli.surroundings import occasion
from stability.workflow import calendars


@app.command("calendar", rich_help_panel=PLAN)
def calendar(
    *,
    study: Annotated[
        str | None,
        typer.Argument(metavar="[STUDY]", help="Study code, or a study folder."),
    ] = None,
    out: options.Out,
    every: Annotated[
        bool, typer.Option("--all", help="Every study of the records.")
    ] = False,
    remind: Annotated[
        str | None,
        typer.Option(
            "--remind", metavar="AGE", help="With a reminder so long before, as 1d."
        ),
    ] = None,
    as_of: options.AsOf = None,
    overwrite: options.Overwrite = False,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write check days for a calendar program (iCalendar).

    An event for each check day of a condition, with its window, its samples and what
    is to be read; one for samples that are to be placed, and one by the hour for each
    step of a cycle. Days that may still move are tentative.

    Take it in again after placings, stops or readings: an event keeps its name, so its
    day moves and nothing is doubled; one that came to nothing is told as cancelled.

    Example:

      stability calendar HDC --remind 1d --out checks.ics
    """
    written = calendars.calendar(
        occasion(records), study, out, every=every, remind=remind, as_of=as_of,
        overwrite=overwrite,
    )  # fmt: skip
    counts = f"{written.planned}, tentative: {written.tentative}"
    studies = ", ".join(written.studies)
    tell(
        f"{written.target}: events of {studies}: {counts}; "
        f"cancelled: {written.cancelled}"
    )
    tell(*(f"record: {short_anchor(one)}" for one in written.anchors))
