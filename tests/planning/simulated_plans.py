"""Plans simulated: studies drawn as assumed, and evaluated as real ones are.

Nothing of the planned chance takes part: lines, cautions, crossings, months shown and
caps come from the functions that evaluate a study.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

import numpy as np

from stability.model.age import Age
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.estimate import Bound, Drift, NoFit
from stability.model.limit import Band, Limit
from stability.model.prospects import PlanAssumptions, Scatter
from stability.model.protocol import Analysis, Protocol, T0Rule
from stability.model.shelf_life import Bearing, CheckOutcome, ShelfLife
from stability.model.study import AsSold, Batch, Pack, Request, SampleRow, Study
from stability.planning.assumed import Expected, expected_of
from stability.planning.attribute_prospects import Ground, ground_of
from stability.planning.plan_evaluations import evaluation_at
from stability.planning.planned_series import Planned, PlannedSeries, age_of
from stability.statistics.cap import extrapolation_cap
from stability.statistics.drift import fit_drift
from stability.statistics.fitted_estimate import fitted_estimate
from stability.statistics.shelf_life import FEWEST_CHECKS, shelf_life
from stability.statistics.support import (
    last_pass_before_failure,
    months_shown,
    supported_months,
)

ROOM_CHECKS = ("3M", "6M", "9M", "12M", "18M", "24M")
LIMITS = {
    "change": Limit(change=Band(Decimal("-0.5"), Decimal("0.5"))),
    "absolute": Limit(absolute=Band(Decimal("5.0"), Decimal("6.0"))),
    "share": Limit(percent_of_initial=Band(Decimal(80), Decimal(120))),
}


def plan(
    *,
    limit: str = "change",
    batches: int = 3,
    containers: int = 1,
    checks: tuple[str, ...] = ROOM_CHECKS,
    months: int = 24,
    attribute: Attribute | None = None,
    accelerated: bool = True,
    use: str = "fresh per check",
) -> tuple[Study, Protocol]:
    """Return an invented plan with one attribute that is measured."""
    conditions = {
        "ROOM": Condition("ROOM", "long-term", between=(Decimal(15), Decimal(27)),
                          checks=checks),
        "T40": Condition("T40", "accelerated", temperature=Decimal(40),
                         checks=("3M", "6M")),
    }  # fmt: skip
    measured = attribute or Attribute("pH", "measured", unit="pH")
    measured = replace(measured, limit=LIMITS[limit])
    names = tuple("ABCDEF"[:batches])
    rows = [
        SampleRow(names, "T0", kind="bulk"),
        SampleRow(names, use, containers, "JAR", "ROOM"),  # type: ignore[arg-type]
    ]
    if accelerated:
        rows.append(SampleRow(names, "reopened", 1, "JAR", "T40"))
    study = Study(
        product="Invented cream",
        version="1",
        protocol="invented",
        request=Request(months),
        as_sold=AsSold(formula=True, pack=True, scale="500 g"),
        batches={name: Batch(name, date(2026, 3, 2)) for name in names},
        packs={"JAR": Pack("JAR", "50 g jar", fill_g=Decimal(50))},
        samples=tuple(rows),
    )
    protocol = Protocol(
        name="invented",
        title="Invented",
        version="1",
        t0=T0Rule(Age(48, "h"), Age(96, "h")),
        conditions=conditions,
        attributes={measured.name: measured},
        analysis=Analysis(evaluate_at=(checks[-1],) if checks else ()),
    )
    return study, protocol


@dataclass(frozen=True, slots=True)
class Beside:
    """A planned chance beside the simulated one."""

    #: Chance that the request is supported, as planned [-].
    planned: float
    #: The same as simulated [-].
    simulated: float
    #: Simulation error: one standard deviation [-].
    error: float


def beside(
    parts: tuple[Study, Protocol],
    assumptions: PlanAssumptions,
    check: str,
    *,
    runs: int,
    seed: int,
) -> Beside:
    """Return planned and simulated chance of support in the first case of drift."""
    ground = ground_of(*parts, assumptions)
    planned = evaluation_at(ground, check).chances[0].at_most
    assert planned is not None
    rng = np.random.default_rng(seed)
    share = sum(_supported(ground, check, rng) for _ in range(runs)) / runs
    expected = max(planned * (1 - planned), share * (1 - share), 1 / runs)
    return Beside(planned, share, math.sqrt(expected / runs))


def stated(amount: float, *, is_share: bool = False) -> Scatter:
    """Return a scatter that the maker states."""
    return Scatter(amount, is_share=is_share)


def _supported(ground: Ground, check: str, rng: np.random.Generator) -> bool:
    """Draw one study and say whether the evaluation supports the request."""
    (planned,) = ground.planned
    limit = planned.attribute.limit_in(planned.condition)
    expected = expected_of(
        planned.attribute,
        limit,
        ground.assumptions,
        asked=float(ground.asked),
        two_limits=ground.protocol.analysis.two_limits,
    )
    assert isinstance(expected, Expected)
    drawn = {
        one.batch: _draw(one, check, expected, ground, rng) for one in planned.series
    }
    drifts = {
        name: fit_drift(
            one.ages,
            one.means,
            scale=planned.attribute.fit_scale,
            resolution=_step(planned),
            bounds=expected.bounds,
        )
        for name, one in drawn.items()
    }
    life = shelf_life(drifts, expected.bounds, direction=expected.direction)
    assert isinstance(life, ShelfLife)
    bearings = [
        _bearing(ground, life, name, one, drifts[name]) for name, one in drawn.items()
    ]
    return supported_months(bearings).months >= ground.asked


def _step(planned: Planned) -> float | None:
    step = planned.attribute.resolution
    return None if step is None else float(step)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One batch as it was read."""

    #: Ages of the points, T0 first [months].
    ages: tuple[float, ...]
    #: Their values [attribute's unit].
    means: tuple[float, ...]
    #: What came of each container read.
    outcomes: tuple[CheckOutcome, ...]


