"""Which column of a logger's file is what."""

from __future__ import annotations

import pytest

from stability.errors.storage import LoggerColumnsError
from stability.model.logger_form import DeclaredForm
from stability.statistics.logger_head import names_in, recognised


def test_a_column_that_counts_rows_is_no_temperature() -> None:
    rows = [f"{place},2026-03-0{place} 9:00,2{place}.5" for place in range(1, 6)]
    found = recognised(["id,when,value", *rows], "a.csv", DeclaredForm())

    assert found.temperature == "value"


def test_a_dew_point_is_no_temperature() -> None:
    head = ["when,Dew point °C,Temp °C", "2026-03-02 9:00,9.5,21.5"]

    assert recognised(head, "a.csv", DeclaredForm()).temperature == "Temp °C"


def test_names_that_stand_twice_are_told_apart_by_their_place() -> None:
    assert names_in(["t,T,T", "2026-03-02 9:00,1,2"], 1, ",") == (
        "t",
        "column 2",
        "column 3",
    )


def test_a_beginning_of_a_name_suffices_where_it_is_one() -> None:
    head = ["when,Probe A,Probe B", "2026-03-02 9:00,1.5,2.5"]
    found = recognised(head, "a.csv", DeclaredForm(temperature="probe b"))

    assert found.temperature == "Probe B"
    with pytest.raises(LoggerColumnsError, match="--temperature probe"):
        recognised(head, "a.csv", DeclaredForm(temperature="probe"))


def test_every_fault_of_the_columns_is_told_at_once() -> None:
    head = ["a,b,Temp 1,Temp 2", "2026-03-02 9:00,2026-03-02 9:00,1.5,2.5"]

    with pytest.raises(LoggerColumnsError) as caught:
        recognised(head, "a.csv", DeclaredForm())
    assert len(caught.value.faults) == 2
