"""One fit of all temperatures."""

from __future__ import annotations

import numpy as np
import pytest

from stability.model.ageing import ArrheniusFit
from stability.model.estimate import NoFit
from stability.statistics.ageing import rate_ratio
from stability.statistics.arrhenius import arrhenius_fit
from stability.statistics.quantiles import f_upper_p

CELSIUS = (25.0, 40.0, 50.0)
MONTHS = (1.0, 2.0, 3.0, 6.0)


def readings(
    *, energy: float = 83.0, rate: float = -0.3, scatter: float = 0.5, seed: int = 1
) -> tuple[list[float], list[float], list[float]]:
    """Return temperatures, ages and values of a loss from 100."""
    rng = np.random.default_rng(seed)
    rows = [(25.0, 0.0)] + [(t, age) for t in CELSIUS for age in MONTHS]
    values = [
        100 + rate * rate_ratio(energy, 25, t) * age + rng.normal(0, scatter)
        for t, age in rows
    ]
    return [t for t, _ in rows], [age for _, age in rows], values


def fitted(**options: float) -> ArrheniusFit:
    """Fit, and insist on it."""
    result = arrhenius_fit(*readings(**options), 25.0)  # type: ignore[arg-type]  # passed on
    assert isinstance(result, ArrheniusFit)
    return result


def test_exact_readings_give_back_rate_and_energy() -> None:
    fit = fitted(scatter=0.0)

    assert fit.start == pytest.approx(100)
    assert fit.rate == pytest.approx(-0.3)
    assert fit.energy == pytest.approx(83.0)


@pytest.mark.parametrize("rate", [-0.3, 0.3])
def test_rates_keep_their_sign(rate: float) -> None:
    fit = fitted(rate=rate)
    slow, fast = fit.rate_interval

    assert fit.rate * rate > 0
    assert abs(slow) < abs(fit.rate) < abs(fast)


def test_degrees_of_freedom_are_readings_less_three() -> None:
    fit = fitted()

    assert (fit.n, fit.df) == (13, 10)
    assert (fit.df_top, fit.df_bottom) == (1, 9)


def test_separate_rates_are_tested_against_one_law() -> None:
    # Independent route: sums of squares of a linear fit of three rates with one start.
    celsius, ages, values = readings()
    fit = arrhenius_fit(celsius, ages, values, 25.0)
    assert isinstance(fit, ArrheniusFit)
    design = np.column_stack(
        [np.ones(13)] + [np.where(np.array(celsius) == t, ages, 0.0) for t in CELSIUS]
    )
    separate = float(np.linalg.lstsq(design, values, rcond=None)[1][0])
    common = fit.s_used**2 * fit.df
    f = (common - separate) / 1 / (separate / 9)

    assert fit.f == pytest.approx(f, rel=1e-6)
    assert fit.p == pytest.approx(f_upper_p(f, 1, 9), rel=1e-6)


def test_another_storage_temperature_carries_the_rate_along_the_law() -> None:
    celsius, ages, values = readings()
    at_25 = arrhenius_fit(celsius, ages, values, 25.0)
    at_20 = arrhenius_fit(celsius, ages, values, 20.0)
    assert isinstance(at_25, ArrheniusFit)
    assert isinstance(at_20, ArrheniusFit)

    assert at_20.energy == pytest.approx(at_25.energy)
    ratio = rate_ratio(at_25.energy, 20, 25)
    assert at_25.rate / at_20.rate == pytest.approx(ratio)


def test_intervals_are_t_standard_errors_of_the_linearised_fit() -> None:
    # Independent route: slopes of the fitted values by differences; t(0.975, 10) of the
    # standard tables.
    celsius, ages, values = readings()
    fit = arrhenius_fit(celsius, ages, values, 25.0)
    assert isinstance(fit, ArrheniusFit)

    def curve(start: float, ln_rate: float, energy: float) -> np.ndarray:
        ratios = [rate_ratio(energy, 25, t) for t in celsius]
        change = np.exp(ln_rate) * np.array(ratios) * np.array(ages)
        return np.asarray(start - change, dtype=float)

    theta = np.array([fit.start, np.log(-fit.rate), fit.energy])
    steps = np.diag([1e-4, 1e-6, 1e-4])
    slopes = [
        (curve(*(theta + h)) - curve(*(theta - h))) / (2 * h.sum()) for h in steps
    ]
    errors = np.sqrt(np.diag(np.linalg.inv(np.array(slopes) @ np.array(slopes).T)))
    half = 2.2281389 * fit.s_used * errors

    slow, fast = fit.rate_interval
    low, high = fit.energy_interval
    assert np.log(fast / slow) / 2 == pytest.approx(half[1], rel=1e-4)
    assert (high - low) / 2 == pytest.approx(half[2], rel=1e-4)


