"""What a maker typed into a study file, and what to type instead."""

from __future__ import annotations

import tomllib

import pytest

from stability.errors.files import TomlSyntaxError
from stability.records.faults import parse_toml
from stability.records.toml_hints import toml_hint


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("as_sold = {formula = yes, pack = true}", "write true, in small letters"),
        ("as_sold = {formula = True, pack = true}", "instead of True"),
        ("inert = no", "write false, in small letters"),
        ("made = 31.10.2026", "year-month-day, as in 2026-03-02"),
        ("made = 10/31/2026  # Saturday", "year-month-day"),
        ("made = 2026.10.31", "year-month-day"),
        ("tare_g = 14,2", "decimal point: 14.2"),
        ("grams = 600 g", "without its unit: 600"),
        ("fill_g = 48.5g", "without its unit: 48.5"),
        ("product = Fen lotion", 'text stands in quotes: "Fen lotion"'),
        ("product = “Fen lotion”", "straight quotes"),
        ('product = "Fen lotion', "quotes are not closed"),
        ('reason = "the “lid” leaks', "quotes are not closed"),
        ("months =", "nothing stands behind the ="),
    ],
)
def test_a_slip_is_told_with_what_to_write(line: str, hint: str) -> None:
    text = f"format = 1\n{line}\nversion = '1'\n"
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(text)

    with pytest.raises(TomlSyntaxError) as told:
        parse_toml(text, "lotion.toml")

    assert str(told.value).startswith("lotion.toml:2: this is not TOML")
    assert hint in str(told.value)


@pytest.mark.parametrize(
    "line",
    [
        'reason = "yes, 14,2 g on 31.10.2026"',
        "[packs.JAR",
        "",
        "format = 1",
        'as_sold = {formula = true, scale = "no"',
    ],
)
def test_nothing_is_guessed_where_no_slip_is_known(line: str) -> None:
    assert toml_hint(line) == ""
