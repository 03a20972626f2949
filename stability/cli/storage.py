"""Commands of storage places: add, log, look, event, answer, show, list."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.listings_storage import open_lines, place_listings, places_listing
from stability.cli.output import print_listing, print_listings, tell, tell_written
from stability.cli.surroundings import drawn_suffix, occasion
from stability.model.logger_form import declared_form
from stability.workflow import storage, storing

group = typer.Typer(
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@group.callback()
def storage_() -> None:
    """Register ovens, fridges and shelves, and keep their records.

    A study file says which condition is where, '[places]' with T40 = "OVEN", or
    'place --at OVEN' does. Files of loggers, looks at a thermometer that keeps lowest
    and highest, and events such as a power cut stand beside the readings; every
    excursion asks for an answer.

    Example:

      stability storage show OVEN
    """


app.add_typer(group, name="storage", rich_help_panel=BENCH)

Name = Annotated[str, typer.Argument(metavar="PLACE", help="Short name, such as OVEN.")]
From = Annotated[
    str | None,
    typer.Option("--from", metavar="WHEN", help="2026-03-04 or 2026-03-04T22:00."),
]
To = Annotated[
    str | None,
    typer.Option("--to", metavar="WHEN", help="A day is taken to its end."),
]
#: The same where something happened from when to when, and must be said.
FromNeeded = Annotated[
    str, typer.Option("--from", metavar="WHEN", help="2026-03-04 or 2026-03-04T22:00.")
]
ToNeeded = Annotated[
    str, typer.Option("--to", metavar="WHEN", help="A day is taken to its end.")
]
ToUsually = Annotated[
    str | None,
    typer.Option("--to", metavar="WHEN", help="Usually the day of --from, to its end."),
]


@group.command("add")
def add(
    *,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Short name, such as OVEN.")
    ],
    temperature: Annotated[
        str | None, typer.Option("--temperature", metavar="CELSIUS", help="As meant.")
    ] = None,
    tolerance: Annotated[
        str | None,
        typer.Option("--tolerance", metavar="CELSIUS", help="Either side of it."),
    ] = None,
    between: Annotated[
        str | None,
        typer.Option(
            "--between",
            metavar="LOW,HIGH",
            help="A place that is measured and not controlled, such as 15,27.",
        ),
    ] = None,
    what: Annotated[
        str, typer.Option("--what", metavar="TEXT", help="What it is, in words.")
    ] = "",
    gap: Annotated[
        str | None,
        typer.Option(
            "--gap",
            metavar="TIME",
            help="Longest time that one reading of a logger stands for; usually 2h. "
            "Longer gaps are unknown.",
        ),
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option("--zone", metavar="ZONE", help="Usually that of this machine."),
    ] = None,
    suffix: Annotated[
        str | None,
        typer.Option("--suffix", metavar="XXXX", help="Four signs; usually drawn."),
    ] = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Register a storage place with the temperature that is meant there.

    An oven or fridge has a temperature with its tolerance; a shelf or windowsill has a
    range in which it is measured. The whole name gets four drawn signs, such as
    OVEN-7KQ4, so that the ovens of two makers never become one.

    Example:

      stability storage add OVEN --temperature 40 --tolerance 2 --what incubator
    """
    written = storage.add(
        occasion(records, person), name, what, suffix=suffix or drawn_suffix(),
        temperature=temperature, tolerance=tolerance, between=between, gap=gap,
        zone=zone, done=on,
    )  # fmt: skip
    tell_written((written,))


