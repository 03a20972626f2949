"""Listings of storage places, their figures and excursions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from stability.cli.output import Listing, Row, short_anchor
from stability.cli.table import Column
from stability.model.place import PlaceRecord
from stability.model.place_words import happening_kind, happening_words, period_words

if TYPE_CHECKING:
    from stability.workflow.storage import PlaceShown, StorageExcursion
    from stability.workflow.storing import TakenIn

PLACES = (
    Column("place", "place"),
    Column("name", ""),
    Column("what", "what"),
    Column("meant", "meant"),
    Column("logs", "logs", right=True),
    Column("looks", "looks", right=True),
    Column("events", "events", right=True),
    Column("known_to", "known to"),
    Column("anchor", ""),
)
EXCURSIONS = (
    Column("entry", "entry"),
    Column("known_from", "from"),
    Column("direction", ""),
    Column("start", ""),
    Column("end", ""),
    Column("when", "when"),
    Column("hours", "hours", right=True),
    Column("peak_c", "peak °C", right=True),
    Column("what", "excursion"),
    Column("open", ""),
    Column("outcome", ""),
    Column("answer", "answer"),
)
RECORDS = (
    Column("entry", "entry"),
    Column("done", "recorded"),
    Column("person", "person"),
    Column("kind", "kind"),
    Column("stands", ""),
    Column("what", "what"),
)
_MOST_SHOWN = 8


def places_listing(records: Iterable[PlaceRecord]) -> Listing:
    """Return every storage place as a row."""
    rows: list[Row] = [
        {
            "place": one.code,
            "name": one.name,
            "what": one.text,
            "meant": one.meant_words(),
            "logs": len(one.logs()),
            "looks": len(one.looks()),
            "events": len(one.events()),
            "known_to": _known_to(one),
            "anchor": str(one.head),
        }
        for one in records
    ]
    return Listing(
        "places",
        PLACES,
        rows,
        "No storage place is registered. See 'stability storage add --help'.",
    )


def _known_to(place: PlaceRecord) -> str | None:
    """Return the day of the last reading or look; None without any."""
    days = [one.last.astimezone(place.zone).date() for one in place.logs()]
    days += [one.done.day for one in place.looks()]
    return max(days).isoformat() if days else None


def place_listings(shown: PlaceShown) -> tuple[Listing, Listing]:
    """Return the excursions of a place with its figures, and all its records."""
    record = shown.record
    period = period_words(*shown.period, record) if shown.period else None
    figures = shown.figures
    open_ = sum(one.is_open for one in shown.excursions)
    notes = [*(figures.lines() if figures else ()), *_look_notes(record)]
    excursions = Listing(
        "excursions",
        EXCURSIONS,
        [_excursion_row(one, record) for one in shown.excursions],
        "No excursion is known." if shown.period else "",
        facts={
            "place": record.code,
            "what": record.text,
            "meant": record.meant_words(),
            "period": period,
            "open_excursions": open_ or None,
        },
        notes=notes,
    )
    return excursions, _records(record)


def _look_notes(record: PlaceRecord) -> list[str]:
    looks = record.looks()
    if not looks:
        return []
    low = min(one.lowest for one in looks)
    high = max(one.highest for one in looks)
    count = "1 look" if len(looks) == 1 else f"{len(looks)} looks"
    return [f"{count} at a thermometer: {low} to {high} °C; it tells no mean"]


def _excursion_row(one: StorageExcursion, place: PlaceRecord) -> Row:
    return {
        "entry": f"{place.name}/{one.position}",
        "known_from": one.known_from,
        "direction": one.direction,
        "start": one.start.astimezone(place.zone).isoformat(),
        "end": one.end.astimezone(place.zone).isoformat(),
        "when": period_words(one.start, one.end, place),
        "hours": None if one.hours is None else round(one.hours, 2),
        "peak_c": one.peak_c,
        "what": one.text,
        "open": one.is_open,
        "outcome": None if one.answer is None else one.answer.outcome,
        "answer": one.answer_text,
    }


def _records(record: PlaceRecord) -> Listing:
    rows: list[Row] = [
        {
            "entry": f"{record.name}/{one.position}",
            "done": one.done.for_people(),
            "person": one.person,
            "kind": happening_kind(one),
            "stands": one.invalidated is None,
            "what": happening_words(one, record),
        }
        for one in record.happenings.values()
    ]
    return Listing(
        "records",
        RECORDS,
        rows,
        "Nothing is recorded of this place yet.",
        notes=(f"record: {short_anchor(str(record.head))}",),
    )


def open_lines(made: TakenIn) -> Iterator[str]:
    """Yield excursions that ask for an answer, the longest where many."""
    count, place = len(made.open), made.place
    if not count:
        return
    asked = "1 excursion asks" if count == 1 else f"{count} excursions ask"
    command = f"stability storage answer {place.name} --from … --outcome …"
    yield f"{asked} for an answer: {command}"
    longest = sorted(made.open, key=lambda one: -(one.hours or 0.0))[:_MOST_SHOWN]
    for one in sorted(longest, key=lambda one: one.start):
        yield f"    {period_words(one.start, one.end, place)}: {one.text}"
    if count > _MOST_SHOWN:
        yield f"    and {count - _MOST_SHOWN} shorter ones"
