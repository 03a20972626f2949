"""Cells that a spreadsheet would run are made text, and come back as recorded."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.model.inert_cell import as_recorded, inert

SIGNS = "=+-@\t\r\n＝＋－＠;,' a1.\""


@pytest.mark.parametrize(
    ("cell", "shown"),
    [
        ("=1+1", "'=1+1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("+49 30 1", "'+49 30 1"),
        ("-0.5 / -0.4", "'-0.5 / -0.4"),
        ("\t=1", "'\t'=1"),
        ("'=1", "''=1"),
        ("lid loose;=1+1", "lid loose;'=1+1"),
        ("two lines\n=1+1", "two lines\n'=1+1"),
        ("＝1", "'＝1"),
    ],
)
def test_what_would_run_is_text(cell: str, shown: str) -> None:
    assert inert(cell) == shown
    assert as_recorded(shown) == cell


@pytest.mark.parametrize(
    "cell",
    [
        "",
        "5.50",
        "-0.5",
        "+5",
        "<5",
        "a=1; b=2",
        "oil-in-water",
        "O'Brien",
        "'x",
        "5 - 6",
    ],
)
def test_what_runs_nowhere_is_left_as_it_is(cell: str) -> None:
    assert inert(cell) == cell
    assert as_recorded(cell) == cell


@settings(max_examples=1000, deadline=None, derandomize=True)
@given(st.one_of(st.text(SIGNS, max_size=12), st.text(max_size=12)))
def test_every_cell_comes_back_as_recorded(cell: str) -> None:
    assert as_recorded(inert(cell)) == cell


@settings(max_examples=1000, deadline=None, derandomize=True)
@given(st.text(SIGNS, max_size=12))
def test_no_cell_begins_a_formula_whatever_a_spreadsheet_splits_at(cell: str) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(["x", inert(cell)])
    number = re.fullmatch(r"[+-]?[0-9]+(\.[0-9]+)?", cell)

    (_, whole) = next(csv.reader(io.StringIO(out.getvalue(), newline="")))
    parts = re.split(r"[;\t\r\n]", inert(cell))
    begins = {one.lstrip(" ")[:1] for one in (whole, *parts)}
    assert number or not begins & set("=+-@＝＋－＠")
