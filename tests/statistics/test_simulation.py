"""The engine of simulated studies."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stability.model.estimate import Bound
from stability.model.simulated import Simulated
from stability.statistics.line import closed_line
from stability.statistics.simulation import (
    LIMIT,
    Readings,
    batch_by_batch_overstates,
    life_of_line,
    measure,
)


def test_the_true_life_is_where_the_true_line_meets_the_limit() -> None:
    assert Readings().true_life() == pytest.approx(25)
    assert Readings(slope=0.0).true_life() == math.inf
    assert Readings().true_life(Bound("change", "lower", -0.3)) == pytest.approx(15)
    assert Readings().true_life(Bound("share", "lower", 0.9)) == pytest.approx(27.5)


def test_readings_without_scatter_lie_on_the_true_line() -> None:
    batch = Readings(scatter=0.0)

    assert batch.draw(np.random.default_rng(1)) == pytest.approx(
        [5.5 - 0.02 * age for age in batch.ages]
    )


def test_readings_are_rounded_to_their_step() -> None:
    values = Readings(step=0.1).draw(np.random.default_rng(1))

    assert [value / 0.1 for value in values] == pytest.approx(
        [round(value / 0.1) for value in values]
    )


def test_an_error_of_the_day_is_shared() -> None:
    day = [0.5] * 7
    with_day = Readings().draw(np.random.default_rng(1), day)
    without = Readings().draw(np.random.default_rng(1))

    assert np.subtract(with_day, without) == pytest.approx(day)


def test_errors_may_grow_or_add_up() -> None:
    grown = [
        Readings(growth=3.0).draw(np.random.default_rng(i))[-1] for i in range(400)
    ]
    added = [
        Readings(accumulates=True).draw(np.random.default_rng(i))[-1]
        for i in range(400)
    ]

    assert np.std(grown) == pytest.approx(4 * 0.03, rel=0.15)
    assert np.std(added) == pytest.approx(math.sqrt(7) * 0.03, rel=0.15)


def test_a_life_that_is_not_precise_claims_nothing() -> None:
    vague = closed_line([0, 1, 2, 3], [5.1, 4.7, 5.6, 5.0])

    assert life_of_line(vague, LIMIT) is None
    assert life_of_line(closed_line([0, 1, 2], [5.5, 5.6, 5.7]), LIMIT) == math.inf


def test_the_same_seed_gives_the_same_studies() -> None:
    event = batch_by_batch_overstates([Readings()])
    first, second = (measure("x", 0.05, event, runs=200, seed=5) for _ in range(2))

    assert first == second


@pytest.mark.parametrize(
    ("nominal", "measured", "at_most", "holds"),
    [
        (0.05, 0.05, True, True),
        (0.05, 0.09, True, False),
        (0.05, 0.01, True, True),
        (0.05, 0.01, False, False),
        (0.0, 0.01, True, False),
        (0.0, 0.0, True, True),
        (None, 0.3, True, None),
    ],
)
def test_a_promise_holds_within_three_simulation_errors(
    *, nominal: float | None, measured: float, at_most: bool, holds: bool | None
) -> None:
    error = math.sqrt(measured * (1 - measured) / 1000)

    assert Simulated("x", nominal, measured, error, 1000, at_most).holds is holds
