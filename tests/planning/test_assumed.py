"""What is assumed of an attribute before anything is read."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.attribute import Attribute
from stability.model.limit import Band, Limit
from stability.model.prospects import PlanAssumptions, Scatter
from stability.planning.assumed import Expected, expected_of, scatter_of
from tests.planning.simulated_plans import LIMITS

PH = Attribute("pH", "measured", unit="pH", resolution=Decimal("0.01"))
SPREAD = Attribute("spread", "measured", unit="mm", resolution=Decimal(1))
ACTIVE = Attribute("active", "measured", unit="%")


def assumed(
    attribute: Attribute, limit: Limit, assumptions: PlanAssumptions | None = None
) -> Expected:
    """Return what is assumed, and insist on it."""
    found = told(attribute, limit, assumptions)
    assert isinstance(found, Expected)
    return found


def told(
    attribute: Attribute, limit: Limit, assumptions: PlanAssumptions | None = None
) -> Expected | str:
    """Return what is assumed, or why nothing is."""
    return expected_of(
        attribute,
        limit,
        assumptions or PlanAssumptions(),
        asked=24.0,
        two_limits="two-sided",
    )


def test_a_default_says_that_it_is_one() -> None:
    # Common practice: pH to 0.05 from day to day.
    found = assumed(PH, LIMITS["change"])

    assert found.product.scatter == pytest.approx(0.05)
    assert "default, common practice" in found.scatter_text


def test_a_stated_scatter_stands_before_the_default() -> None:
    mine = PlanAssumptions(scatter={"pH": Scatter(0.03)})
    found = assumed(PH, LIMITS["change"], mine)

    assert found.product.scatter == pytest.approx(0.03)
    assert found.scatter_text == "scatter 0.03 pH (stated)"


def test_without_scatter_or_start_nothing_is_made_up() -> None:
    at_least = Limit(absolute=Band(lowest=Decimal(90)))
    mine = PlanAssumptions(scatter={"active": Scatter(1.0)})
    start = replace(mine, start={"active": 100.0})

    assert scatter_of(ACTIVE, PlanAssumptions()) is None
    assert "--scatter active=" in str(told(ACTIVE, at_least))
    assert "--start active=" in str(told(ACTIVE, at_least, mine))
    assert assumed(ACTIVE, at_least, start).room == pytest.approx(10)


def test_a_scatter_of_nothing_and_a_start_outside_are_refused() -> None:
    none = PlanAssumptions(scatter={"pH": Scatter(0.0)})
    outside = PlanAssumptions(start={"pH": 4.9})

    assert "readings always scatter" in str(told(PH, LIMITS["change"], none))
    assert "outside the limit" in str(told(PH, LIMITS["absolute"], outside))


def test_the_drift_heads_for_the_nearer_limit() -> None:
    low = PlanAssumptions(start={"pH": 5.2})
    high = PlanAssumptions(start={"pH": 5.9})
    near_low, near_high = (assumed(PH, LIMITS["absolute"], one) for one in (low, high))

    assert (near_low.heading, near_high.heading) == (-1.0, 1.0)
    assert near_low.room == pytest.approx(0.2)
    assert near_high.room == pytest.approx(0.1)


def test_a_declared_direction_chooses_the_limit() -> None:
    rising = replace(PH, direction="increasing")
    found = assumed(rising, LIMITS["absolute"], PlanAssumptions(start={"pH": 5.2}))

    assert found.heading == 1.0
    assert found.room == pytest.approx(0.8)


def test_the_room_is_used_up_by_the_life_asked_for() -> None:
    found = assumed(PH, LIMITS["change"])
    half = found.drifting(0.5, 24.0)

    assert half.slope * 24 == pytest.approx(-0.25)


def test_batches_differ_by_a_share_of_the_room() -> None:
    found = assumed(PH, LIMITS["change"], PlanAssumptions(batch_spread=0.2))
    spread = found.product.spread

    assert spread is not None
    assert math.sqrt(spread.level) == pytest.approx(0.1)
    assert math.sqrt(spread.slope) * 24 == pytest.approx(0.1)


def test_on_the_ln_scale_a_share_stays_a_share() -> None:
    logs = replace(SPREAD, fit_scale="ln")
    found = assumed(logs, LIMITS["share"])

    # Nearer is the upper limit: ln 1.2 is less than -ln 0.8.
    assert found.room == pytest.approx(math.log(1.2))
    assert found.heading == 1.0
    assert found.product.scatter == pytest.approx(0.04)


def test_a_coarse_step_stands_in_for_a_smaller_scatter_and_is_said() -> None:
    strips = replace(PH, resolution=Decimal("0.5"))
    found = assumed(strips, LIMITS["absolute"])

    assert found.floor == pytest.approx(0.25)
    assert found.few_steps
    assert "raised to half a step of 0.5 pH" in found.scatter_text


def test_a_step_beside_an_unknown_start_is_said_not_to_count() -> None:
    unknown = assumed(SPREAD, LIMITS["share"])
    known = assumed(SPREAD, LIMITS["share"], PlanAssumptions(start={"spread": 60.0}))

    assert unknown.floor == 0
    assert "not taken in" in unknown.scatter_text
    assert known.floor == pytest.approx(0.5)
    assert known.product.scatter == pytest.approx(2.4)


def test_a_change_on_the_ln_scale_is_refused_as_the_evaluation_does() -> None:
    logs = replace(PH, fit_scale="ln")
    mine = PlanAssumptions(start={"pH": 5.5})

    assert "cannot be judged inside a fit" in str(told(logs, LIMITS["change"], mine))


def test_a_limit_frozen_at_t0_is_absolute() -> None:
    frozen = replace(LIMITS["change"], frozen_at="T0")

    assert {one.kind for one in assumed(PH, frozen).bounds} == {"absolute"}
