"""What the statistics promise, each as a simulation with a fixed seed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from stability.model.estimate import Bound, OutOfTrend
from stability.model.shelf_life import ShelfLife
from stability.model.simulated import Simulated
from stability.statistics.drift import fit_drift
from stability.statistics.line import closed_line
from stability.statistics.out_of_trend import out_of_trend
from stability.statistics.shelf_life import shelf_life
from stability.statistics.simulation import (
    SCHEDULES,
    START,
    Event,
    Readings,
    batch_by_batch_overstates,
    life_of_line,
    measure,
)

#: Share of studies that may overstate [-].
PROMISED = 0.05
#: Slopes of batches that hardly differ [unit per month].
SLIGHT = (-0.020, -0.021, -0.022)

Theme = Callable[[int, int], Iterator[Simulated]]


def batch_by_batch(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate the default estimate over batches, slopes, scatters and checks.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        One for each case.
    """
    cases = product(
        (1, 2, 3, 6), ("equal", "slight", "clear"), ("equal", "unequal"), SCHEDULES
    )
    for k, slopes, scatters, checks in cases:
        if k == 1 and (slopes, scatters) != ("equal", "equal"):
            continue
        batches = [
            Readings(
                slope=-0.02
                - {"equal": 0.0, "slight": 0.001, "clear": 0.01}[slopes] * i,
                scatter=0.03 * (2.0 if scatters == "unequal" and i % 2 else 1.0),
                ages=SCHEDULES[checks],
            )
            for i in range(k)
        ]
        yield measure(
            f"batch by batch, {k} batches, {slopes} slopes, {scatters} scatter, "
            f"{checks} checks: overstated",
            PROMISED,
            batch_by_batch_overstates(batches),
            runs=runs,
            seed=seed,
        )


