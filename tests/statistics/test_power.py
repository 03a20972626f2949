"""What a plan can prove."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from stability.model.estimate import Bound, NoFit
from stability.model.power import Assumed, BatchSpread
from stability.model.shelf_life import Crossing, Direction
from stability.statistics.crossing import crossing
from stability.statistics.line import closed_line
from stability.statistics.margin import Margin, margin_to
from stability.statistics.power import (
    chance_of_support,
    noncentral_t_above,
    point_scatter,
    shift_noticed,
    smallest_slope,
)
from stability.statistics.quantiles import t_two_sided

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]
LOWER = Bound("absolute", "lower", 5.0)
UPPER = Bound("absolute", "upper", 6.0)
PRODUCT = Assumed(start=5.5, slope=-0.02, scatter=0.03)
SPREAD = BatchSpread(level=0.02**2, both=0.0, slope=0.002**2)


def chance(
    months: float,
    *bounds: Bound,
    assumed: Assumed = PRODUCT,
    direction: Direction = "decreasing",
    batches: int = 1,
) -> float:
    """Return a chance, and insist on it."""
    result = chance_of_support(
        AGES, months, assumed, bounds or (LOWER,), direction=direction, batches=batches
    )
    assert isinstance(result, float)
    return result


# Noncentral t


@given(st.floats(-5, 8), st.integers(1, 60), st.floats(-3, 5))
@settings(max_examples=60)
def test_the_integral_agrees_with_the_library_where_that_has_an_answer(
    value: float, df: int, shift: float
) -> None:
    expected = float(stats.nct.sf(value, df, shift))
    if not math.isfinite(expected):
        return

    assert noncentral_t_above(value, df, shift) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("shift", [60.0, 200.0, 1000.0])
def test_the_far_tail_is_a_number(shift: float) -> None:
    assert noncentral_t_above(2.0, 5, shift) == pytest.approx(1.0)
    assert noncentral_t_above(2.0, 5, -shift) == pytest.approx(0.0, abs=1e-12)


# The chance of support


@pytest.mark.parametrize("spread", [None, SPREAD])
@pytest.mark.parametrize("months", [15, 20, 22])
def test_the_chance_matches_simulation(spread: BatchSpread | None, months: int) -> None:
    # 4000 simulated batches; within 4 simulation errors.
    rng = np.random.default_rng(11)
    assumed = Assumed(5.5, -0.02, 0.03, spread)
    reached, runs = 0, 4000
    for _ in range(runs):
        start, slope = 5.5, -0.02
        if spread is not None:
            start += rng.normal(0, 0.02)
            slope += rng.normal(0, 0.002)
        values = [start + slope * t + rng.normal(0, 0.03) for t in AGES]
        found = crossing(closed_line(AGES, values), LOWER, two_sided=False)
        assert isinstance(found, Crossing)
        reached += found.outcome == "no crossing" or (found.months or 0) >= months
    expected = chance(months, assumed=assumed)
    error = math.sqrt(max(expected * (1 - expected), 1e-4) / runs)

    assert abs(reached / runs - expected) < 4 * error


def test_batches_that_differ_make_the_plan_less_sure() -> None:
    alike, spread = chance(20), chance(20, assumed=Assumed(5.5, -0.02, 0.03, SPREAD))

    assert spread < alike - 0.05


def test_every_batch_must_reach_the_life() -> None:
    assert chance(21, batches=3) == pytest.approx(chance(21) ** 3)


def test_two_limits_must_both_hold() -> None:
    middle = Assumed(start=5.5, slope=0.0, scatter=0.3)
    low, high, both = (
        chance(18, *bounds, assumed=middle, direction="either, one-sided")
        for bounds in ((LOWER,), (UPPER,), (LOWER, UPPER))
    )

    assert 0.5 < low < 0.95
    assert low + high - 1 < both < min(low, high)


@pytest.mark.parametrize(("slope", "months"), [(0.0, 18), (0.0, 30), (-0.01, 24)])
@pytest.mark.parametrize("kind", ["absolute", "change"])
def test_the_chance_of_both_limits_matches_simulation(
    kind: str, slope: float, months: int
) -> None:
    # 3000 simulated batches of wide scatter; within 4 simulation errors.
    low, high = {
        "absolute": (LOWER, UPPER),
        "change": (Bound("change", "lower", -0.5), Bound("change", "upper", 0.5)),
    }[kind]
    assumed = Assumed(start=5.5, slope=slope, scatter=0.2, spread=SPREAD)
    rng = np.random.default_rng(12)
    reached, runs = 0, 3000
    for _ in range(runs):
        start, drift = 5.5 + rng.normal(0, 0.02), slope + rng.normal(0, 0.002)
        line = closed_line(AGES, [start + drift * t + rng.normal(0, 0.2) for t in AGES])
        margins = [margin_to(line, bound) for bound in (low, high)]
        reached += all(
            isinstance(one, Margin)
            and one.at(months)
            >= t_two_sided(0.95, line.df) * line.s_used * one.error(months)
            for one in margins
        )
    expected = chance(months, low, high, assumed=assumed, direction="either")
    error = math.sqrt(expected * (1 - expected) / runs)

    assert 0.02 < expected < 0.95
    assert abs(reached / runs - expected) < 4 * error


def test_without_scatter_the_line_itself_decides() -> None:
    exact = Assumed(start=5.5, slope=-0.02, scatter=0.0)

    assert chance(25, assumed=exact) == 1.0
    assert chance(26, assumed=exact) == 0.0


def test_two_sided_limits_ask_for_more() -> None:
    assert chance(21, direction="either") < chance(21)


def test_a_change_limit_does_not_depend_on_the_level_of_a_batch() -> None:
    change = Bound("change", "lower", -0.5)
    level = Assumed(5.5, -0.02, 0.03, BatchSpread(level=1.0, both=0.0, slope=0.0))

    assert chance(20, change, assumed=level) == pytest.approx(chance(20, change))


def test_without_scatter_the_true_line_decides() -> None:
    exact = Assumed(5.5, -0.02, 0.0)

    assert chance(24.9, assumed=exact) == 1
    assert chance(25.1, assumed=exact) == 0


def test_a_limit_that_cannot_be_held_against_the_scale_is_refused() -> None:
    logs = Assumed(1.0, -0.01, 0.02, scale="ln")
    result = chance_of_support(AGES, 12, logs, [Bound("change", "lower", -1.0)])

    assert isinstance(result, NoFit)


# Scatter and slopes


def test_more_containers_do_not_even_out_a_day() -> None:
    many = point_scatter(
        day=0.3, container=0.4, reading=0.5, containers=10**6, readings=10
    )

    assert many == pytest.approx(0.3, abs=1e-3)
    assert point_scatter(
        day=0.0, container=0.4, reading=0.6, containers=2, readings=2
    ) == pytest.approx(math.sqrt(0.16 / 2 + 0.36 / 4))


@pytest.mark.parametrize(("n", "shift"), [(5, 4.256), (7, 3.514), (9, 3.270)])
def test_shifts_noticed(n: int, shift: float) -> None:
    # Computed, two programs: 80 % power, two-sided 5 %.
    assert shift_noticed(n - 2) == pytest.approx(shift, abs=5e-4)


def test_a_slope_of_the_smallest_noticed_is_seen_in_four_of_five() -> None:
    slope = smallest_slope(AGES, 0.03)
    rng = np.random.default_rng(7)
    seen = 0
    for _ in range(2000):
        line = closed_line(AGES, [slope * t + rng.normal(0, 0.03) for t in AGES])
        seen += abs(line.slope) * math.sqrt(line.sxx) / line.s_used > 2.5706

    assert seen / 2000 == pytest.approx(0.80, abs=4 * math.sqrt(0.16 / 2000))
