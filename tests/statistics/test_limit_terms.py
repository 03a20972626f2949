"""A line and its bounds in the terms of a limit, held against three other routes.

Published: the lidocaine cream's pH, Eur. J. Hosp. Pharm. 27(3):162-167 (2018),
PMC7223286, Table 2, as readings; limits and lines here are ours.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import assume, given
from hypothesis import strategies as st

from stability.model.estimate import Bound, Line, NoFit, Side, Terms, back
from stability.model.shelf_life import Crossing
from stability.statistics.crossing import crossing
from stability.statistics.limit_terms import Band, band_in_terms
from stability.statistics.line import closed_line
from stability.statistics.quantiles import t_one_sided

CREAM_MONTHS = [day / 30.4375 for day in (0, 7, 15, 30, 90, 180)]
CREAM_PH = [4.79, 4.87, 4.9, 5.02, 5.2, 5.5]
SIDES: st.SearchStrategy[Side] = st.sampled_from(["lower", "upper"])
TERMS: st.SearchStrategy[Terms] = st.sampled_from(["absolute", "change", "share"])


def band(line: Line, terms: Terms, ages: list[float], multiplier: float) -> Band:
    """Draw a line, and insist on it."""
    drawn = band_in_terms(line, terms, ages, multiplier)
    assert not isinstance(drawn, NoFit)
    return drawn


@st.composite
def lines(draw: st.DrawFn) -> Line:
    """Return a line of a study, on either scale."""
    months = draw(st.lists(st.integers(0, 36), min_size=4, max_size=9, unique=True))
    start, rate = draw(st.floats(20.0, 200.0)), draw(st.floats(-0.02, 0.02))
    scatter = draw(st.floats(0.0005, 0.05))
    ages = sorted(float(one) for one in months)
    values = [
        start * (math.exp(rate * age) + scatter * (-1) ** at)
        for at, age in enumerate(ages)
    ]
    return closed_line(ages, values, scale=draw(st.sampled_from(["linear", "ln"])))


@given(lines(), TERMS, SIDES, st.floats(0.02, 0.4))
def test_a_drawn_bound_meets_its_limit_at_the_crossing(
    line: Line, terms: Terms, side: Side, away: float
) -> None:
    start = back(line.intercept, line.scale)
    share = 1 - away if side == "lower" else 1 + away
    amounts: dict[Terms, float] = {
        "absolute": start * share,
        "change": start * (share - 1),
        "share": share,
    }
    bound = Bound(terms, side, amounts[terms])
    met = crossing(line, bound, two_sided=False)
    assume(isinstance(met, Crossing) and 0.01 < (met.months or 0.0) < 2000)
    assert isinstance(met, Crossing)
    drawn = band_in_terms(line, terms, [met.months or 0.0], met.multiplier)
    # A start that cannot be told from 0 has no share; the crossing may still stand.
    assume(not isinstance(drawn, NoFit))
    assert not isinstance(drawn, NoFit)

    edge = drawn[1] if side == "lower" else drawn[2]

    assert float(edge[0]) == pytest.approx(bound.amount, rel=1e-5, abs=1e-5 * start)


def test_the_bound_of_a_value_is_that_of_another_program() -> None:
    line = closed_line(CREAM_MONTHS, CREAM_PH)
    ages = [0.0, 3.0, 12.0]

    drawn, lower, upper = band(line, "absolute", ages, t_one_sided(0.95, line.df))

    fit = sm.OLS(CREAM_PH, sm.add_constant(CREAM_MONTHS)).fit()
    frame = fit.get_prediction(sm.add_constant(ages)).summary_frame(alpha=0.10)
    assert drawn == pytest.approx(frame["mean"].to_numpy(), abs=1e-9)
    assert lower == pytest.approx(frame["mean_ci_lower"].to_numpy(), abs=1e-9)
    assert upper == pytest.approx(frame["mean_ci_upper"].to_numpy(), abs=1e-9)


def test_the_bound_of_a_change_is_that_of_the_slope_by_another_program() -> None:
    line = closed_line(CREAM_MONTHS, CREAM_PH)

    drawn, lower, upper = band(line, "change", [10.0], t_one_sided(0.95, line.df))

    fit = sm.OLS(CREAM_PH, sm.add_constant(CREAM_MONTHS)).fit()
    low, high = fit.conf_int(alpha=0.10)[1]
    assert (drawn[0], lower[0], upper[0]) == pytest.approx(
        (10 * fit.params[1], 10 * low, 10 * high), abs=1e-9
    )


def test_the_bounds_of_a_share_hold_it_as_often_as_they_say() -> None:
    # A simulation: 90 % two-sided for the share left at 24 months, 4,000 studies.
    ages = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0]
    generator = np.random.default_rng(20260930)
    truth = 1 - 0.6 * 24 / 100
    held = 0
    for _ in range(4000):
        noise = generator.normal(0, 4, len(ages))
        values = [100 - 0.6 * age + e for age, e in zip(ages, noise, strict=True)]
        line = closed_line(ages, values)
        _, lower, upper = band(line, "share", [24.0], t_one_sided(0.95, line.df))
        held += bool(lower[0] <= truth <= upper[0])

    # 0.9 with a standard error of 0.0047
    assert held / 4000 == pytest.approx(0.9, abs=0.015)


def test_without_scatter_every_bound_is_the_line() -> None:
    exact = closed_line([0, 6, 12], [100.0, 97.0, 94.0])

    values: dict[Terms, float] = {"absolute": 88.0, "change": -12.0, "share": 0.88}
    for terms, value in values.items():
        drawn = band(exact, terms, [24.0], 3.0)
        assert [float(one[0]) for one in drawn] == pytest.approx([value] * 3, rel=1e-9)


def test_terms_that_say_nothing_of_a_line_are_refused() -> None:
    decay = closed_line([0, 6, 12], [100.0, 90.0, 81.0], scale="ln")
    vague = closed_line([0, 6, 12], [1.0, 30.0, -20.0])

    change = band_in_terms(decay, "change", [1.0], 2.0)
    share = band_in_terms(vague, "share", [1.0], 12.0)

    assert isinstance(change, NoFit)
    assert isinstance(share, NoFit)
    assert (change.code, share.code) == ("change-on-ln", "start-not-told-from-0")
