"""Due dates as a maker's calendar has them, and the working day on which one reads."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

SATURDAY, SUNDAY = 5, 6


def due(placed: date, check: str) -> date:
    """Return the due date of a check such as `4w` or `6M`."""
    count, unit = int(check[:-1]), check[-1]
    if unit == "w":
        return placed + timedelta(weeks=count)
    year, month = divmod(placed.year * 12 + placed.month - 1 + count, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(placed.day, last))


def working_day(day: date) -> date:
    """Return the day itself, or the Monday after a weekend."""
    return day + timedelta(days={SATURDAY: 2, SUNDAY: 1}.get(day.weekday(), 0))
