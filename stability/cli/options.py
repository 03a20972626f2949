"""Arguments and options that several commands share, each defined once."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Format(StrEnum):
    """How a listing is printed."""

    table = "table"
    json = "json"
    csv = "csv"


Records = Annotated[
    str,
    typer.Option(
        "--records",
        metavar="FILE",
        envvar="STABILITY_RECORDS",
        help="Database file, or a postgresql:// address.",
    ),
]
#: Database in the current folder.
USUAL_RECORDS = "stability.db"

Form = Annotated[
    Format,
    typer.Option("--format", help="How to print it.", show_default=True),
]
AsOf = Annotated[
    str | None,
    typer.Option(
        "--as-of",
        metavar="DATE",
        help="Take in only what was stored by the end of this day; usually today.",
    ),
]
Person = Annotated[
    str | None,
    typer.Option(
        "--person",
        metavar="NAME",
        help="Who logs; usually from 'day', STABILITY_PERSON or the account.",
    ),
]
On = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="WHEN",
        help="When it happened: 2026-03-02 or 2026-03-02T09:15; usually now.",
    ),
]
Because = Annotated[
    str, typer.Option("--because", metavar="REASON", help="The reason, in words.")
]
MayBecause = Annotated[
    str | None,
    typer.Option("--because", metavar="REASON", help="The reason, in words."),
]

StudyOrFolder = Annotated[
    str,
    typer.Argument(metavar="STUDY", help="Study code, or a study folder."),
]
MayStudyOrFolder = Annotated[
    str | None,
    typer.Argument(metavar="[STUDY]", help="One study or study folder; usually all."),
]
StudyCode = Annotated[str, typer.Argument(metavar="STUDY", help="Study code.")]
OfStudy = Annotated[
    str | None,
    typer.Option(
        "--study", metavar="STUDY", help="Study that a short code such as 014W is of."
    ),
]
Sample = Annotated[
    str,
    typer.Argument(metavar="SAMPLE", help="Sample code: HDC-014-W, hdc014w or 014W."),
]
Reference = Annotated[
    str,
    typer.Argument(metavar="ENTRY", help="Entry as printed, such as HDC/12."),
]

OnlySample = Annotated[
    str | None,
    typer.Option("--sample", metavar="SAMPLE", help="Only this sample."),
]
OnlyAttribute = Annotated[
    str | None,
    typer.Option("--attribute", metavar="ATTRIBUTE", help="Only this attribute."),
]
OnlyCondition = Annotated[
    str | None,
    typer.Option("--condition", metavar="CONDITION", help="Only this condition."),
]
OnlyBatch = Annotated[
    str | None, typer.Option("--batch", metavar="BATCH", help="Only this batch.")
]
OnlyPack = Annotated[
    str | None, typer.Option("--pack", metavar="PACK", help="Only this pack.")
]
OnlyUse = Annotated[
    str | None,
    typer.Option(
        "--use", metavar="USE", help="Only samples of this use, such as reopened."
    ),
]
OnlySamples = Annotated[
    list[str] | None,
    typer.Option("--sample", metavar="SAMPLE", help="Only these; repeatable."),
]
OnlyCheck = Annotated[
    str | None, typer.Option("--check", metavar="CHECK", help="Only this check.")
]

Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="ATTRIBUTE.SETTING=VALUE",
        help="A setting of a method, such as 'pH.dilution=10 %'; may be repeated.",
    ),
]
Observers = Annotated[
    list[str] | None,
    typer.Option(
        "--observer",
        metavar="NAME",
        help="Who observes, in the order in which readings are typed; repeatable.",
    ),
]
Control = Annotated[
    list[str] | None,
    typer.Option(
        "--control",
        metavar="[ATTRIBUTE=]SAMPLE",
        help="Sample that it is compared with; repeatable.",
    ),
]
Blind = Annotated[
    bool,
    typer.Option("--blind", help="Observers did not know which sample was which."),
]
Yes = Annotated[
    bool,
    typer.Option("--yes", help="Store readings that lie far from the last ones."),
]
Out = Annotated[
    Path, typer.Option("--out", metavar="PATH", help="What to write; must not exist.")
]
Font = Annotated[
    Path | None,
    typer.Option(
        "--font",
        metavar="FILE",
        envvar="STABILITY_FONT",
        help="A TrueType font for scripts that the usual one does not have.",
    ),
]
Overwrite = Annotated[
    bool, typer.Option("--overwrite", help="Replace the file if it exists.")
]
MayFigure = Annotated[
    Path | None,
    typer.Option(
        "--figure",
        metavar="FILE",
        help="Draw it as well: a .pdf, .png or .svg file, which must not exist. "
        "Letters of an SVG are outlines, so that words keep their places where the "
        "font is not installed.",
    ),
]

PlanBatches = Annotated[
    list[str] | None,
    typer.Option("--batch", metavar="NAME=GRAMS", help="A batch; repeatable."),
]
PlanPacks = Annotated[
    list[str] | None,
    typer.Option(
        "--pack",
        metavar="NAME=GRAMS[:inert]",
        help="A pack with its fill, the one sold most first; repeatable.",
    ),
]
PlanTares = Annotated[
    list[str] | None,
    typer.Option("--tare", metavar="PACK=GRAMS", help="Mass of an empty pack."),
]
PlanMade = Annotated[
    list[str] | None,
    typer.Option("--made", metavar="BATCH=DATE", help="Day of making; usually today."),
]
PlanOmit = Annotated[
    list[str] | None,
    typer.Option(
        "--omit",
        metavar="NAME=REASON",
        help="A condition or attribute that is left out, and why; repeatable.",
    ),
]
PlanMonths = Annotated[
    int | None, typer.Option("--months", metavar="N", help="Shelf life asked for.")
]
PlanAfterOpening = Annotated[
    str | None,
    typer.Option(
        "--after-opening", metavar="AGE", help="Period after opening, such as 6M."
    ),
]
PlanProduct = Annotated[
    str | None, typer.Option("--product", metavar="NAME", help="The product's name.")
]
PlanWithoutWater = Annotated[
    bool,
    typer.Option(
        "--without-water", help="The product holds no water: no challenge test."
    ),
]
PlanUsable = Annotated[
    str | None,
    typer.Option(
        "--usable",
        metavar="PERCENT",
        help="Share of a batch that can be filled into samples; usually 95.",
    ),
]
PlanSentOut = Annotated[
    str | None,
    typer.Option(
        "--sent-out",
        metavar="GRAMS",
        help="For challenge test and counts; usually 120, or 0 in a first look.",
    ),
]
PlanScatter = Annotated[
    list[str] | None,
    typer.Option(
        "--scatter",
        metavar="NAME=VALUE",
        help="Your scatter of one check from day to day (standard deviation): "
        "pH=0.03, 'spread=3 %'; repeatable.",
    ),
]
PlanStart = Annotated[
    list[str] | None,
    typer.Option(
        "--start", metavar="NAME=VALUE", help="Value expected at T0; repeatable."
    ),
]
PlanBatchSpread = Annotated[
    str | None,
    typer.Option(
        "--batch-spread",
        metavar="PERCENT",
        help="How much batches differ, as a share of the way from start to limit; "
        "usually 10.",
    ),
]
PlanFull = Annotated[
    bool, typer.Option("--full", help="Show the grams of a full cross at the top.")
]
PlanRows = Annotated[
    bool, typer.Option("--rows", help="Print only the rows of samples, to be pasted.")
]
PlanWrite = Annotated[
    Path | None,
    typer.Option(
        "--write", metavar="FILE", help="Write a study file that 'start' accepts."
    ),
]
