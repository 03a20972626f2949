"""One bend common to all batches, and lack of fit."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.regression.linear_model import OLS

from stability.model.estimate import Bound, Drift
from stability.statistics.drift import fit_drift
from stability.statistics.straightness import curvature, lack_of_fit

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]
LOWER = Bound("absolute", "lower", 5.0)
UPPER = Bound("absolute", "upper", 6.0)


def batch(bend: float, start: float, slope: float, seed: int) -> Drift:
    """Return the drift of a batch with a bend and a scatter of 0.02."""
    scatter = np.random.default_rng(seed).normal(0, 0.02, 7)
    drift = fit_drift(
        AGES,
        [
            start + slope * t + bend * t * t + e
            for t, e in zip(AGES, scatter, strict=True)
        ],
    )
    assert isinstance(drift, Drift)
    return drift


def test_the_bend_agrees_with_a_fit_of_all_batches_at_once() -> None:
    drifts = [batch(-0.0003, 5.5, -0.01, 1), batch(-0.0002, 5.6, -0.02, 2)]
    t = np.tile(AGES, 2)
    first = np.repeat([1.0, 0.0], 7)
    design = np.column_stack((first, 1 - first, first * t, (1 - first) * t, t * t))
    fit = OLS(np.concatenate([d.values for d in drifts]), design).fit(method="qr")
    bend = curvature(drifts)
    assert bend is not None

    assert bend.coefficient == pytest.approx(fit.params[4])
    assert bend.error == pytest.approx(fit.bse[4])
    assert bend.p_two_sided == pytest.approx(fit.pvalues[4])
    assert bend.df == fit.df_resid == 14 - 4 - 1


def test_bending_towards_the_limit_blocks_extrapolation() -> None:
    drifts = [batch(-0.0004, 5.6, -0.005, seed) for seed in (1, 2, 3)]
    bend = curvature(drifts, [LOWER])
    assert bend is not None

    assert [c.code for c in bend.cautions] == ["curvature-towards-limit"]
    assert bend.cautions[0].blocks_extrapolation


def test_bending_away_from_the_limit_is_a_caution_only() -> None:
    drifts = [batch(0.0004, 5.6, -0.02, seed) for seed in (1, 2, 3)]
    bend = curvature(drifts, [LOWER])
    assert bend is not None
    assert bend.p_towards_limit is not None

    assert bend.p_towards_limit > 0.95
    assert [c.code for c in bend.cautions] == ["curvature"]
    assert not bend.cautions[0].blocks_extrapolation


def test_with_two_limits_the_one_the_line_heads_for_counts() -> None:
    falling = curvature([batch(-0.0004, 5.6, -0.005, 1)], [LOWER, UPPER])
    rising = curvature([batch(-0.0004, 5.2, 0.02, 1)], [LOWER, UPPER])
    assert falling is not None
    assert rising is not None
    assert falling.p_towards_limit is not None
    assert rising.p_towards_limit is not None

    assert falling.p_towards_limit < 0.05
    assert rising.p_towards_limit > 0.95


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize("slope", [-0.0004, 0.0004])
def test_with_two_limits_a_drift_that_turned_is_not_carried_on(
    sign: float, slope: float
) -> None:
    # Up for a year and down again, or the other way round: its straight line is level.
    drifts = [
        batch(sign * -0.001, 5.5, sign * 0.024 + slope, seed) for seed in (1, 2, 3)
    ]
    bend = curvature(drifts, [LOWER, UPPER])
    assert bend is not None

    assert bend.cautions[0].code in {"curvature-turned", "curvature-towards-limit"}
    assert bend.cautions[0].blocks_extrapolation


def test_the_turn_lies_where_a_quadratic_by_least_squares_has_it() -> None:
    # numpy's own quadratic: its slope at the last check decides.
    for slope in np.linspace(0.01, 0.07, 25):
        drift = batch(-0.001, 5.3, float(slope), 5)
        bend = curvature([drift], [LOWER, UPPER])
        assert bend is not None
        square, linear, _ = np.polyfit(AGES, drift.values, 2)
        turned = (drift.slope < 0) != (linear + 2 * square * AGES[-1] < 0)

        if drift.slope > 0:
            blocks = bend.cautions[0].blocks_extrapolation
            assert blocks == (turned and bend.p_two_sided < 0.05), slope


def test_with_one_limit_a_turn_away_from_it_is_a_caution_only() -> None:
    drifts = [batch(0.001, 5.5, -0.023, seed) for seed in (1, 2, 3)]
    bend = curvature(drifts, [LOWER])
    assert bend is not None

    assert [c.code for c in bend.cautions] == ["curvature"]


def test_one_batch_says_that_a_bend_usually_goes_unseen() -> None:
    bend = curvature([batch(0.0, 5.5, -0.01, 4)], [LOWER])
    assert bend is not None

    assert [c.code for c in bend.cautions] == ["one-batch-bend-unseen"]


def test_too_few_checks_make_no_test() -> None:
    drift = fit_drift([0, 1, 2, 3], [1.0, 2.0, 4.0, 8.0])
    assert isinstance(drift, Drift)

    assert curvature([drift]) is None
    assert curvature([]) is None


def test_steady_batches_show_no_bend() -> None:
    drift = fit_drift(AGES, [5.5] * 7, resolution=0.01)
    assert isinstance(drift, Drift)
    bend = curvature([drift, drift, drift], [LOWER])
    assert bend is not None

    assert bend.coefficient == 0
    assert bend.cautions == ()


def test_batches_on_two_scales_break_the_contract() -> None:
    linear = fit_drift(AGES, [5.0] * 7)
    logs = fit_drift(AGES, [5.0] * 7, scale="ln")
    assert isinstance(linear, Drift)
    assert isinstance(logs, Drift)

    with pytest.raises(ValueError, match="scales"):
        curvature([linear, logs])


def test_without_replicates_there_is_no_lack_of_fit() -> None:
    assert lack_of_fit(AGES, [5.5] * 7) is None
    assert lack_of_fit([0, 0, 1, 1], [1, 2, 3, 4]) is None


def test_replicates_that_agree_exactly_give_no_ratio() -> None:
    lack = lack_of_fit([0, 0, 1, 1, 2, 2], [1, 1, 2, 2, 5, 5])
    assert lack is not None

    assert lack.f is None
    assert lack.p is None


def test_replicates_that_agree_but_for_rounding_give_no_ratio() -> None:
    # (0.1 + 0.2) and 0.3 are one number, but for the last digit of a float.
    lack = lack_of_fit([0, 0, 0, 1, 2], [0.1 + 0.2, 0.3, 0.3, 2, 5])
    assert lack is not None

    assert lack.f is None


def test_replicates_scatter_no_less_than_the_resolution_lets_us_believe() -> None:
    ages, values = [0, 0, 1, 1, 2, 2], [1.0, 1.01, 2.0, 2.0, 2.0, 2.0]
    free, held = lack_of_fit(ages, values), lack_of_fit(ages, values, floor=0.05)
    assert free is not None
    assert held is not None
    assert free.f is not None
    assert held.f is not None

    # Pure error 2 × 0.005² on 3 degrees of freedom, against the floor's 0.05².
    assert free.f / held.f == pytest.approx(0.05**2 / (2 * 0.005**2 / 3))


def test_a_straight_drift_with_replicates_shows_no_lack_of_fit() -> None:
    lack = lack_of_fit([0, 0, 1, 1, 2, 2], [1.0, 1.2, 2.1, 1.9, 3.0, 3.2])
    assert lack is not None

    assert lack.cautions == ()
