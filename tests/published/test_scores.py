"""Trends of scores and times of failure of known answer.

M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods, 1973, p. 187. US EPA
QA/G-9S, 2006, p. 109. Wisconsin NR 746, appendix A, 2013. R. O. Gilbert, 1987. US EPA
Unified Guidance, 2009, example 17-7. R. G. Miller, Survival Analysis, 1981. D. M.
Finkelstein and R. A. Wolfe, Biometrics 41:933-945, 1985.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.model.scores import FailureInterval
from stability.statistics.failure_times import failure_steps
from stability.statistics.scores import score_trend

Rows = Callable[[str], list[dict[str, str]]]


def test_tuna_scores() -> None:
    # Hollander & Wolfe 1973, p. 187; printed by base R: T 26, tau 0.4444444, two-sided
    # p 0.1194.
    x = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1]
    y = [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8]
    ranks = [sorted(y).index(value) for value in y]
    trend = score_trend(x, ranks)

    assert (trend.s + 36) // 2 == 26
    assert trend.tau_b == pytest.approx(0.4444444, abs=5e-8)
    assert trend.p == pytest.approx(0.1194 / 2, abs=5e-5)


@pytest.mark.parametrize(
    ("values", "s"),
    [
        # US EPA QA/G-9S, p. 109.
        ([10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15], 22),
        # Wisconsin NR 746, appendix A, Table A.
        ([100, 50, 85, 75, 50], -5),
        # Gilbert 1987, from memory.
        ([10, 15, 14, 20], 4),
    ],
)
def test_pairs_that_agree(values: list[int], s: int) -> None:
    assert score_trend(range(len(values)), values).s == s


def test_sodium_against_year() -> None:
    # US EPA Unified Guidance, example 17-7.
    years = [89.6, 90.1, 90.8, 91.1, 92.1, 93.1, 94.1, 95.6, 96.1, 96.3]
    sodium = [56, 53, 51, 55, 52, 60, 62, 59, 61, 63]

    assert score_trend(years, sodium).tau_b == pytest.approx(0.5555556, abs=5e-8)


def test_remission_times_as_exact_intervals() -> None:
    # Miller 1981, maintained arm, from memory: Kaplan-Meier survival.
    times = [9, 13, 13, 18, 23, 28, 31, 34, 45, 48, 161]
    failed = [1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 0]
    survival = {9: 0.9091, 13: 0.8182, 18: 0.7159, 23: 0.6136, 31: 0.4909}
    survival |= {34: 0.3682, 48: 0.1841}
    steps = failure_steps(
        [
            FailureInterval(
                str(i), t - 0.001 if ended else float(t), t if ended else None
            )
            for i, (t, ended) in enumerate(zip(times, failed, strict=True))
        ]
    )
    left, found = 1.0, {}
    for step in steps:
        left -= step.share
        if step.until is not None:
            found[int(step.until)] = left

    assert found == pytest.approx(survival, abs=5e-5)


def test_times_known_only_between_looks(rows: Rows) -> None:
    # Finkelstein & Wolfe 1985, radiotherapy arm; masses from memory.
    steps = failure_steps(
        [
            FailureInterval(
                str(i),
                float(row["left_months"]),
                float(row["right_months"]) if row["right_months"] else None,
            )
            for i, row in enumerate(rows("breast_cosmesis_rt.csv"))
        ]
    )
    printed = {
        (4.0, 5.0): 0.0463,
        (6.0, 7.0): 0.0334,
        (7.0, 8.0): 0.0887,
        (11.0, 12.0): 0.0708,
        (24.0, 25.0): 0.0926,
        (33.0, 34.0): 0.0818,
        (38.0, 40.0): 0.1209,
        (46.0, 48.0): 0.4656,
    }
    found = {(step.after, step.until or 48.0): step.share for step in steps}

    assert found == pytest.approx(printed, abs=2e-4)
