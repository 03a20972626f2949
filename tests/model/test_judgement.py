"""One observation judged against its limit, in exact decimals."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.attribute import Attribute
from stability.model.judgement import (
    Judgement,
    judge_measured,
    judge_words,
    mean_reading,
    word_of,
)
from stability.model.limit import Band, Limit
from stability.model.observation import Reading

SCALE = ("none", "droplets", "layer", "broken")
ODOUR = Attribute("odour", "scored", scale=SCALE)


def band(lowest: str | None = None, highest: str | None = None) -> Band:
    """Return a band from numbers as typed."""
    return Band(
        None if lowest is None else Decimal(lowest),
        None if highest is None else Decimal(highest),
    )


def readings(*typed: str) -> list[Reading]:
    """Return readings as typed, `<0.1` among them."""
    return [
        Reading(text.lstrip("<>"), text[0] if text[0] in "<>" else "") for text in typed
    ]


def judge(*typed: str, limit: Limit, initial: str | None = None) -> Judgement:
    """Judge readings as typed."""
    start = None if initial is None else Fraction(initial)
    return judge_measured(readings(*typed), limit, start, "pH")


ABSOLUTE = Limit(absolute=band("5.0", "5.9"))


@pytest.mark.parametrize(
    ("typed", "mark", "detail"),
    [
        ("5.0", "inside", ""),
        ("5.9", "inside", ""),
        ("4.99", "outside", "below 5.0"),
        ("5.90000001", "outside", "above 5.9"),
    ],
)
def test_a_point_on_the_limit_is_inside(typed: str, mark: str, detail: str) -> None:
    found = judge(typed, limit=ABSOLUTE)

    assert (found.mark, found.detail) == (mark, detail)


def test_rounding_never_brings_a_value_inside() -> None:
    # 4.995 would round to 5.0 with the digits of the limit.
    assert judge("4.99", "5.00", limit=ABSOLUTE).mark == "outside"


def test_the_mean_is_exact() -> None:
    assert mean_reading(readings("5.1", "5.1", "5.2")) == Fraction(154, 30)
    assert mean_reading(readings("5.1", "<5.2")) is None
    assert mean_reading([]) is None


# 5.3 - 5.4 is below -0.1 in binary floats; as typed it is exactly -0.1.
def test_a_change_is_judged_as_typed() -> None:
    limit = Limit(change=band("-0.1", "0.1"))

    assert judge("5.3", limit=limit, initial="5.4").mark == "inside"
    assert judge("5.2999", limit=limit, initial="5.4").mark == "outside"
    assert judge("5.5", limit=limit, initial="5.4").mark == "inside"


def test_a_share_is_judged_as_typed() -> None:
    limit = Limit(percent_of_initial=band("80", "120"))

    assert judge("8", limit=limit, initial="10").mark == "inside"
    assert judge("7.99", limit=limit, initial="10").detail == "below 80 % of initial"
    assert judge("12.01", limit=limit, initial="10").mark == "outside"


# Below 0 a reading with < would stand for a larger share, and a fall for a rise.
@pytest.mark.parametrize("initial", [None, "0", "-10"])
def test_without_an_initial_value_a_share_says_nothing(initial: str | None) -> None:
    limit = Limit(percent_of_initial=band("80"))

    assert judge("8", limit=limit, initial=initial).mark == "no initial"


def test_an_absolute_failure_counts_even_without_an_initial_value() -> None:
    limit = Limit(absolute=band("5"), percent_of_initial=band("80"))

    assert judge("4", limit=limit).mark == "outside"
    assert judge("6", limit=limit).mark == "no initial"


def test_a_value_must_be_inside_every_band() -> None:
    limit = Limit(absolute=band("5"), percent_of_initial=band("80"))

    assert judge("7", limit=limit, initial="10").detail == "below 80 % of initial"


@pytest.mark.parametrize(
    ("limit", "typed", "mark"),
    [
        (Limit(absolute=band("5.0")), "<5.0", "outside"),
        (Limit(absolute=band("5.0")), "<4.0", "outside"),
        (Limit(absolute=band("5.0")), "<5.1", "undecided"),
        (Limit(absolute=band("5.0")), ">5.0", "inside"),
        (Limit(absolute=band("5.0")), ">4.9", "undecided"),
        (Limit(absolute=band(None, "100")), "<10", "inside"),
        (Limit(absolute=band(None, "100")), "<100", "inside"),
        (Limit(absolute=band(None, "100")), "<101", "undecided"),
        (Limit(absolute=band(None, "100")), ">100", "outside"),
        (Limit(absolute=band(None, "100")), ">99", "undecided"),
        (ABSOLUTE, "<5.5", "undecided"),
        (ABSOLUTE, ">5.5", "undecided"),
    ],
)
def test_less_than_and_more_than_are_judged_only_where_they_are_sure(
    limit: Limit, typed: str, mark: str
) -> None:
    assert judge(typed, limit=limit).mark == mark


def test_one_unsure_reading_of_several_leaves_the_whole_undecided() -> None:
    found = judge("5.5", "<5.6", limit=ABSOLUTE)

    assert found.mark == "undecided"
    assert found.value is None


def test_one_reading_outside_among_unsure_ones_is_outside() -> None:
    assert judge("4.5", "<5.6", limit=ABSOLUTE).mark == "outside"


def test_no_readings_are_not_measured() -> None:
    assert judge(limit=ABSOLUTE).mark == "not measured"


@pytest.mark.parametrize(
    "limit", [Limit(), Limit(absolute=band("5"), recorded_only=True)]
)
def test_without_a_bound_a_value_is_recorded_and_not_called_inside(
    limit: Limit,
) -> None:
    found = judge("4.0", limit=limit)

    assert found.mark == "recorded only"
    assert found.value == 4


def test_a_value_that_was_worked_out_is_judged_instead_of_the_readings() -> None:
    limit = Limit(absolute=band(None, "3"))

    found = judge_measured(readings("80.1"), limit, None, "%", value=Fraction(3))

    assert found.mark == "inside"
    assert found.value == 3


NUMBER = st.decimals("0.01", "99", places=2, allow_nan=False)


@given(NUMBER, NUMBER, NUMBER)
def test_a_mean_is_outside_exactly_when_it_lies_beyond_a_bound(
    value: Decimal, lowest: Decimal, width: Decimal
) -> None:
    limit = Limit(absolute=Band(lowest, lowest + width))

    inside = lowest <= value <= lowest + width

    assert judge(f"{value}", limit=limit).mark == ("inside" if inside else "outside")


@given(st.lists(NUMBER, min_size=1, max_size=4), NUMBER)
def test_the_order_of_readings_does_not_matter(
    values: list[Decimal], lowest: Decimal
) -> None:
    limit = Limit(absolute=Band(lowest))
    typed = [f"{one}" for one in values]

    assert judge(*typed, limit=limit) == judge(*reversed(typed), limit=limit)


def words(*typed: str, limit: Limit, initial: str | None = None) -> Judgement:
    """Judge words."""
    return judge_words([Reading(one) for one in typed], ODOUR, limit, initial)


@pytest.mark.parametrize(
    ("word", "mark"),
    [("none", "inside"), ("droplets", "changed, inside"), ("layer", "outside")],
)
def test_a_score_is_inside_up_to_the_highest_word(word: str, mark: str) -> None:
    assert words(word, limit=Limit(highest="droplets")).mark == mark


def test_a_score_is_changed_against_its_word_at_t0() -> None:
    limit = Limit(highest="layer")

    assert words("droplets", limit=limit, initial="droplets").mark == "inside"
    assert words("none", limit=limit, initial="droplets").mark == "changed, inside"


def test_a_statement_must_be_the_one_required() -> None:
    stated = Attribute("closes", "stated", scale=("yes", "no"))
    limit = Limit(required="yes")

    assert judge_words([Reading("yes")], stated, limit, None).mark == "inside"
    found = judge_words([Reading("no")], stated, limit, None)
    assert (found.mark, found.detail) == ("outside", "not “yes”")


@pytest.mark.parametrize(
    ("rule", "word"),
    [("worst", "layer"), ("both agree", "none"), ("majority", "droplets")],
)
def test_several_observers_amount_to_one_word_by_the_rule(rule: str, word: str) -> None:
    attribute = Attribute("odour", "scored", scale=SCALE, rule=rule)  # type: ignore[arg-type]
    seen = [Reading("droplets"), Reading("none"), Reading("layer")]

    assert word_of(seen, attribute) == word


def test_an_even_majority_takes_the_worse_word() -> None:
    attribute = Attribute("odour", "scored", scale=SCALE, rule="majority")

    assert word_of([Reading("none"), Reading("layer")], attribute) == "layer"
