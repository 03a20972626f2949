"""Life from a loss of weight."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.estimate import NoFit
from stability.model.scores import WeightLossLife
from stability.statistics.quantiles import t_quantile
from stability.statistics.weight_loss import weight_loss_life


def life_of(
    ages: list[float], losses: list[float], resolution: float | None = None
) -> WeightLossLife:
    """Work out a life against 5 %, and insist on it."""
    result = weight_loss_life(ages, losses, 5.0, resolution=resolution)
    assert isinstance(result, WeightLossLife)
    return result


def test_life_is_limit_over_the_bound_of_the_mean_rate() -> None:
    # By hand: rates 0.10, 0.12, 0.11; mean 0.11, sd 0.01, t(0.95, 2) = 2.9200.
    life = life_of([3, 6, 12], [0.30, 0.72, 1.32])

    assert life.mean_rate == pytest.approx(0.11)
    assert life.sd == pytest.approx(0.01)
    assert life.upper_rate == pytest.approx(0.11 + 2.9200 * 0.01 / math.sqrt(3), 1e-5)
    assert life.months == pytest.approx(5 / life.upper_rate)


def test_each_container_counts_once_whatever_its_age() -> None:
    early = life_of([3, 3, 12], [0.30, 0.36, 1.20])
    late = life_of([12, 12, 3], [1.20, 1.44, 0.30])

    assert early.mean_rate == pytest.approx(late.mean_rate)
    assert early.upper_rate == pytest.approx(late.upper_rate)


def test_a_rate_that_changes_with_age_is_refused() -> None:
    result = weight_loss_life([1, 3, 6, 12], [0.40, 1.08, 1.74, 2.46], 5.0)

    assert isinstance(result, NoFit)
    assert result.code == "rate-changes"


def test_an_exactly_changing_rate_is_refused() -> None:
    result = weight_loss_life([1, 2, 4], [0.1, 0.4, 1.6], 5.0)

    assert isinstance(result, NoFit)


def test_one_container_is_too_few() -> None:
    result = weight_loss_life([12], [1.0], 5.0)

    assert isinstance(result, NoFit)
    assert result.code == "too-few-containers"


def test_the_same_rate_everywhere_still_has_the_scatter_of_the_balance() -> None:
    sure = life_of([3, 6, 12], [0.3, 0.6, 1.2])
    floored = life_of([3, 6, 12], [0.3, 0.6, 1.2], resolution=0.1)

    assert sure.months == pytest.approx(50)
    assert floored.sd > 0
    assert floored.months is not None
    assert floored.months < 50


def test_nothing_lost_does_not_meet_the_limit() -> None:
    life = life_of([3, 6, 12], [0.0, 0.0, 0.0])

    assert life.months is None
    assert "not met" in life.text


@pytest.mark.parametrize(("ages", "losses"), [([0], [0.1]), ([3], [0.1, 0.2])])
def test_a_loss_needs_an_age(ages: list[float], losses: list[float]) -> None:
    with pytest.raises(ValueError, match="age above 0"):
        weight_loss_life(ages, losses, 5.0)


@given(st.floats(0.1, 10), st.lists(st.floats(0.09, 0.11), min_size=2, max_size=2))
def test_the_unit_of_loss_does_not_matter(factor: float, rates: list[float]) -> None:
    losses = [6 * rate for rate in rates]
    plain = weight_loss_life([6, 6], losses, 5.0)
    scaled = weight_loss_life([6, 6], [factor * one for one in losses], 5.0 * factor)
    assert isinstance(plain, WeightLossLife)
    assert isinstance(scaled, WeightLossLife)

    assert scaled.months == pytest.approx(plain.months)
    assert plain.upper_rate == pytest.approx(
        plain.mean_rate + t_quantile(0.95, 1) * plain.sd / math.sqrt(2)
    )


def test_rates_scatter_at_least_as_half_a_step_over_the_ages() -> None:
    # By hand: steps of 0.2 % over 6 and 12 months, t(0.95, 1) = 6.3138.
    alike = weight_loss_life([6, 12], [0.6, 1.2], 3.0, resolution=0.2)
    assert isinstance(alike, WeightLossLife)
    floor = ((0.1 / 6) ** 2 / 2 + (0.1 / 12) ** 2 / 2) ** 0.5

    assert alike.sd == pytest.approx(floor)
    assert alike.months == pytest.approx(3 / (0.1 + 6.3138 * floor / 2**0.5), rel=1e-4)
