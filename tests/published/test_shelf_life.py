"""Shelf lives of known answer.

R. L. Obenchain, 1990, simulated drug stability, three batches, in SAS sample library
MIXEX5. J. Shao and S.-C. Chow, Biometrics 50(3):753-763, 1994, tablets in bottles.
Lidocaine cream, Eur. J. Hosp. Pharm. 27(3):162-167, 2018. Invented examples E1 to E4.
No shelf life was printed at these sources: all computed, two programs.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.model.estimate import Bound, Drift, Line, NoFit
from stability.model.shelf_life import Crossing, Pooling, ShelfLife
from stability.statistics.cap import extrapolation_cap
from stability.statistics.crossing import crossing
from stability.statistics.drift import fit_drift
from stability.statistics.fit_checks import line_without_last
from stability.statistics.line import closed_line, mean_bound, prediction_interval
from stability.statistics.pooling import pool
from stability.statistics.shelf_life import shelf_life

Points = dict[str, tuple[list[float], list[float]]]
Series = Callable[[str, str, str, str], Points]

LOWER_90 = Bound("absolute", "lower", 90.0)
LOWER_5 = Bound("absolute", "lower", 5.0)


def drifts_of(points: Points, *batches: str) -> dict[str, Drift]:
    """Fit the batches named, or all."""
    found = {}
    for batch in batches or points:
        drift = fit_drift(*points[batch])
        assert isinstance(drift, Drift)
        found[batch] = drift
    return found


def months(line: Line | Drift, bound: Bound, *, two_sided: bool = False) -> float:
    """Return a crossing, and insist on it."""
    result = crossing(line, bound, two_sided=two_sided)
    assert isinstance(result, Crossing)
    assert result.outcome == "crossing"
    assert result.months is not None
    return result.months


def separate_lines(pooling: Pooling, drifts: dict[str, Drift]) -> dict[str, Line]:
    """Return every batch's own line with the pooled mean square."""
    df = pooling.n - 2 * len(drifts)
    s = (pooling.sse_separate / df) ** 0.5
    return {
        batch: Line(d.n, df, d.intercept, d.slope, s, d.mean_age, d.sxx)
        for batch, d in drifts.items()
    }


# Obenchain


@pytest.fixture(scope="module")
def obenchain(series: Series) -> dict[str, Drift]:
    """Return the drifts of three batches."""
    return drifts_of(series("obenchain_drug_stability.csv", "batch", "month", "y"))


def test_obenchain_batches_are_not_poolable(obenchain: dict[str, Drift]) -> None:
    pooling = pool(obenchain)

    assert pooling.sse_separate == pytest.approx(256.87225533, rel=1e-9)
    assert pooling.sse_common == pytest.approx(307.29270660, rel=1e-9)
    assert pooling.sse_one == pytest.approx(364.87580184, rel=1e-9)
    slopes = pooling.tests[0]
    assert slopes.f == pytest.approx(7.655158, abs=1e-6)
    assert slopes.p == pytest.approx(0.00092137, abs=1e-8)
    assert (slopes.df_top, slopes.df_bottom) == (2, 78)
    assert pooling.model == "separate lines"
    assert len(pooling.tests) == 1


OBENCHAIN = {
    "1": (24.545931, 24.627745, 23.598609, 23.645754),
    "2": (15.556672, 15.172560, 15.250120, 14.798785),
    "3": (24.338316, 25.264139, 23.539623, 24.536898),
}


@pytest.mark.parametrize("batch", OBENCHAIN)
def test_obenchain_shelf_lives(obenchain: dict[str, Drift], batch: str) -> None:
    pooled = dict(pool(obenchain).lines)[batch]
    own = obenchain[batch]
    computed = [
        months(line, LOWER_90, two_sided=two)
        for two in (False, True)
        for line in (pooled, own)
    ]

    assert computed == pytest.approx(OBENCHAIN[batch], abs=1e-4)


