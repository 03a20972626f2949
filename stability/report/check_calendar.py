"""The days of studies as an iCalendar file (RFC 5545) for any calendar program.

The same record and day give the same bytes. A second file names the same events, with
a higher sequence number once anything was stored, so that a calendar moves what it has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone

from stability.evaluation.cautions import cautions_of
from stability.model.age import check_text
from stability.model.check_days import CheckDay, StudyCalendar
from stability.model.condition import Condition
from stability.model.plain_text import one_line
from stability.model.schedule import Due, hand_over_text
from stability.model.study_record import StudyRecord

#: How long a hand-over takes in the calendar.
_HAND_OVER: Final = timedelta(minutes=15)
#: From this temperature on a closed pack may leak or burst [°C] (common practice).
_HOT: Final = 40


def calendar_bytes(
    calendars: Sequence[StudyCalendar], remind: timedelta | None = None
) -> bytes:
    """Return the file's bytes.

    Parameters
    ----------
    calendars
        Studies with their days; at least one day among them.
    remind
        How long before an event its reminder comes; None for no reminder.
    """
    file = Calendar()
    file.add("prodid", "-//stability-study//stability//EN")
    file.add("version", "2.0")
    codes = ", ".join(one.record.study.code for one in calendars)
    file.add("x-wr-calname", f"Stability checks {codes}")
    names = sorted({one.record.zone.key for one in calendars})
    if len(names) == 1:
        file.add("x-wr-timezone", names[0])
    for one in calendars:
        file.add("x-stability-record", str(one.record.head))
    for zone in _zones(calendars):
        file.add_component(zone)
    for one in calendars:
        for day in one.days:
            file.add_component(_event(one, day, remind))
    return bytes(file.to_ical())


def _zones(calendars: Sequence[StudyCalendar]) -> Iterator[Timezone]:
    """Yield each zone in which something is to be done by the hour, as it is then."""
    times: dict[str, list[datetime]] = {}
    for one in calendars:
        for day in one.days:
            if day.when.time is not None:
                times.setdefault(one.record.zone.key, []).append(day.when.time)
    for name, known in sorted(times.items()):
        first, last = min(known).year, max(known).year
        yield Timezone.from_tzinfo(
            ZoneInfo(name), name, date(first, 1, 1), date(last + 1, 1, 1)
        )


def _event(calendar: StudyCalendar, day: CheckDay, remind: timedelta | None) -> Event:
    record, cancelled = calendar.record, day.state == "cancelled"
    event = Event()
    event.add("uid", day.uid)
    event.add("dtstamp", calendar.changed)
    event.add("last-modified", calendar.changed)
    event.add("sequence", record.head.position)
    event.add("status", day.state.upper())
    event.add("categories", ["stability study", record.study.code])
    if day.when.time is not None:
        event.add("dtstart", day.when.time.astimezone(record.zone))
        event.add("duration", _HAND_OVER)
    else:
        event.add("dtstart", day.when.day)
        event.add("dtend", day.when.day + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
    summary = one_line(_summary(record, day))
    event.add("summary", f"cancelled: {summary}" if cancelled else summary)
    event.add("description", "\n".join(map(one_line, _description(record, day))))
    if remind is not None and not cancelled:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", summary)
        alarm.add("trigger", -remind)
        event.add_component(alarm)
    return event


def _summary(record: StudyRecord, day: CheckDay) -> str:
    study, number = record.study, len(day.samples)
    samples = f"{number} sample{'' if number == 1 else 's'}"
    place = f" {day.condition}" if day.condition else ""
    if day.kind == "place":
        return f"{study.code}: place {samples} in{place} ({study.product})"
    if day.kind == "step":
        return f"{study.code}{place}: {_step_text(record, day)} ({study.product})"
    check = check_text(day.check)
    return f"{study.code}{place} {check}: read {samples} ({study.product})"


def _step_text(record: StudyRecord, day: CheckDay) -> str:
    cycle, step = map(int, day.check.split("/"))
    return hand_over_text(day.condition, record, cycle, step)


def _description(record: StudyRecord, day: CheckDay) -> Iterator[str]:
    study = record.study
    yield f"{study.product} {study.version}, study {study.code}"
    if day.condition:
        words = record.protocol.conditions[day.condition].words()
        yield f"condition {day.condition}{f': {words}' if words else ''}"
    if day.state == "cancelled":
        yield "nothing is to be done any more"
        return
    if day.window is not None:
        opens, closes = day.window
        yield f"due {day.when.day}, window {opens} to {closes}"
    if day.state == "tentative":
        yield (
            "the day may still move: it is fixed by the placing"
            if day.kind == "check"
            else "the planned day; checks count from the real one"
        )
    yield ""
    yield from _sample_lines(record, day)
    yield ""
    yield from _cautions(record, day)


def _sample_lines(record: StudyRecord, day: CheckDay) -> Iterator[str]:
    """Yield what is to be read, then the samples on which it is."""
    groups: dict[tuple[Due, ...], list[str]] = {}
    for code in day.samples:
        groups.setdefault((day.remaining or {}).get(code, ()), []).append(code)
    for remaining, codes in groups.items():
        if remaining:
            yield f"to read: {', '.join(_due_texts(remaining))}"
        for code in codes:
            yield _sample_text(record, code)


def _due_texts(remaining: Iterable[Due]) -> Iterator[str]:
    for attribute, part in remaining:
        yield attribute if part is None else f"weight {part} opening ({attribute})"


def _sample_text(record: StudyRecord, code: str) -> str:
    sample = record.samples[code]
    parts = [f"batch {sample.batch}", sample.pack or sample.kind]
    parts.append(
        f"untouched until {sample.open_at}" if sample.use == "untouched" else sample.use
    )
    if sample.twin_of is not None:
        parts.append(f"untreated twin of {sample.twin_of}")
    return f"{code}: {', '.join(parts)}"


def _cautions(record: StudyRecord, day: CheckDay) -> Iterator[str]:
    """Yield the study's cautions that belong to what is to be done."""
    wanted = {"not-on-skin", "keep-closed"} if day.kind == "check" else set()
    condition = record.protocol.conditions.get(day.condition)
    if condition is not None and day.kind != "check":
        temperatures = list(_temperatures(condition))
        if any(one < 0 for one in temperatures):
            wanted.add("glass-in-freezer")
        if any(one >= _HOT for one in temperatures):
            wanted.add("closed-in-heat")
    for caution in cautions_of(record):
        if caution.code in wanted:
            yield caution.text


def _temperatures(condition: Condition) -> Iterator[float]:
    if condition.temperature is not None:
        yield float(condition.temperature)
    for step in condition.steps:
        yield float(step.at)
