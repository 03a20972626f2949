"""`ageing`: heat beside real time on the terminal, in JSON and in CSV."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Command, Ran

EXAMPLES = Path(__file__).parents[2] / "example_studies"
FORMS = ("table", "json", "csv")
CELSIUS = {"ROOM": 25, "T40": 40, "T45": 45}
#: Codes that the study below gives, by condition; HDC-001-5 is the bulk.
CODES = {"ROOM": "HDC-002-3", "T40": "HDC-005-Y", "T45": "HDC-006-W"}

PROTOCOL = """
format = 1
title = "Three temperatures"
version = "1"
[t0]
read_after = "24h"
read_before = "72h"
[conditions.ROOM]
role = "long-term"
temperature = 25
checks = ["4w", "8w", "12w"]
[conditions.T40]
role = "accelerated"
temperature = 40
checks = ["4w", "8w", "12w"]
[conditions.T45]
role = "stress"
temperature = 45
checks = ["4w", "8w", "12w"]
[attributes.active]
unit = "%"
resolution = 0.0001
kinetic = true
limit.absolute = {lowest = 1.0}
limit.reason = "below it the claim does not hold"
limit.reason_kind = "active or preservative"
"""
STUDY = """
format = 1
code = "HDC"
person = "Ana Reyes"
opened = "2025-01-06"
time_zone = "Europe/Dublin"
product = "Heather day cream"
version = "1.0"
protocol = "protocol.toml"
as_sold = {formula = true, pack = true, scale = "one kilogram"}
structural_limit = {temperature = 50, reason = "the wax melts"}
[request]
months = 12
[packs.JAR]
text = "50 g glass jar"
[batches.A]
made = 2025-01-06
[[samples]]
batch = "A"
kind = "bulk"
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "T40"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "T45"
use = "reopened"
"""


def reading(place: str, weeks: int) -> str:
    """Return an active lost at 0.05 % a month at 25 °C by 83 kJ/mol."""
    inverse = 1 / 298.15 - 1 / (CELSIUS[place] + 273.15)
    rate = 0.05 * math.exp(83000 / 8.314462618 * inverse)
    return f"{5 - rate * weeks * 7 / 30.4375:.4f}"


@pytest.fixture
def ageing(command: Command) -> Callable[..., Ran]:
    """Return how to run `ageing` on the study above, some of its text replaced."""

    def ran(*arguments: str, last: str = "", **changes: tuple[str, str]) -> Ran:
        folder = Path("heated")
        folder.mkdir(exist_ok=True)
        for name, text in (("protocol", PROTOCOL), ("study", STUDY)):
            old, new = changes.get(name, ("", ""))
            assert old in text
            made = text.replace(old, new) if old else text
            (folder / f"{name}.toml").write_text(made, encoding="utf-8")
        lines = events(last or reading("T45", 12))
        (folder / "events.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        return command("ageing", "heated", "--as-of", "2025-06-01", *arguments)

    return ran


def events(last: str) -> list[str]:
    """Return the rows of a study read every four weeks; `last` ends those of T45."""
    rows = ["kind,done,sample,check,attribute,reading"]
    rows.append("observed,2025-01-08T09:00,HDC-001-5,T0,active,5.0000")
    rows += [f"placed,2025-01-10T09:00,{code},,," for code in CODES.values()]
    for weeks in (4, 8, 12):
        day = date(2025, 1, 10) + timedelta(weeks=weeks)
        for place, code in CODES.items():
            typed = last if (place, weeks) == ("T45", 12) else reading(place, weeks)
            rows.append(f"observed,{day}T09:00,{code},{weeks}w,active,{typed}")
    return rows


def said(ran: Ran) -> dict[str, Any]:
    """Return what JSON output says."""
    assert ran.code == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)
    return found


def kinds(ran: Ran) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the rows of rules of thumb and those of Arrhenius fits."""
    rows = said(ran)["ageing"]
    rules = [row for row in rows if row["kind"] == "rule of thumb"]
    return rules, [row for row in rows if row not in rules]


def test_time_in_the_heat_is_told_by_three_factors(ageing: Callable[..., Ran]) -> None:
    rules, _ = kinds(ageing("--format", "json"))

    t45 = next(row for row in rules if row["condition"] == "T45")
    assert (t45["check"], t45["days"], t45["outcome"]) == ("12w", 84, "translated")
    # Exact arithmetic: 84 days, 20 °C hotter.
    factors = ("q10_2_days", "q10_2_5_days", "q10_3_days")
    assert [t45[key] for key in factors] == [336, 525, 756]


def test_a_kinetic_attribute_is_fitted_with_its_interval(
    ageing: Callable[..., Ran],
) -> None:
    _, (fit,) = kinds(ageing("--format", "json"))

    assert fit["outcome"] == "fitted"
    assert fit["energy_kj_per_mol"] == pytest.approx(83.0, abs=0.5)
    assert fit["rate_per_month"] == pytest.approx(-0.05, rel=0.01)
    assert fit["energy_lowest_kj_per_mol"] < 83.0 < fit["energy_highest_kj_per_mol"]
    assert fit["unit"] == "%"
    assert "Supportive only" in fit["text"]


