"""Commands of instruments: register, calibrate, check, change rules, retire, list."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.listings_instruments import (
    doubtful_lines,
    instrument_listing,
    instruments_listing,
)
from stability.cli.output import print_listing, tell, tell_written
from stability.cli.surroundings import drawn_suffix, occasion
from stability.workflow import instrument_changes, instruments

group = typer.Typer(
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@group.callback()
def instrument() -> None:
    """Register meters and balances, and store their calibrations.

    A reading names its instrument: 'stability day STUDY --set pH.instrument=PH1'. One
    made without a valid calibration carries a caution; a calibration that fails makes
    readings back to the last good one doubtful. No reading is ever corrected by it.

    Example:

      stability instrument list
    """


app.add_typer(group, name="instrument", rich_help_panel=BENCH)

Name = Annotated[
    str, typer.Argument(metavar="INSTRUMENT", help="Short name, such as PH1.")
]
Result = Annotated[
    str | None,
    typer.Option(
        "--result", metavar="passed|failed", help="Usually told by its numbers."
    ),
]
ValidFor = Annotated[
    str | None,
    typer.Option(
        "--valid-for",
        metavar="AGE",
        help="How long a calibration holds; usually 1d for a pH meter, which is its "
        "day only, 1M for a balance or viscometer, 1y for others.",
    ),
]
GoodSlope = Annotated[
    str | None,
    typer.Option(
        "--slope", metavar="RANGE", help="Good slope in %; usually '90 to 105'."
    ),
]
GoodOffset = Annotated[
    str | None,
    typer.Option("--offset", metavar="MV", help="Good offset; usually 30 mV."),
]
GoodReread = Annotated[
    str | None,
    typer.Option(
        "--reread", metavar="PH", help="A buffer read again; usually within 0.02."
    ),
]
Tolerance = Annotated[
    str | None,
    typer.Option(
        "--tolerance",
        metavar="AMOUNT",
        help="Of weights or standards; usually '0.1 %' for a balance, "
        "'2 %' for a viscometer.",
    ),
]


@group.command("add")
def add(
    *,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Short name, such as PH1.")
    ],
    kind: Annotated[
        str,
        typer.Option(
            "--kind", metavar="KIND", help="pH meter, balance, viscometer or another."
        ),
    ],
    what: Annotated[
        str, typer.Option("--what", metavar="TEXT", help="What it is, in words.")
    ] = "",
    valid_for: ValidFor = None,
    slope: GoodSlope = None,
    offset: GoodOffset = None,
    reread: GoodReread = None,
    tolerance: Tolerance = None,
    suffix: Annotated[
        str | None,
        typer.Option("--suffix", metavar="XXXX", help="Four signs; usually drawn."),
    ] = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Register an instrument with the rules by which it is judged.

    What you leave out holds as usual for its kind, and is printed as such. The whole
    name gets four drawn signs, such as PH1-9XR2, so that the meters of two makers
    never become one; you type the short name.

    Example:

      stability instrument add PH1 --kind "pH meter" --what "glass electrode, 3 M KCl"
    """
    written = instruments.add(
        occasion(records, person), name, kind, what, suffix=suffix or drawn_suffix(),
        valid_for=valid_for, slope=slope, offset=offset, reread=reread,
        tolerance=tolerance, done=on,
    )  # fmt: skip
    tell_written((written,))


