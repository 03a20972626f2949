"""Times as loggers write them, read column by column and not one by one.

Every cell is turned into its pattern, in which each digit is a 0. A file has a few
patterns only, and all cells of one pattern are read together.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from stability.model.logger_form import DateOrder

#: Most patterns of times in one file: each part of a time has one or two digits, and
#: there are twelve names of months.
MOST_PATTERNS: Final = 400
_MONTHS: Final = (
    "jan", "feb", "mar", "apr", "may", "jun",
    "jul", "aug", "sep", "oct", "nov", "dec",
)  # fmt: skip
_CLOCK: Final = (
    r"(?P<hour>0{1,2}):(?P<minute>00)(?::(?P<second>00)(?:[.,]0+)?)?"
    r"(?: ?(?P<half>[AaPp])\.?[Mm]\.?)?"
)
_OFFSET: Final = r"(?P<offset>Z| ?[+-]00:?00)?"
_DATE: Final = (
    r"(?P<a>0{1,4})(?P<sign>[-./ ])(?P<b>0{1,2}|[A-Za-z]{3})(?P=sign)(?P<c>0{1,4})"
)
_STAMP: Final = re.compile(rf"{_DATE}(?:(?:T|,? +){_CLOCK}{_OFFSET})?")
#: Orders of day, month and year -> places of year, month and day.
_PLACES: Final[dict[DateOrder, tuple[str, str, str]]] = {
    "year-first": ("a", "b", "c"),
    "day-first": ("c", "b", "a"),
    "month-first": ("c", "a", "b"),
}
_SECONDS_PER_DAY: Final = 86_400
_NO_TIME: Final = np.iinfo(np.int64).min


@dataclass(frozen=True, slots=True)
class ReadTimes:
    """A column of times."""

    #: Local or, with an offset, UTC time since 1970 [s].
    seconds: NDArray[np.int64]
    #: Where a cell holds no time.
    bad: NDArray[np.bool_]
    #: Whether all, some or none of the times carry an offset of their own, by which
    #: they are UTC.
    offsets: Literal["all", "some", "none"]


def is_stamp(text: str) -> bool:
    """Say whether a text has the form of a date, or of a date with its time.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    bool
        Whether the day exists is not looked at.

    Examples
    --------
    >>> is_stamp("2026-03-02 09:15"), is_stamp("2.3.26, 9:15 pm"), is_stamp("21.5")
    (True, True, False)
    """
    return _STAMP.fullmatch(_pattern(text)) is not None


def possible_orders(texts: NDArray[np.bytes_]) -> tuple[DateOrder, ...]:
    """Return the orders of day, month and year in which every date exists.

    Parameters
    ----------
    texts : ndarray of bytes
        Dates, or dates with their times. [as written]

    Returns
    -------
    tuple of str
        One where the file tells its own; several where it does not. A year of two
        digits never stands first unless that is declared.

    Examples
    --------
    >>> possible_orders(np.array([b"03/02/2026", b"13/02/2026"]))
    ('day-first',)
    """
    orders: tuple[DateOrder, ...] = ("day-first", "month-first")
    if texts.size and texts[0][:4].isdigit():
        orders = ("year-first",)
    return tuple(one for one in orders if not read_times(texts, one).bad.any())


def read_times(texts: NDArray[np.bytes_], order: DateOrder) -> ReadTimes:
    """Read dates with their times.

    Parameters
    ----------
    texts : ndarray of bytes
        One cell each, without blanks around it. [as written]
    order : str
        Of day, month and year.

    Returns
    -------
    ReadTimes
        A date alone is its midnight; parts of a second are cut off. A year of two
        digits is one of this century.

    Examples
    --------
    >>> read = read_times(np.array([b"02.01.2000 00:01"]), "day-first")
    >>> read.seconds.tolist(), read.bad.tolist(), read.offsets
    ([946771260], [False], 'none')
    """
    cells, digits = _cells(texts)
    seconds = np.full(len(cells), _NO_TIME, dtype=np.int64)
    left = np.ones(len(cells), dtype=bool)
    carried: set[bool] = set()
    for _ in range(MOST_PATTERNS):
        if not left.any():
            break
        first = digits[int(np.argmax(left))]
        alike = left & (digits == first).all(axis=1)
        match = _STAMP.fullmatch(bytes(first).rstrip(b"\0").decode("latin-1"))
        if match is not None:
            carried.add(match["offset"] is not None)
            seconds[alike] = _seconds(cells[alike], match, order)
        left &= ~alike
    some: Literal["some", "none"] = "some" if True in carried else "none"
    return ReadTimes(seconds, seconds == _NO_TIME, "all" if carried == {True} else some)


def _pattern(text: str) -> str:
    return re.sub(r"[0-9]", "0", text)


def _cells(
    texts: NDArray[np.bytes_],
) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Return the bytes of each cell, and the same with each digit as a 0."""
    width = max(texts.dtype.itemsize, 1)
    given = np.ascontiguousarray(texts.astype(f"S{width}"))
    cells = given.view(np.uint8).reshape(len(texts), width)
    used = np.flatnonzero(cells.any(axis=0))
    cells = cells[:, : int(used[-1]) + 1 if used.size else 1]
    digits = cells.copy()
    digits[(cells >= ord("0")) & (cells <= ord("9"))] = ord("0")
    return cells, digits


