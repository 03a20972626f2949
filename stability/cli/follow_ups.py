"""The command of follow-ups of readings outside their limit."""

from __future__ import annotations

from typing import Annotated

import typer

from stability.cli import options
from stability.cli.app import BENCH, app
from stability.cli.listings_follow_ups import follow_ups_listing
from stability.cli.output import print_listing
from stability.cli.surroundings import occasion
from stability.cli.told import tell_stored
from stability.errors.samples import FollowUpOfWhatError
from stability.workflow import follow_ups as following

MayBeEntry = Annotated[
    str | None,
    typer.Argument(metavar="[ENTRY]", help="The reading as printed, such as HDC/12."),
]
Checked = Annotated[
    list[str] | None,
    typer.Option(
        "--checked",
        metavar="NAME=ANSWER",
        help="right sample, temperature, calibration, weight, control, repeat reading: "
        "yes as it should be, no, or not looked at; repeatable.",
    ),
]
MayOutcome = Annotated[
    str | None,
    typer.Option(
        "--outcome",
        metavar="OUTCOME",
        help="confirmed, measuring fault found, wrong sample, not explained.",
    ),
]
OfWhich = Annotated[
    str | None,
    typer.Option("--list", metavar="STUDY", help="List those of a study or folder."),
]


@app.command("follow-up", rich_help_panel=BENCH)
def follow_up(
    *,
    entry: MayBeEntry = None,
    checked: Checked = None,
    outcome: MayOutcome = None,
    because: options.MayBecause = None,
    of_study: OfWhich = None,
    as_of: options.AsOf = None,
    on: options.On = None,
    person: options.Person = None,
    records: options.Records = options.USUAL_RECORDS,
    form: options.Form = options.Format.table,
) -> None:
    """Say what was looked at when a reading lies outside its limit.

    Every reading outside its limit, and every sample that left as failed, opens a
    follow-up. Its answer holds the first checks, the outcome and the reason, and a
    later answer stands before an earlier one. Whatever the outcome, the reading
    counts until 'invalidate' sets it aside with a cause, and a repeat never replaces
    it. --list shows those of a study, the open ones first.

    Example:

      stability follow-up HDC/12 --checked "right sample=yes" --checked calibration=yes
      --checked "repeat reading=yes" --outcome confirmed --because "repeat reads 4.91"
    """
    at = occasion(records, person)
    if of_study is not None and entry is None:
        found = following.follow_ups(at, of_study, as_of=as_of)
        print_listing(follow_ups_listing(found), form)
        return
    reference, came_to = _given(entry, outcome, of_study)
    written = following.follow_up(
        at, reference, checked=checked or (), outcome=came_to, because=because,
        done=on,
    )  # fmt: skip
    tell_stored(at, written)


def _given(
    entry: str | None, outcome: str | None, study: str | None
) -> tuple[str, str]:
    """Return the entry and the outcome, where both and nothing else are given."""
    if entry is None:
        raise FollowUpOfWhatError("Neither an entry nor a study is given")
    if study is not None:
        raise FollowUpOfWhatError(f"Both an entry ({entry}) and --list are given")
    if outcome is None:
        raise FollowUpOfWhatError(f"No --outcome is given for {entry}")
    return entry, outcome