@group.command("log")
def log(
    *,
    name: Name,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="CSV of the logger.")],
    time: Annotated[
        list[str] | None,
        typer.Option(
            "--time",
            metavar="COLUMN",
            help="Column of the time; twice where date and time of day stand apart.",
        ),
    ] = None,
    temperature: Annotated[
        str | None,
        typer.Option("--temperature", metavar="COLUMN", help="Its column."),
    ] = None,
    humidity: Annotated[
        str | None, typer.Option("--humidity", metavar="COLUMN", help="Its column.")
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option(
            "--zone",
            metavar="ZONE",
            help="Europe/Dublin, or +00:00 for a clock that keeps winter time; "
            "usually that of the place.",
        ),
    ] = None,
    dates: Annotated[
        str | None,
        typer.Option(
            "--dates", metavar="ORDER", help="day-first, month-first or year-first."
        ),
    ] = None,
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="C|F", help="Of the temperatures.")
    ] = None,
    decimal_comma: Annotated[
        bool, typer.Option("--decimal-comma", help="Numbers are written as 21,5.")
    ] = False,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Take in the file of a logger: any CSV with a time and a temperature.

    Columns, dates and decimal commas are recognised where they can only be one thing,
    and asked for where not. The file is kept as received. Half a million readings are
    one entry.

    Example:

      stability storage log OVEN oven_march.csv
    """
    form = declared_form(
        time=time, temperature=temperature, humidity=humidity, zone=zone, dates=dates,
        unit=unit, decimal_comma=decimal_comma,
    )  # fmt: skip
    made = storing.log(occasion(records, person), name, file, form, done=on)
    tell_written((made.written,))
    tell(*open_lines(made))


@group.command("look")
def look(
    *,
    name: Name,
    lowest: Annotated[
        str, typer.Option("--min", metavar="CELSIUS", help="Since the look before.")
    ],
    highest: Annotated[
        str, typer.Option("--max", metavar="CELSIUS", help="Since the look before.")
    ],
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Store what a thermometer that keeps lowest and highest shows; then reset it.

    It tells that the place was never outside, or that it was for an unknown time since
    the look before; it has no mean.

    Example:

      stability storage look FRIDGE --min 3.9 --max 6.2
    """
    made = storing.look(occasion(records, person), name, lowest, highest, done=on)
    tell_written((made.written,))
    tell(*open_lines(made))


@group.command("event")
def event(
    *,
    name: Name,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="Such as 'power cut'.")],
    start: FromNeeded,
    end: ToNeeded,
    direction: Annotated[
        str | None,
        typer.Option("--side", metavar="hotter|colder", help="Than meant, if known."),
    ] = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Store something that happened to a place, from when to when.

    A power cut, a door left open, a move. Where a logger tells of the same time, the
    logger speaks and the event stands beside it.

    Example:

      stability storage event OVEN "power cut" --from 2026-03-04T22:00
      --to 2026-03-05T07:00 --side colder
    """
    made = storing.event(
        occasion(records, person), name, what, start=start, end=end,
        direction=direction, done=on,
    )  # fmt: skip
    tell_written((made.written,))
    tell(*open_lines(made))


@group.command("answer")
def answer(
    *,
    name: Name,
    outcome: Annotated[
        str,
        typer.Option(
            "--outcome",
            metavar="WORD",
            help="continued, replaced or restarted: what was decided of the samples.",
        ),
    ],
    because: options.Because,
    start: FromNeeded,
    end: ToUsually = None,
    side: Annotated[
        str | None,
        typer.Option(
            "--side",
            metavar="hotter|colder",
            help="Than meant; to be said where the days were both.",
        ),
    ] = None,
    study: Annotated[
        str | None,
        typer.Option("--study", metavar="STUDY", help="Only for this study."),
    ] = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Answer the excursions of a place: what was decided of the samples, and why.

    It answers every excursion of one side that touches the days from --from to --to,
    so that a year of a fridge's door takes one answer; what was hotter and what was
    colder is answered apart. Replacing a sample or starting again is
    an act of its own: 'place --replaces', 'start'.

    Example:

      stability storage answer OVEN --from 2026-03-04 --to 2026-03-05
      --outcome continued --because "9 h of 12 weeks, below the temperature meant"
    """
    written = storing.answer(
        occasion(records, person), name, start=start, end=end, outcome=outcome,
        because=because, side=side, study=study, done=on,
    )  # fmt: skip
    tell_written((written,))


@group.command("invalidate")
def invalidate(
    *,
    entry: Annotated[
        str, typer.Argument(metavar="ENTRY", help="Such as OVEN/3, as 'show' lists it.")
    ],
    because: options.Because,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Set a record of a place aside, such as the file of another logger.

    It stays readable and takes no part any more. That it shows an excursion is no
    cause.

    Example:

      stability storage invalidate OVEN/3 --because "the file is that of the fridge"
    """
    at = occasion(records, person)
    tell_written((storing.invalidate(at, entry, because=because, done=on),))


@group.command("show")
def show(
    *,
    name: Name,
    start: From = None,
    end: To = None,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """Show what a place did: figures, excursions with their answers, all records.

    Each reading of a logger holds until the next; gaps are unknown and not good. With
    --format csv the excursions are printed.

    Example:

      stability storage show OVEN --from 2026-03-01 --to 2026-03-31
    """
    at = occasion(records)
    shown = storage.place(at, name, start=start, end=end, as_of=as_of)
    print_listings(place_listings(shown), form)


@group.command("list")
def list_(
    *,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """List the storage places with what is meant there and what is recorded.

    With the last time of which anything is known.

    Example:

      stability storage list
    """
    found = storage.places(occasion(records), as_of=as_of)
    print_listing(places_listing(found), form)
