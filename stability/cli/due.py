"""The command that says what is due; it loads no more than that needs."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.listings_bench import due_listing, due_samples_listing
from stability.cli.output import print_listing
from stability.cli.surroundings import occasion
from stability.workflow import studies


@app.command("due", rich_help_panel=BENCH)
def due(
    *,
    study: options.MayStudyOrFolder = None,
    within: Annotated[
        str,
        typer.Option("--within", metavar="AGE", help="How far ahead to look."),
    ] = "7d",
    samples: Annotated[
        bool, typer.Option("--samples", help="One line for each sample.")
    ] = False,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List what is overdue, due and coming, over all studies.

    One line for each study, check and condition with the number of samples, and one
    for each placing and each step of a cycle that is to be made.

    Example:

      stability due --within 2w
    """
    at = occasion(records)
    if samples:
        found = studies.due_samples(at, study=study, within=within, as_of=as_of)
        print_listing(due_samples_listing(found), form)
    else:
        agenda = studies.due(at, study=study, within=within, as_of=as_of)
        print_listing(due_listing(agenda), form)
