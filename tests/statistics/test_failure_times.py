"""The non-parametric estimate of when containers failed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.scores import FailureInterval
from stability.statistics.failure_times import failure_steps

looks = st.lists(
    st.tuples(st.integers(0, 10), st.one_of(st.none(), st.integers(1, 10))),
    min_size=1,
    max_size=15,
)


@given(looks)
def test_shares_add_up_to_one_and_lie_inside_an_interval(
    looks: list[tuple[int, int | None]],
) -> None:
    intervals = [
        FailureInterval(str(i), float(a), None if more is None else float(a + more))
        for i, (a, more) in enumerate(looks)
    ]
    steps = failure_steps(intervals)

    assert sum(step.share for step in steps) == pytest.approx(1, abs=1e-4)
    for step in steps:
        assert any(
            one.after <= step.after
            and (one.until is None or (step.until or 99) <= one.until)
            for one in intervals
        )


def test_nothing_failed_puts_everything_beyond_the_last_look() -> None:
    steps = failure_steps(
        [FailureInterval("a", 6, None), FailureInterval("b", 12, None)]
    )

    assert [(step.after, step.until, step.share) for step in steps] == [(12, None, 1)]
