"""Condition against control, batch against batch, version against version."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stability.model.contrast import Contrast
from stability.model.estimate import Drift, NoFit
from stability.statistics.comparison import (
    against_control,
    between_batches,
    between_versions,
    chance_count,
)
from stability.statistics.drift import fit_drift

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]


def batch(slope: float, seed: int, scatter: float = 0.02) -> Drift:
    """Return the drift of a batch."""
    rng = np.random.default_rng(seed)
    drift = fit_drift(AGES, [5.5 + slope * t + rng.normal(0, scatter) for t in AGES])
    assert isinstance(drift, Drift)
    return drift


def contrast(result: Contrast | NoFit) -> Contrast:
    """Insist on a contrast."""
    assert isinstance(result, Contrast)
    return result


# Condition against control


def test_an_error_of_the_day_cancels_in_pairs() -> None:
    day = np.random.default_rng(1).normal(0, 0.5, 7)
    control = [5.5 - 0.01 * t + d for t, d in zip(AGES, day, strict=True)]
    treated = [v - 0.02 * t for v, t in zip(control, AGES, strict=True)]
    found = contrast(against_control(AGES, treated, control))

    assert found.difference == pytest.approx(-0.02)
    assert found.excludes_no_difference
    assert "drifts otherwise" in found.text


def test_a_shared_t0_is_left_out() -> None:
    treated = [5.5, 5.3, 5.32, 5.27, 5.3, 5.31, 5.29]
    control = [5.5] * 7
    shared = contrast(against_control(AGES, treated, control))
    own = contrast(against_control(AGES, treated, control, shared_start=False))
    later = fit_drift(AGES[1:], [t - 5.5 for t in treated[1:]])
    assert isinstance(later, Drift)

    assert shared.difference == pytest.approx(later.slope)
    assert shared.interval == pytest.approx(later.slope_interval)
    assert shared.df == 4
    assert own.df == 5
    assert own.difference < shared.difference


def test_on_the_ln_scale_ratios_are_compared() -> None:
    control = [1000.0] * 7
    treated = [1000 * np.exp(-0.01 * t) for t in AGES]
    found = contrast(against_control(AGES, treated, control, scale="ln"))

    assert found.difference == pytest.approx(-0.01)


def test_the_resolution_bounds_the_scatter_of_differences() -> None:
    found = contrast(against_control(AGES, [5.5] * 7, [5.5] * 7, resolution=0.01))

    assert found.error > 0
    assert not found.excludes_no_difference


@pytest.mark.parametrize(
    ("n", "scale", "code"),
    [(3, "linear", "too-few-pairs"), (7, "ln", "not-positive-on-ln")],
)
def test_what_cannot_be_compared_is_named(n: int, scale: str, code: str) -> None:
    result = against_control(
        AGES[:n],
        [-1.0] * n,
        [1.0] * n,
        scale=scale,  # type: ignore[arg-type]  # from the table
    )

    assert isinstance(result, NoFit)
    assert result.code == code


# Batch against batch


def test_batches_keep_their_own_scatter() -> None:
    quiet, noisy = batch(-0.01, 1, 0.005), batch(-0.01, 2, 0.08)
    found = between_batches(quiet, noisy)
    a, b = quiet.slope_error**2, noisy.slope_error**2

    assert found.error == pytest.approx((a + b) ** 0.5)
    assert found.df == pytest.approx((a + b) ** 2 / (a * a / 5 + b * b / 5))
    assert 5 <= found.df < 6


def test_alike_batches_have_all_their_freedom() -> None:
    one = batch(-0.01, 1)

    assert between_batches(one, one).df == pytest.approx(10)
    assert between_batches(one, one).p == pytest.approx(1.0)


def test_two_different_batches_are_told_apart() -> None:
    found = between_batches(batch(-0.01, 1), batch(-0.03, 2))

    assert found.excludes_no_difference
    assert "These two batches differ" in found.text


def test_batches_without_scatter_are_compared_exactly() -> None:
    a = fit_drift([0.0, 1.0, 2.0], [5.0, 4.0, 3.0])
    b = fit_drift([0.0, 1.0, 2.0], [5.0, 4.5, 4.0])
    assert isinstance(a, Drift)
    assert isinstance(b, Drift)

    assert between_batches(a, b).p == 0
    assert between_batches(a, a).p == 1


# Version against version


def test_the_batch_is_the_unit_of_a_comparison_of_versions() -> None:
    # Independent route: Welch's interval by the library.
    old = [batch(-0.010, 1), batch(-0.012, 2), batch(-0.011, 3)]
    new = [batch(-0.020, 4), batch(-0.024, 5)]
    found = contrast(between_versions(old, new))
    test = stats.ttest_ind(
        [d.slope for d in old], [d.slope for d in new], equal_var=False
    )
    interval = test.confidence_interval(0.95)

    assert found.kind == "versions"
    assert found.interval == pytest.approx((interval.low, interval.high))
    assert found.p == pytest.approx(test.pvalue)


def test_one_batch_each_is_a_comparison_of_two_batches() -> None:
    found = contrast(between_versions([batch(-0.01, 1)], [batch(-0.03, 2)]))

    assert found.kind == "batches"
    assert "These two batches differ" in found.text


def test_one_batch_against_two_is_refused() -> None:
    result = between_versions([batch(-0.01, 1)], [batch(-0.03, 2), batch(-0.03, 3)])

    assert isinstance(result, NoFit)
    assert result.code == "too-few-batches"


def test_versions_whose_batches_agree_exactly_are_compared() -> None:
    one, other = batch(-0.01, 1), batch(-0.03, 2)
    found = contrast(between_versions([one, one], [other, other]))

    assert found.p == 0


def test_different_scales_break_the_contract() -> None:
    logs = fit_drift(AGES, [5.5] * 7, scale="ln")
    assert isinstance(logs, Drift)

    with pytest.raises(ValueError, match="scales"):
        between_batches(batch(-0.01, 1), logs)
    with pytest.raises(ValueError, match="scales"):
        between_versions([batch(-0.01, 1)] * 2, [logs, logs])


def test_chance_findings_are_counted_beside_those_found() -> None:
    count = chance_count("slopes", [0.01, 0.04, 0.5, *[0.9] * 37])

    assert (count.made, count.found) == (40, 2)
    assert count.expected == pytest.approx(2.0)
    assert "chance alone would show about 2.0" in count.text
