"""Where the promise of 5 % fails by nature, in small simulations."""

from __future__ import annotations

from stability.statistics.broken_promises import (
    assumptions,
    pooling,
    repeated_looks,
    weight_loss,
)

SEED = 20260101


def test_broken_assumptions_overstate_more_and_promise_nothing() -> None:
    cases = list(assumptions(400, SEED))

    assert all(case.nominal is None for case in cases)
    assert all(case.measured > 0.06 for case in cases)


def test_repeated_looks_overstate_at_some_time() -> None:
    assert all(case.measured > 0.07 for case in repeated_looks(400, SEED))


def test_pooling_after_a_test_overstates() -> None:
    assert all(case.measured > 0.10 for case in pooling(400, SEED))


def test_weight_loss_by_rates_holds_and_a_line_through_the_origin_does_not() -> None:
    rates, line = weight_loss(600, SEED)

    assert rates.holds
    assert line.measured > 0.09