def _seconds(
    cells: NDArray[np.uint8], match: re.Match[str], order: DateOrder
) -> NDArray[np.int64]:
    """Read cells of one pattern; what is no time becomes `_NO_TIME`."""
    year_at, month_at, day_at = _PLACES[order]
    none = np.full(len(cells), _NO_TIME, dtype=np.int64)
    if len(match[year_at]) not in {2, 4} or len(match[day_at]) > 2:
        return none
    named = match[month_at].isalpha()
    if (named and match[month_at].lower() not in _MONTHS) or match[day_at].isalpha():
        return none
    if not named and len(match[month_at]) > 2:
        return none
    year = _number(cells, match.span(year_at))
    year = year + (2000 if len(match[year_at]) == 2 else 0)
    month = (
        np.full(len(cells), _MONTHS.index(match[month_at].lower()) + 1)
        if named
        else _number(cells, match.span(month_at))
    )
    days, fault = _days(year, month, _number(cells, match.span(day_at)))
    clock, wrong = _clock(cells, match)
    return np.where(fault | wrong, _NO_TIME, days * _SECONDS_PER_DAY + clock)


def _days(
    year: NDArray[np.int64], month: NDArray[np.int64], day: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return days since 1970, and where there is no such day."""
    fault = (month < 1) | (month > 12) | (year < 1980) | (year > 2200)
    months = (np.where(fault, 1970, year) - 1970) * 12 + np.where(fault, 1, month) - 1
    first = months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    after = (months + 1).astype("datetime64[M]").astype("datetime64[D]")
    fault = fault | (day < 1) | (day > after.astype(np.int64) - first)
    return first + day - 1, fault


def _clock(
    cells: NDArray[np.uint8], match: re.Match[str]
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return seconds since midnight, less the offset, and where there is no such time.

    Parts of a second are left out.
    """
    zero = np.zeros(len(cells), dtype=np.int64)
    if match["hour"] is None:
        return zero, zero.astype(bool)
    hour = _number(cells, match.span("hour"))
    fault = hour > 23
    if match["half"] is not None:
        fault = (hour < 1) | (hour > 12)
        hour = hour % 12 + (12 if match["half"] in "Pp" else 0)
    minute = _number(cells, match.span("minute"))
    second = zero
    if match["second"] is not None:
        second = _number(cells, match.span("second"))
    fault = fault | (minute > 59) | (second > 59)
    return hour * 3600 + minute * 60 + second - _offset(cells, match), fault


def _offset(cells: NDArray[np.uint8], match: re.Match[str]) -> NDArray[np.int64]:
    text = match["offset"]
    if text is None or text == "Z":
        return np.zeros(len(cells), dtype=np.int64)
    end = match.end("offset")
    start = match.start("offset") + len(text) - len(text.lstrip())
    sign = -1 if text.lstrip().startswith("-") else 1
    hours = _number(cells, (start + 1, start + 3))
    return sign * (hours * 3600 + _number(cells, (end - 2, end)) * 60)


def _number(cells: NDArray[np.uint8], span: tuple[int, int]) -> NDArray[np.int64]:
    """Read the digits between two places as whole numbers."""
    found = np.zeros(len(cells), dtype=np.int64)
    for place in range(*span):
        found = found * 10 + (cells[:, place].astype(np.int64) - ord("0"))
    return found
