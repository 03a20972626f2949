"""Differences of drifts: pair by pair, of two lines, of the batches of versions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from stability.model.contrast import Contrast
from stability.model.estimate import Drift, NoFit
from stability.statistics.comparison import (
    against_control,
    between_slopes,
    between_versions,
    chance_count,
)
from stability.statistics.drift import fit_drift
from stability.statistics.line import closed_line

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]


def batch(slope: float, seed: int, scatter: float = 0.02) -> Drift:
    """Return the drift of a batch."""
    rng = np.random.default_rng(seed)
    drift = fit_drift(AGES, [5.5 + slope * t + rng.normal(0, scatter) for t in AGES])
    assert isinstance(drift, Drift)
    return drift


#: Whose slope, error and df a simulation takes the place of.
ANY = batch(-0.01, 1)


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
    found = between_slopes(quiet, noisy)
    a, b = quiet.slope_error**2, noisy.slope_error**2

    assert found.error == pytest.approx((a + b) ** 0.5)
    assert found.df == pytest.approx((a + b) ** 2 / (a * a / 5 + b * b / 5))
    assert 5 <= found.df < 6


def test_alike_batches_have_all_their_freedom() -> None:
    one = batch(-0.01, 1)

    assert between_slopes(one, one).df == pytest.approx(10)
    assert between_slopes(one, one).p == pytest.approx(1.0)


def test_two_different_batches_are_told_apart() -> None:
    found = between_slopes(batch(-0.01, 1), batch(-0.03, 2))

    assert found.excludes_no_difference


def test_batches_without_scatter_are_compared_exactly() -> None:
    a = fit_drift([0.0, 1.0, 2.0], [5.0, 4.0, 3.0])
    b = fit_drift([0.0, 1.0, 2.0], [5.0, 4.5, 4.0])
    assert isinstance(a, Drift)
    assert isinstance(b, Drift)

    assert between_slopes(a, b).p == 0
    assert between_slopes(a, a).p == 1


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

    assert found.method == "slopes of batches"
    assert found.interval == pytest.approx((interval.low, interval.high))
    assert found.p == pytest.approx(test.pvalue)


def test_one_batch_each_is_a_comparison_of_two_batches() -> None:
    found = contrast(between_versions([batch(-0.01, 1)], [batch(-0.03, 2)]))

    assert found.method == "two slopes"


def test_one_batch_against_two_is_refused() -> None:
    result = between_versions([batch(-0.01, 1)], [batch(-0.03, 2), batch(-0.03, 3)])

    assert isinstance(result, NoFit)
    assert result.code == "too-few-batches"


def test_versions_whose_batches_agree_exactly_are_compared() -> None:
    one, other = batch(-0.01, 1), batch(-0.03, 2)
    found = contrast(between_versions([one, one], [other, other]))

    assert found.p == 0


def test_versions_whose_readings_agree_are_no_surer_than_their_resolution() -> None:
    # All batches of a version read alike to 0.01: slopes agree exactly, and one step
    # more or less at the end tells nothing.
    old = fit_drift(AGES, [5.5] * 7, resolution=0.01)
    new = fit_drift(AGES, [5.5] * 6 + [5.49], resolution=0.01)
    assert isinstance(old, Drift)
    assert isinstance(new, Drift)
    found = contrast(between_versions([old] * 2, [new] * 2))

    assert found.error > 0
    assert not found.excludes_no_difference


def test_different_scales_break_the_contract() -> None:
    logs = fit_drift(AGES, [5.5] * 7, scale="ln")
    assert isinstance(logs, Drift)

    with pytest.raises(ValueError, match="scales"):
        between_slopes(batch(-0.01, 1), logs)
    with pytest.raises(ValueError, match="scales"):
        between_versions([batch(-0.01, 1)] * 2, [logs, logs])


def test_chance_findings_are_counted_beside_those_found() -> None:
    count = chance_count("slopes", [0.01, 0.04, 0.5, *[0.9] * 37])

    assert (count.made, count.found) == (40, 2)
    assert count.expected == pytest.approx(2.0)
    assert "chance alone would show about 2.0" in count.text


# False differences, by simulation with fixed seeds: at most 5 % were promised.

STUDIES = 2000
#: Three standard errors of a share of 5 % among so many studies.
CHANCE = 3 * (0.05 * 0.95 / STUDIES) ** 0.5


def plain(ages: NDArray[np.float64], values: NDArray[np.float64]) -> Drift:
    """Return a drift of which only what a comparison reads is its own."""
    line = closed_line(list(ages), list(values))
    error = line.s_used / line.sxx**0.5
    return replace(ANY, slope=line.slope, slope_error=error, df=line.df)


@pytest.mark.parametrize("n", [4, 5, 7])
def test_pairs_of_alike_drifts_are_told_apart_in_five_per_cent(n: int) -> None:
    rng = np.random.default_rng(20 + n)
    ages = np.array(AGES[:n])
    found = 0
    for _ in range(STUDIES):
        common = 5.5 - 0.02 * ages + rng.normal(0, 0.05, n)
        one, other = (common + rng.normal(0, 0.02, n) for _ in range(2))
        other[0] = one[0]
        result = contrast(against_control(list(ages), list(one), list(other)))
        found += result.excludes_no_difference

    assert abs(found / STUDIES - 0.05) < CHANCE


@pytest.mark.parametrize("step", [0.01, 0.05])
def test_rounding_makes_no_false_difference_of_pairs(step: float) -> None:
    rng = np.random.default_rng(9)
    ages = np.array(AGES)
    found = 0
    for _ in range(STUDIES):
        start, other = rng.uniform(5, 5.5, 2)
        drift = -0.02 * rng.uniform() * ages
        one, two = (np.round((each + drift) / step) * step for each in (start, other))
        result = against_control(
            list(ages), list(one), list(two), resolution=step, shared_start=False
        )
        found += contrast(result).excludes_no_difference

    assert found / STUDIES < 0.05 + CHANCE


@pytest.mark.parametrize(
    ("checks", "scatters", "lowest"),
    [
        ((7, 7), (0.02, 0.02), 0.03),
        ((5, 7), (0.02, 0.06), 0.03),
        ((5, 5), (0.02, 0.06), 0.03),
        # Three and four checks: never above 5 %, and far below where both are short.
        ((4, 7), (0.06, 0.02), 0.0),
        ((3, 7), (0.02, 0.02), 0.0),
        ((3, 3), (0.02, 0.06), 0.0),
    ],
)
def test_alike_slopes_are_told_apart_in_at_most_five_per_cent(
    checks: tuple[int, int], scatters: tuple[float, float], lowest: float
) -> None:
    rng = np.random.default_rng(sum(checks))
    found = 0
    for _ in range(STUDIES):
        lines = []
        for n, scatter in zip(checks, scatters, strict=True):
            ages = np.array(AGES[:n])
            values = 5.5 - 0.02 * ages + rng.normal(0, scatter, n)
            lines.append(plain(ages, values))
        found += between_slopes(*lines).excludes_no_difference

    # Satterthwaite's approximation itself reaches 6 % where scatters differ threefold.
    assert lowest <= found / STUDIES < 0.06 + CHANCE


def test_a_shared_t0_or_day_makes_a_difference_of_slopes_no_surer() -> None:
    rng = np.random.default_rng(3)
    ages = np.array(AGES)
    found = 0
    for _ in range(STUDIES):
        day = rng.normal(0, 0.02, 7)
        one, other = (5.5 + day + rng.normal(0, 0.01, 7) for _ in range(2))
        other[0] = one[0]
        result = between_slopes(plain(ages, one), plain(ages, other))
        found += result.excludes_no_difference

    assert found / STUDIES < 0.05


@pytest.mark.parametrize("batches", [(2, 2), (3, 3), (2, 4)])
def test_alike_versions_are_told_apart_in_about_five_per_cent(
    batches: tuple[int, int],
) -> None:
    # Batches differ among themselves by more than their lines are sure.
    rng = np.random.default_rng(sum(batches))
    ages = np.array(AGES)
    found = 0
    for _ in range(STUDIES):
        versions = [
            [
                plain(ages, rng.normal(-0.02, 0.01) * ages + rng.normal(0, 0.02, 7))
                for _ in range(count)
            ]
            for count in batches
        ]
        found += contrast(between_versions(*versions)).excludes_no_difference

    assert found / STUDIES < 0.05 + CHANCE


# Difference of slopes by other routes


def test_a_difference_of_long_lines_is_that_of_welch() -> None:
    # Independent route: Welch's test from the errors of the slopes, each as the mean
    # of df + 1 values.
    one, other = batch(-0.01, 1, 0.01), batch(-0.03, 2, 0.05)
    found = between_slopes(one, other)
    sizes = one.df + 1, other.df + 1
    test = stats.ttest_ind_from_stats(
        one.slope, one.slope_error * sizes[0] ** 0.5, sizes[0],
        other.slope, other.slope_error * sizes[1] ** 0.5, sizes[1], equal_var=False,
    )  # fmt: skip

    assert found.p == pytest.approx(test.pvalue)
    assert found.excludes_no_difference == (test.pvalue < 0.05)


def test_a_line_of_four_checks_brings_its_own_freedom() -> None:
    short = fit_drift(AGES[:4], [5.50, 5.46, 5.41, 5.40])
    assert isinstance(short, Drift)
    found = between_slopes(short, batch(-0.01, 1))

    assert found.df == 2
    half = found.interval[1] - found.difference
    assert half / found.error == pytest.approx(4.3027, abs=1e-4)  # t 0.975, 2 df
