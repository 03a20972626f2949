"""An instrument as its entries tell it: rules, calibrations, what holds on a day."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, Literal
from zoneinfo import ZoneInfo

from stability.model.age import Age, parse_age
from stability.model.content import INVALIDATED
from stability.model.entry import Entry, Head
from stability.model.instrument_content import CALIBRATED, REGISTERED, How
from stability.model.limit import Band
from stability.model.moment import Moment, moment_at, parse_moment, parse_utc
from stability.model.observation import Invalidation

#: What every subject of an instrument begins with.
SUBJECT: Final = "instrument:"
PH_METER: Final = "pH meter"
BALANCE: Final = "balance"
VISCOMETER: Final = "viscometer"
_UTC: Final = ZoneInfo("UTC")

#: How an instrument stood when something was read: calibrated within its time, beyond
#: it, never, or after a calibration that failed.
Standing = Literal["valid", "lapsed", "never", "failed"]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """When a calibration of an instrument is good."""

    #: Slope of an electrode as a share of the ideal one [%]; None where it has none.
    slope: Band | None = None
    #: Farthest from 0 that the potential at pH 7 may lie [mV]; None where it has none.
    offset: Decimal | None = None
    #: How far a buffer that is read again may lie from its value [pH]; None as above.
    reread: Decimal | None = None
    #: How far a weight or standard may lie from its value [`tolerance_unit`]; None
    #: where nothing was fixed.
    tolerance: Decimal | None = None
    #: "%" of the value, or the unit of the readings; None where nothing was fixed.
    tolerance_unit: str | None = None


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


@dataclass(frozen=True, slots=True)
class Calibrated:
    """How an instrument stood at one moment, by all that is recorded of it."""

    #: How it stood.
    standing: Standing
    #: The last calibration up to then; None where there was none.
    last: Calibration | None
    #: The last good one up to then; None where there was none.
    last_good: Calibration | None
    #: The failed calibration that makes a reading of then doubtful; None where none
    #: does.
    failed: Calibration | None


@dataclass(frozen=True, slots=True)
class InstrumentRecord:
    """All that is recorded of one instrument, in the order of the entries."""

    #: Its subject, such as instrument:PH1-9XR2.
    subject: str
    #: Short name, as people type it.
    name: str
    #: pH meter, viscometer, balance, or another word of the maker's.
    kind: str
    #: What it is, in words.
    text: str
    #: How long a calibration holds.
    valid_for: Age
    #: When a calibration is good.
    acceptance: Acceptance
    #: Rules that nobody stated, so that usual ones hold.
    usual: tuple[str, ...]
    #: When it was registered.
    registered: Moment
    #: Who registered it.
    person: str
    #: The last entry taken into account.
    head: Head
    #: Every calibration, those set aside among them.
    calibrations: tuple[Calibration, ...] = ()
    #: Those that were not set aside, in the order of making; worked out once, because
    #: every reading asks for them.
    _made: tuple[Calibration, ...] = field(init=False, repr=False, compare=False)
    #: Day of each of them.
    _days: tuple[date, ...] = field(init=False, repr=False, compare=False)
    #: The last good one among the first so many of them; None where none is good.
    _good: tuple[Calibration | None, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Look up what counts once for all readings."""
        kept = [one for one in self.calibrations if one.invalidated is None]
        made = tuple(sorted(kept, key=_order))
        good: list[Calibration | None] = [None]
        for one in made:
            good.append(one if one.passed else good[-1])
        object.__setattr__(self, "_made", made)
        object.__setattr__(self, "_days", tuple(one.done.day for one in made))
        object.__setattr__(self, "_good", tuple(good))

    @property
    def code(self) -> str:
        """Return its whole name, such as PH1-9XR2."""
        return self.subject.removeprefix(SUBJECT)

    def standing(self) -> tuple[Calibration, ...]:
        """Return the calibrations that were not set aside, in the order of making."""
        return self._made

    def at(self, done: Moment) -> Calibrated:
        """Return how it stood when something was read.

        Where only the day of a calibration or of the reading is known, a calibration
        of that day counts as made before it, as is done at a bench. A failed one makes
        readings doubtful from the last good one on.

        Parameters
        ----------
        done
            When it was read.
        """
        made = self._made
        first, end = (
            bisect_left(self._days, done.day),
            bisect_right(self._days, done.day),
        )
        before = first + sum(not done < one.done for one in made[first:end])
        last = made[before - 1] if before else None
        failed = None
        if last is not None and not last.passed:
            failed = last
        elif before < len(made) and not made[before].passed:
            failed = made[before]
        return Calibrated(
            standing=self._standing(last, done),
            last=last,
            last_good=self._good[before],
            failed=failed,
        )

    def _standing(self, last: Calibration | None, done: Moment) -> Standing:
        if last is None:
            return "never"
        if not last.passed:
            return "failed"
        return "valid" if self.holds(last, done) else "lapsed"

    def holds(self, calibration: Calibration, done: Moment) -> bool:
        """Say whether a calibration still holds at a moment after it.

        `1d` is the day of the calibration, `1M` up to the day before that of the next
        month. Hours count by the clock where both times are known.
        """
        made = calibration.done
        if self.valid_for.unit == "h" and made.time and done.time:
            hours = (done.time - made.time).total_seconds() / 3600
            return hours <= self.valid_for.count
        return done.day < self.valid_for.after(made.day)


