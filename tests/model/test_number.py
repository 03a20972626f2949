"""Numbers are kept as typed, read exactly, or refused with the way to write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.codes import NumberFormError
from stability.model.number import parse_number

WRITTEN = st.from_regex(r"[<>]?[+-]?[0-9]{1,9}(\.[0-9]{1,9})?", fullmatch=True)


@given(WRITTEN)
def test_a_number_prints_back_as_it_was_typed(text: str) -> None:
    assert str(parse_number(text)) == text


@given(WRITTEN)
def test_the_value_is_exact(text: str) -> None:
    number = parse_number(text)

    assert number.value == Decimal(text.lstrip("<>"))
    assert str(number.value) == str(Decimal(number.text))


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    try:
        said = str(parse_number(text))
    except NumberFormError as error:
        said = str(error)

    assert said == text or "is not read as a number" in said
    assert "\n" not in said


def test_trailing_zeros_make_another_number_of_the_same_value() -> None:
    assert parse_number("5.50").value == parse_number("5.5").value
    assert parse_number("5.50") != parse_number("5.5")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing was typed"),
        ("  ", "nothing was typed"),
        ("NaN", "states no value"),
        ("-inf", "states no value"),
        ("5,47", "write a point for the comma, 5.47"),
        ("<5,47", "<5.47"),
        ("٥.٥", "write its digits as 0 to 9, 5.5"),
        ("٥٫٥", "0 to 9, 5.5"),
        ("５.５", "0 to 9, 5.5"),
        ("5²", "write its digits as 0 to 9"),
        ("−5", "plain hyphen"),
        ("1e3", "without an exponent"),
        ("1E999999", "without an exponent"),
        ("1_000", "without gaps"),
        ("1 000", "without gaps"),
        (" 5.5", "without gaps"),
        (".5", "zero before the point"),
        ("5.", "digit after the point"),
        ("≤5", "< or > alone"),
        ("<=5", "< or > alone"),
        ("5.47 mPa·s", "write the number alone, 5.47"),
        ("5.47pH", "write the number alone, 5.47"),
        ("1.234,5", "digits with a point"),
        ("+-5", "digits with a point"),
        ("5<", "digits with a point"),
        ("5.4.7", "digits with a point"),
        ("1" * 21, "more than 20 digits"),
    ],
)
def test_a_refusal_says_how_to_write_it(text: str, words: str) -> None:
    with pytest.raises(NumberFormError, match=r".") as refused:
        parse_number(text, "readings.csv:7")

    assert str(refused.value).startswith("readings.csv:7: ")
    assert words in str(refused.value)
