"""What makers call a fact, and below which title they keep their table."""

from __future__ import annotations

import pytest

from stability.records.headings import ALIASES, fact_named, titles_above
from stability.records.table_layout import FACTS


@pytest.mark.parametrize(
    ("heading", "fact"),
    [
        ("Date of check", "done"), ("Datum", "done"), ("Probe", "sample"),
        ("Bemerkung", "note"), ("Lagerung", "condition"), ("pH", "ph"),
    ],
)  # fmt: skip
def test_a_fact_has_the_names_that_makers_give_it(heading: str, fact: str) -> None:
    assert fact_named(heading) == fact


def test_every_other_name_means_a_fact_that_is_read() -> None:
    assert set(ALIASES.values()) <= {*FACTS, "attribute", "reading"}


@pytest.mark.parametrize(
    ("rows", "titles"),
    [
        ([["sample", "date", "pH"], ["HDC-005-Y", "2026-03-26", "5.4"]], 0),
        ([["Hand cream"], ["Charge", "A"], ["Datum", "pH"], ["2026-03-26", "5.4"]], 2),
        # A title that speaks of a date alone is none; nor is what names no day.
        ([["date"], ["sample", "pH"]], 1),
        ([["Hand cream"], ["Prüftag", "pH"]], 0),
        ([], 0),
    ],
)
def test_the_header_is_the_first_row_that_names_sample_or_day(
    rows: list[list[str]], titles: int
) -> None:
    assert titles_above(rows) == titles
