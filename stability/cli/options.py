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
