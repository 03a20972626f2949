"""Figures of a place over all its files and over several periods."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from stability.evaluation.place_readings import figures_over, merged, read_place
from stability.statistics.temperature import mean_kinetic_temperature
from tests.evaluation.stored import PLACED, Place

DAY = timedelta(days=1)
MEANT = (Decimal(38), Decimal(42))


def test_a_period_without_any_reading_counts_as_unknown() -> None:
    readings = Place().log([40.0] * 97).readings()
    known = (PLACED, PLACED + 4 * DAY)
    silent = (PLACED + 10 * DAY, PLACED + 11 * DAY)

    whole = figures_over(readings, MEANT, [known])
    assert whole.mean_kinetic_c == pytest.approx(40)
    both = figures_over(readings, MEANT, [known, silent])
    assert both.unknown_share == pytest.approx(0.2)
    assert both.mean_kinetic_c is None
    assert "more than 10 %" in both.not_stated


def test_periods_are_weighted_by_their_known_time() -> None:
    readings = Place().log([38.0] * 72 + [44.0] * 25).readings()
    cool, hot = (PLACED, PLACED + 2 * DAY), (PLACED + 3 * DAY, PLACED + 4 * DAY)
    found = figures_over(readings, MEANT, [cool, hot])

    assert found.within_share == pytest.approx(2 / 3)
    assert found.mean_c == pytest.approx(40)
    assert found.mean_kinetic_c == pytest.approx(mean_kinetic_temperature([38, 38, 44]))
    apart = [figures_over(readings, MEANT, [one]) for one in (cool, hot)]
    together = merged(apart)
    assert together is not None
    assert together.mean_kinetic_c == pytest.approx(found.mean_kinetic_c)
    assert together.hotter_hours == pytest.approx(24)


def test_two_files_of_one_time_are_taken_once_and_both_extremes_are_seen() -> None:
    one = Place().log([40.0] * 25)
    both = Place().log([40.0] * 25).log([40.0] * 12 + [45.0] + [40.0] * 12)
    period = [(PLACED, PLACED + DAY)]

    assert figures_over(one.readings(), MEANT, period).highest_c == 40
    found = figures_over(both.readings(), MEANT, period)
    assert found.highest_c == 45
    assert found.known_hours == pytest.approx(24)


def test_a_file_that_is_not_at_hand_is_named() -> None:
    oven = Place().log([40.0] * 5)

    assert read_place(oven.record(), {}).lacking == ("oven.csv",)
