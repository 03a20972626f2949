"""Commands that store readings and put them right: log, correct, invalidate, note."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.log_file import show_file, store_file
from stability.cli.surroundings import confirmation, occasion
from stability.cli.told import tell_judged, tell_stored
from stability.errors.command_line import (
    FileOptionError,
    FileSaysItselfError,
    NothingToLogError,
    ReadingsAndFileError,
)
from stability.errors.photographs import PhotographAloneError
from stability.workflow import bench
from stability.workflow.file_forms import FileForms
from stability.workflow.occasion import Occasion

MayBeSample = Annotated[
    str | None,
    typer.Argument(metavar="SAMPLE", help="Sample code: HDC-014-W, hdc014w or 014W."),
]
Readings = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="ATTRIBUTE=READING...",
        help="Such as pH=5.47/5.49, odour=Ana:0/Ben:1, pH=not-measured.",
    ),
]


@app.command("log", rich_help_panel=BENCH)
def log(
    *,
    sample: MayBeSample = None,
    readings: Readings = None,
    from_file: Annotated[
        Path | None,
        typer.Option("--from", metavar="FILE", help="A CSV file or XLSX workbook."),
    ] = None,
    study: options.OfStudy = None,
    check: Annotated[
        str | None,
        typer.Option("--check", metavar="CHECK", help="The check, where it is open."),
    ] = None,
    repeat: Annotated[
        str | None,
        typer.Option("--repeat", metavar="REASON", help="Read again, and why."),
    ] = None,
    because: options.MayBecause = None,
    settings: options.Settings = None,
    observers: options.Observers = None,
    control: Annotated[
        str | None,
        typer.Option("--control", metavar="SAMPLE", help="What it is compared with."),
    ] = None,
    blind: options.Blind = False,
    photo: Annotated[
        list[str] | None,
        typer.Option(
            "--photo",
            metavar="[ATTRIBUTE=]FILE",
            help="A photograph of it, of which a cleaned copy is kept; repeatable.",
        ),
    ] = None,
    caption: Annotated[
        str | None,
        typer.Option("--caption", metavar="TEXT", help="What a photograph shows."),
    ] = None,
    decimal_comma: Annotated[
        bool, typer.Option("--decimal-comma", help="The file writes 5,47 for 5.47.")
    ] = False,
    dates: Annotated[
        str | None,
        typer.Option(
            "--dates",
            metavar="dmy|mdy|ymd",
            help="Order in which the file writes days that may be read in two ways.",
        ),
    ] = None,
    sheet: Annotated[
        str | None,
        typer.Option("--sheet", metavar="NAME", help="Sheet of the workbook."),
    ] = None,
    dry_run: Annotated[
        bool,
        typer.Option("--dry-run", help="Print what would be stored; store nothing."),
    ] = False,
    form: options.Form = options.Format.table,
    yes: options.Yes = False,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Store the readings of one sample, or of a whole file.

    Several readings of one attribute are parted by a slash and each is kept. w and
    w2 are the weights before opening and after closing. A score is typed as its
    word or its place in the scale, from 0. A reading outside what is possible is
    refused; one far from the sample's last asks first. One command is stored whole
    or not at all. With four checks before it, a reading that leaves its own history
    is told as out of trend, after it is stored. Of a photograph a cleaned copy is
    kept, without the place where it was taken; a mouldy or swollen sample stays
    closed and is photographed through the glass.

    A file has a header and one row for each check of a sample, with a column for each
    attribute: sample, or batch, pack and condition; date; pH, or pH 1 and pH 2, or
    both readings in one cell, 5.47/5.49; w [g] and w2 [g]; pH.dilution for a setting,
    or pH (10 %); where needed check, observers, control, note. Several observers are
    parted by a semicolon, Ana;Ben, and their words by a slash, 0/1. Or one row for
    each reading: sample, attribute, reading, done. <10 and >500 are readings;
    not-measured stands with its reason in a column because; an empty cell is not
    recorded. Days are 2026-04-03, 3 April 2026, or in the order that --dates tells;
    5,47 needs --decimal-comma.

    A title above the header and lines without a reading are passed over and told. A
    sheet or file of one sample needs no column for it: name it, as in
    'stability log HDC-014-W --from jars.xlsx --sheet "40 C" --dates dmy'. A formula is
    refused. All rows are stored or none, all faults are told at once, and a row that
    is stored already is passed over, so the same file may come twice. The file is kept
    as received. Photographs are no part of it: log them with --photo.

    Example:

      stability log 014W w=78.42 pH=5.47/5.49 odour=0/1 w2=73.10
    """
    _check_options(from_file, locals())
    at, confirm = occasion(records, person), None if yes else confirmation()
    code, typed = _given(sample, readings, from_file, photo, caption)
    if from_file is not None:
        forms = FileForms(study, code or None, sheet, decimal_comma, dates)
        _from_file(at, from_file, forms, dry_run=dry_run, yes=yes, form=form)
        return
    written = bench.log(
        at, code, typed, study=study, check=check, repeat=repeat,
        because=because, done=on, settings=settings or (),
        observers=observers or (), control=control, blind=blind,
        photos=photo or (), caption=caption, accept_far=yes, confirm=confirm,
    )  # fmt: skip
    tell_judged(at, written)


