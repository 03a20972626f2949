"""Readings that no statistic can be made of: each has its outcome in words.

Every study is read from its folder by the real commands; nothing here is told by nan,
by infinity, by a number of no meaning, or by a traceback.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pdfplumber
import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Command

PROTOCOL = """
format = 1
title = "Numbers that are hard to judge"
version = "1"
[t0]
read_after = "0h"
read_before = "24h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["1M", "2M", "3M", "6M", "9M", "12M"]
reason = "as sold"
[attributes.{name}]
method = "invented"
{attribute}
limit.{limit}
limit.reason = "invented"
"""
STUDY = """
format = 1
code = "TRK"
product = "Burdock gel"
version = "0.1"
protocol = "protocol.toml"
time_zone = "UTC"
product_type = "gel"
person = "Ana Reyes"
opened = "2024-01-01"
[as_sold]
formula = true
pack = true
scale = "one kilogram"
[request]
months = 24
[packs.JAR]
text = "jar"
[batches.A]
made = 2024-01-01
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
"""
#: The first code that the study's name gives.
JAR = "TRK-003-Q"
CHECKS = {
    "T0": "2024-01-01",
    "1M": "2024-02-01",
    "2M": "2024-03-01",
    "3M": "2024-04-01",
    "6M": "2024-07-01",
    "9M": "2024-10-01",
    "12M": "2025-01-01",
}
AS_OF = ("--as-of", "2025-01-10")
#: As words of their own: "Infinity", "nan"; and powers of ten, which no reading is.
NO_NUMBER = re.compile(r"\b(nan|inf|infinity)\b|\de\+\d", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Case:
    """One study, and what is said of it."""

    #: What is odd.
    name: str
    #: One reading for each check; "" where there is none.
    readings: tuple[str, ...]
    #: Words of `drift`.
    drift: str
    #: Words of `shelf-life`.
    life: str
    #: Words of `show`.
    show: str = "inside"
    #: The limit, as the protocol writes it.
    limit: str = "absolute = {lowest = 95, highest = 105}"
    #: The attribute, as the protocol writes it.
    attribute: str = 'unit = "1"\nresolution = 0.1'
    #: Exit codes of show, drift and shelf-life.
    codes: tuple[int, int, int] = (0, 0, 1)
    #: Words of the report, as page 1 and as JSON.
    report: str = ""

    @property
    def scored(self) -> bool:
        """Say whether the readings are words."""
        return "scale =" in self.attribute


LN = 'unit = "1"\nresolution = 0.1\nfit_scale = "ln"'
ODOUR = 'scale = ["as control", "slightly changed", "changed"]'
STEADY = ("100.0",) * 7
CASES = (
    Case(
        "one age",
        ("", "100.0"),
        "Read at one age; a line needs at least three.",
        "no estimate: Read at one age; a line needs at least three",
        codes=(0, 0, 0),
        report="1 month supported so far",
    ),
    Case(
        "two ages",
        ("100.0", "99.9"),
        "Read at two ages; a line needs at least three.",
        "no estimate: Read at two ages; a line needs at least three",
        codes=(0, 0, 0),
    ),
    Case(
        "T0 alone",
        ("100.0",),
        "No measured series to fit.",
        "no long-term check is complete yet",
        codes=(0, 0, 0),
    ),
    Case(
        "all equal",
        STEADY,
        "All 7 values are equal: the scatter is taken as half the resolution, 0.05.",
        "crossing by the two-sided 95 % bound of the mean at the lower limit",
        report="the estimate lies beyond the cap",
    ),
    Case(
        "below what can be told",
        ("<0.1", "0.2", "0.3", "0.2", "0.3", "0.4", "0.5"),
        "A reading is written with < or >: no line is fitted; every reading is judged "
        "by itself.",
        "no estimate: A reading is written with < or >",
        show="<0.1",
        limit="absolute = {highest = 1}",
    ),
    Case(
        "undecided",
        ("<2", "<2", "<2", "<2", "<2", "<2", "<2"),
        "A reading is written with < or >",
        "no estimate: A reading is written with < or >",
        show="undecided",
        limit="absolute = {highest = 1}",
    ),
    Case(
        "failed at T0",
        ("94.0", "94.1", "94.0", "93.9", "94.0", "93.8", "93.7"),
        "lower limit passed at age 0",
        "failed at T0: an observation lies outside its limit",
        show="below 95",
        codes=(1, 1, 1),
        report="24 months are not supported; none is.",
    ),
    Case(
        "bound outside at T0, readings inside",
        ("95.5", "104", "96", "104.5", "95.2", "104.4", "95.1"),
        "lower limit and upper limit not told apart from the start",
        "not precise enough (scatter 5.17; it takes less than 3.24 or 14 checks)",
        report="24 months are not supported; 12 months are.",
    ),
    Case(
        "slope away from the limit",
        ("100.0", "100.5", "101.1", "101.4", "103.0", "104.4", "106.0"),
        "lower limit not ahead",
        "no crossing by the two-sided 95 % bound of the mean at the lower limit",
        limit="absolute = {lowest = 95}",
    ),
    Case(
        "negative on ln",
        ("1.0", "-0.1", "1.0", "1.2", "1.0", "1.1", "1.0"),
        "A value of -0.1 has no logarithm: no line on the ln scale.",
        "no estimate: A value of -0.1 has no logarithm",
        show="-0.1",
        limit="absolute = {lowest = -5, highest = 5}",
        attribute=LN,
    ),
    Case(
        "zero on ln",
        ("1.0", "0", "1.0", "1.2", "1.0", "1.1", "1.0"),
        "A value of 0 has no logarithm: no line on the ln scale.",
        "no estimate: A value of 0 has no logarithm",
        limit="absolute = {lowest = 0, highest = 5}",
        attribute=LN,
    ),
    Case(
        "limit of zero on ln",
        ("1.0", "1.1", "1.0", "1.2", "1.0", "1.1", "1.0"),
        "A limit of 0 has no logarithm; on the ln scale a limit must be above 0.",
        "no estimate: A limit of 0 has no logarithm",
        limit="absolute = {lowest = 0, highest = 5}",
        attribute=LN,
    ),
    Case(
        "initial value of zero",
        ("0.0", "0.1", "0.0", "0.2", "0.1", "0.1", "0.1"),
        "lower limit not told apart from the start",
        "not precise enough",
        show="no initial value",
        limit="percent_of_initial = {lowest = 80}",
        report="24 months are not supported; none is.",
    ),
    Case(
        "scores all equal",
        ("as control",) * 7,
        "No measured series to fit.",
        "judged by words",
        limit='highest = "slightly changed"',
        attribute=ODOUR,
    ),
    Case(
        "scores all outside",
        ("changed",) * 7,
        "No measured series to fit.",
        "judged by words",
        show="worse than “slightly changed”",
        limit='highest = "slightly changed"',
        attribute=ODOUR,
        codes=(1, 0, 1),
        report="24 months are not supported; none is.",
    ),
)


def name_of(case: Case) -> str:
    """Return what is odd."""
    return case.name


def write(folder: Path, case: Case) -> None:
    """Write the study's folder."""
    name, unit = ("odour", "") if case.scored else ("assay", "1")
    text = PROTOCOL.format(name=name, attribute=case.attribute, limit=case.limit)
    (folder / "protocol.toml").write_text(text, encoding="utf-8")
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    rows = ["kind,done,sample,check,attribute,reading,unit"]
    for (check, day), reading in zip(CHECKS.items(), case.readings, strict=False):
        if reading:
            rows.append(f"observed,{day},{JAR},{check},{name},{reading},{unit}")
        if check == "T0":
            rows.append(f"placed,{day},{JAR},,,ROOM,")
    (folder / "events.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def strict(text: str) -> Any:
    """Read JSON that holds no NaN and no infinity."""

    def refuse(token: str) -> None:
        raise ValueError(token)

    return json.loads(text, parse_constant=refuse)


Told = Callable[[Case, int], tuple[str, str]]


@pytest.fixture
def told(command: Command, tmp_path: Path) -> Told:
    """Return how to run show, drift or shelf-life: its table, and its JSON as text."""

    def run(case: Case, number: int) -> tuple[str, str]:
        write(tmp_path, case)
        verb = ("show", "drift", "shelf-life")[number]
        table = command(verb, ".", *AS_OF)
        listed = command(verb, ".", *AS_OF, "--format", "json")
        assert (table.code, listed.code) == (case.codes[number],) * 2, table.err
        assert (table.err, listed.err) == ("", "")
        content = strict(listed.out)
        told = json.dumps(content, ensure_ascii=False)
        assert [NO_NUMBER.search(one) for one in (table.out, told)] == [None, None]
        return " ".join(table.out.split()), told

    return run


@pytest.mark.parametrize("case", CASES, ids=name_of)
@pytest.mark.parametrize("number", [0, 1, 2], ids=["show", "drift", "shelf-life"])
def test_the_outcome_is_named_in_the_table_and_in_json(
    told: Told, case: Case, number: int
) -> None:
    table, listed = told(case, number)

    words = (case.show, case.drift, case.life)[number]
    assert words in table
    assert words in listed


@pytest.mark.parametrize("kind", ["text", "json", "pdf"])
@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_the_report_names_the_outcome(
    command: Command, tmp_path: Path, case: Case, kind: str
) -> None:
    write(tmp_path, case)
    target = tmp_path / "report"

    ran = command("report", ".", *AS_OF, "--kind", kind, "--out", str(target))

    assert ran.code == 0, ran.err
    if kind == "pdf":
        with pdfplumber.open(target) as pdf:
            text = " ".join(page.extract_text() for page in pdf.pages)
    else:
        text = target.read_text(encoding="utf-8")
    if kind == "json":
        strict(text)
    assert NO_NUMBER.search(text) is None
    assert case.report in " ".join(text.split())


def test_scores_that_never_change_are_told_so(command: Command, tmp_path: Path) -> None:
    case = next(one for one in CASES if one.name == "scores all equal")
    write(tmp_path, case)
    target = tmp_path / "report"

    command("report", ".", *AS_OF, "--kind", "json", "--out", str(target))

    (score,) = strict(target.read_text(encoding="utf-8"))["scores"]
    assert score["text"] == (
        "no change seen, always “as control”; 0 of 1 container outside"
    )
