"""Whether batches may share a line."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.regression.linear_model import OLS

from stability.model.estimate import Drift
from stability.statistics.drift import fit_drift
from stability.statistics.pooling import pool

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0]


def drifts_of(*batches: tuple[float, float, int]) -> dict[str, Drift]:
    """Return batches of (start, slope, seed) with a scatter of 0.03."""
    found = {}
    for number, (start, slope, seed) in enumerate(batches):
        scatter = np.random.default_rng(seed).normal(0, 0.03, 6)
        values = [start + slope * t + e for t, e in zip(AGES, scatter, strict=True)]
        drift = fit_drift(AGES, values)
        assert isinstance(drift, Drift)
        found[f"B{number}"] = drift
    return found


def test_both_tests_agree_with_nested_models() -> None:
    # Independent route: sums of squares of three fits of all points at once.
    drifts = drifts_of((5.5, -0.02, 1), (5.52, -0.021, 2), (5.6, -0.019, 3))
    t, y = np.tile(AGES, 3), np.concatenate([d.values for d in drifts.values()])
    group = np.repeat(np.eye(3), 6, axis=0)
    designs = (
        np.column_stack((group, group * t[:, np.newaxis])),
        np.column_stack((group, t)),
        np.column_stack((np.ones_like(t), t)),
    )
    separate, common, one = (OLS(y, x).fit(method="qr").ssr for x in designs)
    pooling = pool(drifts)

    assert pooling.sse_separate == pytest.approx(separate)
    assert pooling.sse_common == pytest.approx(common)
    assert pooling.sse_one == pytest.approx(one)
    slopes, intercepts = pooling.tests
    assert slopes.f == pytest.approx((common - separate) / 2 / (separate / 12))
    assert intercepts.f == pytest.approx((one - common) / 2 / (separate / 12))


def test_the_common_slope_model_agrees_with_a_fit_at_once() -> None:
    drifts = drifts_of((5.5, -0.02, 1), (5.7, -0.02, 2))
    pooling = pool(drifts)
    t, y = np.tile(AGES, 2), np.concatenate([d.values for d in drifts.values()])
    design = np.column_stack((np.repeat(np.eye(2), 6, axis=0), t))
    fit = OLS(y, design).fit(method="qr")
    assert pooling.model == "common slope"

    for place, (_, line) in enumerate(pooling.lines):
        at_24 = np.array([float(place == 0), float(place == 1), 24.0])
        error = float(np.sqrt(at_24 @ fit.cov_params() @ at_24))
        half = (24 - line.mean_age) ** 2 / line.sxx
        assert line.intercept == pytest.approx(fit.params[place])
        assert line.slope == pytest.approx(fit.params[2])
        assert line.df == fit.df_resid == 12 - 2 - 1
        assert line.s_used * (1 / line.n + half) ** 0.5 == pytest.approx(error)


def test_separate_lines_take_the_pooled_mean_square() -> None:
    drifts = drifts_of((5.5, -0.02, 1), (5.5, -0.06, 2))
    pooling = pool(drifts)
    pooled = (sum(d.s**2 * d.df for d in drifts.values()) / 8) ** 0.5

    assert pooling.model == "separate lines"
    for batch, line in pooling.lines:
        assert line.s_used == pytest.approx(pooled)
        assert line.df == 8
        assert line.slope == drifts[batch].slope


def test_batches_alike_to_the_last_digit_share_one_line() -> None:
    drift = fit_drift(AGES, [5.5] * 6, resolution=0.01)
    assert isinstance(drift, Drift)
    pooling = pool({"A": drift, "B": drift})

    assert [test.p for test in pooling.tests] == [1.0, 1.0]
    assert pooling.model == "one line"
    assert pooling.lines[0][1].s_used == 0.005


def test_steady_batches_at_different_levels_keep_their_starts() -> None:
    a = fit_drift(AGES, [5.50] * 6, resolution=0.01)
    b = fit_drift(AGES, [5.51] * 6, resolution=0.01)
    assert isinstance(a, Drift)
    assert isinstance(b, Drift)
    pooling = pool({"A": a, "B": b})

    assert pooling.model == "common slope"
    assert pooling.tests[1].f is None
    assert pooling.tests[1].p == 0.0
    assert [line.intercept for _, line in pooling.lines] == pytest.approx([5.50, 5.51])


def test_the_coarser_resolution_holds_for_the_pooled_scatter() -> None:
    fine = fit_drift(AGES, [5.50] * 6, resolution=0.01)
    coarse = fit_drift(AGES, [5.50] * 6, resolution=0.1)
    assert isinstance(fine, Drift)
    assert isinstance(coarse, Drift)

    for drifts in ({"A": fine, "B": coarse}, {"A": coarse, "B": fine}):
        assert [line.s_used for _, line in pool(drifts).lines] == [0.05, 0.05]


@given(st.permutations(["B0", "B1", "B2"]))
def test_the_order_of_batches_does_not_matter(order: list[str]) -> None:
    drifts = drifts_of((5.5, -0.02, 1), (5.52, -0.021, 2), (5.6, -0.019, 3))
    plain = pool(drifts)
    shuffled = pool({name: drifts[name] for name in order})

    assert shuffled.model == plain.model
    assert [test.p for test in shuffled.tests] == pytest.approx(
        [test.p for test in plain.tests]
    )


def test_the_choice_prints_how_often_pooling_overstates() -> None:
    assert "19 %" in pool(drifts_of((5.5, -0.02, 1), (5.5, -0.021, 2))).text


def test_one_batch_or_two_scales_break_the_contract() -> None:
    drifts = drifts_of((5.5, -0.02, 1))
    logs = fit_drift(AGES, [5.5] * 6, scale="ln")
    assert isinstance(logs, Drift)

    with pytest.raises(ValueError, match="two batches"):
        pool(drifts)
    with pytest.raises(ValueError, match="different scales"):
        pool({**drifts, "ln": logs})
