"""Where samples are kept, and what a failure there means."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from stability.model.age import Age
from stability.model.salt import Salt, salt_words

#: What a condition may be used for. Long-term carries the shelf life; intermediate
#: and accelerated allow or forbid extrapolation; stress gives storage, transport and
#: pack words only; control is for comparison.
Role = Literal["long-term", "intermediate", "accelerated", "stress", "control"]
#: From when the age of its samples counts: from being placed, or, in use, from the
#: first opening, which is when such a sample is placed.
AgeFrom = Literal["placed", "first opening"]
#: What a condition rests on: where the product will be, what another is compared
#: with, a publication that sets it, or trade habit without a better ground.
ConditionReason = Literal["place of use", "comparison", "guideline", "custom"]
#: Which rows of the ICH Q1E table cap the extrapolation.
StorageClass = Literal["room", "refrigerated", "freezer"]


@dataclass(frozen=True, slots=True)
class CycleStep:
    """One step of a cycle: so long at this temperature."""

    #: Temperature meant [°C].
    at: Decimal
    #: Allowed on either side [°C].
    tolerance: Decimal
    #: How long.
    duration: Age


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of a protocol."""

    #: Short name, such as ROOM or T40.
    name: str
    #: What it may be used for.
    role: Role
    #: Temperature meant [°C]; None where it is measured, cycled or not part of it.
    temperature: Decimal | None = None
    #: Allowed on either side of `temperature` [°C].
    tolerance: Decimal | None = None
    #: Range of a place that is measured, not controlled [°C].
    between: tuple[Decimal, Decimal] | None = None
    #: Relative humidity meant [%]; None where it is not part of the condition.
    humidity: Decimal | None = None
    #: Allowed on either side of `humidity` [%].
    humidity_tolerance: Decimal | None = None
    #: Salt whose saturated solution makes the humidity; None where none does.
    humidity_salt: Salt | None = None
    #: Light in words; None in the dark or where it is not part of the condition.
    light: str | None = None
    #: Dose of visible light meant [lx·h]; None where none is declared. What was
    #: reached is measured and logged, never taken from here.
    light_dose_lx_h: Decimal | None = None
    #: Dose of near ultraviolet meant [W·h/m²]; None where none is declared.
    light_dose_uv: Decimal | None = None
    #: Shaking, lying or other handling in words; None where it is not part of it.
    vibration: str | None = None
    #: The condition whose samples stand in the same place, wrapped; None without light.
    dark_twin: str | None = None
    #: Number of cycles; 0 where the condition is not cycled.
    cycles: int = 0
    #: Steps of one cycle, in order.
    steps: tuple[CycleStep, ...] = ()
    #: After which cycles samples are read.
    read_after_cycles: tuple[int, ...] = ()
    #: Condition in which the untreated twins of cycled samples are kept.
    untreated_twin: str | None = None
    #: Checks at which samples are read, such as 4w, 3M; cycles add theirs.
    checks: tuple[str, ...] = ()
    #: From when the age of its samples counts.
    age_from: AgeFrom = "placed"
    #: Why this condition.
    reason: str = ""
    #: What the reason rests on; None where it is not stated.
    reason_kind: ConditionReason | None = None
    #: Why these checks; "" where `reason` says it.
    checks_reason: str = ""
    #: Where it comes from; "common practice" where no source is known.
    source: str = ""
    #: What a reading outside its limit means here.
    if_outside_limit: str = ""
    #: Storage class where the temperature does not tell it.
    storage_class: StorageClass | None = None

    @property
    def all_checks(self) -> tuple[str, ...]:
        """Return checks by age and by cycle, in order."""
        return (*self.checks, *(f"c{cycle}" for cycle in self.read_after_cycles))

    @property
    def hours_per_cycle(self) -> float:
        """Return the length of one whole cycle [h]."""
        return sum(step.duration.nominal_days * 24 for step in self.steps)

    @property
    def temperatures(self) -> tuple[float, float] | None:
        """Return the lowest and highest temperature meant [°C]; None without one."""
        if self.between is not None:
            return float(self.between[0]), float(self.between[1])
        if self.temperature is None:
            return None
        return float(self.temperature), float(self.temperature)

    def words(self) -> str:
        """Return what a sample meets here, and its clock, as a report prints them."""
        parts = []
        if self.temperature is not None:
            tolerance = f" ± {self.tolerance}" if self.tolerance is not None else ""
            parts.append(f"{self.temperature}{tolerance} °C")
        if self.between is not None:
            parts.append(f"{self.between[0]} to {self.between[1]} °C, not controlled")
        if self.humidity is not None:
            tolerance = (
                f" ± {self.humidity_tolerance}"
                if self.humidity_tolerance is not None
                else ""
            )
            parts.append(f"{self.humidity}{tolerance} % RH")
        if self.humidity_salt is not None:
            parts.append(salt_words(self.humidity_salt, self.temperatures))
        if self.steps:
            steps = ", ".join(f"{step.duration} at {step.at} °C" for step in self.steps)
            plural = "s" if self.cycles > 1 else ""
            parts.append(f"{self.cycles} cycle{plural} of {steps}")
        parts += [text for text in (self.light, self._dose(), self.vibration) if text]
        if self.age_from == "first opening":
            parts.append("age counts from first opening")
        return "; ".join(parts)

    def _dose(self) -> str:
        """Return the dose of light meant; "" where none is declared."""
        doses = ((self.light_dose_lx_h, "lx·h"), (self.light_dose_uv, "W·h/m²"))
        meant = [f"{dose} {unit}" for dose, unit in doses if dose is not None]
        return f"dose meant: {' and '.join(meant)}" if meant else ""


def storage_class_of(condition: Condition) -> StorageClass | None:
    """Return the storage class, stated or told by the temperature.

    15 °C and above is room, 2 to 8 °C refrigerated, -15 °C and below freezer;
    None where the temperature tells nothing and nothing is stated.
    """
    if condition.storage_class is not None:
        return condition.storage_class
    if condition.between is not None:
        low, high = condition.between
    elif condition.temperature is not None:
        low = high = condition.temperature
    else:
        return None
    if low >= 15:
        return "room"
    if low >= 2 and high <= 8:
        return "refrigerated"
    return "freezer" if high <= -15 else None
