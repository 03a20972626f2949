"""What a fitted line brings to the request."""

from __future__ import annotations

import re

from stability.model.estimate import Bound, Drift, NoFit
from stability.model.shelf_life import ShelfLife
from stability.statistics.drift import fit_drift
from stability.statistics.fitted_estimate import fitted_estimate
from stability.statistics.shelf_life import shelf_life


def life_of(n: int, *, start: float = 5.5, failed: bool = False) -> ShelfLife:
    """Return the life of batch A over n checks, with batch B refused."""
    ages = [0.0, 3.0, 6.0, 9.0, 12.0, 18.0][:n]
    scatter = [0.01, -0.01, 0.01, -0.01, 0.01, -0.01][:n]
    values = [start - 0.02 * t + e for t, e in zip(ages, scatter, strict=True)]
    drift = fit_drift(ages, values)
    assert isinstance(drift, Drift)
    life = shelf_life(
        {"A": drift, "B": NoFit("qualified", "A reading with <.")},
        [Bound("absolute", "lower", 5.0)],
        failed_at_t0={"A"} if failed else (),
    )
    assert isinstance(life, ShelfLife)
    return life


def test_an_estimate_comes_with_its_basis() -> None:
    months, basis = fitted_estimate(life_of(6), "A")

    assert months is not None
    assert "two-sided 95 % bound of the mean at the lower limit" in basis
    assert "batch by batch, linear scale, 4 df" in basis


def test_what_gives_no_months_says_why_and_what_it_would_take() -> None:
    months, basis = fitted_estimate(life_of(6, start=5.002), "A")

    assert months is None
    assert re.match(
        r"not precise enough \(scatter 0\.0\d+; it takes less than 0\.00\d+ or \d+ "
        r"checks\) by the two-sided 95 % bound of the mean at the lower limit",
        basis,
    )
    assert fitted_estimate(life_of(6, start=4.9), "A") == (
        0,
        "start outside: the fitted start lies beyond the lower limit",
    )


def test_fewer_than_five_checks_bring_no_estimate() -> None:
    months, basis = fitted_estimate(life_of(4), "A")

    assert months is None
    assert "fewer than 5" in basis


def test_extra_readings_are_no_checks() -> None:
    # Six points, of which two are readings that no check asked for.
    assert fitted_estimate(life_of(6), "A", checks=4)[0] is None
    assert fitted_estimate(life_of(6), "A", checks=5) == fitted_estimate(
        life_of(6), "A"
    )
    assert fitted_estimate(life_of(6, failed=True), "A", checks=4)[0] == 0


def test_a_failed_t0_counts_with_any_number_of_checks() -> None:
    assert fitted_estimate(life_of(4, failed=True), "A") == (
        0,
        "failed at T0: an observation lies outside its limit",
    )


def test_a_batch_without_a_line_brings_its_reason() -> None:
    months, basis = fitted_estimate(life_of(6), "B")

    assert months is None
    assert basis == "no estimate: A reading with <"
