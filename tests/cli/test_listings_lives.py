"""Shelf life on the terminal: months shown, estimated and supported, with the basis."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "example_studies"


def shelf_life(folder: str, form: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [
            sys.executable, "-m", "stability.cli.main", "shelf-life",
            str(EXAMPLES / folder), "--as-of", "2026-09-30", "--format", form,
        ],
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip


def test_a_request_that_real_time_shows_ends_with_zero() -> None:
    ran = shelf_life("plain_lotion", "json")

    said = json.loads(ran.stdout)
    assert ran.returncode == 0, ran.stderr
    assert said["outcome"] == "shown by real-time data"
    assert (said["shown_months"], said["supported_months"]) == (24, 24)
    assert all(row["at_most_months"] >= 24 for row in said["lives"])


def test_a_request_beyond_the_cap_ends_with_one_and_names_what_governs() -> None:
    ran = shelf_life("day_cream", "json")

    said = json.loads(ran.stdout)
    governing = min(row["at_most_months"] for row in said["lives"])
    assert ran.returncode == 1, ran.stderr
    assert said["supported_months"] == int(governing) == 12
    assert any("govern" in note for note in said["notes"])


def test_every_format_carries_the_note_on_assessment() -> None:
    table = shelf_life("balm_tin", "table")
    rows = shelf_life("balm_tin", "csv")

    assert "qualified safety assessor" in table.stdout
    assert "qualified safety assessor" in rows.stderr
    assert rows.stdout.startswith("attribute,pack,limit,")