def _draw(
    series: PlannedSeries,
    check: str,
    expected: Expected,
    ground: Ground,
    rng: np.random.Generator,
) -> _Drawn:
    asked = float(ground.asked)
    product = expected.drifting(ground.assumptions.room_used[0], asked)
    spread = ground.assumptions.batch_spread * expected.room
    start = product.start + rng.normal(0, spread)
    slope = product.slope + rng.normal(0, spread / asked)
    common = math.sqrt(ground.assumptions.day_share)
    own = math.sqrt(1 - ground.assumptions.day_share)
    on_ln = product.scale == "ln"

    def read(age: float, count: int) -> list[float]:
        day = rng.normal(0, product.scatter * common)
        values = start + slope * age + day + rng.normal(0, product.scatter * own, count)
        return [math.exp(v) if on_ln else float(v) for v in values]

    initial = read(0.0, 1)[0]
    ages, means, outcomes = [0.0], [initial], []
    for one in series.up_to(check):
        values = read(age_of(one), series.containers[one])
        ages.append(age_of(one))
        means.append(sum(values) / len(values))
        outcomes += [
            CheckOutcome(one, age_of(one), True, True, _inside(v, initial, expected))  # noqa: FBT003
            for v in values
        ]
    return _Drawn(tuple(ages), tuple(means), tuple(outcomes))


def _inside(value: float, initial: float, expected: Expected) -> bool:
    for bound in expected.bounds:
        least = _as_value(bound, initial)
        if (value < least) if bound.side == "lower" else (value > least):
            return False
    return True


def _as_value(bound: Bound, initial: float) -> float:
    if bound.kind == "absolute":
        return bound.amount
    return initial + bound.amount if bound.kind == "change" else initial * bound.amount


def _bearing(
    ground: Ground,
    life: ShelfLife,
    batch: str,
    drawn: _Drawn,
    drift: Drift | NoFit,
) -> Bearing:
    (planned,) = ground.planned
    shown = months_shown(drawn.outcomes, before_first_failure=True)
    few = len(drawn.ages) < FEWEST_CHECKS
    last = max(drawn.ages)
    cap = extrapolation_cap(
        shown.months,
        evidence="analysed" if isinstance(drift, Drift) else "not analysed",
        accelerated_finished=ground.arms[planned.pack].finished_at is not None
        and last >= 6,
        blocked=few or batch in life.blocked,
    )
    estimate, basis = fitted_estimate(life, batch)
    return Bearing(
        attribute=planned.attribute.name,
        pack=planned.pack,
        batch=batch,
        shown=shown,
        cap=cap,
        estimate=estimate,
        ends_at=last_pass_before_failure(drawn.outcomes),
        basis=basis,
    )
