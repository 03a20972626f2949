"""Commands about the record: studies, history, import, export, backup, verify."""

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
from stability.cli.surroundings import occasion, progress_bar
from stability.workflow import backups
from stability.workflow import records as keeping
from stability.workflow import studies as reading
from stability.workflow.awaited import catch_up


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
    superseded them. The name of a storage place or an instrument lists theirs.

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
    at = occasion(records, person)
    taken = keeping.import_(at, folder)
    subjects = ", ".join(taken.subjects)
    tell(f"{subjects}: {taken.outcome}, {taken.entries} entries written")
    tell_written(taken.written)
    anchors = () if taken.written else taken.anchors
    tell(*(f"record: {short_anchor(anchor)}" for anchor in anchors))
    catch_up(at, taken.subjects)


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


@app.command("backup", rich_help_panel=RECORDS)
def backup(
    *,
    out: Annotated[
        str,
        typer.Option(
            "--out",
            metavar="FILE",
            help="A new file, or the postgresql:// address of an empty database.",
        ),
    ],
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Copy all records into a new file, or into another database.

    Others may go on writing: the copy holds one state, is verified, and never replaces
    anything. It is a workspace like any other, so that this also moves records to a
    server and back; digests and seals stay as they are. Keep the lines that it prints
    elsewhere: 'stability verify --against' takes them.

    Example:

      stability backup --out stability-2026-11-25.db
    """
    with progress_bar("verifying") as progress:
        made = backups.backup(occasion(records), out, progress)
    tell(f"{made.target}: {made.entries} entries, {made.attachments} attachments")
    tell(*(f"record: {short_anchor(anchor)}" for anchor in made.anchors[:-1]))
    tell(*(f"workspace: {short_anchor(anchor)}" for anchor in made.anchors[-1:]))
    tell(*(f"caution: what was copied does not hold: {flaw}" for flaw in made.flaws))


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
            help="SUBJECT/POSITION:DIGEST or NUMBER:SEAL as printed, or what carries "
            "it: a report, sheet, figure, calendar, pack, archive or backup; "
            "repeatable.",
        ),
    ] = None,
    rebuild: Annotated[
        bool,
        typer.Option(
            "--rebuild",
            help="Work out anew what 'due' shows of every study; usually only where "
            "it is not as it was left.",
        ),
    ] = False,
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
    with progress_bar("verifying") as progress:
        checked = keeping.verify(at, folder, against or (), progress, rebuild=rebuild)
    print_listing(verification_listing(checked), form)
    return found(not checked.holds)
