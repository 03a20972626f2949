"""What storage places did while samples stood there: figures, excursions, answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal
from zoneinfo import ZoneInfo

from stability.model.entry import Head
from stability.model.excursion_answer import Direction, ExcursionAnswer
from stability.model.place import Range
from stability.model.storage_figures import MinMaxFigures

_UTC: Final = ZoneInfo("UTC")
#: Where an excursion is known from.
KnownFrom = Literal["logger", "look", "stated event"]


@dataclass(frozen=True, slots=True)
class StorageExcursion:
    """Time that a place spent outside what was meant."""

    #: Short name of the place.
    place: str
    #: Position of the entry that shows it, in the place's chain.
    position: int
    #: Where it is known from.
    known_from: KnownFrom
    #: Which side of the range; None for a stated event that does not say.
    direction: Direction | None
    #: From when; for a look the look before it, since when it may have been.
    start: datetime
    #: Until when.
    end: datetime
    #: Time outside [h]; None for a look, which does not tell it.
    hours: float | None
    #: Furthest reading [°C]; None for a stated event.
    peak_c: float | None
    #: Whether the record stops or has a gap before the end was seen.
    end_unknown: bool
    #: What was stated of that time, such as a power cut; () where nothing was.
    stated: tuple[str, ...]
    #: What was decided about the samples; None while it is open.
    answer: ExcursionAnswer | None

    @property
    def is_open(self) -> bool:
        """Say whether nobody has answered it."""
        return self.answer is None

    @property
    def text(self) -> str:
        """Return it in words: `9 h colder than meant, down to 21.4 °C`."""
        return f"{self.lead}{self._furthest()}{self._stated()}"

    @property
    def lead(self) -> str:
        """Return how long and which side: `9 h colder than meant`."""
        side = f"{self.direction} than meant" if self.direction else "out of order"
        if self.hours is None:
            return f"{side} for an unknown time"
        at_least = "at least " if self.end_unknown else ""
        return f"{at_least}{hours_text(self.hours)} {side}"

    @property
    def answer_text(self) -> str:
        """Return the answer with its reason, or that there is none."""
        if self.answer is None:
            return "no answer yet"
        return f"{self.answer.outcome}: {self.answer.because}"

    def _furthest(self) -> str:
        if self.peak_c is None:
            return ""
        way = "up to" if self.direction == "hotter" else "down to"
        return f", {way} {self.peak_c:.1f} °C"

    def _stated(self) -> str:
        return f" ({'; '.join(self.stated)})" if self.stated else ""


@dataclass(frozen=True, slots=True)
class PlaceFigures:
    """Figures of a place, or of a condition, over one period."""

    #: From when.
    start: datetime
    #: Until when.
    end: datetime
    #: Length of the period [h]; less than from start to end where samples were away.
    hours: float
    #: Time that the readings of loggers cover [h].
    known_hours: float
    #: Share of the known time within the range [-]; None without either.
    within_share: float | None
    #: Time hotter than meant, of the known time [h].
    hotter_hours: float
    #: Time colder than meant, of the known time [h].
    colder_hours: float
    #: Lowest reading of a logger [°C]; None without one.
    lowest_c: float | None
    #: Highest reading of a logger [°C]; None without one.
    highest_c: float | None
    #: Mean over the known time [°C]; None without it.
    mean_c: float | None
    #: Mean kinetic temperature [°C]; None where it is not stated.
    mean_kinetic_c: float | None
    #: Why the mean kinetic temperature is not stated; "" where it is.
    not_stated: str
    #: Mean relative humidity of the loggers' readings [%]; None without any.
    humidity: float | None

    @property
    def unknown_hours(self) -> float:
        """Return the time that no logger covers [h]."""
        return max(self.hours - self.known_hours, 0.0)

    @property
    def unknown_share(self) -> float:
        """Return the share of the time that no logger covers [-]."""
        return self.unknown_hours / self.hours if self.hours > 0 else 0.0

    def lines(self) -> list[str]:
        """Return the figures, one a line."""
        if self.known_hours <= 0:
            return [f"no reading of a logger in {hours_text(self.hours)}"]
        lines = []
        if self.within_share is not None:
            lines.append(
                f"{percent_text(self.within_share)} of the known time within range"
            )
        lines.append(
            f"{self.lowest_c:.1f} to {self.highest_c:.1f} °C, mean {self.mean_c:.1f} °C"
        )
        if self.mean_kinetic_c is not None:
            lines.append(f"mean kinetic temperature {self.mean_kinetic_c:.1f} °C")
        else:
            lines.append(f"mean kinetic temperature not stated: {self.not_stated}")
        if self.humidity is not None:
            lines.append(f"mean humidity {self.humidity:.0f} % RH")
        unknown = f"{hours_text(self.unknown_hours)} of {hours_text(self.hours)}"
        lines.append(f"unknown: {unknown}" if self.unknown_hours >= 0.05 else "")
        return [line for line in lines if line]


@dataclass(frozen=True, slots=True)
class Stay:
    """Time that one sample stood in one place."""

    #: Sample code.
    sample: str
    #: Condition that it was placed in.
    condition: str
    #: Short name of the place; "" where none is named.
    place: str
    #: From when.
    start: datetime
    #: Until when; the end of the as-of day while it stands there.
    end: datetime
    #: Whether it stands there still.
    lasts: bool
    #: What the place did meanwhile; None without a record of it.
    figures: PlaceFigures | None
    #: Excursions meanwhile, by their start; hours are those of this stay.
    excursions: tuple[StorageExcursion, ...]

    @property
    def hours(self) -> float:
        """Return its length [h]."""
        return (self.end - self.start).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class ConditionStorage:
    """What one condition was, over all samples that stood there."""

    #: Condition.
    condition: str
    #: Short names of its places, in order of use; () where none is named.
    places: tuple[str, ...]
    #: What was meant, in words.
    meant_text: str
    #: What was meant [°C]; None where no temperature is part of it.
    meant: Range | None
    #: Samples that stood there [-].
    samples: int
    #: Figures of loggers; None where no place of it has any record.
    figures: PlaceFigures | None
    #: Figures of thermometers that keep lowest and highest; None without a look.
    looks: MinMaxFigures | None
    #: Excursions meanwhile, by their start.
    excursions: tuple[StorageExcursion, ...]
    #: What keeps the record from being whole, each in a sentence.
    cautions: tuple[str, ...]

    @property
    def open_excursions(self) -> tuple[StorageExcursion, ...]:
        """Return the excursions without an answer."""
        return tuple(one for one in self.excursions if one.is_open)


@dataclass(frozen=True, slots=True)
class PlaceUsed:
    """A storage place that the study names, with where its record stood."""

    #: Whole name, such as OVEN-7KQ4.
    code: str
    #: Short name.
    name: str
    #: What it is, in words.
    text: str
    #: What it is registered for, in words.
    meant_text: str
    #: Where its record stood.
    head: Head


@dataclass(frozen=True, slots=True)
class Envelope:
    """Readings of a condition, thinned so that no extreme is lost."""

    #: Condition.
    condition: str
    #: Middle of each stretch.
    times: tuple[datetime, ...]
    #: Lowest reading of each stretch [°C].
    lowest: tuple[float, ...]
    #: Highest reading of each stretch [°C].
    highest: tuple[float, ...]
    #: Places in which a stretch without a reading follows.
    breaks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Storage:
    """The storage chapter of a study."""

    #: Conditions in which samples stood, in the protocol's order.
    conditions: tuple[ConditionStorage, ...] = ()
    #: Stays of all samples, by sample and start.
    stays: tuple[Stay, ...] = ()
    #: Places that the study names, by their names.
    places: tuple[PlaceUsed, ...] = ()
    #: Readings to be drawn, condition by condition.
    envelopes: tuple[Envelope, ...] = ()
    #: The study's time zone, in which times are told.
    zone: ZoneInfo = _UTC
    #: Sample -> excursions that it met; worked out once.
    _met: Mapping[str, tuple[StorageExcursion, ...]] = field(
        init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """Look up once what each sample met."""
        met: dict[str, tuple[StorageExcursion, ...]] = {}
        for one in self.stays:
            if one.excursions:
                met[one.sample] = (*met.get(one.sample, ()), *one.excursions)
        object.__setattr__(self, "_met", met)

    @property
    def excursions(self) -> tuple[StorageExcursion, ...]:
        """Return every excursion once, by its start."""
        found = {
            (one.place, one.position, one.start, one.direction): one
            for condition in reversed(self.conditions)
            for one in condition.excursions
        }
        return tuple(sorted(found.values(), key=lambda one: (one.start, one.place)))

    @property
    def is_recorded(self) -> bool:
        """Say whether anything is recorded of a place of this study."""
        return any(
            one.figures is not None or one.looks is not None or one.excursions
            for one in self.conditions
        )

    def met_by(self, sample: str) -> tuple[StorageExcursion, ...]:
        """Return the excursions that one sample met, by their start."""
        return self._met.get(sample, ())

    def of(self, condition: str) -> ConditionStorage | None:
        """Return what one condition was; None where no sample stood there."""
        return next(
            (one for one in self.conditions if one.condition == condition), None
        )


#: A study whose storage nobody looked at.
NOT_LOOKED_AT = Storage()


def hours_text(hours: float) -> str:
    """Return a length of time: minutes, hours, from five days on days.

    Examples
    --------
    >>> hours_text(0.5), hours_text(9.0), hours_text(2016.0)
    ('30 min', '9 h', '84 d')
    """
    if hours < 1:
        return f"{hours * 60:.0f} min"
    if hours < 120:
        return f"{hours:.1f}".removesuffix(".0") + " h"
    return f"{hours / 24:.1f}".removesuffix(".0") + " d"


def percent_text(share: float) -> str:
    """Return a share so that what is not whole never looks whole.

    Examples
    --------
    >>> percent_text(1.0), percent_text(0.99999), percent_text(0.943)
    ('100 %', '>99.9 %', '94.3 %')
    """
    if share >= 1:
        return "100 %"
    if share > 0.999:
        return ">99.9 %"
    return f"{100 * share:.1f} %"
