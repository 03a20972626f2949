"""Where the promise of 5 % fails by nature, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from stability.model.estimate import Drift
from stability.model.scores import WeightLossLife
from stability.model.simulated import Simulated
from stability.statistics.drift import fit_drift
from stability.statistics.line import closed_line
from stability.statistics.pooling import pool
from stability.statistics.quantiles import t_one_sided
from stability.statistics.simulation import (
    SCHEDULES,
    Event,
    Readings,
    batch_by_batch_overstates,
    life_of_line,
    measure,
)
from stability.statistics.weight_loss import weight_loss_life


def assumptions(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate readings that break an assumption of the straight line.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        One for each assumption.
    """
    broken = {
        "scatter doubles to the last check": Readings(growth=1.0),
        "scatter grows fourfold": Readings(growth=3.0),
        "errors add up from check to check": Readings(scatter=0.015, accumulates=True),
        "one batch bends towards the limit": Readings(slope=-0.012, bend=-0.0003),
    }
    for name, batch in broken.items():
        yield measure(
            f"{name}: overstated",
            None,
            batch_by_batch_overstates([batch]),
            runs=runs,
            seed=seed,
        )


def repeated_looks(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate a request judged at every check instead of one named beforehand.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        One for each number of looks.
    """
    for checks in (7, 9):
        batch = Readings(ages=SCHEDULES[checks])
        yield measure(
            f"judged at every check from the fifth to the {checks}th: overstated at "
            "some time",
            None,
            _looks_overstate(batch),
            runs=runs,
            seed=seed,
        )


def _looks_overstate(batch: Readings) -> Event:
    worst = batch.true_life()

    def overstates(rng: np.random.Generator) -> bool:
        values = batch.draw(rng)
        for n in range(5, len(values) + 1):
            life = life_of_line(closed_line(batch.ages[:n], values[:n]))
            if life is not None and life > worst:
                return True
        return False

    return overstates


def pooling(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate the estimate that pools batches after a test.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        Three and six batches, with and without an error of the day.
    """
    three = {"0.020, 0.021, 0.022": (-0.020, -0.021, -0.022)}
    six = {"five of 0.020, one of 0.022": (*[-0.020] * 5, -0.022)}
    for named, day in ((three, 0.0), (six, 0.0), (three, 0.03)):
        ((name, slopes),) = named.items()
        batches = [Readings(slope=slope) for slope in slopes]
        yield measure(
            f"pooled after a test, slopes {name}, day error {day}: overstated",
            None,
            _pooled_overstates(batches, day),
            runs=max(runs // 5, 50),
            seed=seed,
        )


def _pooled_overstates(batches: Sequence[Readings], day: float) -> Event:
    worst = min(batch.true_life() for batch in batches)

    def overstates(rng: np.random.Generator) -> bool:
        shared = rng.normal(0.0, day, len(batches[0].ages)).tolist() if day else []
        drifts = {}
        for i, batch in enumerate(batches):
            drift = fit_drift(batch.ages, batch.draw(rng, shared))
            if isinstance(drift, Drift):
                drifts[str(i)] = drift
        lives = [life_of_line(line) for _, line in pool(drifts).lines]
        return all(life is not None and life > worst for life in lives)

    return overstates


def weight_loss(runs: int, seed: int) -> Iterator[Simulated]:
    """Simulate weight loss by rates, and by a line through the origin.

    Parameters
    ----------
    runs : int
        Studies in each case. [-]
    seed : int
        Of the generator. [-]

    Returns
    -------
    iterator of Simulated
        One for each method.
    """
    yield measure(
        "weight loss by the rate of each container: overstated",
        0.05,
        _loss_overstates(through_origin=False),
        runs=runs,
        seed=seed,
    )
    yield measure(
        "weight loss by a line through the origin: overstated (not used)",
        None,
        _loss_overstates(through_origin=True),
        runs=runs,
        seed=seed,
    )


def _loss_overstates(*, through_origin: bool) -> Event:
    ages, rate, sd, limit = SCHEDULES[7][1:], 0.10, 0.02, 5.0

    def overstates(rng: np.random.Generator) -> bool:
        losses = [age * rng.normal(rate, sd) for age in ages]
        if through_origin:
            x, y = np.array(ages), np.array(losses)
            slope = float(x @ y) / float(x @ x)
            rest = y - slope * x
            s = float(np.sqrt(rest @ rest / (len(ages) - 1)))
            error = s / float(np.sqrt(x @ x))
            upper = slope + t_one_sided(0.95, len(ages) - 1) * error
            return upper < rate
        life = weight_loss_life(ages, losses, limit)
        if not isinstance(life, WeightLossLife) or life.months is None:
            return False
        return life.months > limit / rate

    return overstates
