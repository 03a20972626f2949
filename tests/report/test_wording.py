"""Words and numbers of the report."""

from __future__ import annotations

from datetime import date
from typing import get_args

import pytest

from stability.evaluation.findings import CellState, Meaning
from stability.model.judgement import Mark
from stability.report.wording import (
    BORROWED,
    FOOTER,
    MARK_SHAPES,
    MEANING_TITLES,
    count,
    day,
    mark,
    months,
    plain_sentence,
    plus_minus,
    sentence_case,
    significant,
    whole_months,
)


def test_every_mark_and_every_state_has_a_sign() -> None:
    words = {*get_args(Mark), "missed", "not planned", "no reading"}
    assert words <= set(MARK_SHAPES)
    assert get_args(CellState)


def test_what_is_outside_is_bold_and_has_a_sign_of_its_own() -> None:
    outside = mark("outside")
    assert (outside.word, outside.strong) == ("outside", True)
    others = [shape for word, shape in MARK_SHAPES.items() if word != "outside"]
    assert outside.shape
    assert outside.shape not in others


def test_every_meaning_has_a_title() -> None:
    assert set(MEANING_TITLES) == set(get_args(Meaning))


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (5.5, 4, "5.5"),
        (0.0, 4, "0"),
        (-0.0273325, 3, "-0.0273"),
        (12345.678, 3, "12300"),
        (0.00001234, 2, "0.000012"),
        (6543210.0, 4, "6543000"),
    ],
)
def test_a_number_prints_with_its_significant_digits_and_no_exponent(
    value: float, digits: int, text: str
) -> None:
    assert significant(value, digits) == text


def test_an_interval_prints_both_ends() -> None:
    assert plus_minus((-0.0312, 0.5)) == "-0.0312 to 0.5"


def test_counts_agree_with_their_noun() -> None:
    assert (count(1, "batch", "batches"), count(3, "batch", "batches")) == (
        "1 batch",
        "3 batches",
    )
    assert (months(1), months(24)) == ("1 month", "24 months")


def test_an_estimate_is_rounded_down_never_up() -> None:
    assert (whole_months(29.99), whole_months(None)) == ("29", "–")


def test_a_missing_date_is_a_dash() -> None:
    assert (day(None), day(date(2026, 2, 3))) == ("–", "2026-02-03")


def test_what_a_page_says_anyway_is_not_repeated() -> None:
    text = f"cap 12 months (analysed. {BORROWED}). {FOOTER}"
    assert plain_sentence(text) == "cap 12 months (analysed)."


def test_sentences_begin_with_a_capital_unless_they_begin_with_ph() -> None:
    assert sentence_case("ünlü") == "Ünlü"
    assert sentence_case("pH first") == "pH first"
    assert sentence_case("") == ""
