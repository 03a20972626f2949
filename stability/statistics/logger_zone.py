"""Local times of a logger as UTC, through changes to and from summer time."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

_FIXED: Final = re.compile(r"([+-])([01]\d):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class InUtc:
    """A column of times as UTC."""

    #: Since 1970 [s].
    seconds: NDArray[np.int64]
    #: Places of times that the zone never had, because clocks were put forward.
    skipped: NDArray[np.int64]
    #: What a person should know, such as an hour that came twice.
    remarks: tuple[str, ...]


def fixed_offset(zone: str) -> int | None:
    """Return the offset of a fixed zone.

    Parameters
    ----------
    zone : str
        Such as +01:00, UTC, or an IANA name.

    Returns
    -------
    int or None
        None for an IANA name, whose offset may change. [s]

    Examples
    --------
    >>> fixed_offset("+01:00"), fixed_offset("UTC"), fixed_offset("Europe/Dublin")
    (3600, 0, None)
    """
    if zone == "UTC":
        return 0
    match = _FIXED.fullmatch(zone)
    if match is None:
        return None
    seconds = int(match[2]) * 3600 + int(match[3]) * 60
    return -seconds if match[1] == "-" else seconds


def to_utc(local: NDArray[np.int64], zone: str) -> InUtc:
    """Return local times as UTC.

    Parameters
    ----------
    local : ndarray of int
        Local time since 1970, in the order of the file. [s]
    zone : str
        An IANA name, or a fixed offset such as +01:00.

    Returns
    -------
    InUtc
        Of the hour that comes twice when clocks are put back, readings belong to the
        first until the file's time goes back, and then to the second.

    Examples
    --------
    >>> autumn = [datetime(2025, 10, 26, 1, 30), datetime(2025, 10, 26, 1, 0)]
    >>> local = [one.replace(tzinfo=UTC).timestamp() for one in autumn]
    >>> found = to_utc(np.array(local, dtype=np.int64), "Europe/Dublin")
    >>> np.diff(found.seconds).tolist()
    [1800]
    """
    none = np.array([], dtype=np.int64)
    offset = fixed_offset(zone)
    if offset is not None:
        return InUtc(local - offset, none, ())
    times = pd.DatetimeIndex(local.astype("datetime64[s]"))
    first = _as_utc(times, zone, summer=True)
    skipped = np.flatnonzero(first == _NO_TIME)
    if skipped.size:
        return InUtc(first, skipped.astype(np.int64), ())
    second = _as_utc(times, zone, summer=False)
    twice = np.flatnonzero(first != second)
    if not twice.size:
        return InUtc(first, none, ())
    seconds, remarks = _through_autumn(local, first, second, twice, zone)
    return InUtc(seconds, none, remarks)


_NO_TIME: Final = np.iinfo(np.int64).min


def _as_utc(times: pd.DatetimeIndex, zone: str, *, summer: bool) -> NDArray[np.int64]:
    """Return UTC, an hour that comes twice as its first or as its second."""
    which = np.full(len(times), summer, dtype=bool)
    local = times.tz_localize(ZoneInfo(zone), ambiguous=which, nonexistent="NaT")
    in_utc = local.tz_convert("UTC").tz_localize(None).to_numpy()
    return in_utc.astype("datetime64[s]").astype(np.int64)


def _through_autumn(
    local: NDArray[np.int64],
    first: NDArray[np.int64],
    second: NDArray[np.int64],
    twice: NDArray[np.int64],
    zone: str,
) -> tuple[NDArray[np.int64], tuple[str, ...]]:
    """Tell the first from the second hour by where the file's time goes back."""
    seconds = first.copy()
    remarks = []
    for run in np.split(twice, np.flatnonzero(np.diff(twice) != 1) + 1):
        start, end = int(run[0]), int(run[-1]) + 1
        back = np.flatnonzero(np.diff(local[start:end]) < 0)
        day = datetime.fromtimestamp(int(local[start]), UTC).date().isoformat()
        if back.size:
            turn = start + int(back[0]) + 1
            seconds[turn:end] = second[turn:end]
            remarks.append(
                f"on {day} clocks in {zone} went back: the hour that comes twice was "
                "told apart where the file's time goes back"
            )
        elif _came_after(seconds, second, start):
            seconds[start:end] = second[start:end]
        else:
            remarks.append(
                f"on {day} clocks in {zone} went back, but the file has that hour "
                "once: it was taken as the first; if the logger keeps winter time, "
                "declare its offset, such as --zone +00:00"
            )
    return seconds, tuple(remarks)


def _came_after(
    seconds: NDArray[np.int64], second: NDArray[np.int64], start: int
) -> bool:
    """Say whether the first of the two hours would lie before the reading before."""
    return (
        start > 0
        and seconds[start - 1] > seconds[start]
        and (seconds[start - 1] <= second[start])
    )