def relative_limits(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate limits relative to initial, inside the fit and divided by T0.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        One for each case.
    """
    for bound in (Bound("change", "lower", -0.5), Bound("share", "lower", 0.9)):
        for checks in (5, 7, 9):
            batch = Readings(ages=SCHEDULES[checks])
            yield measure(
                f"{bound.kind} of initial inside the fit, {checks} checks: overstated",
                PROMISED,
                batch_by_batch_overstates([batch], bound=bound),
                runs=runs,
                seed=seed,
            )
            yield measure(
                f"{bound.kind} of initial worked out from T0, {checks} checks: "
                "overstated (not used)",
                None,
                _from_t0_overstates(batch, bound),
                runs=runs,
                seed=seed,
            )


def _from_t0_overstates(batch: Readings, bound: Bound) -> Event:
    worst = batch.true_life(bound)

    def overstates(rng: np.random.Generator) -> bool:
        values = batch.draw(rng)
        if bound.kind == "share":
            values = [value / values[0] for value in values]
        else:
            values = [value - values[0] for value in values]
        absolute = Bound("absolute", bound.side, bound.amount)
        life = life_of_line(closed_line(batch.ages, values), absolute)
        return life is not None and life > worst

    return overstates


def day_effects(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate readings that share an error of the day.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        Containers averaged to the check, and as points of their own.
    """
    for day in (0.015, 0.03):
        for containers in (2, 3):
            name = f"day error {day}, {containers} containers"
            yield measure(
                f"{name}, averaged by check: overstated",
                PROMISED,
                _day_overstates(day, containers, as_points=False),
                runs=runs,
                seed=seed,
            )
            yield measure(
                f"{name}, as points of their own: overstated (not used)",
                None,
                _day_overstates(day, containers, as_points=True),
                runs=runs,
                seed=seed,
            )


def _day_overstates(day: float, containers: int, *, as_points: bool) -> Event:
    batch = Readings()
    worst = batch.true_life()

    def overstates(rng: np.random.Generator) -> bool:
        shared = rng.normal(0.0, day, len(batch.ages)).tolist()
        jars = np.array([batch.draw(rng, shared) for _ in range(containers)])
        if as_points:
            line = closed_line(list(batch.ages) * containers, jars.ravel().tolist())
        else:
            line = closed_line(batch.ages, jars.mean(axis=0).tolist())
        life = life_of_line(line)
        return life is not None and life > worst

    return overstates


def reopened_containers(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate one reopened container taken for the product.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        Against its own true line, and against that of the product.
    """
    for level, slope in ((0.02, 0.001), (0.03, 0.002)):
        name = f"reopened container, levels differ by {level}, slopes by {slope}"
        for own, taken_for in ((True, "itself"), (False, "the product (not used)")):
            yield measure(
                f"{name}, taken for {taken_for}: overstated",
                PROMISED if own else None,
                _reopened_overstates(level, slope, own=own),
                runs=runs,
                seed=seed,
            )


def _reopened_overstates(level: float, slope: float, *, own: bool) -> Event:
    product_life = Readings().true_life()

    def overstates(rng: np.random.Generator) -> bool:
        jar = Readings(
            start=START + rng.normal(0.0, level), slope=-0.02 + rng.normal(0.0, slope)
        )
        life = life_of_line(closed_line(jar.ages, jar.draw(rng)))
        worst = jar.true_life() if own else product_life
        return life is not None and life > worst

    return overstates


def rounding(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate coarse readings; the worst over lives is reported.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        With the floor of half a step, and of a step / √12.
    """
    step = 0.1
    for floor, name, nominal in (
        (step / 2, "floor of half a step", 0.054),
        (step / math.sqrt(12), "floor of a step / √12 (not used)", None),
        (0.0, "no floor (not used)", None),
    ):
        cases = [
            measure(
                f"rounded to {step}, 5 steps of room, {name}, worst life: overstated",
                nominal,
                _rounded_overstates(
                    Readings(slope=-5 * step / life, scatter=scatter, step=step), floor
                ),
                runs=runs,
                seed=seed,
            )
            for life in (15, 18, 21, 24, 27, 30, 36, 42, 48)
            for scatter in (0.005, 0.02, 0.05)
        ]
        yield max(cases, key=lambda case: case.measured)


def _rounded_overstates(batch: Readings, floor: float) -> Event:
    """Draw the start anywhere between two steps; the room stays the same."""
    step = batch.step or 0.0

    def overstates(rng: np.random.Generator) -> bool:
        start = START + step * rng.random()
        limit = Bound("absolute", "lower", start - 5 * step)
        values = replace(batch, start=start).draw(rng)
        life = life_of_line(closed_line(batch.ages, values, floor=floor), limit)
        return life is not None and life > -5 * step / batch.slope + 1e-9

    return overstates


def steady_product(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate a perfectly steady product at its 3-month report.

    Parameters
    ----------
    runs : int
        Studies. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        Share of 3 batches × 2 packs that reads 0 months somewhere.
    """
    limits = (Bound("absolute", "lower", 80.0), Bound("absolute", "upper", 120.0))
    series = Readings(start=100.0, slope=0.0, scatter=6.0, ages=(0, 1, 2, 3))

    def reads_zero(rng: np.random.Generator) -> bool:
        for _ in range(2):
            drifts = {n: fit_drift(series.ages, series.draw(rng)) for n in "ABC"}
            life = shelf_life(drifts, limits)
            if isinstance(life, ShelfLife) and life.batch_by_batch.months == 0:
                return True
        return False

    yield measure(
        "steady product, 6 % scatter, ±20 %, 3 batches × 2 packs: reads 0 months",
        0.0,
        reads_zero,
        runs=max(runs // 5, 50),
        seed=seed,
    )


def trend_alerts(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate out-of-trend checks of healthy and of spoilt readings.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        Alerts, alarms, and gross errors found at the fifth check.
    """
    for checks in (5, 7, 9):
        for outcomes, nominal in ((("alert", "alarm"), 0.05), (("alarm",), 0.01)):
            yield measure(
                f"out of trend at check {checks}, healthy: {' or '.join(outcomes)}",
                nominal,
                _trend_event(checks, 0.0, outcomes),
                runs=runs,
                seed=seed,
                at_most=False,
            )
    yield measure(
        "out of trend at check 5, off by 4 s: alert or alarm",
        None,
        _trend_event(5, 4 * 0.03, ("alert", "alarm")),
        runs=runs,
        seed=seed,
    )


def _trend_event(checks: int, off_by: float, outcomes: Sequence[str]) -> Event:
    series = Readings(ages=SCHEDULES[7 if checks <= 7 else 9][:checks])

    def found(rng: np.random.Generator) -> bool:
        values = series.draw(rng)
        result = out_of_trend(
            series.ages[:-1], values[:-1], series.ages[-1], values[-1] + off_by
        )
        return isinstance(result, OutOfTrend) and result.outcome in outcomes

    return found
