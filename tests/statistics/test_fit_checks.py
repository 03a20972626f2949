"""Checks of a line, each with its consequence."""

from __future__ import annotations

import numpy as np
import pytest

from stability.model.estimate import Bound, Drift
from stability.statistics.drift import fit_drift
from stability.statistics.fit_checks import (
    carrying_point,
    fast_start,
    few_steps,
    leverages,
    line_without_last,
    outlying_point,
    series_cautions,
)
from stability.statistics.line import closed_line
from stability.statistics.quantiles import t_quantile

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]
NEAR = [0.01, -0.01, 0.005, -0.005, 0.01, -0.01, 0.0]


def values_on(slope: float, scatter: list[float] | None = None) -> list[float]:
    """Return readings about 5.5 + slope × age."""
    return [
        5.5 + slope * age + e for age, e in zip(AGES, scatter or [0.0] * 7, strict=True)
    ]


def test_leverages_add_up_to_two_and_match_the_hat_matrix() -> None:
    design = np.column_stack((np.ones(7), AGES))
    hat = design @ np.linalg.inv(design.T @ design) @ design.T

    assert leverages(AGES) == pytest.approx(np.diag(hat))
    assert sum(leverages(AGES)) == pytest.approx(2)


def test_a_usual_schedule_has_no_point_that_carries_the_slope() -> None:
    assert carrying_point(AGES) is None


def test_one_late_check_carries_the_slope() -> None:
    caution = carrying_point([0.0, 1.0, 2.0, 24.0])

    assert caution is not None
    assert not caution.blocks_extrapolation


def test_an_outlying_point_is_named_and_stays_in_the_fit() -> None:
    values = values_on(-0.01, NEAR)
    values[3] += 0.3
    drift = fit_drift(AGES, values)
    assert isinstance(drift, Drift)

    assert [caution.code for caution in drift.cautions] == ["outlying-point"]
    assert "9 months" in drift.cautions[0].text
    assert drift.n == 7
    assert not drift.blocks_extrapolation


@pytest.mark.parametrize(("off_by", "seen"), [(0.05, False), (0.06, True)])
def test_an_outlying_point_is_judged_by_a_fit_without_it(
    off_by: float, *, seen: bool
) -> None:
    # Independent route: the deleted residual over its prediction error, df n - 3.
    values = values_on(-0.01, NEAR)
    values[2] += off_by
    rest = closed_line(AGES[:2] + AGES[3:], values[:2] + values[3:])
    spread = rest.s_used * np.sqrt(1 + 1 / 6 + (6 - rest.mean_age) ** 2 / rest.sxx)
    deleted = (values[2] - rest.intercept - rest.slope * 6) / spread

    line = closed_line(AGES, values)
    residual = values[2] - line.intercept - line.slope * 6
    off = 1 - leverages(AGES)[2]
    without = np.sqrt((line.s_used**2 * line.df - residual**2 / off) / (line.df - 1))

    assert residual / (without * np.sqrt(off)) == pytest.approx(deleted)
    assert (outlying_point(line, AGES, values) is not None) is seen
    assert bool(abs(deleted) > t_quantile(1 - 0.05 / 14, 4)) is seen


def test_one_last_digit_is_no_outlying_point() -> None:
    values = [5.50] * 6 + [5.49]

    assert outlying_point(closed_line(AGES, values), AGES, values) is not None
    assert outlying_point(closed_line(AGES, values), AGES, values, floor=0.005) is None


def test_a_fast_first_week_blocks_extrapolation() -> None:
    values = values_on(-0.01, NEAR)
    values[0] += 0.5
    caution = fast_start(AGES, values)

    assert caution is not None
    assert caution.blocks_extrapolation
    assert fast_start(AGES, values_on(-0.01, NEAR)) is None


def test_a_fast_start_needs_three_later_checks() -> None:
    assert fast_start([0.0, 1.0, 2.0], [9.0, 5.0, 5.0]) is None
    assert fast_start([1.0, 2.0, 3.0, 4.0], [9.0, 5.0, 5.0, 5.0]) is None


@pytest.mark.parametrize(("resolution", "blocks"), [(0.1, False), (0.11, True)])
def test_fewer_than_five_steps_to_the_limit_block_extrapolation(
    resolution: float, *, blocks: bool
) -> None:
    line = closed_line(AGES, values_on(-0.01))
    caution = few_steps(line, [Bound("absolute", "lower", 5.0)], resolution)

    assert (caution is not None and caution.blocks_extrapolation) is blocks


@pytest.mark.parametrize(
    ("bound", "seen"),
    [
        (Bound("change", "lower", -0.4), True),
        (Bound("change", "lower", -0.6), False),
        (Bound("share", "lower", 0.92), True),
        (Bound("share", "lower", 0.90), False),
        (Bound("absolute", "upper", 5.9), True),
    ],
)
def test_steps_are_counted_for_every_kind_of_limit(bound: Bound, *, seen: bool) -> None:
    line = closed_line(AGES, values_on(-0.01))

    assert (few_steps(line, [bound], 0.1) is not None) is seen


def test_a_line_without_its_last_check_keeps_scale_and_floor() -> None:
    shorter = line_without_last([0, 1, 2, 3], [1.0, 2.0, 4.0, 8.0], scale="ln", floor=1)

    assert shorter is not None
    assert shorter.scale == "ln"
    assert shorter.s_used == 1
    assert shorter.n == 3


def test_healthy_readings_give_no_caution() -> None:
    values = values_on(-0.01, NEAR)

    assert series_cautions(closed_line(AGES, values), AGES, values) == ()
