"""One reading: numbers, words, observers, physical bounds."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.samples import ReadingsError
from stability.model.attribute import Attribute
from stability.records.typed import BenchFacts, Typed, read_attribute

PH = Attribute("pH", "measured", unit="pH", readings=2)
ODOUR = Attribute(
    "odour",
    "scored",
    scale=("as control", "slightly changed", "changed", "strongly changed"),
    observers=2,
)
APPEARANCE = Attribute("appearance", "scored", scale=("as T0", "changed"))
SWOLLEN = Attribute("swollen", "stated", scale=("no", "yes"))
ANA_BEN = BenchFacts(observers=("Ana", "Ben"))
NOBODY = BenchFacts()


def words(typed: Typed) -> list[tuple[str | None, str]]:
    """Return observer and value of each reading."""
    return [(one.observer, one.value) for one in typed.readings]


def test_readings_are_kept_as_typed() -> None:
    typed = read_attribute(PH, None, "5.50/5.5", NOBODY)

    assert [one.value for one in typed.readings] == ["5.50", "5.5"]
    assert typed.unit == "pH"
    assert typed.remarks == ()


def test_a_qualifier_is_kept_apart() -> None:
    count = Attribute("count", "measured", unit="CFU/g")

    typed = read_attribute(count, None, "<10", NOBODY)

    assert (typed.readings[0].qualifier, typed.readings[0].value) == ("<", "10")


def test_fewer_readings_than_the_method_wants_are_a_remark() -> None:
    assert read_attribute(PH, None, "5.5", NOBODY).remarks == ("pH: 1 of 2 readings",)


@pytest.mark.parametrize("reading", ["56", "5.5/14.01", "-0.1"])
def test_an_acidity_outside_0_to_14_is_refused(reading: str) -> None:
    with pytest.raises(ReadingsError, match="is possible"):
        read_attribute(PH, None, reading, NOBODY)


@pytest.mark.parametrize("reading", ["0", "14", "7.00/14.0"])
def test_the_ends_of_what_is_possible_are_possible(reading: str) -> None:
    assert read_attribute(PH, None, reading, NOBODY).readings


def test_bounds_of_the_protocol_come_before_those_of_the_unit() -> None:
    hot = Attribute("melting", "measured", unit="°C", highest_possible=Decimal(90))

    with pytest.raises(ReadingsError, match="above 90"):
        read_attribute(hot, None, "91", NOBODY)


@pytest.mark.parametrize("reading", ["0", "-3.2", "<5"])
def test_a_weight_is_a_plain_number_above_nothing(reading: str) -> None:
    loss = Attribute("weight_loss", "measured", unit="%", from_weights=True)

    with pytest.raises(ReadingsError, match="above 0"):
        read_attribute(loss, "before", reading, NOBODY)


def test_a_weight_is_in_grams_whatever_the_loss_is_in() -> None:
    loss = Attribute("weight_loss", "measured", unit="%", from_weights=True)

    typed = read_attribute(loss, "after", "73.10", NOBODY)

    assert (typed.unit, typed.part, typed.text()) == (
        "g",
        "after",
        "weight after closing 73.10 g",
    )


@pytest.mark.parametrize("reading", ["5,47", "٥.٥", "NaN", "5.", "1e3", ""])
def test_what_is_no_number_is_refused(reading: str) -> None:
    with pytest.raises(ReadingsError):
        read_attribute(PH, None, reading, NOBODY)


def test_a_comma_is_read_only_where_a_file_declares_it() -> None:
    typed = read_attribute(PH, None, "5,47", BenchFacts(decimal_comma=True))

    assert typed.readings[0].value == "5.47"


@pytest.mark.parametrize(
    ("typed", "word"),
    [("as T0", "as T0"), ("AS t0", "as T0"), ("1", "changed"), ("ch", "changed")],
)
def test_a_score_is_its_word_a_beginning_or_its_place(typed: str, word: str) -> None:
    assert read_attribute(APPEARANCE, None, typed, NOBODY).readings[0].value == word


def test_a_place_off_the_scale_is_refused() -> None:
    with pytest.raises(ReadingsError, match="off its scale: 0 to 3"):
        read_attribute(ODOUR, None, "0/4", ANA_BEN)


def test_a_word_off_the_scale_is_refused_with_the_scale() -> None:
    with pytest.raises(ReadingsError, match=r"did you mean “changed”"):
        read_attribute(APPEARANCE, None, "chnged", NOBODY)


def test_an_ambiguous_beginning_is_refused() -> None:
    with pytest.raises(ReadingsError, match="is not one of"):
        read_attribute(ODOUR, None, "s", BenchFacts(observers=("Ana",)))


def test_a_statement_is_no_place_in_a_scale() -> None:
    with pytest.raises(ReadingsError):
        read_attribute(SWOLLEN, None, "0", NOBODY)

    assert read_attribute(SWOLLEN, None, "no", NOBODY).readings[0].value == "no"


def test_observers_are_taken_in_their_order() -> None:
    typed = read_attribute(ODOUR, None, "0/1", ANA_BEN)

    assert words(typed) == [("Ana", "as control"), ("Ben", "slightly changed")]
    assert typed.observers == ("Ana", "Ben")


def test_named_observers_may_come_in_any_order() -> None:
    typed = read_attribute(ODOUR, None, "Ben:0/Ana:1", ANA_BEN)

    assert words(typed) == [("Ben", "as control"), ("Ana", "slightly changed")]


def test_an_unknown_observer_is_refused_with_the_nearest() -> None:
    with pytest.raises(ReadingsError, match=r"no observer of the day 'Anna'.*Ana"):
        read_attribute(ODOUR, None, "Anna:0/Ben:1", ANA_BEN)


@pytest.mark.parametrize("reading", ["0/1/2", "0"])
def test_readings_that_do_not_match_the_observers_are_refused(reading: str) -> None:
    with pytest.raises(ReadingsError, match="the observers are Ana, Ben"):
        read_attribute(ODOUR, None, reading, ANA_BEN)


def test_several_words_need_observers() -> None:
    with pytest.raises(ReadingsError, match="the observers are nobody"):
        read_attribute(ODOUR, None, "0/1", NOBODY)


def test_one_named_and_one_unnamed_observer_are_refused() -> None:
    with pytest.raises(ReadingsError, match="name every observer or none"):
        read_attribute(ODOUR, None, "Ana:0/1", ANA_BEN)


def test_an_observer_smells_once() -> None:
    with pytest.raises(ReadingsError, match="named twice"):
        read_attribute(ODOUR, None, "Ana:0/Ana:1", ANA_BEN)


def test_what_one_person_scores_needs_no_observer() -> None:
    typed = read_attribute(APPEARANCE, None, "0", ANA_BEN)

    assert words(typed) == [(None, "as T0")]


def test_not_measured_keeps_its_reason() -> None:
    typed = read_attribute(PH, None, "not-measured", BenchFacts(because="meter dead"))

    assert (typed.readings, typed.not_measured) == ((), "meter dead")
    assert typed.text() == "pH not measured"


def test_not_measured_without_a_reason_is_refused() -> None:
    with pytest.raises(ReadingsError, match="needs --because"):
        read_attribute(PH, None, "not-measured", NOBODY)


def test_every_fault_of_a_reading_is_told() -> None:
    with pytest.raises(ReadingsError) as caught:
        read_attribute(PH, None, "5,1/56/x", NOBODY)

    assert len(caught.value.faults) == 3


@given(
    st.lists(
        st.decimals(0, 14, places=2, allow_nan=False).map(lambda one: f"{one:.2f}"),
        min_size=1,
        max_size=4,
    )
)
def test_every_possible_reading_comes_back_digit_for_digit(values: list[str]) -> None:
    typed = read_attribute(PH, None, "/".join(values), NOBODY)

    assert [one.value for one in typed.readings] == values
    assert typed.content("HDC-001-5", "T0")["readings"] == [
        {"value": value, "qualifier": "", "observer": None} for value in values
    ]


@given(st.text(max_size=12))
def test_whatever_is_typed_is_taken_or_refused_in_words(text: str) -> None:
    for attribute in (PH, ODOUR, SWOLLEN):
        assert taken_or_refused(attribute, text)


def taken_or_refused(attribute: Attribute, text: str) -> bool:
    """Say whether something was read, or refused in words."""
    try:
        return bool(read_attribute(attribute, None, text, ANA_BEN).readings)
    except ReadingsError as fault:
        return bool(str(fault))