def _from_file(
    at: Occasion,
    file: Path,
    forms: FileForms,
    *,
    dry_run: bool,
    yes: bool,
    form: options.Format,
) -> None:
    if dry_run:
        show_file(at, file, forms, form)
    else:
        store_file(at, file, forms, yes=yes)


#: Options of `log` that mean a file.
_OF_FILE = ("decimal_comma", "dates", "sheet", "dry_run", "form")
#: Options of `log` that rows of a file say themselves.
_OF_LINE = (
    "check", "repeat", "because", "settings", "observers", "control", "blind", "on",
)  # fmt: skip
_OPTION = {"settings": "--set", "observers": "--observer", "form": "--format"}


def _check_options(file: Path | None, given: Mapping[str, object]) -> None:
    """Refuse options that would be ignored.

    Parameters
    ----------
    file
        The file; None where a line was typed.
    given
        Option -> value.
    """
    unset = (None, False, options.Format.table)
    names = _OF_LINE if file is not None else _OF_FILE
    wrong = [
        _OPTION.get(name, f"--{name.replace('_', '-')}")
        for name in names
        if given[name] not in unset
    ]
    if wrong and file is not None:
        raise FileSaysItselfError(file, wrong)
    if wrong:
        raise FileOptionError(wrong)


def _given(
    sample: str | None,
    readings: list[str] | None,
    file: Path | None,
    photos: list[str] | None,
    caption: str | None,
) -> tuple[str, list[str]]:
    """Return the sample and its readings; a file holds the readings itself."""
    if caption and not photos:
        raise PhotographAloneError("A caption is given without a photograph")
    if photos and (file is not None or sample is None):
        raise PhotographAloneError("A photograph is given without its sample")
    if file is not None and readings:
        raise ReadingsAndFileError(file, sample or readings[0])
    if file is None and (sample is None or not (readings or photos)):
        raise NothingToLogError(sample)
    return sample or "", readings or []


@app.command("correct", rich_help_panel=BENCH)
def correct(
    *,
    entry: options.Reference,
    readings: Annotated[
        list[str], typer.Argument(metavar="READING", help="As it should have been.")
    ],
    because: options.Because,
    check: Annotated[
        str | None,
        typer.Option("--check", metavar="CHECK", help="Where it belongs instead."),
    ] = None,
    settings: options.Settings = None,
    observers: options.Observers = None,
    yes: options.Yes = False,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Supersede an observation; the old one stays readable.

    The correction refers to the entry it corrects. Reports show both, who corrected,
    when and why.

    Example:

      stability correct HDC/12 pH=5.56/5.57 --because "digits exchanged"
    """
    at = occasion(records, person)
    written = bench.correct(
        at, entry, readings, because=because, check=check,
        settings=settings or (), observers=observers or (), done=on,
        accept_far=yes, confirm=None if yes else confirmation(),
    )  # fmt: skip
    tell_judged(at, written)


@app.command("invalidate", rich_help_panel=BENCH)
def invalidate(
    *,
    entry: options.Reference,
    because: options.Because,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Set an observation aside, with its cause; it stays readable.

    It takes part in no fit and no verdict, and the report lists it with its cause.
    Being outside its limit is no cause: find what went wrong at the bench first.
    A certificate, or a photograph kept of the wrong sample, is set aside likewise;
    nothing is deleted.

    Example:

      stability invalidate HDC/12 --because "electrode dry, see calibration"
    """
    at = occasion(records, person)
    tell_stored(at, bench.invalidate(at, entry, because=because, done=on))


@app.command("note", rich_help_panel=BENCH)
def note(
    *,
    about: Annotated[
        str,
        typer.Argument(
            metavar="ABOUT", help="A study HDC, an entry HDC/12, or a sample code."
        ),
    ],
    text: Annotated[str, typer.Argument(metavar="TEXT", help="The explanation.")],
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Explain something beside the record.

    A note changes no reading. It is printed in the report beside what it is about.

    Example:

      stability note HDC-014-W "lid was loose when taken out"
    """
    at = occasion(records, person)
    tell_stored(at, bench.note(at, about, text, done=on))
