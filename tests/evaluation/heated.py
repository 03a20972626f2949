"""Studies in heat, made in code: a kinetic attribute at several temperatures."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

from stability.evaluation.ageing_findings import AgeingFindings
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.limit import Limit
from stability.model.protocol import Protocol
from stability.model.study import StructuralLimit
from tests.evaluation.builders import PLACED, Bench, band, bulk, protocol, sample, study

#: Weeks at which every condition is read.
WEEKS = (4, 8, 12, 24)
#: (condition, attribute, weeks) -> reading as typed; None where it is not read.
Value = Callable[[str, str, int], str | None]


def condition(name: str, role: str, celsius: str | None, **more: Any) -> Condition:
    """Return a condition that is read every time."""
    checks = more.pop("checks", tuple(f"{week}w" for week in WEEKS))
    temperature = None if celsius is None else Decimal(celsius)
    return Condition(name, role, temperature=temperature, checks=checks, **more)  # type: ignore[arg-type]  # a role, as typed


ROOM = condition("ROOM", "long-term", "25")
T40 = condition("T40", "accelerated", "40")
T50 = condition("T50", "stress", "50")
SHELF = condition("ROOM", "long-term", None, between=(Decimal(15), Decimal(27)))
T45 = condition("T45", "stress", "45")

ACTIVE = Attribute(
    "active",
    "measured",
    unit="%",
    resolution=Decimal("0.0001"),
    kinetic=True,
    limit=Limit(absolute=band("1.0"), reason_kind="active or preservative"),
)
ODOUR = replace(protocol().attributes["odour"], observers=1, compared_with=None)
WAX = StructuralLimit(Decimal(60), "the wax melts")


def planned(
    conditions: Sequence[Condition], attributes: Sequence[Attribute]
) -> Protocol:
    """Return a protocol of some conditions and attributes."""
    return protocol(
        conditions={one.name: one for one in conditions},
        attributes={one.name: one for one in attributes},
    )


def decaying(energy: float = 83.0, rate: float = 0.02, start: float = 5.0) -> Value:
    """Return an active that is lost at a rate a month at 25 °C, by Arrhenius.

    Written without our own functions: R 8.314462618 J/(mol K), 0 °C 273.15 K.
    """
    celsius = {"ROOM": 25.0, "T40": 40.0, "T50": 50.0, "T45": 45.0, "COLD": 5.0}

    def value(place: str, _attribute: str, weeks: int) -> str:
        kelvin = celsius.get(place, 25.0) + 273.15
        ratio = math.exp(energy * 1000 / 8.314462618 * (1 / 298.15 - 1 / kelvin))
        return f"{start - rate * ratio * weeks * 7 / 30.4375:.4f}"

    return value


def heated(
    conditions: Sequence[Condition] = (ROOM, T40, T50),
    value: Value | None = None,
    *,
    attributes: Sequence[Attribute] = (ACTIVE,),
    batches: Sequence[str] = ("A",),
    limit: StructuralLimit | None = WAX,
    changes: Mapping[str, Any] | None = None,
) -> Bench:
    """Return a study in which every condition was read on every date."""
    read = value or decaying()
    made = Bench(
        [bulk(batch) for batch in batches]
        + [
            sample(
                f"HDC-{one.name}-{batch}",
                one.name,
                batch=batch,
                checks=one.all_checks,
                **(changes or {}),
            )
            for one in conditions
            for batch in batches
        ],
        protocol=planned(conditions, attributes),
        study=study(batches, structural_limit=limit),
    )
    for batch in batches:
        for attribute in attributes:
            typed = read("T0", attribute.name, 0)
            if typed is not None and attribute.kind == "measured":
                made.read(
                    f"BULK-{batch}", attribute.name, "T0", typed, done="2025-01-09"
                )
        for one in conditions:
            made.place(f"HDC-{one.name}-{batch}", one.name)
    for week in WEEKS:
        for one in conditions:
            if f"{week}w" in one.checks:
                _read(made, read, one.name, week, batches)
    return made


def _read(
    made: Bench, read: Value, place: str, week: int, batches: Sequence[str]
) -> None:
    day = (PLACED + timedelta(weeks=week)).isoformat()
    for batch in batches:
        for name in made.protocol.attributes:
            typed = read(place, name, week)
            if typed is not None:
                made.read(f"HDC-{place}-{batch}", name, f"{week}w", typed, done=day)


def found(made: Bench, as_of: str = "2025-12-31") -> AgeingFindings:
    """Return what is said of heat in a study."""
    ageing = made.evaluate(as_of).ageing
    assert ageing is not None
    return ageing
