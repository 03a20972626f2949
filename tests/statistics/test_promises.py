"""The promises in small simulations; `tests/benchmarks` prints them in full."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from stability.model.simulated import Simulated
from stability.statistics.promises import (
    day_effects,
    relative_limits,
    reopened_containers,
    rounding,
    steady_product,
    trend_alerts,
)
from stability.statistics.simulation import (
    SCHEDULES,
    Readings,
    batch_by_batch_overstates,
    measure,
)

Theme = Callable[[int, int], Iterator[Simulated]]


@pytest.mark.parametrize("checks", SCHEDULES)
def test_one_batch_overstates_in_exactly_five_percent(checks: int) -> None:
    result = measure(
        "one batch",
        0.05,
        batch_by_batch_overstates([Readings(ages=SCHEDULES[checks])]),
        runs=1000,
        seed=20260101,
        at_most=False,
    )

    assert result.holds


@pytest.mark.parametrize("slopes", [(-0.02,) * 3, (-0.02, -0.03, -0.04)])
def test_three_batches_overstate_in_at_most_five_percent(
    slopes: tuple[float, ...],
) -> None:
    batches = [
        Readings(slope=slope, scatter=scatter)
        for slope, scatter in zip(slopes, (0.03, 0.06, 0.03), strict=True)
    ]
    event = batch_by_batch_overstates(batches)

    assert measure("three", 0.05, event, runs=400, seed=20260101).holds


@pytest.mark.parametrize(
    "theme", [relative_limits, day_effects, reopened_containers, trend_alerts]
)
def test_what_is_used_keeps_its_promise(theme: Theme) -> None:
    cases = list(theme(300, 20260101))

    assert [case.name for case in cases if case.holds is False] == []
    assert any(case.holds for case in cases)


@pytest.mark.parametrize("theme", [relative_limits, day_effects, reopened_containers])
def test_what_is_not_used_would_overstate_more(theme: Theme) -> None:
    cases = list(theme(300, 20260101))
    used = [case.measured for case in cases if case.nominal is not None]
    not_used = [case.measured for case in cases if case.nominal is None]

    assert sum(not_used) / len(not_used) > sum(used) / len(used) + 0.03


def test_a_steady_product_never_reads_zero_months() -> None:
    (case,) = steady_product(250, 20260101)

    assert case.measured == 0


def test_the_floor_of_half_a_step_holds_where_others_do_not() -> None:
    half, twelfth, none = rounding(150, 20260101)

    assert half.holds
    assert twelfth.measured > 0.10
    assert none.measured > 0.10
