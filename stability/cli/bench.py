"""Commands at the bench: day, place, retire, miss, note."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.surroundings import occasion
from stability.cli.told import tell_stored
from stability.workflow import bench


@app.command("day", rich_help_panel=BENCH)
def day(
    *,
    study: options.StudyCode,
    observers: options.Observers = None,
    settings: options.Settings = None,
    control: options.Control = None,
    blind: options.Blind = False,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Set person, observers and settings once for a check day.

    What is logged later that day under the same account takes them over, and stores
    them with each observation as recorded facts.

    Example:

      stability day HDC --person "Ana Reyes" --set "pH.dilution=10 %"
    """
    at = occasion(records, person)
    written = bench.day(
        at, study, on=on, observers=observers or (),
        settings=settings or (), control=control or (), blind=blind,
    )  # fmt: skip
    tell_stored(at, written)


@app.command("place", rich_help_panel=BENCH)
def place(
    *,
    samples: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[SAMPLE...]",
            help="Sample codes; none with --study and --to: all that wait there.",
        ),
    ] = None,
    study: options.OfStudy = None,
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="CONDITION", help="Usually the sample's own."),
    ] = None,
    batch: options.OnlyBatch = None,
    at_place: Annotated[
        str | None,
        typer.Option("--at", metavar="PLACE", help="Storage place, such as OVEN."),
    ] = None,
    step: Annotated[
        str | None,
        typer.Option("--step", metavar="STEP", help="'next', or cycle/step as 2/1."),
    ] = None,
    swap_with: Annotated[
        str | None,
        typer.Option("--swap-with", metavar="SAMPLE", help="Exchange their places."),
    ] = None,
    replaces: Annotated[
        str | None,
        typer.Option("--replaces", metavar="SAMPLE", help="Take over its part."),
    ] = None,
    take_out: Annotated[
        bool, typer.Option("--take-out", help="Out of its condition.")
    ] = False,
    because: options.MayBecause = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Put samples in, move them, or take a cycle's next step.

    A sample's age counts from its first placing, and its planned dates move with it.
    A replacement takes over the part of what it replaces; its age is its own.

    Glass in a freezer: leave a third empty, stand it in a tray, wear gloves at the
    thaw. Closed packs can leak or burst in the heat. Not in a kitchen oven or a
    refrigerator that holds food.

    Example:

      stability place HDC-014-W HDC-015-D --on 2026-03-05T10:00
    """
    at = occasion(records, person)
    written = bench.place(
        at, samples or (), study=study, to=to, batch=batch,
        place=at_place, step=step, swap_with=swap_with, replaces=replaces,
        out=take_out, done=on, because=because,
    )  # fmt: skip
    tell_stored(at, written)


@app.command("retire", rich_help_panel=BENCH)
def retire(
    *,
    sample: options.Sample,
    reason: Annotated[
        str,
        typer.Argument(
            metavar="REASON",
            help="broken, lost, used up, sent out, other; "
            "or leaking, gassing, mouldy, separated, which count as failed.",
        ),
    ],
    because: options.Because,
    study: options.OfStudy = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Record that a sample left the study, and why.

    A mouldy, gassing or swollen sample stays closed: photograph it through the
    glass, log it, discard it closed. Do not smell it.

    Example:

      stability retire HDC-014-W broken --because "dropped at the bench"
    """
    at = occasion(records, person)
    written = bench.retire(
        at, sample, reason, because=because, study=study,
        done=on,
    )  # fmt: skip
    tell_stored(at, written)


@app.command("miss", rich_help_panel=BENCH)
def miss(
    *,
    study: options.StudyCode,
    check: Annotated[str, typer.Argument(metavar="CHECK", help="Such as 4w or c3.")],
    because: options.Because,
    batch: options.OnlyBatch = None,
    condition: options.OnlyCondition = None,
    pack: options.OnlyPack = None,
    samples: options.OnlySamples = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Record that a check was not made, and why.

    The report lists it as missed with its reason. A missing reading stays missing;
    nothing is filled in.

    Example:

      stability miss HDC 4w --batch C --because "laboratory closed"
    """
    at = occasion(records, person)
    written = bench.miss(
        at, study, check, batch=batch, condition=condition,
        pack=pack, samples=samples or (), because=because, done=on,
    )  # fmt: skip
    tell_stored(at, written)