@group.command("list")
def list_(
    *,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List the instruments and how they stand.

    With the last calibration of each, and until when it holds.

    Example:

      stability instrument list
    """
    lines = instruments.instruments(occasion(records), as_of=as_of)
    print_listing(instruments_listing(lines), form)


@group.command("show")
def show(
    *,
    name: Name,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """Show an instrument with its rules and every calibration.

    Calibrations that were set aside stand where they were stored, with their cause.

    Example:

      stability instrument show PH1
    """
    line = instruments.instrument(occasion(records), name, as_of=as_of)
    print_listing(instrument_listing(line), form)


@group.command("calibrate")
def calibrate(
    *,
    name: Name,
    buffers: Annotated[
        list[str] | None,
        typer.Option(
            "--buffer", metavar="PH=MV", help="Such as 7.00=-15; two or more."
        ),
    ] = None,
    temperature: Annotated[
        str | None,
        typer.Option("--temperature", metavar="CELSIUS", help="Of the buffers."),
    ] = None,
    slope: Annotated[
        str | None,
        typer.Option("--slope", metavar="PERCENT", help="As the meter shows it."),
    ] = None,
    offset: Annotated[
        str | None,
        typer.Option("--offset", metavar="MV", help="As the meter shows it."),
    ] = None,
    reread: Annotated[
        str | None,
        typer.Option(
            "--reread", metavar="PH=PH", help="A buffer read again, as 4.01=4.02."
        ),
    ] = None,
    result: Result = None,
    because: options.MayBecause = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Store a calibration of a pH meter, or a service visit.

    Type the millivolts in two or more buffers with their temperature, or the slope
    that the meter shows; its rules decide whether it is good. A calibration without
    numbers, such as a service visit, takes --result and --because. Known only to the
    day, it counts as made before the readings of that day.

    Example:

      stability instrument calibrate PH1 --buffer 7.00=-15 --buffer 4.01=160
      --temperature 22
    """
    made = instruments.calibrate(
        occasion(records, person), name, buffers=buffers or (), slope=slope,
        temperature=temperature, offset=offset, reread=reread, result=result,
        because=because, done=on,
    )  # fmt: skip
    tell_written((made.written,))
    tell(*doubtful_lines(made.doubtful))


@group.command("check")
def check(
    *,
    name: Name,
    standards: Annotated[
        list[str] | None,
        typer.Option(
            "--weight",
            "--standard",
            metavar="VALUE=READ",
            help="Such as 50.00=50.01; repeatable.",
        ),
    ] = None,
    result: Result = None,
    because: options.MayBecause = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Store a check of a balance, viscometer or other instrument.

    With a weight or a standard of known value and what was read: g for a balance,
    mPa·s for a viscometer. The tolerance of the instrument decides whether it is good.

    Example:

      stability instrument check BAL1 --weight 50.00=50.01
    """
    made = instruments.calibrate(
        occasion(records, person), name, standards=standards or (), result=result,
        because=because, done=on,
    )  # fmt: skip
    tell_written((made.written,))
    tell(*doubtful_lines(made.doubtful))


@group.command("rules")
def rules(
    *,
    name: Name,
    valid_for: ValidFor = None,
    slope: GoodSlope = None,
    offset: GoodOffset = None,
    reread: GoodReread = None,
    tolerance: Tolerance = None,
    since: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="DATE", help="First day, today or later; usually today."
        ),
    ] = None,
    because: options.Because,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Change the rules by which an instrument is judged, from a day on.

    What you leave out stays as it was. Calibrations and readings of earlier days stay
    judged by the rules of their day, so no day before today can be given.

    Example:

      stability instrument rules PH1 --slope "95 to 103" --because "new procedure"
    """
    written = instrument_changes.change_rules(
        occasion(records, person), name, because=because, since=since,
        valid_for=valid_for, slope=slope, offset=offset, reread=reread,
        tolerance=tolerance, done=on,
    )  # fmt: skip
    tell_written((written,))


@group.command("retire")
def retire(
    *,
    name: Name,
    because: options.Because,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Retire an instrument that was sold, broke or was given back.

    Nothing is refused by it: a reading made with it on a later day is stored and
    carries a caution. One that comes back is registered under another name, because
    nobody here knows what happened to it meanwhile.

    Example:

      stability instrument retire VIS1 --on 2026-03-23 --because "loan returned"
    """
    at = occasion(records, person)
    tell_written((instrument_changes.retire(at, name, because=because, done=on),))


@group.command("invalidate")
def invalidate(
    *,
    entry: Annotated[
        str, typer.Argument(metavar="ENTRY", help="Such as PH1/3, as 'show' lists it.")
    ],
    because: options.Because,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Set a calibration aside that was mistyped; it stays readable.

    It then neither holds nor makes anything doubtful. That it failed is no cause. A
    retirement that was a slip is set aside in the same way.

    Example:

      stability instrument invalidate PH1/3 --because "typed 16 for 160 mV"
    """
    at = occasion(records, person)
    tell_written((instrument_changes.invalidate(at, entry, because=because, done=on),))
