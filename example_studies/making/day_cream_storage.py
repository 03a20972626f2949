"""What the oven and the shelf of the invented day cream did.

Readings are made up and scattered by a seeded generator, not measured anywhere.
"""

from __future__ import annotations

import math
import random
from datetime import UTC, date, datetime, timedelta

#: The oven's logger reads every three hours, in UTC, from the first placing on.
FIRST = datetime(2025, 3, 13, 12, tzinfo=UTC)
LAST = datetime(2025, 7, 25, 6, tzinfo=UTC)
#: The power was off from 22:00 to 07:00 in Dublin.
OFF = datetime(2025, 4, 9, 21, tzinfo=UTC)
ON = datetime(2025, 4, 10, 6, tzinfo=UTC)
HEADER = "kind,done,entered,person,place,reading,settings,refers_to,because"


def oven() -> str:
    """Return the file of the oven's logger."""
    scatter = random.Random(40)
    rows = ["time;temperature"]
    moment = FIRST
    while moment <= LAST:
        celsius = scatter.gauss(40.1, 0.35)
        if OFF <= moment < ON:
            hours = (moment - OFF).total_seconds() / 3600
            celsius = 21.0 + 15.0 * math.exp(-(hours + 0.5) / 4)
        rows.append(f"{moment:%Y-%m-%d %H:%M};{celsius:.1f}")
        moment += timedelta(hours=3)
    return "\n".join([*rows, ""])


def places() -> str:
    """Return the rows of both places."""
    rows = [
        HEADER,
        _row(
            "registered,2025-03-07T16:40,,Ines,OVEN-7KQ4,",
            "temperature=40; tolerance=2; gap=4h,",
            "laboratory incubator of 53 l with a logger on the middle tray",
        ),
        _row(
            "registered,2025-03-07T16:45,,Ines,SHELF-3FHN,",
            '"between=15,27",',
            "shelf away from window and heating; thermometer that keeps lowest and "
            "highest",
        ),
        *looks(date(2025, 4, 1)),
        _row(
            "event,2025-04-10T08:30,,Ines,OVEN,power cut",
            "from=2025-04-09T22:00; to=2025-04-10T07:00; side=colder,",
            "",
        ),
        *looks(date(2025, 5, 1), date(2025, 6, 1), date(2025, 7, 1)),
        _row(
            "logged,2025-07-25T10:00,,Ines,OVEN,storage/oven_2025.csv",
            "zone=+00:00,",
            "",
        ),
        _row(
            "answered,2025-07-25T10:15,,Ines,OVEN,continued",
            "from=2025-04-09T20:00; to=2025-04-10T09:00,3",
            '"9 h of 12 weeks and colder than meant: it ages less, not more; no jar '
            'was moved"',
        ),
        *looks(*(add_months(date(2025, 6, 1), step) for step in range(2, 16))),
    ]
    return "\n".join([*rows, ""])


def _row(*parts: str) -> str:
    return ",".join(parts)


def add_months(start: date, step: int) -> date:
    """Return the first day of a later month."""
    years, month = divmod(start.month - 1 + step, 12)
    return date(start.year + years, month + 1, 1)


def looks(*days: date) -> list[str]:
    """Return looks at the thermometer of the shelf, colder in winter."""
    rows = []
    for day in days:
        scatter = random.Random(day.toordinal())
        season = math.cos((day.timetuple().tm_yday - 205) / 365.25 * 2 * math.pi)
        lowest = 18.4 + 1.8 * season + scatter.uniform(-0.4, 0.4)
        highest = 22.6 + 2.6 * season + scatter.uniform(-0.5, 0.5)
        rows.append(
            f"looked,{day.isoformat()}T09:05,,Ines,SHELF,{lowest:.1f}/{highest:.1f},,,"
        )
    return rows
