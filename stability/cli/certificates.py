"""Commands of laboratory certificates."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, EVALUATE, Outcome, app, found
from stability.cli.output import print_listing
from stability.cli.surroundings import occasion
from stability.cli.told import tell_stored
from stability.workflow import certificates as certifying

What = Annotated[
    str,
    typer.Argument(
        metavar="WHAT", help="challenge, count, or an attribute of the protocol."
    ),
]
MayFile = Annotated[
    Path | None,
    typer.Argument(metavar="[FILE]", help="The certificate: PDF, PNG or JPEG, 20 MB."),
]
Laboratory = Annotated[
    str | None, typer.Option("--laboratory", metavar="NAME", help="Who tested.")
]
Number = Annotated[
    str | None, typer.Option("--number", metavar="TEXT", help="Of the certificate.")
]
Standard = Annotated[
    str | None,
    typer.Option("--standard", metavar="TEXT", help="Method, such as ISO 11930."),
]
TestedBatch = Annotated[
    str | None, typer.Option("--batch", metavar="BATCH", help="Batch that was tested.")
]
TestedVersion = Annotated[
    str | None,
    typer.Option("--version", metavar="VERSION", help="Version that was tested."),
]
TestedPack = Annotated[
    str | None, typer.Option("--pack", metavar="PACK", help="Pack that was tested.")
]
TestedSample = Annotated[
    str | None,
    typer.Option("--sample", metavar="SAMPLE", help="Sample code, if it had one."),
]
TestedAge = Annotated[
    str | None,
    typer.Option("--age", metavar="AGE", help="Age of what was tested: T0, 3M, 52d."),
]
Issued = Annotated[
    str | None,
    typer.Option("--issued", metavar="DATE", help="Day on the certificate."),
]
Verdict = Annotated[
    str | None,
    typer.Option(
        "--verdict", metavar="TEXT", help="What the laboratory concludes, in its words."
    ),
]
Results = Annotated[
    list[str] | None,
    typer.Option(
        "--result",
        metavar="[NAME=]VALUES",
        help="A result as on the paper; repeatable.",
    ),
]


@app.command("certificate", rich_help_panel=BENCH)
def certificate(
    *,
    study: options.StudyCode,
    what: What,
    file: MayFile = None,
    laboratory: Laboratory = None,
    number: Number = None,
    standard: Standard = None,
    batch: TestedBatch = None,
    version: TestedVersion = None,
    pack: TestedPack = None,
    sample: TestedSample = None,
    age: TestedAge = None,
    issued: Issued = None,
    result: Results = None,
    verdict: Verdict = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
) -> None:
    """Record a laboratory's certificate, with its file.

    Challenge: counts at 0, 7, 14 and 28 days ('-' where one is missing), 'log 3.1/…'
    for reductions after 7, 14 and 28 days, or A, B, 'not met'. Count: 'total=<10',
    'yeast and mould=<10', 'E. coli=absent'. All else: the value. One of another
    version, batch or pack is kept and prints as a mismatch, not as evidence.

    Example:

      stability certificate HDC challenge report.pdf --laboratory "Corran Laboratory"
      --number 26-1187 --standard "ISO 11930:2019" --batch A --version 1.0 --pack JAR
      --age T0 --issued 2026-05-04 --verdict "criteria A"
      --result "P. aeruginosa=2.5x10^5/2.0x10^2/<10/<10"
    """
    of = certifying.OfWhat(
        laboratory, number, standard, batch, version, pack, sample, age, issued
    )
    at = occasion(records, person)
    written = certifying.certificate(
        at, study, what, of,
        results=result or (), verdict=verdict, file=file, done=on,
    )  # fmt: skip
    tell_stored(at, written)


@app.command("certificates", rich_help_panel=EVALUATE)
def certificates(
    *,
    study: options.StudyOrFolder,
    as_of: options.AsOf = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> Outcome:
    """List certificates and what they amount to.

    A challenge is held against the table of ISO 11930, counts against ISO 17516,
    everything against the protocol's limit; what the laboratory concludes stands
    beside it. Ends with 1 if one that is evidence lies outside.

    Example:

      stability certificates HDC
    """
    from stability.cli.listings_certificates import certificates_listing

    evaluation = certifying.certificates(occasion(records), study, as_of=as_of)
    print_listing(certificates_listing(evaluation), form)
    return found(evaluation.certificates.anything_outside)
