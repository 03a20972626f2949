"""Shelf life on the terminal: months shown, estimated and supported, with the basis."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stability.cli.main import run
from tests.cli.conftest import Ran

EXAMPLES = Path(__file__).parents[2] / "example_studies"
Printed = pytest.CaptureFixture[str]


def shelf_life(capsys: Printed, folder: str, form: str) -> Ran:
    capsys.readouterr()
    code = run(
        ["shelf-life", str(EXAMPLES / folder), "--as-of", "2026-09-30",
         "--format", form]
    )  # fmt: skip
    printed = capsys.readouterr()
    return Ran(code, printed.out, printed.err)


def test_a_request_that_real_time_shows_ends_with_zero(capsys: Printed) -> None:
    ran = shelf_life(capsys, "plain_lotion", "json")

    said = json.loads(ran.out)
    assert ran.code == 0, ran.err
    assert said["outcome"] == "shown by real-time data"
    assert (said["shown_months"], said["supported_months"]) == (24, 24)
    assert all(row["at_most_months"] >= 24 for row in said["lives"])


def test_a_request_beyond_the_cap_ends_with_one_and_names_what_governs(
    capsys: Printed,
) -> None:
    ran = shelf_life(capsys, "day_cream", "json")

    said = json.loads(ran.out)
    governing = min(row["at_most_months"] for row in said["lives"])
    assert ran.code == 1, ran.err
    assert said["supported_months"] == int(governing) == 12
    assert any("govern" in note for note in said["notes"])


def test_beside_an_estimate_stands_that_without_the_last_check(
    capsys: Printed,
) -> None:
    rows = json.loads(shelf_life(capsys, "day_cream", "json").out)["lives"]

    fitted = [one for one in rows if one["kind"] == "fitted"]
    assert fitted
    for one in fitted:
        told = f"without the last check {one['without_last_check']}"
        estimated = one["estimated_months"] is not None
        assert (told in one["estimate"]) == estimated
    others = [one for one in rows if one["kind"] != "fitted"]
    assert {one["without_last_check"] for one in others} == {None}


def test_every_format_carries_the_note_on_assessment(capsys: Printed) -> None:
    table = shelf_life(capsys, "balm_tin", "table")
    rows = shelf_life(capsys, "balm_tin", "csv")

    assert "qualified safety assessor" in table.out
    assert "qualified safety assessor" in rows.err
    assert rows.out.startswith("attribute,pack,limit,")