@pytest.mark.parametrize("form", FORMS)
def test_every_format_says_that_it_is_no_evidence_and_no_shelf_life(
    ageing: Callable[..., Ran], form: str
) -> None:
    ran = ageing("--format", form)

    words = " ".join((ran.out + ran.err).split())
    assert ran.code == 0
    assert "an estimate, not evidence; trade custom, no standard" in words
    assert "qualified safety assessor" in words
    assert "supportive only" in words
    assert "R = 8.314462618 J/(mol K), 0 °C = 273.15 K" in words
    assert not re.search(r"\bsupported\b|\bmonths? supported\b", words)
    assert "nan" not in words.split()


@pytest.mark.parametrize("folder", ["day_cream", "plain_lotion", "balm_tin"])
@pytest.mark.parametrize("form", FORMS)
def test_the_examples_are_read_without_a_word_of_support(
    command: Command, folder: str, form: str
) -> None:
    ran = command(
        "ageing", str(EXAMPLES / folder), "--as-of", "2026-09-30", "--format", form
    )

    words = " ".join((ran.out + ran.err).split())
    assert ran.code == 0
    assert not re.search(r"\bsupported\b", words)
    assert "qualified safety assessor" in words


def test_csv_and_json_hold_the_same_rows(ageing: Callable[..., Ran]) -> None:
    rows = said(ageing("--format", "json"))["ageing"]
    read = list(csv.DictReader(io.StringIO(ageing("--format", "csv").out)))

    assert list(read[0]) == list(rows[0])
    assert [row["condition"] for row in read] == [row["condition"] for row in rows]


def test_the_structural_limit_is_told_and_kept(ageing: Callable[..., Ran]) -> None:
    ran = ageing("--format", "json", study=("= 50", "= 45"))

    rules, (fit,) = kinds(ran)
    assert said(ran)["structural_limit"] == "45 °C (the wax melts)"
    t45 = next(row for row in rules if row["condition"] == "T45")
    assert (t45["outcome"], t45["q10_2_days"]) == ("structure gives way", None)
    assert fit["outcome"] == "too-few-temperatures"


def test_what_left_its_limit_is_not_translated(ageing: Callable[..., Ran]) -> None:
    rules, _ = kinds(ageing("--format", "json", last="0.9"))

    t45 = next(row for row in rules if row["condition"] == "T45")
    assert (t45["outcome"], t45["q10_2_days"]) == ("outside there", None)
    assert t45["text"] == "not translated: outside its limit at 12w (JAR, A)"


LIMIT_LINE = 'structural_limit = {temperature = 50, reason = "the wax melts"}\n'
ROOM_LINES = 'role = "long-term"\ntemperature = 25'
T40_LINES = 'role = "accelerated"\ntemperature = 40'


@pytest.mark.parametrize(
    ("last", "changes", "outcome"),
    [
        ("<4.9", {}, "qualified"),
        ("", {"study": (LIMIT_LINE, "")}, "no-structural-limit"),
        ("", {"protocol": ("temperature = 45", "temperature = 40")}, "too-few-temp"),
        ("", {"protocol": (T40_LINES, 'role = "stress"\nlight = "sill"')}, "too-few-t"),
    ],
    ids=["less than", "no limit", "equal temperatures", "light only"],
)
def test_a_fit_that_is_refused_is_named(
    ageing: Callable[..., Ran],
    last: str,
    changes: dict[str, tuple[str, str]],
    outcome: str,
) -> None:
    _, (fit,) = kinds(ageing("--format", "json", last=last, **changes))

    assert fit["outcome"].startswith(outcome)
    assert fit["energy_kj_per_mol"] is None
    assert fit["text"]


@pytest.mark.parametrize(
    ("protocol", "words"),
    [
        (
            (ROOM_LINES, 'role = "long-term"\nstorage_class = "room"'),
            "gives long-term storage no temperature",
        ),
        (('"stress"', '"control"'), "Held against ROOM at 25 °C"),
        (("kinetic = true", ""), "No attribute is declared kinetic"),
    ],
    ids=["no long-term temperature", "one hot condition", "not kinetic"],
)
def test_what_there_is_not_is_said_below(
    ageing: Callable[..., Ran], protocol: tuple[str, str], words: str
) -> None:
    assert words in " ".join(
        said(ageing("--format", "json", protocol=protocol))["notes"]
    )


def test_a_study_without_heat_says_so(command: Command) -> None:
    ran = command("ageing", str(EXAMPLES / "plain_lotion"), "--as-of", "2026-09-30")

    assert ran.code == 0
    assert "No sample of this study is kept in an accelerated or stress" in ran.out


def test_one_attribute_is_asked_for_by_its_beginning(
    ageing: Callable[..., Ran],
) -> None:
    rules, fits = kinds(ageing("--format", "json", "--attribute", "act"))

    assert {row["attributes"] for row in rules} == {"active"}
    assert len(fits) == 1


def test_an_attribute_that_the_study_does_not_have_is_refused(
    ageing: Callable[..., Ran],
) -> None:
    ran = ageing("--attribute", "viscosity")

    assert ran.code == 2
    assert "active" in ran.err


def test_the_table_fits_the_terminal(
    ageing: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "96")
    ran = ageing()

    assert ran.code == 0
    assert max(map(len, ran.out.splitlines())) <= 96
    assert "Arrhenius, supportive only" in ran.out
    assert "Supportive only; Read from reopened containers" in " ".join(ran.out.split())
