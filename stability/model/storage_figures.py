"""What a storage record says: shares, excursions, mean kinetic temperature, light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class NoFigures:
    """A storage record from which no figures can be worked out."""

    #: Short fixed name of the reason, such as "backwards".
    code: str
    #: The reason in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class Excursion:
    """A stretch of time outside the range that was meant."""

    #: Which side of the range.
    direction: Literal["hotter", "colder"]
    #: Start, from the start of the record [h].
    start_hours: float
    #: End, from the start of the record [h].
    end_hours: float
    #: Furthest reading [°C].
    peak_c: float
    #: True where the record stops or has a gap before the end was seen.
    end_unknown: bool

    @property
    def duration_hours(self) -> float:
        """Return the time outside that was seen [h]."""
        return self.end_hours - self.start_hours


@dataclass(frozen=True, slots=True)
class LoggerFigures:
    """Figures of a logger, weighted by the time that each reading stands for."""

    #: Readings [-].
    readings: int
    #: Time covered by readings [h].
    known_hours: float
    #: Time in gaps longer than allowed: unknown, not good [h].
    unknown_hours: float
    #: Share of the known time within range [-]; None without known time.
    within_share: float | None
    #: Lowest reading [°C].
    lowest_c: float
    #: Highest reading [°C].
    highest_c: float
    #: Mean over the known time [°C]; None without known time.
    mean_c: float | None
    #: Mean kinetic temperature [°C]; None where it is not stated.
    mean_kinetic_c: float | None
    #: Why the mean kinetic temperature is not stated; "" where it is.
    not_stated: str
    #: Stretches outside the range, in order.
    excursions: tuple[Excursion, ...]
    #: The figures in one sentence.
    text: str

    @property
    def unknown_share(self) -> float:
        """Return the share of the time that is unknown [-]."""
        whole = self.known_hours + self.unknown_hours
        return self.unknown_hours / whole if whole > 0 else 0.0


@dataclass(frozen=True, slots=True)
class MinMaxFigures:
    """What a thermometer that keeps lowest and highest can say: no mean."""

    #: Looks [-].
    looks: int
    #: Lowest value kept [°C].
    lowest_c: float
    #: Highest value kept [°C].
    highest_c: float
    #: True where it was never outside.
    never_outside: bool
    #: Days of the looks that showed it outside since the look before [d].
    outside_at_days: tuple[float, ...]
    #: The finding in one sentence.
    text: str


@dataclass(frozen=True, slots=True)
class LightDose:
    """Light beside the dose of ICH Q1B, from measured values only."""

    #: Visible light [lx·h]; None where it was not measured.
    lux_hours: float | None
    #: Near ultraviolet [W·h/m²]; None where it was not measured.
    ultraviolet: float | None
    #: Share of 1.2 million lx·h [-]; None where it was not measured.
    share_of_visible: float | None
    #: Share of 200 W·h/m² [-]; None where it was not measured.
    share_of_ultraviolet: float | None
    #: True where both doses were measured and reached.
    reached: bool
    #: The dose in one sentence; names Q1B only with a measured dose.
    text: str
