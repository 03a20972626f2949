"""Single cells that are refused, and those that are not."""

from __future__ import annotations

import pytest

from stability.records.table_cells import comma_fault, reading_fault

ODOUR = ("as control", "slightly changed", "changed")


@pytest.mark.parametrize("reading", ["n/a", "N/A", "-", "–", "na", "?", "n.d."])
def test_what_is_written_for_nothing_is_refused_with_what_to_write(
    reading: str,
) -> None:
    fault = reading_fault(reading, decimal_comma=False)

    assert fault is not None
    assert "not-measured" in fault
    assert "empty" in fault


def test_a_word_of_the_scale_is_never_taken_for_nothing() -> None:
    scale = ("na", "yes")

    assert reading_fault("na", decimal_comma=False, scale=scale) is None
    assert reading_fault("na", decimal_comma=False, scale=ODOUR) is not None


@pytest.mark.parametrize("reading", ["5,47", "5.47/5,49", "<5,4", "-0,5"])
def test_a_comma_counts_only_where_it_was_declared(reading: str) -> None:
    fault = reading_fault(reading, decimal_comma=False)

    assert fault is not None
    assert "--decimal-comma" in fault
    assert reading_fault(reading, decimal_comma=True) is None


@pytest.mark.parametrize("reading", ["1.234", "12.000/12.100", "1.234,5"])
def test_a_point_that_may_part_thousands_is_refused(reading: str) -> None:
    fault = reading_fault(reading, decimal_comma=True)

    assert fault is not None
    assert reading.replace(".", "") in fault


@pytest.mark.parametrize("reading", ["5.47", "5.4", "1234", "12.3456"])
def test_a_point_that_can_only_be_decimal_is_taken(reading: str) -> None:
    assert reading_fault(reading, decimal_comma=True) is None


def test_words_may_hold_commas() -> None:
    assert reading_fault("grey, a little", decimal_comma=False) is None
    assert comma_fault("grey, a little") is None
    assert comma_fault("21,5") is not None
