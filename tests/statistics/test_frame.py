"""From readings to points: the check is the unit of the fit."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.estimate import Bound, Drift
from stability.model.limit import Band, Limit
from stability.statistics.drift import fit_drift
from stability.statistics.frame import (
    Reading,
    bounds_of,
    check_points,
    frozen_at_start,
    months,
    step_as_written,
)


def test_readings_are_averaged_by_container_then_by_check() -> None:
    points = check_points(
        [
            Reading("T0", "a", 0.0, 5.0),
            Reading("T0", "a", 0.0, 5.2),
            Reading("T0", "b", 0.0, 5.7),
            Reading("1M", "c", 1.1, 5.3),
        ]
    )

    assert points.checks == ("T0", "1M")
    assert points.values == pytest.approx((5.4, 5.3))
    assert points.ages == (0.0, 1.1)
    assert points.containers == (2, 1)


def test_spread_within_and_between_containers_is_kept_for_planning() -> None:
    points = check_points(
        [
            Reading("T0", "a", 0.0, 5.0),
            Reading("T0", "a", 0.0, 5.2),
            Reading("T0", "b", 0.0, 5.5),
        ]
    )

    assert points.reading_sd == pytest.approx(0.02**0.5)
    assert points.container_sd == pytest.approx((0.4**2 / 2) ** 0.5)


def test_single_readings_show_no_spread() -> None:
    points = check_points([Reading("T0", "a", 0.0, 5.0)])

    assert points.reading_sd is None
    assert points.container_sd is None


@given(st.integers(1, 6), st.integers(1, 4))
def test_containers_of_one_day_never_raise_the_degrees_of_freedom(
    containers: int, readings: int
) -> None:
    points = check_points(
        Reading(f"{age}M", f"jar {jar}", float(age), 5.5 - 0.01 * age + 0.001 * jar)
        for age in (0, 1, 2, 3, 6)
        for jar in range(containers)
        for _ in range(readings)
    )
    drift = fit_drift(points.ages, points.values)
    assert isinstance(drift, Drift)

    assert drift.df == 3


def test_months_are_days_over_30_4375() -> None:
    assert months(91) == pytest.approx(2.98973, abs=5e-6)


def test_each_end_of_a_limit_is_a_bound() -> None:
    limit = Limit(
        absolute=Band(Decimal("4.5"), Decimal("6.0")),
        change=Band(highest=Decimal("0.5")),
        percent_of_initial=Band(lowest=Decimal(80)),
    )

    assert bounds_of(limit) == (
        Bound("absolute", "lower", 4.5),
        Bound("absolute", "upper", 6.0),
        Bound("change", "upper", 0.5),
        Bound("share", "lower", 0.8),
    )


def test_what_is_only_recorded_has_no_bound() -> None:
    limit = Limit(absolute=Band(Decimal(1), Decimal(2)), recorded_only=True)

    assert bounds_of(limit) == ()
    assert bounds_of(Limit(highest="slight")) == ()


def test_limits_frozen_at_t0_become_numbers() -> None:
    bounds = (
        Bound("change", "lower", -0.5),
        Bound("share", "upper", 1.2),
        Bound("absolute", "lower", 4.5),
    )

    assert frozen_at_start(bounds, Decimal("5.50")) == (
        Bound("absolute", "lower", 5.0),
        Bound("absolute", "upper", 5.5 * 1.2),
        Bound("absolute", "lower", 4.5),
    )


def test_the_step_written_is_that_of_the_finest_reading() -> None:
    assert step_as_written([Decimal("5.5"), Decimal("5.50")]) == 0.01
    assert step_as_written([Decimal(1200), Decimal(950)]) == 1.0
    assert step_as_written([]) is None
