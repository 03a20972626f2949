"""Cautions for the bench, by what is due there. Common practice."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from stability.model.condition import Condition
from stability.model.protocol import Protocol
from stability.model.study import Sample

NOT_ON_SKIN: Final = (
    "No aged, failed or opened test sample goes onto skin; nobody uses the product "
    "before its safety assessment."
)
STAYS_CLOSED: Final = (
    "A mouldy, gassing or swollen sample stays closed: photograph it through the "
    "glass, record it, discard it closed. Do not smell it."
)
AT_ROOM: Final = (
    "Weigh before opening. Read after the sample is back at room temperature, unless "
    "the protocol says otherwise; condensation under a lid is no separation."
)
THAW: Final = (
    "Frozen packs may crack: stand them in a tray, wear gloves at the thaw, and read "
    "after the last thaw only."
)
HEAT: Final = (
    "Closed packs in heat can leak or burst; let them cool before they are opened."
)
CENTRIFUGE: Final = (
    "Centrifuge: balance the tubes, use no glass bottles, wait for the stop; note the "
    "rotor radius, without it rpm means nothing."
)
LABORATORY: Final = (
    "Product for the laboratory is taken after weighing, before anything else touches "
    "it."
)
#: From here on a condition counts as hot [°C]. Common practice.
_HOT: Final = 40


def cautions_for(
    protocol: Protocol, samples: Collection[Sample], *, laboratory: bool
) -> tuple[str, ...]:
    """Return the cautions that apply to samples that are read.

    Parameters
    ----------
    protocol
        The study's.
    samples
        Those that are read.
    laboratory
        Whether product goes to a laboratory.
    """
    conditions = [
        protocol.conditions[one.condition] for one in samples if one.condition
    ]
    found = [NOT_ON_SKIN, STAYS_CLOSED, AT_ROOM]
    if laboratory:
        found.append(LABORATORY)
    if any(map(_freezes, conditions)):
        found.append(THAW)
    if any(
        one.temperature is not None and one.temperature >= _HOT for one in conditions
    ):
        found.append(HEAT)
    if any(one.kind == "tube" for one in samples):
        found.append(CENTRIFUGE)
    return (*found, *protocol.cautions)


def _freezes(condition: Condition) -> bool:
    temperatures = [step.at for step in condition.steps]
    if condition.temperature is not None:
        temperatures.append(condition.temperature)
    return any(one < 0 for one in temperatures)
