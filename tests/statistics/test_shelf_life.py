"""Shelf life of one attribute and pack by both methods."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.model.estimate import Bound, Drift, NoFit
from stability.model.shelf_life import Direction, Method, ShelfLife
from stability.statistics.cap import extrapolation_cap
from stability.statistics.drift import fit_drift
from stability.statistics.shelf_life import share_outside, shelf_life

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]
LOWER = Bound("absolute", "lower", 5.0)
UPPER = Bound("absolute", "upper", 6.0)


def batch(
    slope: float,
    seed: int = 1,
    start: float = 5.5,
    ages: list[float] = AGES,
    resolution: float | None = 0.01,
) -> Drift:
    """Return the drift of a batch with a scatter of 0.02."""
    scatter = np.random.default_rng(seed).normal(0, 0.02, len(ages))
    values = [start + slope * t + e for t, e in zip(ages, scatter, strict=True)]
    drift = fit_drift(ages, values, resolution=resolution)
    assert isinstance(drift, Drift)
    return drift


def life_of(
    drifts: dict[str, Drift | NoFit] | dict[str, Drift],
    *bounds: Bound,
    direction: Direction = "either",
    carries: Method = "batch by batch",
) -> ShelfLife:
    """Estimate, and insist on a life."""
    life = shelf_life(
        dict(drifts), bounds or (LOWER,), direction=direction, carries=carries
    )
    assert isinstance(life, ShelfLife)
    return life


def codes(life: ShelfLife) -> set[str]:
    """Return the codes of the cautions."""
    return {caution.code for caution in life.cautions}


# Sides


def test_the_direction_chooses_bounds_and_sides() -> None:
    drifts = {"A": batch(-0.01)}
    judged = {
        direction: [
            (one.bound.side, round(one.multiplier, 4))
            for one in life_of(drifts, LOWER, UPPER, direction=direction)
            .batch_by_batch.batches[0]
            .crossings
        ]
        for direction in ("decreasing", "increasing", "either", "either, one-sided")
    }

    # t(0.95, 5) = 2.0150 and t(0.975, 5) = 2.5706 of the standard tables.
    assert judged["decreasing"] == [("lower", 2.015)]
    assert judged["increasing"] == [("upper", 2.015)]
    assert judged["either"] == [("lower", 2.5706), ("upper", 2.5706)]
    assert judged["either, one-sided"] == [("lower", 2.015), ("upper", 2.015)]


def test_moving_against_the_declared_direction_blocks_extrapolation() -> None:
    life = life_of({"A": batch(0.02)}, LOWER, UPPER, direction="decreasing")

    assert "against-direction" in codes(life)
    assert life.blocked == ("A",)


def test_what_only_seems_to_move_against_its_direction_blocks_nothing() -> None:
    # A slope a third of its standard error above 0 is no movement.
    drift = fit_drift(AGES, [5.50, 5.53, 5.47, 5.52, 5.49, 5.53, 5.50])
    assert isinstance(drift, Drift)
    life = life_of({"A": drift}, LOWER, direction="decreasing")

    assert 0 < drift.slope < drift.slope_error
    assert "against-direction" not in codes(life)


def test_that_nothing_is_pooled_for_want_of_a_line_is_said() -> None:
    drifts = {"A": batch(-0.02, 1), "B": batch(-0.02, 2)}
    short: dict[str, Drift | NoFit] = dict(drifts)
    short["C"] = NoFit("qualified", "A reading with <.")

    assert "no-pooling" not in codes(life_of(drifts, carries="pooled"))
    assert "no-pooling" in codes(life_of(short, carries="pooled"))
    assert "no-pooling" not in codes(life_of(short))


# Batch by batch


def test_every_batch_stands_on_its_own_scatter_and_freedom() -> None:
    drifts = {"A": batch(-0.02, 1), "B": batch(-0.02, 2), "C": batch(-0.02, 3)}
    life = life_of(drifts)

    for one in life.batch_by_batch.batches:
        assert one.line.s_used == drifts[one.batch].s_used
        assert one.line.df == 5
        assert one.governing.df == 5


def test_the_shortest_batch_governs() -> None:
    life = life_of({"A": batch(-0.01, 1), "B": batch(-0.03, 2), "C": batch(-0.02, 3)})

    assert life.batch_by_batch.governing.batch == "B"
    assert life.batch_by_batch.months == min(
        one.months for one in life.batch_by_batch.batches if one.months is not None
    )


@settings(max_examples=30)
@given(st.permutations(["A", "B", "C"]))
def test_the_order_of_batches_does_not_matter(order: list[str]) -> None:
    drifts = {"A": batch(-0.01, 1), "B": batch(-0.03, 2), "C": batch(-0.02, 3)}
    plain = life_of(drifts)
    shuffled = life_of({name: drifts[name] for name in order})
    assert plain.pooled is not None
    assert shuffled.pooled is not None

    assert shuffled.batch_by_batch.months == plain.batch_by_batch.months
    assert shuffled.pooled.months == pytest.approx(plain.pooled.months)
    assert sorted(shuffled.blocked) == sorted(plain.blocked)


@settings(max_examples=50)
@given(st.integers(0, 1000), st.floats(-0.03, -0.002), st.floats(25.0, 60.0))
def test_an_added_point_on_the_line_never_shortens_the_supported_life(
    seed: int, slope: float, age: float
) -> None:
    drift = batch(slope, seed, resolution=None)
    on_line = drift.intercept + drift.slope * age
    longer = fit_drift([*AGES, age], [*drift.values, on_line])
    assert isinstance(longer, Drift)
    before = life_of({"A": drift}, direction="decreasing").batch_by_batch.months
    after = life_of({"A": longer}, direction="decreasing").batch_by_batch.months
    if before is None or on_line < 5.0:
        return
    shown = extrapolation_cap(24).months
    cap_after = extrapolation_cap(int(age)).months

    assert after is None or min(after, cap_after) >= min(before, shown) - 1e-9


# Outcomes


def test_a_steady_product_is_never_given_zero_months() -> None:
    steady = {
        name: fit_drift([0.0, 1.0, 2.0, 3.0], [level] * 4, resolution=0.01)
        for name, level in (("A", 5.50), ("B", 5.51), ("C", 5.49))
    }
    life = shelf_life(steady, [LOWER, UPPER])
    assert isinstance(life, ShelfLife)

    assert life.batch_by_batch.months != 0
    assert life.batch_by_batch.outcome in {"crossing", "no crossing"}


def test_a_start_near_its_limit_is_not_precise_enough_and_blocks() -> None:
    life = life_of({"A": batch(0.0, 1, start=5.01), "B": batch(-0.02, 2)})

    assert life.batch_by_batch.outcome == "not precise enough"
    assert "A" in life.blocked
    assert life.batch_by_batch.governing.batch == "B"
    assert "Not precise enough in batch A" in life.batch_by_batch.text


def test_an_estimate_without_the_last_check_says_why_there_is_none() -> None:
    life = life_of({"A": batch(0.0, 1, start=5.01), "B": batch(-0.02, 2)})
    first, second = life.batch_by_batch.batches

    assert first.without_last_text == "not precise enough"
    assert second.outcome_without_last == "crossing"
    assert second.months_without_last is not None
    assert life.batch_by_batch.text.endswith(
        f"Without the last check: batch A not precise enough, B "
        f"{second.months_without_last:.1f} months."
    )
    far = replace(second, months_without_last=120.1)
    assert far.without_last_text == "beyond 120 months"
    assert replace(far, outcome_without_last=None).without_last_text == ""


def test_a_t0_outside_its_limit_governs() -> None:
    drifts = {"A": batch(-0.01, 1), "B": batch(-0.02, 2)}
    life = shelf_life(drifts, [LOWER], failed_at_t0={"A"})
    assert isinstance(life, ShelfLife)

    assert life.batch_by_batch.outcome == "failed at T0"
    assert life.batch_by_batch.months == 0
    assert life.batch_by_batch.governing.batch == "A"


def test_no_batch_with_a_line_hands_on_the_reason() -> None:
    refused = NoFit("too-few-ages", "Read at one age; a line needs at least three.")

    assert shelf_life({"A": refused}, [LOWER]) == refused
    assert isinstance(shelf_life({}, [LOWER]), NoFit)


def test_a_limit_that_cannot_be_held_against_the_scale_is_refused() -> None:
    logs = fit_drift(AGES, [5.0 + 0.01 * age for age in AGES], scale="ln")
    assert isinstance(logs, Drift)
    result = shelf_life({"A": logs}, [Bound("change", "lower", -1.0)])

    assert isinstance(result, NoFit)
    assert result.code == "change-on-ln"


def test_batches_on_two_scales_are_refused() -> None:
    logs = fit_drift(AGES, [5.0 + 0.01 * age for age in AGES], scale="ln")
    assert isinstance(logs, Drift)
    result = shelf_life({"A": logs, "B": batch(-0.01)}, [LOWER])

    assert isinstance(result, NoFit)
    assert result.code == "two-scales"


def test_a_shelf_life_without_a_limit_breaks_the_contract() -> None:
    with pytest.raises(ValueError, match="needs a limit"):
        shelf_life({"A": batch(-0.01)}, [])


# Cautions


def test_fewer_than_five_checks_carry_no_request() -> None:
    life = life_of({"A": batch(-0.01, ages=AGES[:4]), "B": batch(-0.01, 2)})

    assert "few-checks" in codes(life)
    assert "A" in life.blocked
    assert "B" not in life.blocked


def test_one_batch_says_what_it_cannot_show() -> None:
    life = shelf_life({"A": batch(-0.01)}, [LOWER], carries="pooled")
    assert isinstance(life, ShelfLife)

    assert {"one-batch", "next-batch", "no-pooling"} <= codes(life)
    assert life.pooled is None
    assert life.carrying is life.batch_by_batch


def test_three_batches_say_how_likely_the_next_is_worse() -> None:
    life = life_of({name: batch(-0.01, seed) for seed, name in enumerate("ABC", 1)})
    text = next(c.text for c in life.cautions if c.code == "next-batch")

    assert "chance 1/4" in text


def test_a_common_bend_towards_the_limit_blocks_every_batch() -> None:
    bent = {}
    for seed, name in enumerate("ABC", 1):
        scatter = np.random.default_rng(seed).normal(0, 0.02, 7)
        values = [5.6 - 0.0006 * t * t + e for t, e in zip(AGES, scatter, strict=True)]
        drift = fit_drift(AGES, values, resolution=0.01)
        assert isinstance(drift, Drift)
        bent[name] = drift
    life = life_of(bent)

    assert "curvature-towards-limit" in codes(life)
    assert life.blocked == ("A", "B", "C")


def test_the_declared_method_carries_the_request() -> None:
    drifts = {"A": batch(-0.01, 1), "B": batch(-0.02, 2)}
    life = shelf_life(drifts, [LOWER], carries="pooled")
    assert isinstance(life, ShelfLife)

    assert life.carrying is life.pooled


# Single containers


def test_the_share_of_containers_outside_follows_the_normal_curve() -> None:
    drift = batch(-0.02)
    age = (drift.intercept - 1.96 * drift.s_used - 5.0) / -drift.slope

    assert share_outside(drift, LOWER, age) == pytest.approx(0.025, abs=5e-5)


def test_the_share_without_scatter_is_none_or_all() -> None:
    drift = fit_drift([0.0, 1.0, 2.0], [5.5, 5.4, 5.3])
    assert isinstance(drift, Drift)

    assert share_outside(drift, LOWER, 4.9) == 0
    assert share_outside(drift, LOWER, 5.1) == 1
