"""Views of storage places in an archive: what each is, and all that was recorded.

They say what the journal says and work nothing out: excursions come of readings, of
what a protocol means for a condition and of how long samples stood there, and the
report lists them. The files of loggers stand whole among the attachments.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final

from stability.model.content import ANSWERED
from stability.model.entry import Entry
from stability.model.inert_cell import inert
from stability.model.logger_form import form_of
from stability.model.place import SUBJECT, Happening, PlaceRecord, fold_place
from stability.model.place_content import EVENT, LOGGED, LOOKED

#: Column of storage/places.csv -> what it holds, as the README of an archive says it.
PLACES: Final = {
    "place": "whole name of the place",
    "what": "what it is, in words",
    "temperature_c": "temperature meant there, °C; empty where none is",
    "tolerance_c": "allowed on either side of it, °C",
    "lowest_c": "lowest meant where a range is measured and not controlled, °C",
    "highest_c": "highest meant there, °C",
    "longest_gap": "longest time that one reading of a logger stands for",
    "zone": "time zone in which its times are told",
    "done": "when it was registered",
    "entered": "when that was stored, in UTC",
    "person": "who registered it",
}
#: Column of storage/records.csv -> what it holds.
RECORDS: Final = {
    "entry": "where it stands in the record: place and position",
    "kind": "logger, look (a thermometer that keeps lowest and highest), event (as it "
    "was told) or answer (to an excursion)",
    "done": "when it was recorded: a day, or a local time with its offset from UTC",
    "entered": "when it was stored, in UTC",
    "person": "who recorded it",
    "start": "from when it tells of the place, in UTC; empty for a look, which tells "
    "of the time since the look before",
    "end": "until when, in UTC; empty for a look",
    "lowest_c": "lowest at a look, as typed, °C",
    "highest_c": "highest at a look, as typed, °C",
    "direction": "hotter or colder than meant, of an event or of what an answer holds "
    "for; empty where not known, or for both",
    "what": "what happened, of an event, in words",
    "outcome": "of an answer: continued, replaced or restarted",
    "study": "study for which an answer holds; empty for all",
    "answers": "position of the entry that shows the excursion, of an answer",
    "because": "reason of an answer",
    "file": "name of a logger's file as it came",
    "sha256": "name of that file in attachments",
    "readings": "readings of the file that are used",
    "not_used": "rows of it without a reading, or with the code of a broken sensor",
    "read_as": "how the file is read: columns, dates, zone, unit",
    "state": "stands; or set aside, by which entry and why",
}
PLACES_CSV: Final = "storage/places.csv"
RECORDS_CSV: Final = "storage/records.csv"


def storage_views(entries: Iterable[Entry]) -> dict[str, str]:
    """Return path -> text of the views of storage places; nothing without a place.

    Parameters
    ----------
    entries
        Of any subjects; each place whole, from its registration on.
    """
    chains: dict[str, list[Entry]] = {}
    for one in entries:
        if one.subject.startswith(SUBJECT):
            chains.setdefault(one.subject, []).append(one)
    if not chains:
        return {}
    places = [(fold_place(chains[one]), chains[one]) for one in sorted(chains)]
    records = [row for place, chain in places for row in _records(place, chain)]
    return {
        PLACES_CSV: _table(
            PLACES, [_place(place, chain[0]) for place, chain in places]
        ),
        RECORDS_CSV: _table(RECORDS, records),
    }


def _place(place: PlaceRecord, entry: Entry) -> dict[str, Any]:
    low, high = place.between or (None, None)
    return {
        "place": place.code,
        "what": place.text,
        "temperature_c": place.temperature,
        "tolerance_c": place.tolerance,
        "lowest_c": low,
        "highest_c": high,
        "longest_gap": place.longest_gap,
        "zone": place.zone.key,
        "done": entry.done,
        "entered": entry.entered,
        "person": entry.person,
    }


def _records(place: PlaceRecord, chain: Sequence[Entry]) -> Iterable[dict[str, Any]]:
    for one in chain:
        told = place.happenings.get(one.position)
        if told is None:
            continue
        yield {
            "entry": f"{place.code}/{one.position}",
            "done": one.done,
            "entered": one.entered,
            "person": one.person,
            **_CELLS[one.kind](one.content),
            "state": _state(told),
        }


def _logged(held: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "kind": "logger",
        "start": held["first"],
        "end": held["last"],
        "file": held["file"]["name"],
        "sha256": held["file"]["sha256"],
        "readings": held["readings"],
        "not_used": held["without_reading"] + held["impossible"],
        "read_as": form_of(held["form"]).words(),
    }


def _looked(held: Mapping[str, Any]) -> dict[str, Any]:
    low, high = held["lowest"], held["highest"]
    return {"kind": "look", "lowest_c": low, "highest_c": high}


def _event(held: Mapping[str, Any]) -> dict[str, Any]:
    same = ("start", "end", "direction", "what")
    return {"kind": "event", **{key: held[key] for key in same}}


def _answer(held: Mapping[str, Any]) -> dict[str, Any]:
    same = ("start", "end", "outcome", "study", "because")
    told = {key: held[key] for key in same}
    sides = list(held.get("sides") or [])
    told["direction"] = sides[0] if len(sides) == 1 else None
    return {"kind": "answer", "answers": held["refers_to"], **told}


#: Kind of an entry -> the cells that are its own.
_CELLS: Final[Mapping[str, Callable[[Mapping[str, Any]], dict[str, Any]]]] = {
    LOGGED: _logged,
    LOOKED: _looked,
    EVENT: _event,
    ANSWERED: _answer,
}


def _state(told: Happening) -> str:
    cause = told.invalidated
    return (
        "stands" if cause is None else f"set aside by {cause.position}: {cause.because}"
    )


def _table(columns: Mapping[str, str], rows: Iterable[Mapping[str, Any]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        cells = (row.get(column) for column in columns)
        writer.writerow(inert("" if one is None else str(one)) for one in cells)
    return out.getvalue()
