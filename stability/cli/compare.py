"""The command that holds things beside each other."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import EVALUATE, Outcome, app, found
from stability.cli.output import print_listing
from stability.cli.surroundings import occasion
from stability.workflow import compare as comparing


class Between(StrEnum):
    """What is held beside what."""

    conditions = "conditions"
    batches = "batches"
    packs = "packs"
    versions = "versions"


SecondStudy = Annotated[
    str | None,
    typer.Argument(metavar="[STUDY]", help="A second study: compares the versions."),
]
OnlyBetween = Annotated[
    Between | None,
    typer.Option("--between", help="Only these; usually all that there are."),
]


@app.command("compare", rich_help_panel=EVALUATE)
def compare(
    *,
    study: options.StudyOrFolder,
    other: SecondStudy = None,
    between: OnlyBetween = None,
    attribute: options.OnlyAttribute = None,
    condition: options.OnlyCondition = None,
    batch: options.OnlyBatch = None,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """Compare drifts of conditions, batches, packs or versions.

    A condition is held against its control or twin, a pack against inert glass, all
    with intervals; scores and statements stand side by side. Two studies are compared
    version against version, from two batches of each on. Ends with 1 if an interval
    excludes 0.

    Example:

      stability compare HDC --attribute pH --between conditions
    """
    from stability.cli.listings_compare import compared_listing

    asked = comparing.Asked(
        attribute, condition, batch, between.value if between else None
    )
    compared = comparing.compare(occasion(records), study, other, asked, as_of=as_of)
    whole = form is not options.Format.table
    print_listing(compared_listing(compared, whole=whole), form)
    return found(compared.differs)