def test_obenchain_own_lines(obenchain: dict[str, Drift]) -> None:
    found = {batch: (d.intercept, d.slope, d.s) for batch, d in obenchain.items()}

    assert found["1"] == pytest.approx((101.422117, -0.36499516, 1.742633), abs=1e-6)
    assert found["2"] == pytest.approx((103.208987, -0.75913275, 2.208790), abs=1e-6)
    assert found["3"] == pytest.approx((103.480305, -0.45370640, 1.401492), abs=1e-6)


@pytest.mark.parametrize(
    ("direction", "own", "pooled"),
    [("decreasing", 15.172560, 15.556672), ("either", 14.798785, 15.250120)],
)
def test_obenchain_both_estimates_are_governed_by_batch_2(
    obenchain: dict[str, Drift], direction: str, own: float, pooled: float
) -> None:
    life = shelf_life(obenchain, [LOWER_90], direction=direction)  # type: ignore[arg-type]  # from the table
    assert isinstance(life, ShelfLife)
    assert life.pooled is not None

    assert life.batch_by_batch.months == pytest.approx(own, abs=1e-4)
    assert life.batch_by_batch.governing.batch == "2"
    assert life.pooled.months == pytest.approx(pooled, abs=1e-4)
    assert life.pooled.governing.batch == "2"
    assert life.carrying is life.batch_by_batch


def test_obenchain_wrongly_pooled(obenchain: dict[str, Drift]) -> None:
    one = closed_line(
        [age for d in obenchain.values() for age in d.ages],
        [value for d in obenchain.values() for value in d.values],
    )

    assert months(one, LOWER_90) == pytest.approx(21.483530, abs=1e-4)


# Shao and Chow


@pytest.fixture(scope="module")
def tablets(series: Series) -> Points:
    """Return ages and assays of five batches."""
    return series("shao_chow_tablets_bottle.csv", "batch", "months", "assay")


def lives(points: Points, *batches: str) -> ShelfLife:
    """Estimate batches against 90 %, falling."""
    drifts = drifts_of(points, *batches)
    life = shelf_life(drifts, [LOWER_90], direction="decreasing")
    assert isinstance(life, ShelfLife)
    return life


def each(life: ShelfLife, method: str) -> list[float | None]:
    """Return the life of each batch."""
    estimate = life.pooled if method == "pooled" else life.batch_by_batch
    assert estimate is not None
    return [batch.months for batch in estimate.batches]


def test_five_batches_are_not_poolable(tablets: Points) -> None:
    life = lives(tablets)
    assert life.pooling is not None
    slopes = life.pooling.tests[0]

    assert slopes.f == pytest.approx(4.362734, abs=1e-6)
    assert (slopes.df_top, slopes.df_bottom) == (4, 20)
    assert slopes.p == pytest.approx(0.010677, abs=1e-5)
    assert each(life, "pooled") == pytest.approx(
        [28.532384, 36.262605, 47.696699, 49.313147, 28.933008], abs=1e-4
    )
    assert each(life, "own") == pytest.approx(
        [27.461088, 33.453705, 41.159917, 51.425413, 28.357523], abs=1e-4
    )


def test_three_poolable_batches(tablets: Points) -> None:
    life = lives(tablets, "2", "3", "4")
    assert life.pooling is not None
    assert life.pooled is not None
    slopes, intercepts = life.pooling.tests
    line = life.pooled.governing.line

    assert slopes.p == pytest.approx(0.335523, abs=1e-5)
    assert intercepts.p == pytest.approx(0.263364, abs=1e-5)
    assert life.pooling.model == "one line"
    assert line.intercept == pytest.approx(102.562857, abs=1e-6)
    assert line.slope == pytest.approx(-0.193968, abs=1e-6)
    assert line.s_used == pytest.approx(1.047463, abs=1e-6)
    assert line.df == 16
    assert life.pooled.months == pytest.approx(49.151277, abs=1e-4)
    two_sided = months(line, LOWER_90, two_sided=True)
    assert two_sided == pytest.approx(46.845919, abs=1e-4)


