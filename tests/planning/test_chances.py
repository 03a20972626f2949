"""Planned chances beside simulated studies, evaluated as real ones are."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stability.model.attribute import Attribute
from stability.model.prospects import PlanAssumptions
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import Cap
from stability.planning.chances import loss_chances
from stability.statistics.weight_loss import weight_loss_life
from tests.planning.simulated_plans import beside, plan, stated

#: Limit, scatter, whether it is a share, check, room used, batches, containers: what is
#: sure, what is even, what is all but lost; by real time and by extrapolation.
CASES = [
    ("change", 0.05, False, "18M", 0.0, 3, 1),
    ("change", 0.05, False, "24M", 0.5, 3, 1),
    ("absolute", 0.05, False, "18M", 0.5, 3, 1),
    ("absolute", 0.12, False, "24M", 0.3, 1, 1),
    ("share", 0.04, True, "24M", 0.0, 3, 1),
    ("change", 0.08, False, "24M", 0.5, 2, 2),
]


@pytest.mark.parametrize(
    ("limit", "scatter", "is_share", "check", "used", "batches", "containers"), CASES
)
def test_the_planned_chance_is_that_of_simulated_studies(  # noqa: PLR0917
    limit: str,
    scatter: float,
    is_share: bool,
    check: str,
    used: float,
    batches: int,
    containers: int,
) -> None:
    # 500 studies each; the fixed seed was drawn once. Lines, readings outside and
    # cautions are not independent, so that a plan may be a little too careful.
    found = beside(
        plan(limit=limit, batches=batches, containers=containers),
        PlanAssumptions(
            scatter={"pH": stated(scatter, is_share=is_share)}, room_used=(used,)
        ),
        check,
        runs=500,
        seed=21,
    )

    assert found.planned - found.simulated < 3 * found.error
    assert found.simulated - found.planned < 3 * found.error + 0.03


def test_batches_that_differ_lower_the_chance_as_simulation_says() -> None:
    # What differs between batches enters the chance, or the plan promises too much:
    # without it the same plan stands at 0.80 instead of 0.47.
    parts = plan(limit="absolute", batches=3)
    alike, differing = (
        beside(
            parts,
            PlanAssumptions(
                scatter={"pH": stated(0.05)}, room_used=(2 / 3,), batch_spread=spread
            ),
            "24M",
            runs=500,
            seed=22,
        )
        for spread in (0.0, 0.1)
    )

    assert differing.planned < alike.planned - 0.2
    assert abs(differing.planned - differing.simulated) < 3 * differing.error
    assert abs(alike.planned - alike.simulated) < 3 * alike.error


def test_a_reading_outside_ends_what_real_time_shows() -> None:
    # Below five checks nothing but the readings themselves stands in the way.
    found = beside(
        plan(checks=("3M", "6M", "9M"), months=9),
        PlanAssumptions(scatter={"pH": stated(0.15)}, room_used=(0.5,)),
        "9M",
        runs=1000,
        seed=23,
    )

    assert 0.3 < found.planned < 0.9
    assert abs(found.planned - found.simulated) < 3 * found.error


@pytest.mark.parametrize("scatter", [0.10, 0.18])
def test_where_a_start_may_be_vague_a_plan_promises_no_more(scatter: float) -> None:
    found = beside(
        plan(limit="absolute", batches=1, months=12, checks=("3M", "6M", "9M", "12M")),
        PlanAssumptions(scatter={"pH": stated(scatter)}, room_used=(0.0,)),
        "12M",
        runs=500,
        seed=24,
    )

    assert 0.2 < found.planned < found.simulated + 2 * found.error


def test_a_steady_product_may_seem_to_move_against_its_direction() -> None:
    # Six batches: 2.5 % each, and nothing is extrapolated.
    falling = Attribute("pH", "measured", unit="pH", direction="decreasing")
    found = beside(
        plan(limit="change", batches=6, attribute=falling),
        PlanAssumptions(
            scatter={"pH": stated(0.03)}, room_used=(0.0,), batch_spread=0.0
        ),
        "18M",
        runs=500,
        seed=25,
    )

    assert abs(found.planned - found.simulated) < 3 * found.error


# Loss of weight


def test_the_chance_of_a_loss_is_that_of_simulated_containers() -> None:
    # 4000 drawn sets of six containers, evaluated by the real function.
    rng, runs, held = np.random.default_rng(6), 4000, 0
    ages = [6.0, 12.0, 12.0, 18.0, 24.0, 24.0]
    for _ in range(runs):
        rates = (0.8 + rng.normal(0, 0.15, 6)) * 3.0 / 24
        life = weight_loss_life([24.0] * 6, (rates * 24).tolist(), 3.0)
        assert isinstance(life, WeightLossLife)
        held += (life.months or math.inf) >= 24
    cap = Cap(24, 24, "none", "")
    found = loss_chances(
        6, ages, [cap], few_checks=False, scatter=0.15, asked=24.0, confidence=0.95,
        room_used=0.8,
    )  # fmt: skip
    assert found.support is not None
    assert found.inside is not None

    assert found.support / found.inside == pytest.approx(held / runs, abs=0.03)


def test_one_container_gives_no_rate_and_no_cap_no_support() -> None:
    cap = Cap(12, 12, "none", "")
    few, short = (
        loss_chances(
            count, [12.0] * count, [cap], few_checks=False, scatter=0.1, asked=asked,
            confidence=0.95, room_used=0.0,
        )
        for count, asked in ((1, 12.0), (4, 24.0))
    )  # fmt: skip

    assert few.estimate == 0
    assert few.support == pytest.approx(1.0)
    assert short.support == 0
