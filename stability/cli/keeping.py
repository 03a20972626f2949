"""Commands about the record itself: studies, history, import, export, verify."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import RECORDS, Outcome, app, found
from stability.cli.listings_records import (
    history_listing,
    studies_listing,
    verification_listing,
)
from stability.cli.output import print_listing, short_anchor, tell, tell_written
from stability.cli.surroundings import occasion
from stability.workflow import records as keeping
from stability.workflow import studies as reading


@app.command("studies", rich_help_panel=RECORDS)
def studies(
    *,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List the studies of the workspace.

    With product, protocol, number of samples, and where each record stands.

    Example:

      stability studies
    """
    print_listing(studies_listing(reading.studies(occasion(records))), form)


@app.command("history", rich_help_panel=RECORDS)
def history(
    *,
    study: options.StudyOrFolder,
    sample: options.OnlySample = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List everything that was ever recorded of a study, in order.

    Corrected and set-aside entries stand where they were written, and say what
    superseded them.

    Example:

      stability history HDC --sample 014W
    """
    lines = reading.history(occasion(records), study, sample=sample)
    print_listing(history_listing(lines), form)


@app.command("import", rich_help_panel=RECORDS)
def import_(
    *,
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Archive or hand-made folder.")
    ],
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Take a study folder into the database.

    An archive is taken in line for line and must continue what is here; a hand-made
    folder (study.toml, events.csv) becomes entries in the order of its rows. One bad
    row and nothing is written; all bad rows are listed.

    Example:

      stability import example_studies/day-cream
    """
    taken = keeping.import_(occasion(records, person), folder)
    subjects = ", ".join(taken.subjects)
    tell(f"{subjects}: {taken.outcome}, {taken.entries} entries written")
    tell_written(taken.written)
    anchors = () if taken.written else taken.anchors
    tell(*(f"record: {short_anchor(anchor)}" for anchor in anchors))


@app.command("export", rich_help_panel=RECORDS)
def export(
    *,
    study: options.StudyCode,
    out: options.Out,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Write a study as a folder that anyone can read and check.

    journal.jsonl is the record; study, protocol and observations are views of it for
    people and spreadsheets. Its README tells how to check the record without this
    program.

    Example:

      stability export HDC --out day-cream-archive
    """
    written = keeping.export(occasion(records), study, out)
    tell(f"{written.target}: {written.entries} entries, {len(written.files)} files")
    tell(*(f"record: {short_anchor(anchor)}" for anchor in written.anchors))


@app.command("verify", rich_help_panel=RECORDS)
def verify(
    *,
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="[FOLDER]", help="A study folder; usually all records."),
    ] = None,
    against: Annotated[
        list[str] | None,
        typer.Option(
            "--against",
            metavar="ANCHOR",
            help="SUBJECT/POSITION:DIGEST, NUMBER:SEAL, or one of our reports.",
        ),
    ] = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """Check that nothing in the record was altered.

    It finds what was changed, inserted, reordered or removed inside the record.
    A removed end or a complete rewrite shows only against a digest kept elsewhere:
    give what a report, an export or another person's copy states with --against.
    Ends with 1 if the record does not hold.

    Example:

      stability verify --against day-cream.pdf
    """
    at = occasion(records)
    checked = keeping.verify(at, folder=folder, against=against or ())
    print_listing(verification_listing(checked), form)
    return found(not checked.holds)