def test_batches_between_the_levels_005_and_025_are_not_pooled(tablets: Points) -> None:
    life = lives(tablets, "1", "2", "5")
    assert life.pooling is not None
    assert life.pooled is not None

    assert life.pooling.tests[0].p == pytest.approx(0.226808, abs=1e-5)
    assert life.pooling.model == "separate lines"
    assert each(life, "pooled") == pytest.approx(
        [28.332204, 35.895970, 28.735717], abs=1e-4
    )
    assert life.pooled.months == pytest.approx(28.332204, abs=1e-4)
    assert life.batch_by_batch.months == pytest.approx(27.461088, abs=1e-4)


def test_an_estimate_beyond_the_cap_is_capped(tablets: Points) -> None:
    life = lives(tablets, "2", "3", "4")
    assert life.pooled is not None
    assert life.pooled.months is not None

    assert min(life.pooled.months, extrapolation_cap(18).months) == 30


# A cream


def test_cream_reaches_ph_6() -> None:
    days = [0.0, 7.0, 15.0, 30.0, 90.0, 180.0]
    line = closed_line(days, [4.79, 4.87, 4.9, 5.02, 5.2, 5.5])
    upper = Bound("absolute", "upper", 6.0)

    assert months(line, upper) == pytest.approx(272.4009, rel=1e-6)
    assert months(line, upper, two_sided=True) == pytest.approx(263.2337, rel=1e-6)


# Invented examples


@pytest.fixture(scope="module")
def examples(series: Series) -> dict[str, Line]:
    """Return the lines of E1, E2 and E3."""
    points = series("shelf_life_examples.csv", "example", "age", "value")
    return {name: closed_line(*points[name]) for name in ("E1", "E2", "E3")}


def test_e1_falling_ph(examples: dict[str, Line]) -> None:
    line = examples["E1"]

    assert line.intercept == pytest.approx(5.5017105, abs=5e-8)
    assert line.slope == pytest.approx(-0.02733254, abs=5e-9)
    assert line.s_used == pytest.approx(0.00802061, abs=5e-9)
    assert months(line, LOWER_5) == pytest.approx(17.6225, abs=5e-5)
    assert months(line, LOWER_5, two_sided=True) == pytest.approx(17.4328, abs=5e-5)
    assert mean_bound(line, [12, 24], "lower") == pytest.approx(
        [5.1613341, 4.8165612], abs=5e-8
    )
    assert extrapolation_cap(12).months == 24
    assert int(min(17.6225, extrapolation_cap(12).months)) == 17


def test_e1_prediction_limits_would_give_another_life(
    examples: dict[str, Line],
) -> None:
    # The one-sided 95 % prediction limit meets 5.0 at 17.4218, not the rule of Q1E.
    lower, _ = prediction_interval(examples["E1"], [17.4218], confidence=0.90)

    assert float(lower[0]) == pytest.approx(5.0, abs=5e-6)


def test_e2_viscosity_as_a_limit_frozen_at_80(examples: dict[str, Line]) -> None:
    line = examples["E2"]
    frozen = Bound("absolute", "lower", 80.0)
    result = crossing(line, frozen, two_sided=False)
    assert isinstance(result, Crossing)

    assert line.slope == pytest.approx(-1.0269767, abs=5e-8)
    assert line.s_used == pytest.approx(0.81778677, abs=5e-9)
    assert result.fitted_months == pytest.approx(19.4630, abs=5e-5)
    assert result.months == pytest.approx(17.2616, abs=5e-5)


