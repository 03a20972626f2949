"""Drift: what is fitted, what is refused, and what is said beside it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.estimate import Bound, Drift, NoFit
from stability.statistics.drift import fit_drift
from stability.statistics.line import closed_line, prediction_interval

AGES = [0.0, 1.0, 2.0, 3.0, 6.0, 9.0, 12.0]
PH = [5.50, 5.48, 5.44, 5.43, 5.33, 5.25, 5.18]
LOWER = Bound("absolute", "lower", 5.0)

points = st.lists(
    st.tuples(
        st.integers(0, 60), st.floats(-100, 100).map(lambda value: round(value, 3))
    ),
    min_size=3,
    max_size=12,
    unique_by=lambda point: point[0],
)


def drift_of(ages: list[float], values: list[float], **options: object) -> Drift:
    """Fit, and insist on a line."""
    result = fit_drift(ages, values, **options)  # type: ignore[arg-type]  # passed on
    assert isinstance(result, Drift)
    return result


def codes(drift: Drift) -> list[str]:
    """Return the codes of the cautions."""
    return [caution.code for caution in drift.cautions]


def numbers_of(drift: Drift) -> list[float]:
    """Return every number of a drift that is no tuple of points."""
    return [
        value
        for name in Drift.__slots__
        if isinstance(value := getattr(drift, name), float)
    ]


# Refusals


@pytest.mark.parametrize(
    ("ages", "values", "code"),
    [
        ([], [], "too-few-ages"),
        ([0.0], [5.5], "too-few-ages"),
        ([0.0, 3.0], [5.5, 5.4], "too-few-ages"),
        ([0.0, 0.0, 3.0, 3.0], [5.5, 5.4, 5.3, 5.2], "too-few-ages"),
    ],
)
def test_fewer_than_three_ages_get_no_line(
    ages: list[float], values: list[float], code: str
) -> None:
    result = fit_drift(ages, values)

    assert isinstance(result, NoFit)
    assert result.code == code
    assert "at least three" in result.text


def test_a_reading_with_a_qualifier_gets_no_line() -> None:
    result = fit_drift(AGES, PH, qualified=True)

    assert isinstance(result, NoFit)
    assert result.code == "qualified"


@pytest.mark.parametrize("value", [0.0, -0.1])
def test_a_value_without_a_logarithm_gets_no_line(value: float) -> None:
    result = fit_drift(AGES, [*PH[:-1], value], scale="ln")

    assert isinstance(result, NoFit)
    assert result.code == "not-positive-on-ln"


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_numbers_that_are_not_finite_break_the_contract(bad: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        fit_drift(AGES, [*PH[:-1], bad])


def test_lengths_that_differ_break_the_contract() -> None:
    with pytest.raises(ValueError, match="7 ages but 6 values"):
        fit_drift(AGES, PH[:-1])


# The line


def test_a_falling_ph() -> None:
    # Computed, two programs.
    drift = drift_of(AGES, PH)

    assert drift.intercept == pytest.approx(5.5017105, abs=5e-8)
    assert drift.slope == pytest.approx(-0.02733254, abs=5e-9)
    assert drift.slope_error == pytest.approx(0.00073393, abs=5e-9)
    assert drift.s == pytest.approx(0.00802061, abs=5e-9)
    assert drift.slope_interval == pytest.approx(
        (-0.02733254 - 2.5705818 * 0.00073393, -0.02733254 + 2.5705818 * 0.00073393),
        abs=1e-7,
    )
    assert (drift.n, drift.df) == (7, 5)
    assert (drift.first_age, drift.last_age) == (0, 12)
    assert drift.excludes_no_drift


def test_the_drift_over_the_life_stands_beside_the_room() -> None:
    bounds = [LOWER, Bound("absolute", "upper", 6.0)]
    drift = drift_of(AGES, PH, life=24, bounds=bounds)

    assert drift.drift_over_life == pytest.approx(24 * drift.slope)
    assert drift.drift_over_life_interval == pytest.approx(
        tuple(24 * slope for slope in drift.slope_interval)
    )
    assert drift.room_down == pytest.approx(drift.start - 5.0)
    assert drift.room_up == pytest.approx(6.0 - drift.start)


def test_on_the_ln_scale_start_and_drift_are_in_the_attribute_s_unit() -> None:
    values = [1000 * math.exp(-0.02 * age) for age in AGES]
    drift = drift_of(AGES, values, scale="ln", life=12)

    assert drift.start == pytest.approx(1000)
    assert drift.slope == pytest.approx(-0.02)
    assert drift.drift_over_life == pytest.approx(values[-1] - 1000)


@given(points)
def test_library_and_closed_form_agree(points: list[tuple[int, float]]) -> None:
    ages = [float(age) for age, _ in points]
    values = [value for _, value in points]
    drift, line = drift_of(ages, values), closed_line(ages, values)
    size = max(1.0, *map(abs, values))

    assert drift.slope == pytest.approx(line.slope, abs=1e-9 * size)
    assert drift.intercept == pytest.approx(line.intercept, abs=1e-9 * size)
    assert drift.s_used == pytest.approx(line.s_used, abs=1e-9 * size)


@given(points, st.floats(0.001, 1000), st.floats(-1000, 1000))
def test_scaling_and_shifting_readings_scales_and_shifts_the_line(
    points: list[tuple[int, float]], factor: float, shift: float
) -> None:
    ages = [float(age) for age, _ in points]
    values = [value for _, value in points]
    plain = drift_of(ages, values)
    moved = drift_of(ages, [factor * value + shift for value in values])
    size = 1e-9 * (factor * max(1.0, *map(abs, values)) + abs(shift))

    assert moved.slope == pytest.approx(factor * plain.slope, abs=size)
    assert moved.intercept == pytest.approx(factor * plain.intercept + shift, abs=size)
    assert moved.s_used == pytest.approx(factor * plain.s_used, abs=size)


@given(points)
def test_no_result_holds_a_number_that_is_none(
    points: list[tuple[int, float]],
) -> None:
    drift = drift_of([float(age) for age, _ in points], [v for _, v in points], life=24)

    assert all(math.isfinite(number) for number in numbers_of(drift))


def test_a_steep_line_of_few_readings_carried_far_stays_a_number() -> None:
    drift = drift_of([0.0, 0.03, 0.06], [100.0, 9e4, 2e7], scale="ln", life=36)

    assert all(math.isfinite(number) for number in numbers_of(drift))
    assert drift.drift_over_life_interval is not None
    assert all(math.isfinite(end) for end in drift.drift_over_life_interval)
    lower, upper = prediction_interval(drift, [36.0])
    assert math.isfinite(lower[0])
    assert math.isfinite(upper[0])


# The resolution floor


def test_intervals_never_use_less_than_half_a_step() -> None:
    drift = drift_of(AGES, PH, resolution=0.1)

    assert drift.s == pytest.approx(0.00802061, abs=5e-9)
    assert drift.s_used == 0.05
    assert drift.floor_acted
    assert drift.slope_error == pytest.approx(0.05 / math.sqrt(drift.sxx))
    assert "resolution-floor" in codes(drift)


def test_the_floor_is_silent_where_the_scatter_is_larger() -> None:
    drift = drift_of(AGES, PH, resolution=0.01)

    assert drift.floor == 0.005
    assert not drift.floor_acted
    assert drift.s_used == drift.s
    assert codes(drift) == []


def test_on_ln_the_floor_is_taken_at_the_smallest_value() -> None:
    drift = drift_of([0, 1, 2], [100.0, 90.0, 50.0], scale="ln", resolution=10)

    assert drift.floor == pytest.approx(10 / (2 * 50))


# Bad and dull input


def test_all_equal_readings_are_a_steady_product() -> None:
    drift = drift_of(AGES, [5.5] * 7, resolution=0.01, bounds=[LOWER])

    assert drift.slope == 0
    assert drift.intercept == 5.5
    assert drift.slope_p == 1
    assert drift.s == 0
    assert drift.s_used == 0.005
    assert codes(drift) == ["all-equal"]
    assert not drift.blocks_extrapolation


def test_points_on_a_line_without_a_known_resolution_say_so() -> None:
    drift = drift_of([0, 1, 2, 3], [5.0, 4.9, 4.8, 4.7])

    assert drift.s == 0
    assert drift.slope_p == 0
    assert codes(drift) == ["no-scatter"]


def test_the_line_without_its_last_check_is_shown() -> None:
    drift = drift_of(AGES, PH)
    shorter = closed_line(AGES[:-1], PH[:-1])

    assert drift.without_last == shorter


def test_three_ages_leave_no_line_without_the_last() -> None:
    assert drift_of(AGES[:3], PH[:3]).without_last is None
