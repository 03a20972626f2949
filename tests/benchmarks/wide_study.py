"""A study as wide as any: 12 batches in 6 packs under 8 conditions, every number made.

10 attributes at 12 checks of 576 samples: 69,120 readings. Some rise out of their
limits in heat, so that a report has findings to tell of.
"""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal

from stability.model.attribute import Attribute
from stability.model.condition import Condition, Role
from stability.model.limit import Limit
from stability.model.study import Pack
from stability.model.study_record import StudyRecord
from tests.evaluation.builders import PLACED, Bench, band, bulk, protocol, sample, study

ROLES: tuple[Role, ...] = (
    "long-term",
    "long-term",
    "intermediate",
    "accelerated",
    "accelerated",
    "stress",
    "control",
    "stress",
)
#: One check a month.
DAYS = range(28, 28 * 13, 28)
#: What an attribute gains a month where it leaves its limit in the end.
RISE = 0.2


def wide_study(
    batches: int = 12,
    packs: int = 6,
    conditions: int = 8,
    attributes: int = 10,
    *,
    made: int = len(DAYS),
) -> StudyRecord:
    """Return the record of a wide study.

    Parameters
    ----------
    batches, packs, conditions, attributes
        How many there are of each. [-]
    made
        How many checks are made. [-]
    """
    checks = tuple(f"{days // 7}w" for days in DAYS)
    places = {
        f"C{at}": Condition(f"C{at}", role, temperature=Decimal(25), checks=checks)
        for at, role in enumerate(ROLES[:conditions])
    }
    names = [f"attribute {at}" for at in range(attributes)]
    limit = Limit(absolute=band("4", "6"))
    read = {
        name: Attribute(name, "measured", resolution=Decimal("0.01"), limit=limit)
        for name in names
    }
    lots = [f"B{at:02}" for at in range(batches)]
    kept = [f"PACK{at}" for at in range(packs)]
    jars = [
        sample(f"{batch}-{pack}-{name}", name, batch=batch, pack=pack, checks=checks)
        for batch in lots
        for pack in kept
        for name in places
    ]
    told = study(lots, packs={one: Pack(one, f"pack {one}") for one in kept})
    bench = Bench(
        [*map(bulk, lots), *jars],
        protocol=protocol(conditions=places, attributes=read),
        study=told,
    )
    for batch in lots:
        for name in names:
            bench.read(f"BULK-{batch}", name, "T0", "5.00", done="2025-01-09")
    for jar in jars:
        bench.place(jar.code, jar.condition or "")
    scatter = random.Random(1)  # noqa: S311 - readings, no secret
    for days, check in list(zip(DAYS, checks, strict=True))[:made]:
        done = (PLACED + timedelta(days=days)).isoformat()
        for jar in jars:
            for at, name in enumerate(names):
                rises = at == 0 and jar.batch == lots[-1] and jar.condition == "C5"
                drift = RISE * days / 28 if rises else -0.0005 * days
                value = 5 + drift + scatter.gauss(0, 0.02)
                bench.read(jar.code, name, check, f"{value:.2f}", done=done)
    return bench.record()
