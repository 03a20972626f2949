"""Plate counts as laboratories print them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.codes import NumberFormError
from stability.model.plate_count import count_words, parse_count


@pytest.mark.parametrize(
    ("typed", "qualifier", "text", "value"),
    [
        ("120", "", "120", "120"),
        ("<10", "<", "10", "10"),
        (">300", ">", "300", "300"),
        ("2.5x10^5", "", "2.5x10^5", "250000"),
        ("<1.0x10^1", "<", "1.0x10^1", "10"),
        ("2.5 × 10^5", "", "2.5 × 10^5", "250000"),  # as on paper
        ("8x10^0", "", "8x10^0", "8"),
    ],
)
def test_a_count_is_kept_as_typed_with_its_exact_value(
    typed: str, qualifier: str, text: str, value: str
) -> None:
    count = parse_count(typed)

    assert (count.qualifier, count.text, count.value) == (
        qualifier, text, Decimal(value),
    )  # fmt: skip
    assert str(count) == typed


@given(st.integers(1, 999), st.integers(0, 9))
def test_a_power_of_ten_is_the_same_as_all_its_digits(digits: int, power: int) -> None:
    by_power = parse_count(f"{digits}x10^{power}")

    assert by_power.value == parse_count(str(digits * 10**power)).value


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("2.5e5", "2.5x10^5"),
        ("2.5 x 105", "2.5x10^5"),  # the raised digit lost in copying
        ("2.5x10⁵", "2.5x10^5"),
        ("2,5x10^5", "2.5x10^5"),
        ("0", "<10"),
        ("0x10^3", "<10"),
        ("-5", "below 0"),
        ("1x10^16", "power of ten"),
        ("٣", "0 to 9"),
        ("", "nothing was typed"),
    ],
)
def test_what_may_be_another_number_is_refused(typed: str, says: str) -> None:
    with pytest.raises(NumberFormError, match=says.replace("^", r"\^")):
        parse_count(typed)


def test_what_a_power_of_ten_amounts_to_is_shown() -> None:
    assert count_words(parse_count("<2.0x10^2")) == "<2.0x10^2 (200)"
    assert count_words(parse_count("<10")) == "<10"
