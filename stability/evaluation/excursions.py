"""Excursions of a storage place, from loggers, thermometers and what was stated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from stability.evaluation.place_readings import (
    PlaceReadings,
    excursions_logged,
    figures_over,
    from_hours,
)
from stability.evaluation.storage_findings import StorageExcursion
from stability.model.excursion_answer import Direction
from stability.model.place import (
    Look,
    PlaceRecord,
    Range,
    StatedEvent,
    day_ends,
)

#: Share of a stated event that a logger must cover to speak for it [-].
_COVERED = 0.99


@dataclass(frozen=True, slots=True)
class Period:
    """A time that is looked at, for a study or for a place alone."""

    #: From when.
    start: datetime
    #: Until when.
    end: datetime
    #: Study whose samples stood there; None for none in particular.
    study: str | None = None

    def cut(self, start: datetime, end: datetime) -> tuple[datetime, datetime] | None:
        """Return what of another time lies within; None where nothing does."""
        first, last = max(self.start, start), min(self.end, end)
        at_once = start == end and first == last
        return (first, last) if first < last or at_once else None


def whole_of(readings: PlaceReadings, *, logs_only: bool = False) -> Period | None:
    """Return the time of which anything is recorded; None where nothing is.

    Parameters
    ----------
    readings
        Of the place.
    logs_only
        Whether to leave out looks and events.
    """
    place = readings.place
    ends = [one for log in place.logs() for one in (log.first, log.last)]
    if logs_only:
        return Period(min(ends), max(ends)) if ends else None
    ends += [place.time_of(look) for look in place.looks()]
    ends += [one for event in place.events() for one in (event.start, event.end)]
    if not ends:
        return None
    looks = place.looks()
    if looks:
        ends.append(_since(place, looks, 0))
    return Period(min(ends), max(ends))


def excursions_in(
    readings: PlaceReadings, meant: Range | None, period: Period
) -> tuple[StorageExcursion, ...]:
    """Return the excursions of a place in a period, by their start.

    A logger speaks before a thermometer and before what was stated: what it shows of
    a time is not told a second time by either.

    Parameters
    ----------
    readings
        Of the place.
    meant
        The range that was meant, ends inside; None where none was.
    period
        The time that is looked at; excursions are cut at its ends.
    """
    found: list[StorageExcursion] = []
    if meant is not None:
        found += _logged(readings, meant, period)
        found += _looked(readings.place, meant, period, found)
    found += _stated(readings, period, found)
    return tuple(sorted(found, key=lambda one: (one.start, one.position)))


def answered_ends(
    typed: tuple[datetime, datetime], touched: Sequence[StorageExcursion]
) -> tuple[datetime, datetime]:
    """Return from when to when an answer holds: all of what it touches.

    Parameters
    ----------
    typed
        As a person typed it.
    touched
        Excursions that lie in it or reach into it.
    """
    start = min([typed[0], *(one.start for one in touched)])
    return start, max([typed[1], *(one.end for one in touched)])


def _logged(
    readings: PlaceReadings, meant: Range, period: Period
) -> Iterator[StorageExcursion]:
    place = readings.place
    logs = place.logs()
    for one in excursions_logged(readings, meant, period.start, period.end):
        start, end = from_hours(one.start_hours), from_hours(one.end_hours)
        shows = [log for log in logs if log.first <= end and start <= log.last]
        yield StorageExcursion(
            place=place.name,
            position=shows[0].position if shows else logs[0].position,
            known_from="logger",
            direction=one.direction,
            start=start,
            end=end,
            hours=one.duration_hours,
            peak_c=one.peak_c,
            end_unknown=one.end_unknown,
            stated=tuple(
                event.what
                for event in place.events()
                if event.start <= end and start <= event.end
            ),
            answer=place.answer_to(start, end, period.study, one.direction),
        )


def _looked(
    place: PlaceRecord,
    meant: Range,
    period: Period,
    logged: Sequence[StorageExcursion],
) -> Iterator[StorageExcursion]:
    looks = place.looks()
    for at, look in enumerate(looks):
        start, end = _since(place, looks, at), place.time_of(look)
        cut = period.cut(start, end)
        if cut is None:
            continue
        for direction, peak in _sides(look, meant):
            told = any(
                one.direction == direction and one.start <= end and start <= one.end
                for one in logged
            )
            if told:
                continue
            yield StorageExcursion(
                place=place.name,
                position=look.position,
                known_from="look",
                direction=direction,
                start=cut[0],
                end=cut[1],
                hours=None,
                peak_c=peak,
                end_unknown=False,
                stated=(),
                answer=place.answer_to(*cut, period.study, direction),
            )


def _since(place: PlaceRecord, looks: Sequence[Look], at: int) -> datetime:
    """Return since when a look tells: the look before, else the registration."""
    if at:
        return place.time_of(looks[at - 1])
    registered = day_ends(place.registered, place.zone)[0]
    return min(registered, place.time_of(looks[0]))


def _sides(look: Look, meant: Range) -> Iterator[tuple[Direction, float]]:
    if look.highest > meant[1]:
        yield "hotter", float(look.highest)
    if look.lowest < meant[0]:
        yield "colder", float(look.lowest)


def _stated(
    readings: PlaceReadings, period: Period, found: Sequence[StorageExcursion]
) -> Iterator[StorageExcursion]:
    place = readings.place
    for event in place.events():
        cut = period.cut(event.start, event.end)
        if cut is None or _told_by_logger(readings, event, found):
            continue
        yield StorageExcursion(
            place=place.name,
            position=event.position,
            known_from="stated event",
            direction=event.direction,
            start=cut[0],
            end=cut[1],
            hours=(cut[1] - cut[0]).total_seconds() / 3600,
            peak_c=None,
            end_unknown=False,
            stated=(event.what,),
            answer=place.answer_to(*cut, period.study, event.direction),
        )


def _told_by_logger(
    readings: PlaceReadings, event: StatedEvent, found: Sequence[StorageExcursion]
) -> bool:
    """Say whether a logger shows what an event did, or that it did nothing."""
    shown = any(
        one.known_from == "logger" and one.start <= event.end and event.start <= one.end
        for one in found
    )
    if shown or event.start >= event.end:
        return shown
    figures = figures_over(readings, None, [(event.start, event.end)])
    return figures.known_hours >= _COVERED * figures.hours
