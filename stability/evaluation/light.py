"""The dose of light that samples met, from what was measured beside them only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from stability.model.judgement import mean_reading
from stability.model.observation import Observation
from stability.model.storage_figures import LightDose
from stability.model.study_record import StudyRecord
from stability.statistics.surroundings import light_dose

#: Unit of an attribute that tells a dose of visible light.
VISIBLE_UNIT: Final = "lx·h"
#: Unit of one that tells a dose of near ultraviolet.
ULTRAVIOLET_UNIT: Final = "W·h/m²"


@dataclass(frozen=True, slots=True)
class LightMet:
    """The dose of light under one condition, beside that of ICH Q1B."""

    #: The condition.
    condition: str
    #: Samples of which a dose was read [-].
    samples: int
    #: The least dose that one of them met by its last reading.
    dose: LightDose

    @property
    def text(self) -> str:
        """Return it in words, with what the guideline asks for."""
        of = "" if self.samples == 1 else f", the least of {self.samples} samples"
        asked = "reached" if self.dose.reached else "not reached"
        return (
            f"Light under {self.condition}{of}: {self.dose.text} The dose of that "
            f"guideline for medicines, 1.2 million lx·h and 200 W·h/m², is {asked}."
        )


def light_met(record: StudyRecord) -> tuple[LightMet, ...]:
    """Return the doses that were measured, condition by condition.

    A dose is what a light meter beside the samples told, logged as an attribute in
    lx·h or W·h/m² since placing; one that a protocol only means counts for nothing.
    Of several samples the least dose counts, each by its last reading.
    """
    units = {name: one.unit for name, one in record.protocol.attributes.items()}
    doses = [
        one
        for one in record.observations
        if one.stands and units.get(one.attribute) in {VISIBLE_UNIT, ULTRAVIOLET_UNIT}
    ]
    found = []
    for condition in record.protocol.conditions:
        here = [
            one for one in doses if record.samples[one.sample].condition == condition
        ]
        visible = _last_doses(units, here, VISIBLE_UNIT)
        near = _last_doses(units, here, ULTRAVIOLET_UNIT)
        if visible or near:
            dose = light_dose(
                visible=min(visible.values(), default=None),
                ultraviolet=min(near.values(), default=None),
            )
            found.append(LightMet(condition, len({*visible, *near}), dose))
    return tuple(found)


def _last_doses(
    units: Mapping[str, str], observations: Iterable[Observation], unit: str
) -> dict[str, float]:
    """Return sample -> the dose by its last reading; `<` and `>` tell none."""
    found: dict[str, float] = {}
    for one in sorted(observations, key=lambda one: (one.done, one.position)):
        told = units[one.attribute] == unit
        value = mean_reading(one.readings) if told else None
        if value is not None:
            found[one.sample] = float(value)
    return found
