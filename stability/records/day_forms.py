"""Days as people write them in tables, told apart only where that is certain.

`2026-04-03`, `2026/4/3`, `3 April 2026` and `Apr 3, 2026` say which number is the
month. `3/4/2026` does not: a column of such days is read only if one of them has a
number above 12, or if somebody says in which order they stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final, Literal, get_args

from stability.errors.files import DayOrderError
from stability.errors.samples import ReadingsError

#: In which order a column writes day, month and year.
Order = Literal["dmy", "mdy", "ymd"]

_MONTHS: Final = (
    "january", "february", "march", "april", "may", "june", "july", "august",
    "september", "october", "november", "december",
)  # fmt: skip
_NUMBERS = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})\.?", re.ASCII)
_DAY_FIRST = re.compile(r"(\d{1,2})\.?[ -]?([A-Za-z]{3,9})\.?,?[ -]?(\d{4})", re.ASCII)
_MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.? ?(\d{1,2}),? (\d{4})", re.ASCII)
_WITH_TIME = re.compile(
    r"(.*\S)[T ]+(\d{1,2}:\d{2}(?::\d{2})?(?:Z|[+-]\d{2}:\d{2})?)", re.ASCII
)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
#: Highest number that a month can have.
_MOST_MONTHS: Final = 12


@dataclass(frozen=True, slots=True)
class DayForms:
    """How the days of one column are written."""

    #: Their order; None where nothing tells it, because no day needs it.
    order: Order | None

    def iso(self, typed: str) -> str:
        """Return a day, with its time where it has one, as `2026-04-03T09:15`.

        Raises
        ------
        ReadingsError
            If it is no day.
        """
        return _iso(typed, self.order)


def checked_order(typed: str | None) -> Order | None:
    """Return the order that was told; None where none was.

    Raises
    ------
    DayOrderError
        If it is none of dmy, mdy and ymd.
    """
    if typed is None:
        return None
    for order in get_args(Order):
        if typed.strip().casefold() == order:
            told: Order = order
            return told
    raise DayOrderError(f"--dates {typed}", "it is none of dmy, mdy and ymd")


def day_forms(typed: Iterable[str], told: Order | None = None) -> DayForms:
    """Find out how a column writes its days.

    Parameters
    ----------
    typed
        Every day of the column that is not empty.
    told
        The order that was told; None where none was.

    Raises
    ------
    DayOrderError
        If the order cannot be told, or the days have more than one.

    Examples
    --------
    >>> day_forms(["3/4/2026", "17/4/2026"]).iso("3/4/2026")
    '2026-04-03'
    """
    if told is not None:
        return DayForms(told)
    doubtful = {one: _pair(one) for one in dict.fromkeys(typed)}
    pairs = {one: pair for one, pair in doubtful.items() if pair is not None}
    first = [one for one, (a, b) in pairs.items() if a > _MOST_MONTHS >= b]
    second = [one for one, (a, b) in pairs.items() if b > _MOST_MONTHS >= a]
    if first and second:
        raise DayOrderError(first[0], f"another one, {second[0]}, has another order")
    if first or second:
        return DayForms("dmy" if first else "mdy")
    unclear = [one for one, (a, b) in pairs.items() if a != b]
    if unclear:
        raise DayOrderError(unclear[0], _either(unclear))
    return DayForms("dmy" if pairs else None)


@lru_cache(maxsize=4096)  # the rows of a check day share it
def _iso(typed: str, order: Order | None) -> str:
    day, time = _split(typed)
    found = _day(day, order)
    if found is None:
        short = order is None and _NUMBERS.fullmatch(day) is not None
        why = ": its year has two digits; say the order with --dates, such as dmy, or"
        raise ReadingsError(
            [f"{typed!r} is no day{why if short else ';'} write it as 2026-04-03"]
        )
    if not time:
        return found.isoformat()
    hour, _, rest = time.partition(":")
    return f"{found.isoformat()}T{hour.rjust(2, '0')}:{rest}"


def _either(unclear: Sequence[str]) -> str:
    """Say as what two days a text may be read."""
    days = [_day(_split(unclear[0])[0], order) for order in ("dmy", "mdy")]
    told = " or ".join(f"{one.day} {one:%B}" for one in days if one is not None)
    more = f", like {len(unclear) - 1} more of this column" if len(unclear) > 1 else ""
    return f"it may be {told}{more}: no day of the column is above 12"


def _pair(typed: str) -> tuple[int, int] | None:
    """Return the two numbers before a year whose order is not known."""
    if _ISO.match(typed):
        return None
    match = _NUMBERS.fullmatch(_split(typed)[0])
    if match is None or len(match[1]) > 2 or len(match[4]) != 4:
        return None
    return int(match[1]), int(match[3])


def _split(typed: str) -> tuple[str, str]:
    match = _WITH_TIME.fullmatch(typed)
    return (match[1], match[2]) if match else (typed, "")


def _day(typed: str, order: Order | None) -> date | None:
    if _ISO.fullmatch(typed):
        return _made(int(typed[:4]), int(typed[5:7]), int(typed[8:]))
    match = _NUMBERS.fullmatch(typed)
    if match is not None:
        return _from_numbers(match[1], match[3], match[4], order)
    match = _DAY_FIRST.fullmatch(typed)
    if match is not None:
        return _made(int(match[3]), _month(match[2]), int(match[1]))
    match = _MONTH_FIRST.fullmatch(typed)
    if match is not None:
        return _made(int(match[3]), _month(match[1]), int(match[2]))
    return None


def _from_numbers(one: str, two: str, three: str, order: Order | None) -> date | None:
    if len(one) == 4:
        return _made(int(one), int(two), int(three)) if len(three) < 3 else None
    if order == "ymd":
        return _made(_year(one), int(two), int(three)) if len(three) < 3 else None
    if order is None or len(one) > 2:
        return None
    # Two digits are a year only where somebody says so by naming the order.
    year = _year(three)
    return (
        _made(year, int(two), int(one))
        if order == "dmy"
        else _made(year, int(one), int(two))
    )


def _year(typed: str) -> int:
    return int(typed) + (2000 if len(typed) == 2 else 0)


def _month(typed: str) -> int:
    """Return the number of a month's name or its beginning; 0 for no month."""
    begun = typed.casefold()
    names = [place for place, name in enumerate(_MONTHS, 1) if name.startswith(begun)]
    return names[0] if len(names) == 1 else 0


def _made(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day) if year >= 1900 else None
    except ValueError:
        return None
