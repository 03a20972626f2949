"""Limits: bounds with their reason, in words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.model.limit import Band, Limit


def band(lowest: str | None = None, highest: str | None = None) -> Band:
    """Return a band from numbers as typed."""
    return Band(
        None if lowest is None else Decimal(lowest),
        None if highest is None else Decimal(highest),
    )


@pytest.mark.parametrize(
    ("value", "inside"),
    [("5.0", True), ("5.00", True), ("4.999", False), ("5.9", True), ("5.901", False)],
)
def test_both_ends_of_a_band_are_inside(value: str, inside: bool) -> None:
    assert band("5.0", "5.9").holds(Decimal(value)) is inside


def test_a_band_may_have_one_end() -> None:
    assert band(highest="3").holds(Decimal(-100))
    assert band(lowest="3").holds(Decimal(100))


@pytest.mark.parametrize(
    ("limit", "unit", "words"),
    [
        (Limit(absolute=band("5.0", "5.9")), "pH", "5.0 to 5.9"),
        (Limit(absolute=band(highest="3.0")), "%", "at most 3.0 %"),
        (Limit(absolute=band("10", None)), "mm", "at least 10 mm"),
        (Limit(change=band("-0.5", "0.5")), "pH", "change -0.5 to 0.5"),
        (
            Limit(percent_of_initial=band("80", "120")),
            "mPa·s",
            "80 to 120 % of initial",
        ),
        (Limit(highest="slightly changed"), "", "at most “slightly changed”"),
        (Limit(required="yes"), "", "must be “yes”"),
        (Limit(recorded_only=True, absolute=band("1")), "g", "recorded only"),
        (Limit(), "g", "no limit"),
        (
            Limit(absolute=band("1"), percent_of_initial=band("80")),
            "g",
            "at least 1 g; at least 80 % of initial",
        ),
    ],
)
def test_a_limit_is_printed_in_words_with_its_digits(
    limit: Limit, unit: str, words: str
) -> None:
    assert limit.words(unit) == words


@pytest.mark.parametrize(
    ("limit", "judges"),
    [
        (Limit(), False),
        (Limit(absolute=band("1")), True),
        (Limit(required="yes"), True),
        (Limit(highest="none"), True),
        (Limit(absolute=band("1"), recorded_only=True), False),
    ],
)
def test_a_limit_without_a_bound_judges_nothing(limit: Limit, judges: bool) -> None:
    assert limit.judges is judges


def test_limits_against_the_initial_value_are_relative() -> None:
    assert Limit(change=band("-1")).is_relative
    assert Limit(percent_of_initial=band("80")).is_relative
    assert not Limit(absolute=band("1")).is_relative
