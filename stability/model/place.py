"""Storage places: fridge, incubator, shelf, windowsill, and all records of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

from stability.model.age import Age, parse_age
from stability.model.content import ANSWERED, INVALIDATED
from stability.model.entry import Entry, Head
from stability.model.excursion_answer import Direction, ExcursionAnswer
from stability.model.logger_form import LoggerForm, form_of
from stability.model.moment import Moment, moment_at, parse_moment, parse_utc
from stability.model.observation import Invalidation
from stability.model.place_content import EVENT, LOGGED, LOOKED, REGISTERED

#: What the subjects of storage places begin with.
SUBJECT: Final = "place:"
#: Longest time that one reading stands for where nobody stated it (common practice):
#: loggers of shelves and ovens read every few minutes to every half hour.
USUAL_GAP: Final = Age(2, "h")
#: Lowest and highest temperature that is meant, ends inside [°C].
Range = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class StoredLog:
    """The file of a logger, taken in as one entry."""

    #: Position of its entry in the place's chain.
    position: int
    #: Name of the file as it was received.
    name: str
    #: SHA-256 of the file as it was received.
    sha256: str
    #: How it is read.
    form: LoggerForm
    #: Readings that are used [-].
    readings: int
    #: Rows without a reading [-].
    without_reading: int
    #: Readings that no place has, the codes of a broken sensor [-].
    impossible: int
    #: First reading (UTC).
    first: datetime
    #: Last reading (UTC).
    last: datetime
    #: Who took it in.
    person: str
    #: When it was taken in.
    done: Moment
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """A look at a thermometer that keeps lowest and highest; it is reset then."""

    #: Position of its entry.
    position: int
    #: Lowest since the look before, as typed [°C].
    lowest: Decimal
    #: Highest since the look before, as typed [°C].
    highest: Decimal
    #: When it was looked at.
    done: Moment
    #: Who looked.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None


@dataclass(frozen=True, slots=True)
class StatedEvent:
    """Something that happened to the place, as it was told: a power cut, a move."""

    #: Position of its entry.
    position: int
    #: What happened, in words.
    what: str
    #: From when.
    start: datetime
    #: Until when.
    end: datetime
    #: Which side of the range it led to; None where it is not known.
    direction: Direction | None
    #: When it was told.
    done: Moment
    #: Who told it.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None


Happening = StoredLog | Look | StatedEvent | ExcursionAnswer


@dataclass(frozen=True, slots=True)
class PlaceRecord:
    """All that is recorded of one storage place, in the order of the entries."""

    #: Its subject, such as place:OVEN-7KQ4.
    subject: str
    #: Short name, as people type it.
    name: str
    #: What it is, in words.
    text: str
    #: Its time zone.
    zone: ZoneInfo
    #: Temperature meant [°C]; None where a range is measured, or none is meant.
    temperature: Decimal | None
    #: Allowed on either side of it [°C].
    tolerance: Decimal | None
    #: Range of a place that is measured and not controlled [°C].
    between: Range | None
    #: Longest time that one reading stands for; longer gaps are unknown.
    longest_gap: Age
    #: Whether that time is the usual one, which nobody stated.
    usual_gap: bool
    #: When it was registered.
    registered: Moment
    #: Who registered it.
    person: str
    #: The last entry taken into account.
    head: Head
    #: Everything that was recorded since, by position.
    happenings: Mapping[int, Happening]

    @property
    def code(self) -> str:
        """Return its whole name, such as OVEN-7KQ4."""
        return self.subject.removeprefix(SUBJECT)

    @property
    def meant(self) -> Range | None:
        """Return the range that is meant [°C]; None where none is."""
        if self.between is not None:
            return self.between
        if self.temperature is None:
            return None
        tolerance = self.tolerance or Decimal(0)
        return self.temperature - tolerance, self.temperature + tolerance

    @property
    def gap_hours(self) -> float:
        """Return the longest time that one reading stands for [h]."""
        return self.longest_gap.nominal_days * 24

    def meant_words(self) -> str:
        """Return what is meant there: `40 ± 2 °C`, `15 to 27 °C, not controlled`."""
        if self.between is not None:
            return f"{self.between[0]} to {self.between[1]} °C, not controlled"
        if self.temperature is None:
            return "no temperature meant"
        tolerance = f" ± {self.tolerance}" if self.tolerance is not None else ""
        return f"{self.temperature}{tolerance} °C"

    def logs(self) -> tuple[StoredLog, ...]:
        """Return the files of loggers that stand, by their first reading."""
        found = [one for one in self._standing() if isinstance(one, StoredLog)]
        return tuple(sorted(found, key=lambda one: (one.first, one.position)))

    def looks(self) -> tuple[Look, ...]:
        """Return the looks that stand, in the order in which they were made."""
        found = [one for one in self._standing() if isinstance(one, Look)]
        return tuple(sorted(found, key=lambda one: (self.time_of(one), one.position)))

    def events(self) -> tuple[StatedEvent, ...]:
        """Return the stated events that stand, by their start."""
        found = [one for one in self._standing() if isinstance(one, StatedEvent)]
        return tuple(sorted(found, key=lambda one: (one.start, one.position)))

    def answers(self) -> tuple[ExcursionAnswer, ...]:
        """Return the answers that stand, in the order of the entries."""
        return tuple(
            one for one in self._standing() if isinstance(one, ExcursionAnswer)
        )

    def answer_to(
        self,
        start: datetime,
        end: datetime,
        study: str | None,
        direction: Direction | None = None,
    ) -> ExcursionAnswer | None:
        """Return the last answer to an excursion; None while it is open.

        Parameters
        ----------
        start, end
            Of the excursion.
        study
            The study whose samples stood there; None for none in particular.
        direction
            Which side of the range it was; None where it does not say.
        """
        given = [
            one for one in self.answers() if one.covers(start, end, study, direction)
        ]
        of_study = [one for one in given if one.study is not None]
        return next(reversed(of_study or given), None)

    def time_of(self, look: Look) -> datetime:
        """Return the time of a look in UTC; noon where only its day is known."""
        return time_known(look.done, self.zone)

    def _standing(self) -> tuple[Happening, ...]:
        return tuple(one for one in self.happenings.values() if one.invalidated is None)


def fold_place(entries: Sequence[Entry]) -> PlaceRecord:
    """Return what the entries of one storage place tell together.

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
        raise ValueError("a storage place begins with its registration")
    zone = ZoneInfo(entries[0].content["zone"])
    happenings: dict[int, Happening] = {}
    for entry in entries[1:]:
        if entry.kind == INVALIDATED:
            place = entry.content["refers_to"]
            cause = _invalidation(entry, zone)
            happenings[place] = replace(happenings[place], invalidated=cause)
        elif entry.kind in _READ:
            happenings[entry.position] = _READ[entry.kind](entry, zone)
        else:
            raise ValueError(f"entry {entry.position} is of unknown kind {entry.kind}")
    last = entries[-1]
    head = Head(last.subject, last.position, last.digest)
    return replace(_registered(entries[0], head), happenings=happenings)


