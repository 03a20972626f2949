"""What headings mean, and which form a table has."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from stability.errors.files import RowsError
from stability.model.attribute import Attribute
from stability.records.headings import fact_named
from stability.records.protocol_file import read_protocol
from stability.records.sheet_table import read_csv
from stability.records.table_layout import Layout, layout_of, place_of
from tests.records.small_study import PROTOCOL

ATTRIBUTES: Mapping[str, Attribute] = read_protocol(
    PROTOCOL, "small", "small.toml"
).attributes


def layout(*headings: str, omitted: Mapping[str, str] | None = None) -> Layout:
    """Return the layout of a table with these headings."""
    return layout_of(read_csv(",".join(headings), "day.csv"), ATTRIBUTES, omitted or {})


def faults(*headings: str, omitted: Mapping[str, str] | None = None) -> str:
    """Return what is wrong with these headings."""
    with pytest.raises(RowsError) as caught:
        layout(*headings, omitted=omitted)
    return "\n".join(caught.value.faults)


def test_one_row_a_reading_is_the_long_form() -> None:
    found = layout("sample", "attribute", "reading", "check date")

    assert found.long == ("sample", "attribute", "reading", "done")
    assert found.readings == {}


def test_one_column_an_attribute_is_the_wide_form() -> None:
    found = layout("Sample", "Date", "pH", "sep", "w", "w2", "Remarks")

    assert not found.long
    assert list(found.readings) == ["pH", "separation", "w", "w2"]
    assert found.facts == {"sample": 0, "done": 1, "note": 6}


def test_a_unit_in_brackets_must_be_the_attributes() -> None:
    assert list(layout("sample", "date", "spread [mm]", "pH (pH)").readings) == [
        "spread",
        "pH",
    ]
    assert "the unit cm" in faults("sample", "date", "spread (cm)")


def test_numbered_columns_are_readings_of_one_attribute_in_their_order() -> None:
    found = layout("sample", "date", "pH 2", "pH 1")

    assert [one.place for one in found.readings["pH"]] == [3, 2]


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("pH.dilution", "pH.dilution"),
        ("dilution", "pH.dilution"),
        ("pH.sample_temperature", "pH.sample_temperature"),
        ("layer_mm", "layer_mm"),
        ("layer mm", "layer_mm"),
    ],
)
def test_settings_and_further_readings_have_columns(heading: str, name: str) -> None:
    assert layout("sample", "date", "pH", heading).settings[0].name == name


def test_both_forms_at_once_are_refused_with_the_way_out() -> None:
    told = faults("sample", "date", "attribute", "reading", "pH")

    assert "keep one form" in told


@pytest.mark.parametrize(
    ("headings", "told"),
    [
        (("sample", "date"), "no column holds readings"),
        (("sample", "pH"), "a column date is missing"),
        (("date", "pH"), "nothing tells the sample"),
        (("sample", "date", "pH", "pH"), "number them pH 1, pH 2"),
        (("sample", "date", "pH", "pH 1"), "stands there twice"),
        (("sample", "date", "date", "pH"), "column done stands there twice"),
        (("sample", "date", "pH", "viscocity"), "viscocity"),
        (("sample", "attribute", "done"), "a column reading is missing"),
        (("sample", "attribute", "reading", "spred"), "'spred'"),
        ((), "a header is missing"),
    ],
)
def test_a_header_that_is_not_clear_is_refused(
    headings: tuple[str, ...], told: str
) -> None:
    assert told in faults(*headings)


def test_all_faults_of_a_header_are_told_at_once() -> None:
    told = faults("date", "colour code", "spread (cm)", "pH", "pH")

    for part in ("colour code", "cm", "nothing tells the sample", "twice"):
        assert part in told


def test_what_the_study_leaves_out_has_no_column() -> None:
    told = faults("sample", "date", "pH", "spread", omitted={"spread": "no plates"})

    assert "no plates" in told


@pytest.mark.parametrize(
    ("heading", "fact"),
    [("Check Date", "done"), ("check_date", "done"), ("REASON", "because"), ("x", "x")],
)
def test_headings_have_other_names(heading: str, fact: str) -> None:
    assert fact_named(heading) == fact


def test_the_sample_is_found_before_the_study_is_known() -> None:
    table = read_csv("date,Jar,pH\n2026-03-20,001-5,5.5\n", "day.csv")

    assert place_of(table, "sample") == 1
    assert place_of(table, "check") is None
