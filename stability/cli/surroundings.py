"""Clock, account, environment, time zone and chance: read here and only here."""

from __future__ import annotations

import getpass
import os
import secrets
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, Final, Literal
from zoneinfo import available_timezones

import typer

from stability.model.code import ALPHABET, SUFFIX_LENGTH
from stability.workflow.occasion import Occasion, share_caution

#: From how many steps on a bar is shown: less takes about a second.
_LONG: Final = 50_000


def occasion(records: str, person: str | Literal[False] | None = False) -> Occasion:
    """Return when, by whom and on which records a command is run.

    A command that writes is told of records on a network share.

    Parameters
    ----------
    records
        Database file or address, as the command line gives it.
    person
        Who logs, from the command line; None leaves it to the day's facts,
        `STABILITY_PERSON` or the account. False where the command only reads.
    """
    if person is not False:
        _warn_of_share(records)
    return Occasion(
        records=records,
        now=datetime.now(UTC),
        account=account(),
        person=person or None,
        environment_person=os.environ.get("STABILITY_PERSON") or None,
        zone=machine_zone(),
    )


@cache
def _warn_of_share(records: str) -> None:
    """Tell once that two writers are not kept apart where the records lie."""
    caution = share_caution(records)
    if caution is not None:
        typer.echo(f"caution: {caution}", err=True)


def account() -> str:
    """Return the account's name; "unknown" where the machine has none for it."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "unknown"


def machine_zone() -> str | None:
    """Return the IANA name of the machine's time zone; None where it has no name."""
    named = os.environ.get("TZ", "").removeprefix(":")
    if named:
        return named if named in _known_zones() else None
    link = Path("/etc/localtime")
    if link.exists():
        _, found, name = str(link.resolve()).partition("zoneinfo/")
        if found and name in _known_zones():
            return name
    return None


@cache
def _known_zones() -> set[str]:
    """Return the names of all zones: looked up once, since that reads every folder."""
    return available_timezones()


def drawn_suffix() -> str:
    """Draw the signs behind the short name of a new instrument or storage place."""
    return "".join(secrets.choice(ALPHABET) for _ in range(SUFFIX_LENGTH))


def debugging() -> bool:
    """Say whether unexpected faults are to be shown in full."""
    return bool(os.environ.get("STABILITY_DEBUG"))


def confirmation() -> Callable[[str], bool] | None:
    """Return how to ask a question; None where nobody is there to answer."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return None
    return _confirm


def _confirm(question: str) -> bool:
    return typer.confirm(question, err=True)


def screen_width() -> int | None:
    """Return the columns of the terminal of standard error; None where unknown."""
    if not sys.stderr.isatty():
        return None
    try:
        return os.get_terminal_size(sys.stderr.fileno()).columns or None
    except OSError:
        return None


@contextmanager
def progress_bar(
    label: str, *, long: int = _LONG
) -> Iterator[Callable[[int, int], None] | None]:
    """Give how to tell progress on a terminal; None where nobody watches.

    What is done in a moment shows no bar.

    Parameters
    ----------
    label
        What is being done, in one word.
    long
        From how many steps on it takes more than a moment. [-]
    """
    if not sys.stderr.isatty():
        yield None
        return
    with ExitStack() as stack:
        shown: list[Any] = []

        def progress(done: int, of: int) -> None:
            if of < long:
                return
            if not shown:
                bar = typer.progressbar(length=of, label=label, file=sys.stderr)
                shown.append(stack.enter_context(bar))
            shown[0].update(done - shown[0].pos)

        yield progress