def day_ends(moment: Moment, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return when a moment begins and ends in UTC: the same time, or a whole day.

    In UTC, because times of one zone are subtracted and ordered by their clocks, which
    change twice a year.
    """
    if moment.time is not None:
        time = moment.time.astimezone(UTC)
        return time, time
    return midnight(moment.day, zone), midnight(moment.day + timedelta(days=1), zone)


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """Return when a day begins in a zone, in UTC."""
    return datetime(day.year, day.month, day.day, tzinfo=zone).astimezone(UTC)


def time_known(moment: Moment, zone: ZoneInfo) -> datetime:
    """Return a time in UTC; noon where only the day is known."""
    if moment.time is not None:
        return moment.time.astimezone(UTC)
    day = moment.day
    return datetime(day.year, day.month, day.day, 12, tzinfo=zone).astimezone(UTC)


def _registered(entry: Entry, head: Head) -> PlaceRecord:
    held = entry.content
    zone = ZoneInfo(held["zone"])
    between = held["between"]
    return PlaceRecord(
        subject=entry.subject,
        name=held["name"],
        text=held["text"],
        zone=zone,
        temperature=_number(held["temperature"]),
        tolerance=_number(held["tolerance"]),
        between=None if between is None else (Decimal(between[0]), Decimal(between[1])),
        longest_gap=parse_age(held["longest_gap"]) or USUAL_GAP,
        usual_gap=held["usual_gap"],
        registered=_done(entry, zone),
        person=entry.person,
        head=head,
        happenings={},
    )


def _logged(entry: Entry, zone: ZoneInfo) -> StoredLog:
    held = entry.content
    return StoredLog(
        position=entry.position,
        name=held["file"]["name"],
        sha256=held["file"]["sha256"],
        form=form_of(held["form"]),
        readings=held["readings"],
        without_reading=held["without_reading"],
        impossible=held["impossible"],
        first=parse_utc(held["first"]),
        last=parse_utc(held["last"]),
        person=entry.person,
        done=_done(entry, zone),
    )


def _looked(entry: Entry, zone: ZoneInfo) -> Look:
    return Look(
        position=entry.position,
        lowest=Decimal(entry.content["lowest"]),
        highest=Decimal(entry.content["highest"]),
        done=_done(entry, zone),
        person=entry.person,
    )


def _event(entry: Entry, zone: ZoneInfo) -> StatedEvent:
    held = entry.content
    return StatedEvent(
        position=entry.position,
        what=held["what"],
        start=parse_utc(held["start"]),
        end=parse_utc(held["end"]),
        direction=held["direction"],
        done=_done(entry, zone),
        person=entry.person,
    )


def _answer(entry: Entry, zone: ZoneInfo) -> ExcursionAnswer:
    held = entry.content
    sides = held.get("sides")
    return ExcursionAnswer(
        position=entry.position,
        refers_to=held["refers_to"],
        start=parse_utc(held["start"]),
        end=parse_utc(held["end"]),
        sides=None if sides is None else tuple(sides),
        outcome=held["outcome"],
        because=held["because"],
        study=held["study"],
        done=_done(entry, zone),
        person=entry.person,
    )


#: Kind -> what was recorded.
_READ: Final[Mapping[str, Callable[[Entry, ZoneInfo], Happening]]] = {
    LOGGED: _logged,
    LOOKED: _looked,
    EVENT: _event,
    ANSWERED: _answer,
}


def _invalidation(entry: Entry, zone: ZoneInfo) -> Invalidation:
    because = entry.content["because"]
    return Invalidation(entry.position, because, entry.person, _done(entry, zone))


def _done(entry: Entry, zone: ZoneInfo) -> Moment:
    done = parse_moment(entry.done, zone)
    return done or moment_at(parse_utc(entry.entered).astimezone(UTC), zone)


def _number(text: Any) -> Decimal | None:
    return None if text is None else Decimal(text)
