"""Reads the published tables in `data/`; the first line of each is its citation."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

_FOLDER = Path(__file__).with_name("data")
Rows = Callable[[str], list[dict[str, str]]]
Column = Callable[[str, str], list[float]]
Series = Callable[[str, str, str, str], dict[str, tuple[list[float], list[float]]]]


@pytest.fixture(scope="session")
def rows() -> Rows:
    """Return the rows of a table by column name."""

    def read(name: str) -> list[dict[str, str]]:
        lines = (_FOLDER / name).read_text(encoding="utf-8").splitlines()
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))

    return read


@pytest.fixture(scope="session")
def column(rows: Rows) -> Column:
    """Return one column of numbers: (table, column)."""
    return lambda name, key: [float(row[key]) for row in rows(name)]


@pytest.fixture(scope="session")
def series(rows: Rows) -> Series:
    """Return ages and values for each value of a column: (table, by, age, value)."""

    def read(
        name: str, by: str, age: str, value: str
    ) -> dict[str, tuple[list[float], list[float]]]:
        found: dict[str, tuple[list[float], list[float]]] = {}
        for row in rows(name):
            ages, values = found.setdefault(row[by], ([], []))
            ages.append(float(row[age]))
            values.append(float(row[value]))
        return found

    return read