def fold_instrument(entries: Sequence[Entry]) -> InstrumentRecord:
    """Return what the entries of one instrument tell together.

    Parameters
    ----------
    entries
        From the registration on, in order, at least one.

    Raises
    ------
    ValueError
        If the first entry is no registration, or a kind is not known.
    """
    if not entries or entries[0].kind != REGISTERED:
        raise ValueError("an instrument begins with its registration")
    made: dict[int, Calibration] = {}
    for entry in entries[1:]:
        if entry.kind == CALIBRATED:
            made[entry.position] = _calibration(entry)
        elif entry.kind == INVALIDATED:
            place = entry.content["refers_to"]
            made[place] = replace(made[place], invalidated=_invalidation(entry))
        else:
            raise ValueError(f"entry {entry.position} is of unknown kind {entry.kind}")
    last = entries[-1]
    head = Head(last.subject, last.position, last.digest)
    return replace(_registered(entries[0], head), calibrations=tuple(made.values()))


def _registered(entry: Entry, head: Head) -> InstrumentRecord:
    held = entry.content
    slope = Band(_number(held["slope_lowest"]), _number(held["slope_highest"]))
    return InstrumentRecord(
        subject=entry.subject,
        name=held["name"],
        kind=held["kind"],
        text=held["text"],
        valid_for=parse_age(held["valid_for"]) or Age(1, "d"),
        acceptance=Acceptance(
            slope=None if slope == Band(None, None) else slope,
            offset=_number(held["offset"]),
            reread=_number(held["reread"]),
            tolerance=_number(held["tolerance"]),
            tolerance_unit=held["tolerance_unit"],
        ),
        usual=tuple(held["usual"]),
        registered=_done(entry),
        person=entry.person,
        head=head,
    )


def _calibration(entry: Entry) -> Calibration:
    held = entry.content
    return Calibration(
        position=entry.position,
        done=_done(entry),
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


def _invalidation(entry: Entry) -> Invalidation:
    because = entry.content["because"]
    return Invalidation(entry.position, because, entry.person, _done(entry))


def _pair(held: Mapping[str, Any]) -> tuple[str, str]:
    return held["expected"], held["read"]


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _done(entry: Entry) -> Moment:
    done = parse_moment(entry.done, _UTC)
    return done or moment_at(parse_utc(entry.entered), _UTC)


def _order(one: Calibration) -> tuple[date, float, int]:
    """Return when it was made; known only to the day, it comes first on that day."""
    time = one.done.time
    return one.done.day, 0.0 if time is None else time.timestamp(), one.position