def test_intervals_cover_as_often_as_they_say() -> None:
    # 200 simulated batches; 95 % ± 4 simulation errors.
    covered = np.zeros(2)
    for seed in range(200):
        fit = fitted(seed=seed)
        slow, fast = sorted(fit.rate_interval)
        low, high = fit.energy_interval
        covered += (slow <= -0.3 <= fast, low <= 83.0 <= high)

    assert (np.abs(covered / 200 - 0.95) < 4 * np.sqrt(0.95 * 0.05 / 200)).all()


def test_scatter_is_not_believed_below_half_a_step() -> None:
    celsius, ages, values = readings(scatter=0.0)
    fit = arrhenius_fit(celsius, ages, values, 25.0, resolution=0.1)
    assert isinstance(fit, ArrheniusFit)

    assert fit.s_used == 0.05


def test_the_result_is_called_supportive() -> None:
    assert "Supportive only" in fitted().text


def test_temperatures_above_the_structural_limit_do_not_take_part() -> None:
    result = arrhenius_fit(*readings(), 25.0, structural_limit_c=50.0)

    assert isinstance(result, NoFit)
    assert result.code == "too-few-temperatures"
    assert "2 temperatures" in result.text


def test_an_energy_that_is_not_clear_is_refused() -> None:
    result = arrhenius_fit(*readings(energy=2.0, scatter=1.0), 25.0)

    assert isinstance(result, NoFit)
    assert result.code in {"energy-not-clear", "rates-of-both-signs"}


def test_rates_of_both_signs_are_refused() -> None:
    celsius, ages, values = readings(scatter=0.0)
    turned = [
        200 - value if t == 50.0 else value
        for t, value in zip(celsius, values, strict=True)
    ]
    result = arrhenius_fit(celsius, ages, turned, 25.0)

    assert isinstance(result, NoFit)
    assert result.code == "rates-of-both-signs"


@pytest.mark.parametrize("resolution", [0.01, None])
def test_readings_that_stand_still_have_no_law(resolution: float | None) -> None:
    celsius, ages, _ = readings()
    result = arrhenius_fit(celsius, ages, [5.5] * 13, 25.0, resolution=resolution)

    assert isinstance(result, NoFit)
    assert result.code == "rates-of-both-signs"
    assert "0 at 25 °C, 0 at 40 °C, 0 at 50 °C" in result.text


def test_a_law_that_fits_nothing_is_refused_without_a_fault() -> None:
    # A steady pH read to 0.01: the search for a law runs off towards a rate of 0.
    celsius, ages, _ = readings()
    values = [
        5.49, 5.5, 5.51, 5.48, 5.5, 5.49, 5.5, 5.49, 5.5, 5.5, 5.52, 5.5, 5.51
    ]  # fmt: skip
    result = arrhenius_fit(celsius, ages, values, 5.0)

    assert isinstance(result, NoFit)
    assert "nan" not in result.text
    assert "inf" not in result.text


def test_too_few_readings_are_refused() -> None:
    result = arrhenius_fit([25, 25, 40, 50], [0, 3, 3, 3], [100, 99, 97, 95], 25.0)

    assert isinstance(result, NoFit)
    assert result.code == "too-few-readings"


def test_a_value_without_a_logarithm_is_refused() -> None:
    celsius, ages, values = readings()
    result = arrhenius_fit(celsius, ages, [-1.0, *values[1:]], 25.0, scale="ln")

    assert isinstance(result, NoFit)
    assert result.code == "not-positive-on-ln"


def test_lengths_that_differ_break_the_contract() -> None:
    with pytest.raises(ValueError, match="differ in length"):
        arrhenius_fit([25], [0, 1], [100, 99], 25.0)
