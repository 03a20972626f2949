"""Ages at which samples are looked at: `24h`, `7d`, `4w`, `3M`, `2y`, `c3`.

Hours, days and weeks are exact; months and years are calendar months, so that
31 January + 3M is 30 April. `12w` is 84 days and never `3M`. `c3` is the check
after the third cycle, and `T0` the check of the initial values.
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

#: Mean length of a month where a fit or an order needs one [days].
DAYS_PER_MONTH: Final = 30.4375
#: The name of the check of the initial values.
T0: Final = "T0"

_AGE = re.compile(r"(0|[1-9][0-9]{0,4})(h|d|w|M|y)")
_CYCLE = re.compile(r"c([1-9][0-9]{0,2})")
_DAYS_PER_UNIT = {
    "h": 1 / 24,
    "d": 1.0,
    "w": 7.0,
    "M": DAYS_PER_MONTH,
    "y": 12 * DAYS_PER_MONTH,
}
_MONTHS_PER_UNIT = {"M": 1, "y": 12}


@dataclass(frozen=True, slots=True)
class Age:
    """A length of time as the trade writes it, such as `4w` or `3M`."""

    #: How many units [-].
    count: int
    #: One of h, d, w, M (calendar month), y.
    unit: str

    def __str__(self) -> str:
        return f"{self.count}{self.unit}"

    @property
    def nominal_days(self) -> float:
        """Length for ordering and for choosing a window [days]."""
        return self.count * _DAYS_PER_UNIT[self.unit]

    @property
    def calendar_months(self) -> int | None:
        """Whole calendar months, or None for an age in hours, days or weeks."""
        per_unit = _MONTHS_PER_UNIT.get(self.unit)
        return None if per_unit is None else self.count * per_unit

    @property
    def whole_months(self) -> int:
        """Whole months that this age proves at least [months].

        A check declared in weeks or days counts days // 31, because no calendar
        month is longer: 4w 0, 8w 1, 12w 2, 52w 11.
        """
        months = self.calendar_months
        return int(self.nominal_days // 31) if months is None else months

    def after(self, start: date) -> date:
        """Return the day that lies this age after `start`."""
        months = self.calendar_months
        if months is not None:
            return add_calendar_months(start, months)
        hours = {"h": 1, "d": 24, "w": 168}[self.unit] * self.count
        return start + timedelta(days=-(-hours // 24))


def add_calendar_months(start: date, months: int) -> date:
    """Return the same day `months` later, or the last day of a shorter month.

    Examples
    --------
    >>> add_calendar_months(date(2025, 1, 31), 3)
    datetime.date(2025, 4, 30)
    """
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(start.day, last))


@lru_cache(maxsize=1024)
def parse_age(text: str) -> Age | None:
    """Read an age such as `4w`; None where the text is not one."""
    match = _AGE.fullmatch(text)
    return Age(int(match[1]), match[2]) if match else None


@lru_cache(maxsize=1024)
def cycle_of(check: str) -> int | None:
    """Return the number of cycles after which the check `c3` is made, else None."""
    match = _CYCLE.fullmatch(check)
    return int(match[1]) if match else None


def is_check(text: str) -> bool:
    """Say whether the text names a check: T0, an age or a cycle."""
    return text == T0 or parse_age(text) is not None or cycle_of(text) is not None


@lru_cache(maxsize=1024)
def check_order(check: str) -> tuple[int, float]:
    """Return a key that puts T0 first, ages by length, then cycles."""
    cycle = cycle_of(check)
    if cycle is not None:
        return (2, float(cycle))
    age = parse_age(check)
    return (1, age.nominal_days) if age else (0, 0.0)


def check_text(check: str) -> str:
    """Name a check for people: `after 3 cycles` for `c3`, else as written."""
    cycle = cycle_of(check)
    if cycle is None:
        return check
    return f"after {cycle} cycle{'s' if cycle > 1 else ''}"
