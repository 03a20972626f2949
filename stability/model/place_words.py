"""Records of storage places in words."""

from __future__ import annotations

from datetime import datetime

from stability.model.place import (
    Happening,
    Look,
    PlaceRecord,
    StatedEvent,
    StoredLog,
)


def happening_words(one: Happening, place: PlaceRecord) -> str:
    """Return what was recorded: `logger oven.csv, 500 readings from … to …`.

    Parameters
    ----------
    one
        The record.
    place
        Of which place, in whose zone times are told.
    """
    aside = f"; set aside: {one.invalidated.because}" if one.invalidated else ""
    return f"{_words(one, place)}{aside}"


def happening_kind(one: Happening) -> str:
    """Return what kind of record it is, in a word."""
    if isinstance(one, StoredLog):
        return "logger"
    if isinstance(one, Look):
        return "look"
    return "event" if isinstance(one, StatedEvent) else "answer"


def period_words(start: datetime, end: datetime, place: PlaceRecord) -> str:
    """Return `2026-03-04 22:00 to 2026-03-05 07:00` in a place's zone."""
    first, last = start.astimezone(place.zone), end.astimezone(place.zone)
    return f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"


def _words(one: Happening, place: PlaceRecord) -> str:
    if isinstance(one, StoredLog):
        return _log_words(one, place)
    if isinstance(one, Look):
        return f"look: {one.lowest} to {one.highest} °C since the look before"
    times = period_words(one.start, one.end, place)
    if isinstance(one, StatedEvent):
        side = f", {one.direction} than meant" if one.direction else ""
        return f"{one.what}{side}, {times}"
    study = f" for {one.study}" if one.study else ""
    side = f", {one.sides_text} than meant," if one.sides else ""
    return f"{times}{side} answered: {one.outcome}{study}, because {one.because}"


def _log_words(one: StoredLog, place: PlaceRecord) -> str:
    times = period_words(one.first, one.last, place)
    left = [
        f"{count} rows {why}"
        for count, why in (
            (one.without_reading, "without a reading"),
            (one.impossible, "with a code of a broken sensor"),
        )
        if count
    ]
    parts = [f"logger {one.name}: {one.readings} readings, {times}", *left]
    return "; ".join([*parts, one.form.words()])
