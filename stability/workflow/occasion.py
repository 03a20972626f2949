"""The occasion of one command: where the records are, when it is, and who acts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from stability.model.moment import Moment
from stability.model.plain_text import checked_name

if TYPE_CHECKING:
    from stability.model.observation import DayFacts


@dataclass(frozen=True, slots=True)
class Occasion:
    """What a verb must not find out by itself."""

    #: Path of the workspace's file, or address of its server.
    records: str
    #: Now, with its offset.
    now: datetime
    #: Account under which the command runs.
    account: str
    #: Person named with the command; None where none was.
    person: str | None = None
    #: Person that the environment names; None where it names none.
    environment_person: str | None = None
    #: IANA name of the machine's time zone; None where it is not known.
    zone: str | None = None

    def local_zone(self) -> ZoneInfo:
        """Return the machine's zone; UTC where it is not known."""
        return ZoneInfo(self.zone or "UTC")

    def today(self) -> date:
        """Return the day on the machine's calendar."""
        return self.now.astimezone(self.local_zone()).date()


def person_of(
    stated: str | None, day: DayFacts | None, environment: str | None, account: str
) -> str:
    """Return who acts: stated, set for the day, told by environment or account.

    Parameters
    ----------
    stated
        Named with the command.
    day
        Facts of the day; those of another account never sign.
    environment
        Named by the environment.
    account
        Under which the command runs.
    """
    if stated is not None and stated.strip():
        return checked_name(stated, "the person")
    if day is not None and day.account == account:
        return day.person
    if environment is not None and environment.strip():
        return checked_name(environment, "the person of the environment")
    return account


def facts_of_day(
    days: tuple[DayFacts, ...], done: Moment | date, account: str
) -> DayFacts | None:
    """Return what an account set last for a day; None if it set nothing."""
    day = done.day if isinstance(done, Moment) else done
    return next(
        (one for one in reversed(days) if one.day == day and one.account == account),
        None,
    )


def share_caution(records: str) -> str | None:
    """Return what is to be known before records on a network share are written to.

    Parameters
    ----------
    records
        As the command line gives it.

    Returns
    -------
    str or None
        None for a file of this machine, and for a server, which locks for itself.
    """
    from stability.records.network_share import mounted, network_share

    if "://" in records:
        return None
    path = Path(records).absolute()
    # A link may lead from the machine onto a share.
    kind = network_share(path, "") or network_share(path.resolve(), mounted())
    if kind is None:
        return None
    return (
        f"{records} lies on a network share ({kind}), where the locks that keep two "
        "writers apart cannot be relied on. Let one person write at a time, or move "
        "the records to a server: stability backup --out postgresql://HOST/DATABASE."
    )
