"""Rows as a table, JSON and CSV."""

from __future__ import annotations

import json

import pytest

from stability.cli.options import Format
from stability.cli.output import (
    Listing,
    Row,
    print_listing,
    short_anchor,
    tell_written,
    visible,
)
from stability.cli.table import Column
from stability.workflow.written import Written

COLUMNS = (
    Column("attribute", "attribute"),
    Column("slope_per_month", "per month", right=True),
    Column("unit", ""),
)
LISTING = Listing(
    "series",
    COLUMNS,
    [
        {"attribute": "pH", "slope_per_month": -0.05, "unit": "pH"},
        {"attribute": "viscosity", "slope_per_month": None, "unit": "mPa·s"},
    ],
    "No series.",
    facts={"study": "HDC"},
    notes=("Supports, does not replace.",),
)


def test_json_has_facts_rows_and_notes_under_stable_keys(
    capsys: pytest.CaptureFixture[str],
) -> None:
    print_listing(LISTING, Format.json)

    assert json.loads(capsys.readouterr().out) == {
        "study": "HDC",
        "series": [
            {"attribute": "pH", "slope_per_month": -0.05, "unit": "pH"},
            {"attribute": "viscosity", "slope_per_month": None, "unit": "mPa·s"},
        ],
        "notes": ["Supports, does not replace."],
    }


def test_csv_holds_every_column_and_leaves_notes_to_standard_error(
    capsys: pytest.CaptureFixture[str],
) -> None:
    print_listing(LISTING, Format.csv)

    printed = capsys.readouterr()
    assert (
        printed.out == "attribute,slope_per_month,unit\npH,-0.05,pH\nviscosity,,mPa·s\n"
    )
    assert printed.err == "Supports, does not replace.\n"


def test_csv_runs_nothing_in_a_spreadsheet(capsys: pytest.CaptureFixture[str]) -> None:
    columns = (Column("change", "change"), Column("text", "text"))
    rows: list[Row] = [
        {"change": -0.5, "text": "-0.5"},
        {"change": None, "text": "=1+1"},
    ]

    print_listing(Listing("rows", columns, rows, "none"), Format.csv)

    assert capsys.readouterr().out == "change,text\n-0.5,-0.5\n,'=1+1\n"


def test_table_shows_titled_columns_facts_and_notes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    print_listing(LISTING, Format.table)

    assert capsys.readouterr().out.splitlines() == [
        "study: HDC",
        "attribute  per month",
        "─────────  ─────────",
        "pH             -0.05",
        "viscosity",
        "",
        "Supports, does not replace.",
    ]


def test_a_column_without_anything_in_it_is_left_out_of_the_table(
    capsys: pytest.CaptureFixture[str],
) -> None:
    rows = [{"attribute": "pH", "slope_per_month": None}]
    print_listing(Listing("series", COLUMNS, rows, "No series."), Format.table)

    assert capsys.readouterr().out.splitlines()[0] == "attribute"


def test_a_table_without_rows_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    print_listing(Listing("series", COLUMNS, [], "No series."), Format.table)

    assert capsys.readouterr().out == "No series.\n"


def test_what_would_steer_a_terminal_is_shown_instead() -> None:
    assert visible("a\x1b[31mb\u202ec") == "a[U+001B][31mb[U+202E]c"


def test_an_anchor_is_printed_with_sixteen_digits() -> None:
    digest = "0123456789abcdef" * 4

    assert short_anchor(f"study:HDC/12:{digest}") == "study:HDC/12:0123456789abcdef"


STORED = Written("study:HDC", 12, "ab" * 32, "observed", "pH 5.50", ("late (2 days)",))


def test_an_entry_is_told_in_one_line_with_its_mark_and_where_the_record_stands(
    capsys: pytest.CaptureFixture[str],
) -> None:
    tell_written([STORED], lambda: {"HDC/12": "limit 5.0 to 5.9: inside"})

    assert capsys.readouterr().err.splitlines() == [
        "HDC/12  pH 5.50; limit 5.0 to 5.9: inside",
        "    late (2 days)",
        "record: study:HDC/12:abababababababab",
    ]


def test_what_is_stored_is_told_even_if_it_cannot_be_judged(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fails() -> dict[str, str]:
        raise KeyError("a fault of ours")

    with pytest.raises(KeyError):
        tell_written([STORED], fails)

    assert capsys.readouterr().err.startswith("HDC/12  pH 5.50\n")


def test_a_remark_on_the_history_comes_last_and_costs_nothing_if_it_fails(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fails() -> tuple[str, ...]:
        told = capsys.readouterr().err
        assert told.splitlines() == [
            "HDC/12  pH 5.50; inside",
            "    late (2 days)",
            "record: study:HDC/12:abababababababab",
        ]
        raise KeyError("a fault of ours")

    tell_written([STORED], lambda: {"HDC/12": "inside"}, lambda: ["out of trend"])
    assert capsys.readouterr().err.splitlines()[-1] == "out of trend"

    with pytest.raises(KeyError):
        tell_written([STORED], lambda: {"HDC/12": "inside"}, fails)
