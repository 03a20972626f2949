"""When something happened: a date, or a local time with its offset.

People often know only the day. A moment keeps what was known and no more, and an
age is counted accordingly.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_TIME = re.compile(
    r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2})(:\d{2})?(Z|[+-]\d{2}:\d{2})?", re.ASCII
)
_SECONDS_PER_DAY = 86_400


@dataclass(frozen=True, slots=True)
class Moment:
    """A date, or a time with offset; ordered by date, then by time.

    Where only the day of one is known, neither comes before the other on that day.
    """

    #: The local date.
    day: date
    #: The local time with its offset, whole seconds; None where only the day is known.
    time: datetime | None = None

    def __str__(self) -> str:
        return self.day.isoformat() if self.time is None else self.time.isoformat()

    def __lt__(self, other: Moment) -> bool:
        if self.time is not None and other.time is not None:
            return self.time < other.time
        return self.day < other.day

    def __gt__(self, other: Moment) -> bool:
        return other < self

    def __le__(self, other: Moment) -> bool:
        return not other < self

    def __ge__(self, other: Moment) -> bool:
        return not self < other

    def for_people(self) -> str:
        """Return the moment as a report prints it: `2026-03-02 09:15`."""
        if self.time is None:
            return self.day.isoformat()
        return self.time.strftime("%Y-%m-%d %H:%M")


@lru_cache(maxsize=4096)  # a day's readings share it
def parse_moment(text: str, zone: ZoneInfo) -> Moment | None:
    """Read `2026-03-02`, `2026-03-02T09:15` or the same with seconds and offset.

    Parameters
    ----------
    text
        As typed. The form is matched first, because the standard library also takes
        week dates and compact dates, which nobody at a bench means.
    zone
        The study's time zone, given to a time typed without an offset.

    Returns
    -------
    Moment or None
        None where the text has another form or names a day that does not exist.
    """
    try:
        if _DATE.fullmatch(text):
            return Moment(date.fromisoformat(text))
        match = _TIME.fullmatch(text)
        if match is None:
            return None
        stamp = f"{match[1]}T{match[2]}{match[3] or ':00'}{match[4] or ''}"
        return moment_at(datetime.fromisoformat(stamp), zone)
    except (ValueError, OverflowError):
        return None


def moment_at(time: datetime, zone: ZoneInfo) -> Moment:
    """Return a moment from a time; one without an offset is taken as local."""
    local = time if time.tzinfo else time.replace(tzinfo=zone)
    fixed = local.replace(microsecond=0)
    offset = fixed.utcoffset() or timedelta()
    if fixed.tzinfo is UTC:
        fixed = fixed.astimezone(zone)
        offset = fixed.utcoffset() or timedelta()
    fixed = datetime.fromisoformat(
        fixed.replace(tzinfo=None).isoformat() + _offset_text(offset)
    )
    return Moment(fixed.date(), fixed)


def age_days(start: Moment, end: Moment) -> float:
    """Return the age at `end` of what began at `start` [days].

    Difference of local dates if either is known only to the day, else elapsed
    seconds / 86 400.
    """
    if start.time is None or end.time is None:
        return float((end.day - start.day).days)
    return (end.time - start.time).total_seconds() / _SECONDS_PER_DAY


@lru_cache(maxsize=64)
def utc_text(time: datetime) -> str:
    """Return `2026-11-25T09:15:00Z`: the form in which entries keep time."""
    return time.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@lru_cache(maxsize=4096)
def parse_utc(text: str) -> datetime:
    """Read the form that `utc_text` writes."""
    # The form was matched when the entry was read; this takes a hundredth of strptime.
    return datetime.fromisoformat(text)


def _offset_text(offset: timedelta) -> str:
    minutes = int(offset.total_seconds() // 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
