"""Commands that plan: protocols, plan, start, lodge, amend, stop."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import PLAN, Outcome, app, found
from stability.cli.listings_draft import draft_listings
from stability.cli.listings_plan import (
    protocol_listing,
    protocols_listing,
    samples_listing,
)
from stability.cli.output import print_listing, print_listings, tell
from stability.cli.surroundings import occasion
from stability.cli.told import tell_stored
from stability.workflow import bench, drafts, plans, studies


@app.command("protocols", rich_help_panel=PLAN)
def protocols(
    *,
    name: Annotated[
        str | None,
        typer.Argument(metavar="[NAME]", help="A ready-made protocol, or a file."),
    ] = None,
    form: options.Form = options.Format.table,
) -> None:
    """List the ready-made protocols, or show and check one.

    A protocol named or given as a file is read whole; every fault is listed at
    once with its line. Without faults it prints conditions, checks, attributes and
    limits, and says how many limits rest on custom.

    Example:

      stability protocols my-cream.toml
    """
    at = occasion(options.USUAL_RECORDS)
    if name is None:
        print_listing(protocols_listing(studies.protocols(at)), form)
    else:
        print_listing(protocol_listing(studies.protocol(at, name)), form)


@app.command("plan", rich_help_panel=PLAN)
def plan(
    *,
    what: Annotated[
        str,
        typer.Argument(
            metavar="PROTOCOL|STUDY_FILE", help="A protocol, or a study's TOML file."
        ),
    ],
    batch: options.PlanBatches = None,
    pack: options.PlanPacks = None,
    tare: options.PlanTares = None,
    made: options.PlanMade = None,
    omit: options.PlanOmit = None,
    months: options.PlanMonths = None,
    after_opening: options.PlanAfterOpening = None,
    product: options.PlanProduct = None,
    without_water: options.PlanWithoutWater = False,
    usable: options.PlanUsable = None,
    sent_out: options.PlanSentOut = None,
    scatter: options.PlanScatter = None,
    start: options.PlanStart = None,
    batch_spread: options.PlanBatchSpread = None,
    full: options.PlanFull = False,
    rows: options.PlanRows = False,
    write: options.PlanWrite = None,
    overwrite: options.Overwrite = False,
    form: options.Form = options.Format.table,
) -> Outcome:
    """Plan a study: samples, grams, dates and what it can prove.

    The work is shared out between the batches named. A study file is taken as it
    stands; one without samples is shared out. Where the grams do not reach, it says
    by how much, the ways out and which comparison each costs, and ends with 1.

    Example:

      stability plan emulsion-combined --batch A=400 --batch B=400 --pack JAR=50
      --pack GLASS=15:inert --months 12 --omit 'viscosity=no viscometer'
    """
    typed = drafts.PlanOptions(
        batch or (), pack or (), tare or (), made or (), omit or (),
        months, after_opening, product, without_water,
    )  # fmt: skip
    wishes = drafts.PlanWishes(usable, sent_out, write, overwrite)
    known = drafts.PlanKnowledge(scatter or (), start or (), batch_spread)
    draft = drafts.plan(occasion(options.USUAL_RECORDS), what, typed, wishes, known)
    if rows:
        typer.echo(draft.rows)
    else:
        print_listings(draft_listings(draft, form, full=full), form)
    if draft.written is not None:
        tell(f"written: {draft.written}")
    tell(draft.next_step)
    return found(draft.plan.is_short)


@app.command("start", rich_help_panel=PLAN)
def start(
    *,
    study_file: Annotated[
        Path, typer.Argument(metavar="STUDY_FILE", help="The study's TOML file.")
    ],
    taken_over: Annotated[
        str | None,
        typer.Option(
            "--taken-over",
            metavar="REASON",
            help="The study began elsewhere, such as in a notebook: where and why.",
        ),
    ] = None,
    plan_record: Annotated[
        Path | None,
        typer.Option(
            "--plan-record",
            metavar="FILE",
            help="Where to write the plan record; usually CODE_plan.pdf here.",
        ),
    ] = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """Open a study from its file; print the code of every sample.

    The protocol is frozen with the study, every sample gets a code for its label,
    and the plan (limits, reasons, samples, request) is recorded with a fingerprint
    before the first reading. The plan record is written as a PDF of two pages: hand
    it to somebody outside, then record that with 'lodge'. A study that was begun in a
    notebook is taken over with --taken-over; every report says so.

    Example:

      stability start day-cream.toml
    """
    at = occasion(records, person)
    started = bench.start(at, study_file, taken_over, plan_record)
    tell_stored(at, started.entries)
    if started.zone_assumed:
        tell(f"time zone: {started.time_zone}, taken from this machine")
    tell(*started.remarks, plans.record_started(at, started, plan_record))
    tell(plans.after_start(started))
    print_listing(samples_listing(started), form)


@app.command("lodge", rich_help_panel=PLAN)
def lodge(
    *,
    study: options.StudyCode,
    receiver: Annotated[
        str,
        typer.Option("--with", metavar="WHOM", help="Who received the plan record."),
    ],
    note: Annotated[
        str | None,
        typer.Option("--note", metavar="TEXT", help="What else: by post, by mail."),
    ] = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Record who received the plan record, to witness the limits.

    Hand the plan record to somebody outside, such as the assessor, before anything
    is read: the report then says that the limits stood first, and who can say so.

    Example:

      stability lodge HDC --with "Dr Orla Keane, safety assessor"
    """
    at = occasion(records, person)
    tell_stored(at, plans.lodge(at, study, receiver, note=note, done=on))


@app.command("amend", rich_help_panel=PLAN)
def amend(
    *,
    study: options.StudyCode,
    because: options.Because,
    protocol: Annotated[
        Path | None,
        typer.Option("--protocol", metavar="FILE", help="The changed protocol."),
    ] = None,
    study_file: Annotated[
        Path | None,
        typer.Option("--study-file", metavar="FILE", help="The changed study file."),
    ] = None,
    yes: Annotated[
        bool,
        typer.Option("--yes", help="Although earlier readings would be judged anew."),
    ] = False,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Change the plan of a running study from now on, with a reason.

    What was read before keeps the limits of its day; the report shows both, and the
    shorter shelf life governs. Samples are only added; what would make readings
    incomparable, such as a temperature or a method's settings, is refused.

    Example:

      stability amend HDC --protocol cream.toml --because "assessor asks for pH 5.2"
    """
    at = occasion(records, person)
    written = plans.amend(
        at, study, because=because,
        study_file=study_file, protocol_file=protocol, knowing=yes,
    )  # fmt: skip
    tell_stored(at, written)


@app.command("stop", rich_help_panel=PLAN)
def stop(
    *,
    study: options.StudyCode,
    because: options.Because,
    batch: options.OnlyBatch = None,
    pack: options.OnlyPack = None,
    condition: options.OnlyCondition = None,
    sample: options.OnlySample = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """End a study, batch, pack, condition or sample, with a reason.

    Checks that would follow are no longer due. What was read stays in every report,
    and the report says what was stopped, when and why.

    Example:

      stability stop HDC --batch B --because "formula withdrawn"
    """
    at = occasion(records, person)
    ended = bench.stop(
        at, study, batch=batch, pack=pack,
        condition=condition, sample=sample, because=because, done=on,
    )  # fmt: skip
    tell_stored(at, ended)