def test_limits_relative_to_initial_are_judged_inside_the_fit(
    examples: dict[str, Line], series: Series
) -> None:
    points = series("shelf_life_examples.csv", "example", "age", "value")
    share = Bound("share", "lower", 0.8)
    change = Bound("change", "lower", -0.5)
    logs = closed_line(*points["E2"], scale="ln")

    assert months(examples["E2"], share) == pytest.approx(16.856124, abs=1e-5)
    assert months(examples["E2"], share, two_sided=True) == pytest.approx(
        16.203944, abs=1e-5
    )
    assert months(logs, share) == pytest.approx(17.695597, abs=1e-5)
    assert months(examples["E1"], change) == pytest.approx(17.354221, abs=1e-5)
    assert months(examples["E1"], change, two_sided=True) == pytest.approx(
        17.112061, abs=1e-5
    )


def test_e3_steady_ph_is_held_by_the_cap(examples: dict[str, Line]) -> None:
    line = examples["E3"]

    assert line.slope == pytest.approx(-0.000334928, abs=5e-10)
    assert months(line, LOWER_5) == pytest.approx(260.27, abs=5e-3)
    assert min(260.27, extrapolation_cap(12).months) == 24


def test_e4_three_batches_with_a_common_slope(series: Series) -> None:
    points = series("shelf_life_examples.csv", "batch", "age", "value")
    life = lives_of_ph(drifts_of(points, "A", "B", "C"))
    assert life.pooling is not None
    assert life.pooled is not None
    slopes, intercepts = life.pooling.tests
    lines = dict(life.pooling.lines)

    assert slopes.f == pytest.approx(0.09711, abs=5e-6)
    assert slopes.p == pytest.approx(0.9082, abs=5e-5)
    assert intercepts.f == pytest.approx(51.352, abs=5e-4)
    assert intercepts.p == pytest.approx(1.3e-6, rel=0.04)
    assert (intercepts.df_top, intercepts.df_bottom) == (2, 12)
    assert life.pooling.model == "common slope"
    assert [line.slope for line in lines.values()] == pytest.approx(
        [-0.017174603] * 3, abs=5e-10
    )
    assert [line.intercept for line in lines.values()] == pytest.approx(
        [5.5223968, 5.5057302, 5.5507302], abs=5e-8
    )
    assert [(line.df, round(line.s_used, 8)) for line in lines.values()] == [
        (14, 0.00725781)
    ] * 3
    assert each(life, "pooled") == pytest.approx([29.7051, 28.7599, 31.3114], abs=5e-5)
    assert life.pooled.governing.batch == "B"
    assert extrapolation_cap(18).months == 30


def lives_of_ph(drifts: dict[str, Drift]) -> ShelfLife:
    """Estimate batches against pH 5, falling."""
    life = shelf_life(drifts, [LOWER_5], direction="decreasing")
    assert isinstance(life, ShelfLife)
    return life


def test_e4_all_on_one_line_would_be_the_wrong_model(series: Series) -> None:
    points = series("shelf_life_examples.csv", "batch", "age", "value")
    one = closed_line(
        [age for name in "ABC" for age in points[name][0]],
        [value for name in "ABC" for value in points[name][1]],
    )

    assert months(one, LOWER_5) == pytest.approx(28.8167, abs=5e-5)


def test_estimates_without_the_last_check_stand_beside(series: Series) -> None:
    points = series("shelf_life_examples.csv", "batch", "age", "value")
    life = lives_of_ph(drifts_of(points, "A", "B", "C"))
    shorter = line_without_last(*points["B"])
    assert shorter is not None

    found = {b.batch: b.months_without_last for b in life.batch_by_batch.batches}
    assert found["B"] == pytest.approx(months(shorter, LOWER_5))
    assert f"B {months(shorter, LOWER_5):.1f} months" in life.batch_by_batch.text


def test_a_batch_without_a_line_is_named_and_not_pooled(series: Series) -> None:
    points = series("shelf_life_examples.csv", "batch", "age", "value")
    drifts = drifts_of(points, "A", "B")
    refused = NoFit("qualified", "a reading with <")
    life = shelf_life({**drifts, "C": refused}, [LOWER_5])
    assert isinstance(life, ShelfLife)

    assert life.pooled is None
    assert life.without_line == (("C", refused),)
