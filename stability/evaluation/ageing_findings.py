"""What heat says beside real time: rules of thumb and Arrhenius, never evidence.

Nothing here enters the months shown, the estimate, the cap or the request.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.evaluation.series import SeriesKey
from stability.model.ageing import ArrheniusFit
from stability.model.condition import Role
from stability.model.estimate import Caution, NoFit, Scale
from stability.model.study import StructuralLimit

#: What became of the time spent in one hot condition.
HeatOutcome = Literal[
    "translated",
    "outside there",
    "structure gives way",
    "water loss",
    "no temperature",
    "not hotter",
    "not read",
    "not decided",
]


@dataclass(frozen=True, slots=True)
class StorageReference:
    """The temperature of long-term storage against which heat is held."""

    #: Long-term condition.
    condition: str
    #: Temperature taken [°C].
    celsius: float
    #: Lowest temperature that the condition may have [°C].
    lowest: float
    #: Highest temperature that the condition may have [°C].
    highest: float
    #: The temperature with where it comes from.
    text: str
    #: Whether it was measured there, as a mean kinetic temperature.
    measured: bool = False


@dataclass(frozen=True, slots=True)
class HeatTranslation:
    """Time in the heat by one rule of thumb."""

    #: Factor of a rate for 10 °C [-].
    q10: float
    #: Factor of ageing at the temperature taken for storage [-].
    factor: float
    #: Time in storage that it may stand for [d].
    days: float
    #: The same were the storage as warm as it may be [d].
    lowest_days: float
    #: The same were the storage as cool as it may be [d].
    highest_days: float


@dataclass(frozen=True, slots=True)
class HeatFinding:
    """Attributes in one hot condition, and what their time there may stand for."""

    #: Condition.
    condition: str
    #: Its role.
    role: Role
    #: Its temperature [°C]; None where it has none.
    celsius: float | None
    #: What it is held against.
    against: StorageReference
    #: Attributes that bear the request of which this is said; empty: of all.
    attributes: tuple[str, ...]
    #: What became of it.
    outcome: HeatOutcome
    #: Longest check at which they were inside in every batch and pack; None without.
    check: str | None
    #: Time spent there up to that check, in the batch that was there for least [d].
    days: float | None
    #: One for each rule of thumb; empty where nothing is translated.
    translations: tuple[HeatTranslation, ...]
    #: Why nothing is translated, or what must stand beside it; "" where nothing.
    text: str


@dataclass(frozen=True, slots=True)
class KineticFinding:
    """An Arrhenius fit of one kinetic attribute of one batch; always supportive."""

    #: Attribute, pack, batch and fixed settings; `condition` is that of storage.
    key: SeriesKey
    #: Unit of the readings.
    unit: str
    #: Scale on which each temperature's drift is straight.
    scale: Scale
    #: The storage to which the rate is carried.
    against: StorageReference
    #: Conditions that took part, with their temperature [°C].
    conditions: tuple[tuple[str, float], ...]
    #: Conditions that did not, each with the reason.
    left_out: tuple[tuple[str, str], ...]
    #: The fit, or why there is none.
    result: ArrheniusFit | NoFit
    #: Cautions of the single series and of what was read.
    cautions: tuple[Caution, ...]
    #: The result in words, with units and intervals.
    text: str


@dataclass(frozen=True, slots=True)
class AgeingFindings:
    """Heat beside real time, for the whole study."""

    #: Long-term storage against which heat is held; empty where no temperature is
    #: known.
    references: tuple[StorageReference, ...]
    #: From where on heat is another process; None where it is not declared.
    structural_limit: StructuralLimit | None
    #: Rules of thumb, condition by condition.
    heat: tuple[HeatFinding, ...]
    #: Why there is none; "" where there is one.
    no_heat: str
    #: Arrhenius fits, attribute by attribute.
    kinetics: tuple[KineticFinding, ...]
    #: Why there is none; "" where there is one.
    no_kinetics: str
    #: What must stand beside all of it.
    cautions: tuple[Caution, ...]
