"""Straight lines of known answer.

NIST Statistical Reference Datasets (StRD), Norris, Pontius, NoInt1, Wampler1 (certified
values, 1999). NIST/SEMATECH e-Handbook of Statistical Methods, 2003, sections 4.4.4,
4.5.1 and 4.6.1.5. N. R. Draper and H. Smith, Applied Regression Analysis (steam data).
F. A. Graybill and H. K. Iyer, Regression Analysis, 1994. F. J. Anscombe, "Graphs in
statistical analysis," Am. Stat. 27(1):17-21, 1973.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.linear_model import OLS

from stability.model.estimate import Drift
from stability.statistics.drift import fit_drift
from stability.statistics.fit_checks import carrying_point, leverages, outlying_point
from stability.statistics.line import (
    closed_line,
    fitted,
    mean_bound,
    mean_interval,
    prediction_interval,
)
from stability.statistics.quantiles import t_quantile
from stability.statistics.straightness import curvature, lack_of_fit

Column = Callable[[str, str], list[float]]


def drift_of(ages: list[float], values: list[float]) -> Drift:
    """Fit, and insist on a line."""
    result = fit_drift(ages, values)
    assert isinstance(result, Drift)
    return result


def test_norris(column: Column) -> None:
    # Certified by NIST StRD, Norris.
    drift = drift_of(column("nist_norris.csv", "x"), column("nist_norris.csv", "y"))

    assert drift.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert drift.intercept_error == pytest.approx(0.232818234301152, rel=1e-9)
    assert drift.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert drift.slope_error == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert drift.s == pytest.approx(0.884796396144373, rel=1e-9)
    assert drift.df == 34
    f = (drift.slope / drift.slope_error) ** 2
    assert f == pytest.approx(5436385.54079785, rel=1e-9)


def test_norris_in_closed_form(column: Column) -> None:
    line = closed_line(column("nist_norris.csv", "x"), column("nist_norris.csv", "y"))

    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert line.s_used == pytest.approx(0.884796396144373, rel=1e-9)


def test_pontius_by_the_least_squares_that_drift_uses(column: Column) -> None:
    # Certified by NIST StRD, Pontius; loads scaled by 1e6.
    load = np.array(column("nist_pontius.csv", "load")) / 1e6
    design = np.column_stack((np.ones_like(load), load, load**2))
    fit = OLS(column("nist_pontius.csv", "deflection"), design).fit(method="qr")

    assert fit.params == pytest.approx(
        [0.673565789473684e-3, 0.732059160401003, -0.316081871345029e-2], rel=1e-9
    )
    assert fit.bse == pytest.approx(
        [0.107938612033077e-3, 0.157817399981659e-3, 0.486652849992036e-4], rel=1e-9
    )
    assert fit.mse_resid**0.5 == pytest.approx(0.205177424076185e-3, rel=1e-9)
    assert fit.rsquared == pytest.approx(0.999999900178537, rel=1e-9)


def test_lack_of_fit_of_a_straight_line_on_pontius(column: Column) -> None:
    # NIST/SEMATECH e-Handbook 4.6.1.5; its F carries single-precision error.
    load = column("nist_pontius.csv", "load")
    deflection = column("nist_pontius.csv", "deflection")
    drift = drift_of(load, deflection)
    lack = lack_of_fit(load, deflection)

    assert drift.intercept == pytest.approx(0.614969e-2, rel=1e-5)
    assert drift.intercept_error == pytest.approx(0.7132e-3, rel=1e-4)
    assert drift.slope == pytest.approx(0.722103e-6, rel=1e-5)
    assert drift.slope_error == pytest.approx(0.3969e-9, rel=1e-4)
    assert drift.s == pytest.approx(0.0021712694, rel=1e-5)
    assert lack is not None
    assert lack.f is not None
    assert lack.f == pytest.approx(214.7464, rel=1e-5)
    assert (lack.df_fit, lack.df_replicates) == (18, 20)
    assert lack.p == pytest.approx(stats.f.sf(lack.f, 18, 20))
    assert [caution.code for caution in lack.cautions] == ["lack-of-fit"]


def test_line_through_the_origin_and_quintic(column: Column) -> None:
    # Certified by NIST StRD, NoInt1 and Wampler1.
    x = np.array(column("nist_noint1.csv", "x"))[:, np.newaxis]
    fit = OLS(column("nist_noint1.csv", "y"), x).fit(method="qr")
    t = np.array(column("nist_wampler1.csv", "x"))
    quintic = OLS(
        column("nist_wampler1.csv", "y"), np.column_stack([t**k for k in range(6)])
    ).fit(method="qr")

    assert fit.params[0] == pytest.approx(2.07438016528926, rel=1e-12)
    assert fit.bse[0] == pytest.approx(0.165289256198347e-1, rel=1e-12)
    assert fit.mse_resid**0.5 == pytest.approx(3.56753034006338, rel=1e-12)
    assert fit.rsquared == pytest.approx(0.999365492298663, rel=1e-12)
    assert quintic.params == pytest.approx([1.0] * 6, rel=1e-6)


def test_pressure_against_temperature(column: Column) -> None:
    # NIST/SEMATECH e-Handbook 4.4.4 and 4.5.1, from memory; prediction limits computed,
    # two programs.
    table = "nist_charles_pressure_temperature.csv"
    drift = drift_of(column(table, "temperature"), column(table, "pressure"))
    lower, upper = mean_interval(drift, [25, 45, 65])
    below, above = prediction_interval(drift, [25, 45, 65])

    assert drift.intercept == pytest.approx(7.74899, abs=1e-4)
    assert drift.intercept_error == pytest.approx(2.35385, abs=1e-4)
    assert drift.slope == pytest.approx(3.93014, abs=1e-4)
    assert drift.slope_error == pytest.approx(0.0507018, abs=1e-6)
    assert drift.s == pytest.approx(4.29910, abs=1e-4)
    assert t_quantile(0.975, 38) == pytest.approx(2.024394, abs=1e-6)
    assert fitted(drift, [25, 45, 65]) == pytest.approx(
        [106.0025, 184.6053, 263.2081], abs=1e-4
    )
    assert (upper - lower) / 2 / t_quantile(0.975, 38) == pytest.approx(
        [1.1976162, 0.6803245, 1.2441620], abs=1e-6
    )
    assert lower == pytest.approx([103.578061, 183.228072, 260.689451], abs=1e-5)
    assert upper == pytest.approx([108.426956, 185.982562, 265.726800], abs=1e-5)
    assert below == pytest.approx([96.968053, 175.793947, 254.147929], abs=1e-5)
    assert above == pytest.approx([115.036964, 193.416687, 272.268322], abs=1e-5)


def test_one_sided_bound_lies_inside_the_two_sided_interval(column: Column) -> None:
    table = "nist_charles_pressure_temperature.csv"
    drift = drift_of(column(table, "temperature"), column(table, "pressure"))
    one_sided = mean_bound(drift, [25, 45, 65], "lower")

    # t(0.95, 38) = 1.685954 of the standard tables of Student's t.
    assert (fitted(drift, [25, 45, 65]) - one_sided) / 1.685954 == pytest.approx(
        [1.1976162, 0.6803245, 1.2441620], abs=1e-6
    )


def test_steam(column: Column) -> None:
    # Draper & Smith, from memory; the book's intercept is hand arithmetic.
    table = "draper_smith_steam.csv"
    drift = drift_of(column(table, "temp_f"), column(table, "steam_lb"))

    assert drift.intercept == pytest.approx(13.623005, abs=5e-4)
    assert drift.slope == pytest.approx(-0.079829, abs=5e-4)
    assert drift.s**2 == pytest.approx(0.7923, abs=5e-4)
    assert (drift.slope / drift.slope_error) ** 2 == pytest.approx(57.5428, abs=5e-4)


def test_graybill_iyer(column: Column) -> None:
    # Computed, two programs.
    table = "graybill_iyer_shelflife.csv"
    drift = drift_of(column(table, "x"), column(table, "y"))

    assert drift.intercept == pytest.approx(925.752666, rel=1e-8)
    assert drift.intercept_error == pytest.approx(17.128656, rel=1e-7)
    assert drift.slope == pytest.approx(-13.753354, rel=1e-7)
    assert drift.slope_error == pytest.approx(0.774453, rel=1e-6)
    assert drift.s == pytest.approx(17.046756, rel=1e-7)


ANSCOMBE = [("x123", "y1"), ("x123", "y2"), ("x123", "y3"), ("x4", "y4")]


@pytest.mark.parametrize(("x", "y"), ANSCOMBE)
def test_anscombe_sets_share_their_line(column: Column, x: str, y: str) -> None:
    # Am. Stat. 27:17, 1973: Y = 3.0 + 0.5 X, standard error of the slope 0.118.
    ages = column("anscombe.csv", x)
    line = closed_line(ages, column("anscombe.csv", y))

    assert line.intercept == pytest.approx(3.0, abs=0.005)
    assert line.slope == pytest.approx(0.5, abs=0.0005)
    assert line.s_used / line.sxx**0.5 == pytest.approx(0.118, abs=0.0005)


def test_anscombe_first_set_in_more_digits(column: Column) -> None:
    # Printed in the documentation of base R, anscombe.
    drift = drift_of(column("anscombe.csv", "x123"), column("anscombe.csv", "y1"))

    assert drift.slope == pytest.approx(0.5001, abs=5e-5)
    assert drift.slope_error == pytest.approx(0.1179, abs=5e-5)
    assert drift.intercept == pytest.approx(3.0001, abs=5e-5)
    assert drift.intercept_error == pytest.approx(1.1247, abs=5e-5)
    assert drift.s == pytest.approx(1.237, abs=5e-4)
    assert drift.slope_p == pytest.approx(0.00217, abs=5e-6)


@pytest.mark.parametrize(
    ("y", "seen"),
    [("y1", []), ("y2", ["curvature"]), ("y3", ["outlying-point"])],
)
def test_anscombe_sets_are_told_apart(column: Column, y: str, seen: list[str]) -> None:
    # I none, II curved, III outlying point.
    drift = drift_of(column("anscombe.csv", "x123"), column("anscombe.csv", y))
    bend = curvature([drift])
    assert bend is not None
    codes = [caution.code for caution in (*drift.cautions, *bend.cautions)]

    assert [code for code in codes if code != "one-batch-bend-unseen"] == seen


def test_anscombe_fourth_set_rests_on_one_point(column: Column) -> None:
    # IV: ten points at x = 8 and one at x = 19. Two ages give no drift at all.
    ages, values = column("anscombe.csv", "x4"), column("anscombe.csv", "y4")
    caution = carrying_point(ages)
    result = fit_drift(ages, values)

    assert max(leverages(ages)) == pytest.approx(1.0)
    assert caution is not None
    assert "19 months" in caution.text
    assert outlying_point(closed_line(ages, values), ages, values) is None
    assert not isinstance(result, Drift)
    assert result.code == "too-few-ages"
