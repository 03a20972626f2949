"""`compare` on the terminal: differences with intervals, words, exit codes."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.records.second_version import EXAMPLES, PLAIN_LOTION, second_version

if TYPE_CHECKING:
    from tests.cli.conftest import Command, Workspace

CREAM, LOTION = str(EXAMPLES / "day_cream"), str(PLAIN_LOTION)
AS_OF = ("--as-of", "2026-09-30")


def told(command: Command, *arguments: str) -> dict[str, Any]:
    """Return what a comparison prints as JSON."""
    ran = command("compare", *arguments, *AS_OF, "--format", "json")
    assert ran.err == ""
    found: dict[str, Any] = json.loads(ran.out)
    return found


def test_a_difference_that_was_shown_ends_with_one(command: Command) -> None:
    ran = command("compare", CREAM, *AS_OF, "--attribute", "pH", "--condition", "T40")

    assert ran.code == 1, ran.err
    assert "T40 drifts otherwise than COLD" in ran.out
    assert "-0.158 (-0.172 to -0.143) pH" in ran.out
    assert "where chance alone would show about 2.0" in ran.out
    assert "two-sided 95 % intervals" in ran.out
    assert "qualified safety assessor" in ran.out


def test_no_difference_shown_ends_with_zero(command: Command) -> None:
    ran = command("compare", CREAM, *AS_OF, "--between", "packs")

    assert ran.code == 0, ran.err
    assert "not shown to be absent" in " ".join(ran.out.split())


def test_json_has_the_numbers_with_their_units(command: Command) -> None:
    rows = told(command, LOTION, "--attribute", "viscosity")["compared"]

    assert {row["unit"] for row in rows} == {"%"}
    assert {row["scale"] for row in rows} == {"ln"}
    for row in rows:
        ends = row["lowest_per_month"], row["highest_per_month"]
        assert ends[0] < row["difference_per_month"] < ends[1]
        assert row["excludes_0"] == (row["p"] < 0.05)
        assert row["confidence"] == 0.95
    assert {row["method"] for row in rows} == {"paired differences", "two slopes"}


def test_words_of_which_none_moved_are_counted_and_listed_as_json(
    command: Command,
) -> None:
    rows = told(command, LOTION)["compared"]
    still = [row for row in rows if row["first_words"]]
    table = command("compare", LOTION, *AS_OF).out

    assert len(still) == 16
    assert "Not listed: 16 of scores and statements" in " ".join(table.split())
    assert "odour, conditions" not in table


def test_csv_has_a_row_for_each_two_and_the_notes_beside_it(command: Command) -> None:
    ran = command("compare", CREAM, *AS_OF, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(ran.out)))

    assert {row["between"] for row in rows} == {"conditions", "batches", "packs"}
    assert "qualified safety assessor" in ran.err
    assert not any("nan" in value for row in rows for value in row.values())


def test_two_studies_are_compared_version_against_version(
    command: Command, tmp_path: Path
) -> None:
    other = second_version(tmp_path, fall=0.02)
    ran = command("compare", LOTION, str(other), *AS_OF, "--attribute", "pH")

    assert ran.code == 1, ran.err
    assert "The versions differ" in ran.out
    assert "MFN 3" in ran.out
    assert "MFP 4" in ran.out


def test_two_products_without_anything_in_common_say_so(command: Command) -> None:
    ran = command("compare", CREAM, LOTION, *AS_OF)
    text = " ".join(ran.out.split())

    assert ran.code == 0, ran.err
    assert "Nothing stands beside each other" in text
    assert "Two products stand beside each other" in text
    assert "JAR, PUMP" in text or "GLASS, JAR" in text


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((CREAM, CREAM), "Both studies are QDC"),
        ((CREAM, "--between", "versions"), "Name the second one"),
        ((CREAM, LOTION, "--between", "packs"), "no packs"),
        ((CREAM, LOTION, "--batch", "A"), "Leave --batch out"),
        ((CREAM, "--attribute", "hP"), "hP"),
    ],
)
def test_what_fits_no_comparison_is_to_be_mended(
    command: Command, arguments: tuple[str, ...], says: str
) -> None:
    ran = command("compare", *arguments, *AS_OF)

    assert ran.code == 2
    assert says in ran.err
    assert ran.out == ""


def test_a_study_just_begun_says_what_is_too_little(logged: Workspace) -> None:
    ran = logged.run("compare", "TRK")

    assert ran.code == 0, ran.err
    assert "Nothing stands beside each other" in ran.out
    assert "nan" not in ran.out
