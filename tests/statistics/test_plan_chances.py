"""What else must go well in a plan: readings inside, and no caution by chance.

Held against closed forms, and against simulations that use the functions of a real
evaluation.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from stability.model.estimate import Bound, Drift, NoFit
from stability.model.power import Assumed, BatchSpread
from stability.statistics.drift import fit_drift
from stability.statistics.plan_chances import chance_inside, chance_unblocked
from stability.statistics.straightness import curvature

AGES = (0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0)
CHANGE = (Bound("change", "lower", -0.5), Bound("change", "upper", 0.5))
ABSOLUTE = (Bound("absolute", "lower", 5.0), Bound("absolute", "upper", 6.0))
SHARE = (Bound("share", "lower", 0.8), Bound("share", "upper", 1.2))


def inside(
    ages: tuple[float, ...],
    assumed: Assumed,
    bounds: tuple[Bound, ...],
    containers: tuple[int, ...] = (),
) -> tuple[float, ...]:
    """Return the chances, and insist on them."""
    found = chance_inside(ages, assumed, bounds, containers=containers)
    assert not isinstance(found, NoFit)
    return found


# No reading outside


def test_a_change_from_initial_carries_the_error_of_both_readings() -> None:
    steady = Assumed(start=0.0, slope=0.0, scatter=0.25)
    by_hand = 1 - 2 * NormalDist(0, 0.25 * math.sqrt(2)).cdf(-0.5)

    assert inside((0, 3), steady, CHANGE) == pytest.approx((1.0, by_hand), abs=1e-4)


def test_an_absolute_limit_is_held_against_t0_too() -> None:
    steady = Assumed(start=5.5, slope=0.0, scatter=0.25)
    once = 1 - 2 * NormalDist(0, 0.25).cdf(-0.5)

    assert inside((0, 3, 6), steady, ABSOLUTE) == pytest.approx(
        (once, once**2, once**3), rel=1e-9
    )


def test_every_container_of_a_check_is_held_against_the_limit() -> None:
    steady = Assumed(start=5.5, slope=0.0, scatter=0.25)
    once, _ = inside((0, 3), steady, ABSOLUTE)

    assert inside((0, 3), steady, ABSOLUTE, (1, 3))[-1] == pytest.approx(once**4)


def test_containers_of_one_day_fail_together() -> None:
    steady = Assumed(start=5.5, slope=0.0, scatter=0.25)
    rng, runs = np.random.default_rng(5), 60_000
    day = rng.normal(0, 0.25 * math.sqrt(0.5), (runs, 2, 1))
    own = rng.normal(0, 0.25 * math.sqrt(0.5), (runs, 2, 3))
    held = (np.abs(day + own) <= 0.5).all(axis=(1, 2)).mean()
    found = chance_inside((0, 3), steady, ABSOLUTE, containers=(3, 3), day_share=0.5)

    assert not isinstance(found, NoFit)
    assert found[-1] == pytest.approx(held, abs=4 * math.sqrt(0.25 / runs))
    assert found[-1] > inside((0, 3), steady, ABSOLUTE, (3, 3))[-1] + 0.01


def test_without_scatter_the_line_decides() -> None:
    falling = Assumed(start=5.5, slope=-0.03, scatter=0.0)

    assert inside((0, 12, 18), falling, ABSOLUTE) == (1.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("bounds", "start", "scatter", "scale"),
    [
        (CHANGE, 5.5, 0.12, "linear"),
        (ABSOLUTE, 5.5, 0.15, "linear"),
        (SHARE, 1.0, 0.05, "linear"),
        (SHARE, 0.0, 0.05, "ln"),
    ],
)
def test_it_matches_simulation_with_batches_that_differ(
    bounds: tuple[Bound, ...], start: float, scatter: float, scale: str
) -> None:
    # 40 000 simulated series; within 4 simulation errors.
    spread = BatchSpread(
        level=(2 * scatter / 3) ** 2, both=0.0, slope=(scatter / 24) ** 2
    )
    on_ln = scale == "ln"
    assumed = Assumed(
        start, -scatter / 12, scatter, spread, "ln" if on_ln else "linear"
    )
    rng, runs = np.random.default_rng(3), 40_000
    level = start + rng.normal(0, math.sqrt(spread.level), runs)
    slope = assumed.slope + rng.normal(0, math.sqrt(spread.slope), runs)
    x = np.asarray(AGES)
    values = level[:, None] + slope[:, None] * x + rng.normal(0, scatter, (runs, 7))
    if on_ln:
        values = np.exp(values)
    held = np.ones(runs, dtype=bool)
    for bound in bounds:
        initial = values[:, :1]
        limit = {
            "absolute": 0 * initial + bound.amount,
            "change": initial + bound.amount,
            "share": initial * bound.amount,
        }[bound.kind]
        room = values - limit if bound.side == "lower" else limit - values
        held &= (room >= 0).all(axis=1)
    expected = inside(AGES, assumed, bounds)[-1]
    error = math.sqrt(expected * (1 - expected) / runs)

    assert 0.3 < expected < 0.99
    assert abs(held.mean() - expected) < 4 * error


def test_a_limit_that_no_line_can_be_held_against_is_refused() -> None:
    logs = Assumed(start=1.0, slope=0.0, scatter=0.1, scale="ln")

    assert isinstance(chance_inside(AGES, logs, CHANGE), NoFit)


# No caution by chance


@pytest.mark.parametrize(("batches", "ages"), [(1, AGES), (3, AGES), (1, AGES[:5])])
def test_straight_drifts_are_blocked_as_often_as_real_fits_are(
    batches: int, ages: tuple[float, ...]
) -> None:
    # 1000 simulated studies by the functions of the evaluation; 4 simulation errors.
    rng, runs, blocked = np.random.default_rng(8), 1000, 0
    for _ in range(runs):
        drifts = []
        for _ in range(batches):
            values = [5.5 - 0.01 * age + rng.normal(0, 0.05) for age in ages]
            drift = fit_drift(ages, values, bounds=CHANGE)
            assert isinstance(drift, Drift)
            drifts.append(drift)
        bend = curvature(drifts, CHANGE)
        assert bend is not None
        blocked += any(one.blocks_extrapolation for one in drifts) or any(
            one.blocks_extrapolation for one in bend.cautions
        )
    expected = chance_unblocked((ages,) * batches)
    error = math.sqrt(expected * (1 - expected) / runs)

    assert abs((1 - blocked / runs) - expected) < 4 * error + 0.005


def test_more_batches_are_blocked_more_often() -> None:
    one, three = (chance_unblocked((AGES,) * k) for k in (1, 3))

    assert three < one - 0.05
