"""Storage figures: irregular loggers, gaps, excursions, thermometers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.storage_figures import LoggerFigures, MinMaxFigures, NoFigures
from stability.statistics.temperature import (
    logger_figures,
    mean_kinetic_temperature,
    minmax_figures,
)

readings = st.lists(st.floats(-10, 60), min_size=1, max_size=30)


def figures(
    hours: list[float], celsius: list[float], *, gap: float = 2.0, frozen: bool = False
) -> LoggerFigures:
    """Work out figures for 15 to 27 °C, and insist on them."""
    result = logger_figures(
        hours, celsius, lowest=15, highest=27, longest_gap=gap, frozen=frozen
    )
    assert isinstance(result, LoggerFigures)
    return result


# Mean kinetic temperature


@given(st.floats(-10, 60), st.integers(1, 9))
def test_a_constant_temperature_is_its_own_mean_kinetic_one(
    celsius: float, n: int
) -> None:
    assert mean_kinetic_temperature([celsius] * n) == pytest.approx(celsius, abs=1e-9)


@given(readings)
def test_it_lies_between_the_mean_and_the_hottest_reading(celsius: list[float]) -> None:
    kinetic = mean_kinetic_temperature(celsius)

    assert np.mean(celsius) - 1e-9 <= kinetic <= max(celsius) + 1e-9


@given(readings)
def test_the_order_of_readings_does_not_matter(celsius: list[float]) -> None:
    assert mean_kinetic_temperature(celsius[::-1]) == pytest.approx(
        mean_kinetic_temperature(celsius)
    )


@given(readings, st.floats(0.1, 10))
def test_only_shares_of_time_matter(celsius: list[float], factor: float) -> None:
    weights = np.arange(1.0, len(celsius) + 1)

    assert mean_kinetic_temperature(celsius, factor * weights) == pytest.approx(
        mean_kinetic_temperature(celsius, weights)
    )


@pytest.mark.parametrize(("celsius", "weights"), [([], None), ([25.0], [0.0])])
def test_no_time_at_all_breaks_the_contract(
    celsius: list[float], weights: list[float] | None
) -> None:
    with pytest.raises(ValueError, match="any time"):
        mean_kinetic_temperature(celsius, weights)


# Loggers


def test_each_reading_holds_until_the_next() -> None:
    found = figures([0, 1, 3, 4], [20, 30, 20, 20])

    assert found.known_hours == 4
    assert found.within_share == pytest.approx(0.5)
    assert found.mean_c == pytest.approx((20 + 2 * 30 + 20) / 4)
    assert found.mean_kinetic_c == pytest.approx(
        mean_kinetic_temperature([20, 30, 20], [1, 2, 1])
    )


def test_a_gap_longer_than_allowed_is_unknown_and_not_good() -> None:
    found = figures([0, 1, 2, 12, 13], [20, 20, 20, 20, 20])

    assert found.known_hours == 3
    assert found.unknown_hours == 10
    assert found.unknown_share == pytest.approx(10 / 13)
    assert found.within_share == 1
    assert found.mean_kinetic_c is None
    assert "10 %" in found.not_stated


def test_up_to_a_tenth_unknown_still_has_a_mean_kinetic_temperature() -> None:
    hours = [float(h) for h in range(91)]
    found = figures([*hours, 100.0], [20.0] * 92, gap=1)

    assert found.unknown_share == pytest.approx(0.1)
    assert found.mean_kinetic_c == pytest.approx(20)


def test_excursions_have_start_end_peak_and_direction() -> None:
    found = figures([0, 1, 2, 3, 4, 5, 6], [20, 28, 31, 20, 14, 12, 20])
    hot, cold = found.excursions

    assert (hot.direction, hot.start_hours, hot.end_hours) == ("hotter", 1, 3)
    assert (hot.peak_c, hot.duration_hours) == (31, 2)
    assert (cold.direction, cold.start_hours, cold.end_hours) == ("colder", 4, 6)
    assert cold.peak_c == 12
    assert not hot.end_unknown


def test_hotter_straight_into_colder_is_two_excursions() -> None:
    found = figures([0, 1, 2], [30, 10, 20])

    assert [one.direction for one in found.excursions] == ["hotter", "colder"]


def test_an_excursion_into_a_gap_or_the_end_has_no_known_end() -> None:
    into_gap = figures([0, 1, 10, 11], [20, 30, 20, 20]).excursions[0]
    at_end = figures([0, 1, 2], [20, 20, 30]).excursions[0]

    assert into_gap.end_unknown
    assert into_gap.end_hours == 1
    assert at_end.end_unknown


def test_an_excursion_on_both_sides_of_a_gap_is_two() -> None:
    found = figures([0, 1, 10, 11, 12], [20, 30, 30, 20, 20])

    assert len(found.excursions) == 2


def test_the_ends_of_the_range_are_inside() -> None:
    assert figures([0, 1, 2], [15, 27, 20]).excursions == ()


def test_frozen_storage_has_no_mean_kinetic_temperature() -> None:
    found = figures([0, 1, 2], [-20, -19, -20], frozen=True)

    assert found.mean_kinetic_c is None
    assert "frozen" in found.not_stated


def test_without_known_time_nothing_is_stated() -> None:
    found = figures([0, 10], [20, 20])

    assert (found.within_share, found.mean_c, found.mean_kinetic_c) == (None,) * 3
    assert found.not_stated == "no known time"


@pytest.mark.parametrize(
    ("hours", "celsius", "code"),
    [
        ([], [], "too-few-readings"),
        ([0.0], [20.0], "too-few-readings"),
        ([0.0, 2.0, 1.0], [20.0] * 3, "backwards"),
        ([0.0, 1.0], [20.0, float("nan")], "not-a-number"),
    ],
)
def test_a_record_without_figures_is_named(
    hours: list[float], celsius: list[float], code: str
) -> None:
    result = logger_figures(hours, celsius, longest_gap=2)

    assert isinstance(result, NoFigures)
    assert result.code == code


def test_lengths_that_differ_break_the_contract() -> None:
    with pytest.raises(ValueError, match="2 times but 1"):
        logger_figures([0, 1], [20], longest_gap=2)


@given(st.lists(st.floats(0, 40), min_size=2, max_size=40))
def test_shares_and_means_lie_within_the_readings(celsius: list[float]) -> None:
    found = figures([float(h) for h in range(len(celsius))], celsius)
    assert found.within_share is not None
    assert found.mean_c is not None

    assert 0 <= found.within_share <= 1
    assert found.lowest_c - 1e-9 <= found.mean_c <= found.highest_c + 1e-9
    outside = sum(one.duration_hours for one in found.excursions)
    assert outside == pytest.approx((1 - found.within_share) * found.known_hours)


# A time that is looked at


def test_a_reading_holds_into_the_time_that_is_looked_at() -> None:
    found = logger_figures(
        [0, 1, 2, 3], [20, 30, 20, 20], highest=27, longest_gap=2, start=1.5, end=2.5
    )
    assert isinstance(found, LoggerFigures)

    assert (found.known_hours, found.unknown_hours) == (1, 0)
    assert found.within_share == pytest.approx(0.5)
    assert found.readings == 1
    hot = found.excursions[0]
    assert (hot.start_hours, hot.end_hours, hot.end_unknown) == (1.5, 2, False)


def test_an_excursion_that_goes_on_beyond_the_end_has_a_known_end() -> None:
    found = logger_figures([0, 1, 2], [20, 30, 30], highest=27, longest_gap=2, end=1.5)
    assert isinstance(found, LoggerFigures)

    assert not found.excursions[0].end_unknown
    assert found.excursions[0].duration_hours == 0.5


def test_time_before_the_first_and_after_the_last_reading_is_unknown() -> None:
    found = logger_figures([5, 6], [20, 20], longest_gap=2, start=0, end=10)
    assert isinstance(found, LoggerFigures)

    assert (found.known_hours, found.unknown_hours) == (1, 9)
    assert found.mean_kinetic_c is None


@pytest.mark.parametrize(("start", "end"), [(-5.0, -1.0), (3.0, 8.0), (30.0, 40.0)])
def test_a_time_without_a_reading_has_no_figures(start: float, end: float) -> None:
    found = logger_figures(
        [0, 1, 2, 9, 10], [20] * 5, longest_gap=2, start=start, end=end
    )

    assert isinstance(found, NoFigures)
    assert found.code == "no-reading-then"


@st.composite
def records_and_times(
    draw: st.DrawFn,
) -> tuple[list[int], list[int], int, int]:
    """Draw readings at whole minutes, and a time to be looked at."""
    steps = draw(st.lists(st.integers(1, 40), min_size=1, max_size=25))
    minutes = np.cumsum([0, *steps]).tolist()
    celsius = draw(
        st.lists(st.integers(10, 32), min_size=len(minutes), max_size=len(minutes))
    )
    start = draw(st.integers(-30, minutes[-1] + 30))
    return minutes, celsius, start, draw(st.integers(start + 1, start + 400))


@given(records_and_times())
def test_figures_are_those_of_counting_minute_by_minute(
    drawn: tuple[list[int], list[int], int, int],
) -> None:
    minutes, celsius, start, end = drawn
    gap = 20
    held: list[int | None] = []
    for minute in range(start, end):
        before = [place for place, one in enumerate(minutes) if one <= minute]
        last = before[-1] if before else None
        known = (
            last is not None
            and last + 1 < len(minutes)
            and minutes[last + 1] - minutes[last] <= gap
        )
        held.append(celsius[last] if known and last is not None else None)
    found = logger_figures(
        minutes, celsius, lowest=15, highest=27, longest_gap=gap, start=start, end=end
    )

    known_minutes = [one for one in held if one is not None]
    if isinstance(found, NoFigures):
        assert not known_minutes
        return
    assert found.known_hours == pytest.approx(len(known_minutes))
    assert found.unknown_hours == pytest.approx(held.count(None))
    hot = sum(one > 27 for one in known_minutes)
    cold = sum(one < 15 for one in known_minutes)
    told = {"hotter": 0.0, "colder": 0.0}
    for one in found.excursions:
        told[one.direction] += one.duration_hours
    assert (told["hotter"], told["colder"]) == (hot, cold)
    if known_minutes:
        assert found.mean_c == pytest.approx(np.mean(known_minutes))
        assert found.within_share == pytest.approx(
            1 - (hot + cold) / len(known_minutes)
        )
    if found.mean_kinetic_c is not None:
        assert found.mean_kinetic_c == pytest.approx(
            mean_kinetic_temperature(known_minutes)
        )


# Thermometers


def test_a_thermometer_never_outside() -> None:
    found = minmax_figures([7, 14], [18, 17], [24, 25], lowest=15, highest=27)
    assert isinstance(found, MinMaxFigures)

    assert found.never_outside
    assert found.text == "Never outside."
    assert (found.lowest_c, found.highest_c) == (17, 25)


@pytest.mark.parametrize(("low", "high"), [(14, 24), (18, 28)])
def test_a_thermometer_outside_for_an_unknown_time(low: float, high: float) -> None:
    found = minmax_figures([7, 14], [18, low], [24, high], lowest=15, highest=27)
    assert isinstance(found, MinMaxFigures)

    assert found.outside_at_days == (14,)
    assert "unknown time" in found.text


def test_no_look_is_named() -> None:
    assert isinstance(minmax_figures([], [], []), NoFigures)
