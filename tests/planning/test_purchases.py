"""What would buy months or certainty, each worked out as a plan of its own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.model.grams import needed_of_batch
from stability.model.prospects import PlanAssumptions, PlanProspects, Purchase
from stability.model.protocol import Protocol
from stability.model.study import Study
from stability.planning.prospects import prospects_of
from tests.planning.simulated_plans import plan, stated
from tests.planning.test_prospects import looks_at, only_odour


def grams_of(study: Study, protocol: Protocol) -> float:
    """Return the grams of all batches."""
    return float(
        sum(needed_of_batch(study, protocol, batch) for batch in study.batches)
    )


def bought(found: PlanProspects, words: str) -> Purchase:
    """Return the purchase that says these words."""
    return next(one for one in found.purchases if words in one.change)


def told(**changes: object) -> PlanProspects:
    """Return the prospects of a plan with wide scatter and prices."""
    mine = PlanAssumptions(scatter={"pH": stated(0.1)})
    return prospects_of(*plan(**changes), mine, grams_of=grams_of)  # type: ignore[arg-type]


def test_a_second_fresh_container_costs_one_a_check_and_buys_certainty() -> None:
    # 3 batches of 6 checks in 50 g jars.
    one = bought(told(), "One more fresh container")

    assert (one.containers, one.grams) == (18, 900)
    assert one.now is not None
    assert one.then is not None
    assert one.then > one.now


def test_it_is_what_the_changed_plan_itself_says() -> None:
    twice = told(containers=2)
    one = bought(told(), "One more fresh container")
    case = next(
        two for two in twice.evaluations[-1].chances if two.room_used == one.room_used
    )

    assert one.then == pytest.approx(case.at_most)


def test_two_more_checks_stand_in_the_widest_gaps() -> None:
    one = bought(told(), "9 checks instead of 7")

    assert one.change.endswith("at 15M and 21M besides")
    assert one.containers == 6
    assert (one.then or 0) > (one.now or 0)


def test_a_later_check_that_is_planned_costs_time_only() -> None:
    parts = looks_at(plan(months=12), "12M")
    one = bought(prospects_of(*parts, grams_of=grams_of), "Judging the request at 18M")

    assert (one.containers, one.grams) == (0, 0)
    assert one.cap_then > one.cap_now
    assert "no further container" in one.text


def test_behind_the_last_check_one_is_added() -> None:
    scores = prospects_of(*only_odour(plan(months=36)), grams_of=grams_of)
    one = bought(scores, "One more check at 36M")

    assert (one.cap_now, one.cap_then) == (24, 36)
    assert (one.containers, one.grams) == (3, 150)
    assert one.now == 0
    assert one.then is None


def test_what_buys_nothing_says_so() -> None:
    scores = prospects_of(*only_odour(plan(months=36)))

    assert (
        "36 months still cannot be supported" in bought(scores, "One more batch").text
    )
    assert "still cannot" not in bought(scores, "One more check at 36M").text


def test_another_batch_has_to_hold_too_and_shows_how_batches_differ() -> None:
    one = bought(told(), "One more batch, 4 instead of 3")

    assert (one.then or 0) < (one.now or 0)
    assert "worse than all tested with chance 1/5, now 1/4" in one.text


def test_fresh_for_reopened_speaks_for_the_unopened_product() -> None:
    one = bought(told(use="reopened"), "Fresh containers in place")

    # 3 batches: 6 fresh jars in place of 1, T0 stays with the bulk.
    assert (one.containers, one.grams) == (15, 750)
    assert "a reopened one for itself" in one.text


def test_fresh_for_reopened_keeps_its_t0() -> None:
    study, protocol = plan(use="reopened", accelerated=False)
    without_bulk = replace(study, samples=study.samples[1:])
    one = bought(prospects_of(without_bulk, protocol), "Fresh containers in place")

    assert one.then is not None
    assert one.then > 0


def test_without_prices_no_grams_are_told() -> None:
    one = bought(prospects_of(*plan()), "One more fresh container")

    assert one.grams is None
    assert " g more" not in one.text


def test_what_is_held_against_each_other_is_the_telling_case() -> None:
    one = bought(told(), "One more fresh container")
    chances = {two.room_used: two.at_most for two in told().evaluations[-1].chances}

    assert one.room_used == min(
        chances, key=lambda used: abs((chances[used] or 0) - 0.5)
    )
