"""Where the bound of the mean meets a limit, and the five outcomes."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stability.model.estimate import Bound, Line, NoFit
from stability.model.shelf_life import Crossing
from stability.statistics.crossing import crossing
from stability.statistics.line import closed_line, mean_bound, mean_interval
from stability.statistics.quantiles import t_quantile

AGES = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0]
LOWER = Bound("absolute", "lower", 5.0)
UPPER = Bound("absolute", "upper", 6.0)

schedules = st.lists(st.integers(0, 48), min_size=3, max_size=9, unique=True).map(
    lambda ages: [float(age) for age in sorted(ages)]
)


def line_over(ages: list[float], start: float, slope: float, s: float) -> Line:
    """Return a line with a given scatter."""
    exact = closed_line(ages, [start + slope * age for age in ages])
    return Line(exact.n, exact.df, start, slope, s, exact.mean_age, exact.sxx)


def crossed(line: Line, bound: Bound = LOWER, **options: bool) -> Crossing:
    """Cross, and insist on an outcome."""
    result = crossing(line, bound, two_sided=options.pop("two_sided", False), **options)
    assert isinstance(result, Crossing)
    return result


# The crossing itself


@given(schedules, st.floats(5.001, 6.0), st.floats(-0.1, 0.1), st.floats(1e-6, 0.05))
def test_bisection_on_the_drawn_bound_finds_the_same_crossing(
    ages: list[float], start: float, slope: float, s: float
) -> None:
    # Independent route: the first age at which the bound that figures draw is outside.
    line = line_over(ages, start, slope, s)
    result = crossed(line)
    assume(result.outcome == "crossing")
    assert result.months is not None
    assume(result.months < 1e5)
    low, high = 0.0, 2 * result.months + 1
    for _ in range(200):
        middle = (low + high) / 2
        inside = float(mean_bound(line, middle, "lower")) >= 5.0
        low, high = (middle, high) if inside else (low, middle)

    assert result.months == pytest.approx(low, rel=1e-6, abs=1e-6)


@given(
    schedules,
    st.floats(5.0001, 9.0),
    st.floats(-1, -1e-4),
    st.sampled_from(["lower", "upper"]),
)
def test_points_exactly_on_a_line_give_the_exact_crossing(
    ages: list[float], start: float, slope: float, side: str
) -> None:
    sign = 1 if side == "lower" else -1
    line = closed_line(ages, [sign * (start + slope * age) for age in ages])
    assume(line.s_used == 0)
    result = crossed(line, Bound("absolute", side, sign * 5.0))  # type: ignore[arg-type]  # from the list

    assert result.outcome == "crossing"
    assert result.months == pytest.approx((start - 5.0) / -slope, rel=1e-9, abs=1e-9)


def test_scatter_of_rounding_size_still_gives_the_exact_crossing() -> None:
    line = line_over(AGES, 5.5, -0.02, 1e-15)

    assert crossed(line).months == pytest.approx(25.0, rel=1e-12)


def test_two_sided_uses_the_quantile_at_0975() -> None:
    line = line_over(AGES, 5.5, -0.02, 0.02)
    one, two = crossed(line), crossed(line, two_sided=True)
    assert two.months is not None
    lower, _ = mean_interval(line, two.months)

    assert one.multiplier == pytest.approx(t_quantile(0.95, 5))
    assert two.multiplier == pytest.approx(t_quantile(0.975, 5))
    assert float(lower) == pytest.approx(5.0)


def test_an_upper_limit_mirrors_a_lower_one() -> None:
    falling = crossed(line_over(AGES, 5.5, -0.02, 0.02), LOWER)
    rising = crossed(line_over(AGES, 5.5, 0.02, 0.02), UPPER)

    assert rising.months == pytest.approx(falling.months)


def test_a_slope_that_is_not_sure_of_its_sign_still_crosses() -> None:
    result = crossed(line_over(AGES, 5.5, 0.0005, 0.05))

    assert result.outcome == "crossing"
    assert result.fitted_months is None


# Outcomes


def test_a_time_beyond_ten_years_is_no_number_in_words() -> None:
    near, far = (
        crossed(line_over(AGES, 5.5, slope, 0.001)) for slope in (-0.02, -0.004)
    )

    assert near.months is not None
    assert far.months is not None
    assert near.text == (
        f"The bound of the mean meets the limit at {near.months:.1f} months."
    )
    assert far.months > 120
    assert far.text == (
        "The bound of the mean does not meet the limit within 120 months."
    )


def test_a_failed_t0_is_named_before_anything_else() -> None:
    result = crossed(line_over(AGES, 5.5, -0.02, 0.02), failed_at_t0=True)

    assert (result.outcome, result.months) == ("failed at T0", 0.0)


def test_a_fitted_start_outside_is_named() -> None:
    result = crossed(line_over(AGES, 4.99, -0.02, 0.02))

    assert (result.outcome, result.months) == ("start outside", 0.0)


def test_a_bound_outside_at_the_start_is_not_precise_enough_and_not_zero() -> None:
    result = crossed(line_over(AGES, 5.1, 0.0, 0.2))

    assert result.outcome == "not precise enough"
    assert result.months is None
    assert "the months shown stand" in result.text


def test_what_precision_would_take_is_printed_and_enough() -> None:
    line = line_over(AGES, 5.1, 0.0, 0.2)
    vague = crossed(line)
    assert vague.needed_s is not None
    assert vague.needed_checks is not None

    at_needed = line_over(AGES, 5.1, 0.0, vague.needed_s * 0.999)
    assert crossed(at_needed).outcome != "not precise enough"
    above = line_over(AGES, 5.1, 0.0, vague.needed_s * 1.001)
    assert crossed(above).outcome == "not precise enough"
    n = vague.needed_checks
    more = Line(n, n - 2, 5.1, 0.0, 0.2, line.mean_age, line.sxx * n / 7)
    fewer = Line(n - 1, n - 3, 5.1, 0.0, 0.2, line.mean_age, line.sxx * (n - 1) / 7)
    assert crossed(fewer).outcome == "not precise enough"
    assert crossed(more).outcome != "not precise enough"
    assert f"{vague.needed_checks} checks" in vague.text


def test_no_number_of_checks_may_be_enough() -> None:
    result = crossed(line_over(AGES, 5.001, 0.0, 5.0))

    assert result.needed_checks is None
    assert "more than 200 checks" in result.text


@pytest.mark.parametrize("slope", [0.0, 0.02])
def test_a_slope_away_from_the_limit_has_no_crossing(slope: float) -> None:
    result = crossed(line_over(AGES, 5.5, slope, 0.0))

    assert (result.outcome, result.months) == ("no crossing", None)
    assert crossed(line_over(AGES, 5.5, 0.05, 0.02)).outcome == "no crossing"


# Limits relative to initial


@given(schedules, st.floats(-0.2, 0.2), st.floats(1e-4, 0.1), st.floats(-1, 5))
def test_a_change_limit_has_its_closed_form(
    ages: list[float], slope: float, s: float, shift: float
) -> None:
    # t = Δ / (t_q s / √Sxx - b), none if the denominator is not above 0.
    line = line_over(ages, 5.5 + shift, slope, s)
    result = crossed(line, Bound("change", "lower", -0.5))
    denominator = t_quantile(0.95, line.df) * s / math.sqrt(line.sxx) - slope
    assume(abs(denominator) > 1e-9)

    if denominator <= 0:
        assert result.outcome == "no crossing"
    else:
        assert result.months == pytest.approx(0.5 / denominator, rel=1e-6)


@given(schedules, st.floats(-0.05, 0.05), st.floats(0.5, 0.95))
def test_a_share_on_the_ln_scale_has_its_closed_form(
    ages: list[float], slope: float, share: float
) -> None:
    exact = closed_line(ages, [math.exp(slope * age) for age in ages], scale="ln")
    line = Line(
        exact.n, exact.df, 3.0, slope, 0.02, exact.mean_age, exact.sxx, scale="ln"
    )
    result = crossed(line, Bound("share", "lower", share))
    denominator = t_quantile(0.95, line.df) * 0.02 / math.sqrt(line.sxx) - slope
    assume(abs(denominator) > 1e-9)

    if denominator <= 0:
        assert result.outcome == "no crossing"
    else:
        assert result.months == pytest.approx(-math.log(share) / denominator, rel=1e-6)


@given(
    st.lists(st.floats(-0.3, 0.3), min_size=7, max_size=7),
    st.floats(0.1, 50),
    st.floats(-40, 40),
)
def test_the_life_for_a_change_does_not_depend_on_unit_or_level(
    scatter: list[float], factor: float, shift: float
) -> None:
    values = [6.0 - 0.03 * a + e for a, e in zip(AGES, scatter, strict=True)]
    plain = crossed(closed_line(AGES, values), Bound("change", "lower", -0.5))
    moved = crossed(
        closed_line(AGES, [factor * v + shift for v in values]),
        Bound("change", "lower", -0.5 * factor),
    )
    assume(plain.months is None or plain.months < 1e4)

    assert moved.outcome == plain.outcome
    if plain.months is not None:
        assert moved.months == pytest.approx(plain.months, rel=1e-5)


@given(st.lists(st.floats(-0.3, 0.3), min_size=7, max_size=7), st.floats(0.01, 100))
def test_the_life_for_a_share_does_not_depend_on_the_unit(
    scatter: list[float], factor: float
) -> None:
    values = [6.0 - 0.03 * a + e for a, e in zip(AGES, scatter, strict=True)]
    bound = Bound("share", "lower", 0.8)
    plain = crossed(closed_line(AGES, values), bound)
    moved = crossed(closed_line(AGES, [factor * v for v in values]), bound)
    assume(plain.months is None or plain.months < 1e4)

    assert moved.outcome == plain.outcome
    if plain.months is not None:
        assert moved.months == pytest.approx(plain.months, rel=1e-6)


def test_upper_relative_limits_mirror_lower_ones() -> None:
    falling = line_over(AGES, 5.5, -0.02, 0.02)
    rising = line_over(AGES, 5.5, 0.02, 0.02)

    down = crossed(falling, Bound("change", "lower", -0.5)).months
    up = crossed(rising, Bound("change", "upper", 0.5)).months
    assert up == pytest.approx(down)
    assert crossed(rising, Bound("share", "upper", 1.1)).outcome == "crossing"


def test_a_limit_without_a_logarithm_is_refused() -> None:
    line = Line(7, 5, 1.0, -0.01, 0.02, 10.0, 430.0, scale="ln")
    result = crossing(line, Bound("absolute", "lower", 0.0), two_sided=False)

    assert isinstance(result, NoFit)
