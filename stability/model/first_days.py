"""First days of a study that fall on a weekend, before anything is read or placed.

Weekends are Saturday and Sunday; holidays are the maker's to know. What a study file
states stays as it is: nothing is moved, the nearest working day is only named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Final

from stability.model.protocol import Protocol
from stability.model.schedule import planned_placing
from stability.model.study import Sample, Study

#: From which day of the week on it is the weekend (Monday is 0).
SATURDAY: Final = 5


def weekend_words(
    study: Study,
    protocol: Protocol,
    samples: Iterable[Sample],
    since: date = date.min,
) -> Iterator[str]:
    """Yield which T0 readings and placings fall on a weekend, and what to do.

    Parameters
    ----------
    study, protocol
        The study as planned.
    samples
        Its samples.
    since
        Days before it are not told: what is past cannot be planned otherwise.
    """
    yield from _t0(study, protocol, since)
    yield from _placings(study, protocol, samples, since)


def working_day(day: date, last: date) -> date | None:
    """Return the first working day from a day on; None where none comes in time.

    Examples
    --------
    >>> working_day(date(2026, 2, 28), date(2026, 3, 3))
    datetime.date(2026, 3, 2)
    """
    while day.weekday() >= SATURDAY:
        day += timedelta(days=1)
    return day if day <= last else None


def _is_told(day: date, since: date) -> bool:
    return day >= since and day.weekday() >= SATURDAY


def _t0(study: Study, protocol: Protocol, since: date) -> Iterator[str]:
    """Yield T0 readings that are due on a weekend, batches of one day together."""
    rule = protocol.t0
    windows: dict[tuple[date, date], list[str]] = {}
    for name, batch in study.batches.items():
        window = rule.read_after.after(batch.made), rule.read_before.after(batch.made)
        windows.setdefault(window, []).append(name)
    for (opens, closes), names in windows.items():
        if not _is_told(opens, since):
            continue
        meant = working_day(opens, closes)
        way = (
            f"the window is open to {_day(closes)}, so {_day(meant)} will do"
            if meant is not None
            else f"no working day lies in its window, which ends on {_day(closes)}"
        )
        yield f"T0 of batch {', '.join(names)} is due on {_day(opens)}: {way}"


def _placings(
    study: Study, protocol: Protocol, samples: Iterable[Sample], since: date
) -> Iterator[str]:
    """Yield placings that are planned for a weekend, stated days apart."""
    stated: dict[date, list[str]] = {}
    assumed: dict[tuple[date, date], list[str]] = {}
    for one in samples:
        if one.condition is None:
            continue
        day = planned_placing(study, protocol, one)
        if not _is_told(day, since):
            continue
        if one.condition in study.place_on:
            stated.setdefault(day, []).append(one.condition)
            continue
        made = study.batches[one.batch].made
        last = protocol.t0.place_within.after(protocol.t0.read_before.after(made))
        assumed.setdefault((day, last), []).append(one.batch)
    for (day, last), batches in assumed.items():
        meant = working_day(day, last)
        way = f"; {_day(meant)} will do" if meant is not None else ""
        names = ", ".join(dict.fromkeys(batches))
        yield (
            f"placing of batch {names} is taken for {_day(day)}, because [place_on] "
            f"states no day{way}: ages count from the day on which it is really placed"
        )
    for day, conditions in stated.items():
        names = ", ".join(dict.fromkeys(conditions))
        yield f"[place_on] states {_day(day)} for {names}, a weekend"


def _day(day: date) -> str:
    return f"{day} ({day:%a})"
