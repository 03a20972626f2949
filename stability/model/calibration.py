"""A calibration or check of an instrument, as it was told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, Literal
from zoneinfo import ZoneInfo

from stability.model.entry import Entry
from stability.model.instrument_content import How
from stability.model.moment import Moment, moment_at, parse_moment, parse_utc
from stability.model.observation import Invalidation

_UTC: Final = ZoneInfo("UTC")


@dataclass(frozen=True, slots=True)
class Calibration:
    """One calibration or check of an instrument, as it was told."""

    #: Position of its entry in the instrument's chain.
    position: int
    #: When it was made.
    done: Moment
    #: When it was stored (UTC).
    entered: datetime
    #: Who made it.
    person: str
    #: How it was made.
    how: How
    #: Whether it was good.
    passed: bool
    #: Why it was not; empty where it was.
    faults: tuple[str, ...]
    #: pH of each buffer and the potential in it, as typed [pH, mV].
    buffers: tuple[tuple[str, str], ...]
    #: Temperature of the buffers, as typed [°C]; None where none was stated.
    temperature: str | None
    #: Slope as a share of the ideal one [%]; None where there is none.
    slope_percent: str | None
    #: Potential at pH 7 [mV]; None where there is none.
    offset_mv: str | None
    #: A buffer read again: its pH, and what the meter showed [pH]; None where none was.
    reread: tuple[str, str] | None
    #: Value of each weight or standard and what was read, as typed [`unit`].
    standards: tuple[tuple[str, str], ...]
    #: Unit of the standards; None where there are none.
    unit: str | None
    #: In the person's own words; None where nothing was said.
    because: str | None
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None

    @property
    def result(self) -> Literal["passed", "failed"]:
        """Return how it ended."""
        return "passed" if self.passed else "failed"

    @property
    def range_ph(self) -> tuple[Decimal, ...]:
        """Return the pH of its buffers [pH]; empty where none are known."""
        return tuple(Decimal(ph) for ph, _ in self.buffers)


def calibration_of(entry: Entry) -> Calibration:
    """Return what an entry of a calibration tells."""
    held = entry.content
    return Calibration(
        position=entry.position,
        done=done_of(entry),
        entered=parse_utc(entry.entered),
        person=entry.person,
        how=held["how"],
        passed=held["result"] == "passed",
        faults=tuple(held["faults"]),
        buffers=tuple((one["ph"], one["mv"]) for one in held["buffers"]),
        temperature=held["temperature"],
        slope_percent=held["slope_percent"],
        offset_mv=held["offset_mv"],
        reread=None if held["reread"] is None else _pair(held["reread"]),
        standards=tuple(map(_pair, held["standards"])),
        unit=held["unit"],
        because=held["because"],
    )


def set_aside_by(entry: Entry) -> Invalidation:
    """Return why an entry was set aside, from the entry that did it."""
    because = entry.content["because"]
    return Invalidation(entry.position, because, entry.person, done_of(entry))


def done_of(entry: Entry) -> Moment:
    """Return when something was done with an instrument."""
    done = parse_moment(entry.done, _UTC)
    return done or moment_at(parse_utc(entry.entered), _UTC)


def order_of(one: Calibration) -> tuple[date, float, int]:
    """Return when it was made; known only to the day, it comes first on that day."""
    time = one.done.time
    return one.done.day, 0.0 if time is None else time.timestamp(), one.position


def _pair(held: Mapping[str, Any]) -> tuple[str, str]:
    return held["expected"], held["read"]
