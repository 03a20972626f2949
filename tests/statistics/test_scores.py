"""Scores are counted and ordered, never averaged."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from stability.model.scores import FailureInterval, ScoreReading
from stability.statistics.scores import (
    count_scores,
    failure_intervals,
    largest_share,
    observers_note,
    score_trend,
    share_that_fails,
)


def look(container: str, age: float, rank: int) -> ScoreReading:
    """Return a look that fails from rank 2 on."""
    return ScoreReading(container, age, rank, rank >= 2)


def test_containers_are_counted_and_not_looks() -> None:
    count = count_scores(
        [look("a", 0, 0), look("a", 3, 2), look("a", 6, 3), look("b", 6, 1)]
    )

    assert (count.worst, count.failed, count.read) == (3, 1, 2)
    assert count.first_failed_age == 3
    assert count.text == "1 of 2 containers failed, first at 3 months."


def test_nothing_failed_has_no_first_age() -> None:
    assert count_scores([look("a", 0, 0)]).first_failed_age is None


def test_no_reading_breaks_the_contract() -> None:
    with pytest.raises(ValueError, match="no reading"):
        count_scores([])


def test_a_reopened_container_failed_between_two_looks() -> None:
    looks = [look("a", 0, 0), look("a", 3, 1), look("a", 6, 2), look("a", 9, 0)]

    assert failure_intervals(looks) == (FailureInterval("a", 3, 6),)


def test_a_fresh_container_failed_somewhere_before_or_not_yet() -> None:
    assert failure_intervals([look("a", 6, 2), look("b", 6, 0)]) == (
        FailureInterval("a", 0.0, 6),
        FailureInterval("b", 6, None),
    )


@pytest.mark.parametrize(("n", "share"), [(1, 0.95), (3, 0.632), (9, 0.283)])
def test_none_of_few_failed_leaves_much_open(n: int, share: float) -> None:
    assert largest_share(0, n) == pytest.approx(1 - 0.05 ** (1 / n))
    assert largest_share(0, n) == pytest.approx(share, abs=5e-4)


@given(st.integers(0, 20), st.integers(1, 20))
def test_the_exact_bound_leaves_five_percent_below(failed: int, more: int) -> None:
    n = failed + more
    bound = largest_share(failed, n)

    assert stats.binom.cdf(failed, n, bound) == pytest.approx(0.05)


def test_all_failed_may_all_fail() -> None:
    assert largest_share(3, 3) == 1.0


def test_below_ten_containers_there_are_no_steps() -> None:
    nine = share_that_fails([look(str(i), 6, 0) for i in range(9)])
    ten = share_that_fails([look(str(i), 6, 2 if i < 3 else 0) for i in range(10)])

    assert nine.steps == ()
    assert [(step.until, round(step.share, 6)) for step in ten.steps] == [
        (6, 0.3),
        (None, 0.7),
    ]


def test_steps_of_fresh_containers_match_isotonic_regression() -> None:
    # Independent route: with one look each, the estimate is the isotonic regression of
    # the share failed on age.
    from scipy.optimize import isotonic_regression

    failed_of_four = {3: 1, 6: 0, 9: 2, 12: 4}
    looks = [
        look(f"{age}-{i}", age, 2 if i < failed else 0)
        for age, failed in failed_of_four.items()
        for i in range(4)
    ]
    rising = isotonic_regression([n / 4 for n in failed_of_four.values()]).x
    share = share_that_fails(looks)
    reached, by_age = 0.0, {}
    for step in share.steps:
        reached += step.share
        by_age[step.until] = reached

    assert by_age[3] == pytest.approx(rising[0], abs=1e-5)
    assert by_age[9] == pytest.approx(rising[2], abs=1e-5)
    assert by_age[12] == pytest.approx(rising[3], abs=1e-5)


def test_what_failed_at_t0_is_a_step_at_t0() -> None:
    looks = [look(str(i), 0, 2 if i < 5 else 0) for i in range(10)]
    steps = share_that_fails(looks).steps

    assert [(step.until, round(step.share, 6)) for step in steps] == [
        (0, 0.5),
        (None, 0.5),
    ]


# Trend


def test_all_equal_scores_are_no_change_seen() -> None:
    trend = score_trend([0, 1, 3, 6, 12], [1] * 5)

    assert (trend.tau_b, trend.p) == (None, None)
    assert trend.text == "No change seen."


def test_one_age_has_no_trend() -> None:
    assert score_trend([3, 3, 3], [0, 1, 2]).p is None


def test_below_five_readings_there_is_no_p() -> None:
    trend = score_trend([0, 1, 3, 6], [0, 1, 2, 3])

    assert trend.tau_b == 1
    assert trend.p is None
    assert trend.method == "none"


def test_five_rising_scores_have_one_order_in_120() -> None:
    assert score_trend([0, 1, 3, 6, 12], [0, 1, 2, 3, 4]).p == pytest.approx(1 / 120)


def test_better_with_age_is_no_evidence_of_worse() -> None:
    p = score_trend([0, 1, 3, 6, 12], [4, 3, 2, 1, 0]).p

    assert p == pytest.approx(1.0)


@settings(max_examples=25)
@given(st.lists(st.integers(0, 3), min_size=5, max_size=7))
def test_p_is_the_share_of_orders_with_at_least_this_agreement(
    ranks: list[int],
) -> None:
    ages = list(range(len(ranks)))
    trend = score_trend(ages, ranks)
    if trend.p is None:
        assert len(set(ranks)) == 1
        return
    agreements = [
        sum((b > a) - (b < a) for i, a in enumerate(order) for b in order[i + 1 :])
        for order in permutations(ranks)
    ]
    share = sum(s >= trend.s for s in agreements) / len(agreements)

    assert trend.p == pytest.approx(share)


@given(
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 4)), min_size=2, max_size=12)
)
def test_tau_b_agrees_with_the_library(pairs: list[tuple[int, int]]) -> None:
    ages, ranks = zip(*pairs, strict=True)
    tau = score_trend(ages, ranks).tau_b
    if tau is None:
        assert min(len(set(ages)), len(set(ranks))) == 1
        return

    assert tau == pytest.approx(stats.kendalltau(ages, ranks).statistic)


def test_more_than_eight_readings_say_how_p_was_found() -> None:
    tied = score_trend(range(9), [0, 0, 0, 1, 1, 1, 2, 2, 2])
    untied = score_trend(range(9), range(9))

    assert tied.method == "approximate"
    assert untied.method == "exact"


def test_lengths_that_differ_break_the_contract() -> None:
    with pytest.raises(ValueError, match="2 ages but 1 ranks"):
        score_trend([0, 1], [0])


def test_observers_are_named_and_claim_nothing() -> None:
    note = observers_note(["Ana", "Ben"])

    assert note == (
        "2 observers (Ana, Ben), not blind; no significance can be claimed."
    )
    assert "1 observer (Ana), blind" in observers_note(["Ana"], blind=True)
