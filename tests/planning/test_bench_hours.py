"""Time at the bench."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.attribute import Attribute
from stability.model.sample import assign_samples
from stability.planning.bench_hours import HANDLING, bench_hours, minutes_for
from stability.planning.plan_dates import before_opening, check_days
from tests.planning.worked_examples import (
    REOPENED,
    face_cream,
    face_cream_study,
    small_batch,
    small_batch_study,
)


@pytest.mark.parametrize(
    ("attribute", "minutes"),
    [
        (Attribute("pH", "measured", minutes=Decimal("6.5")), 6.5),
        (Attribute("pH", "measured", readings=2), 6.0),
        (Attribute("odour", "scored", observers=3), 6.0),
        (Attribute("swollen", "stated"), 1.0),
        (Attribute("weight_loss", "measured", from_weights=True), 1.0),
    ],
)
def test_minutes_are_stated_or_as_usual(attribute: Attribute, minutes: float) -> None:
    assert minutes_for(attribute) == minutes


def test_hours_are_those_of_all_observations() -> None:
    """Bulk at T0, 16 checks of containers; pH 3, viscosity 3, odour 2 min."""
    study, protocol = small_batch_study(REOPENED), small_batch()
    samples = assign_samples(study, protocol)

    found = bench_hours(study, protocol, samples, ())

    assert found.handled == 17
    assert (found.stated, found.assumed) == (0, 3 + 16 * 2)
    assert found.hours == pytest.approx((17 * HANDLING + 8 + 16 * 5) / 60)
    assert "common practice" in found.basis


def test_the_days_sum_to_the_whole() -> None:
    study, protocol = face_cream_study(), face_cream()
    samples = assign_samples(study, protocol)
    days = check_days(before_opening(study, protocol, samples))

    found = bench_hours(study, protocol, samples, days)

    assert sum(one.hours for one in days) == pytest.approx(found.hours)
    assert found.longest_day == max(one.hours for one in days)


def test_stated_minutes_are_told_apart_from_assumed_ones() -> None:
    study, protocol = face_cream_study(), face_cream()
    spread = replace(protocol.attributes["spread"], minutes=Decimal(60))
    slower = replace(protocol, attributes={**protocol.attributes, "spread": spread})
    samples = assign_samples(study, protocol)

    usual = bench_hours(study, protocol, samples, ())
    slow = bench_hours(study, slower, samples, ())

    spreads = slow.stated - usual.stated
    assert slow.stated + slow.assumed == usual.stated + usual.assumed
    assert slow.hours - usual.hours == pytest.approx(spreads * (60 - 6) / 60)
    assert f"{slow.stated} observations" in slow.basis
