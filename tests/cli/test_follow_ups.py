"""The command follow-up, and what log and show tell of follow-ups."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from stability.cli import follow_ups
from stability.errors.samples import FollowUpOfWhatError

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


@pytest.fixture
def entry(logged: Workspace) -> str:
    """Return the reference of a reading outside its limit."""
    ran = logged.run(
        "log", logged.codes["T40"], "pH=4.80/4.81", "--yes", "--on", "2026-04-02"
    )
    assert ran.code == 0, ran.err
    found = re.search(r"^TRK/\d+", ran.err, re.MULTILINE)
    assert found is not None
    return found[0]


def test_log_tells_the_first_checks_after_its_line(logged: Workspace) -> None:
    ran = logged.run(
        "log", logged.codes["T40"], "pH=4.80/4.81", "--yes", "--on", "2026-04-02"
    )

    lines = ran.err.splitlines()
    assert "outside (below 5.0)" in lines[0]
    stands = next(n for n, line in enumerate(lines) if line.startswith("record: "))
    assert (
        "a follow-up is open. Look in this order: 1 right sample" in lines[stands + 1]
    )
    assert "stability follow-up TRK/" in lines[stands + 2]
    assert ran.code == 0


def test_an_answer_is_told_and_shown(logged: Workspace, entry: str) -> None:
    ran = logged.run(
        "follow-up", entry, "--checked", "right sample=yes", "--checked", "weight=no",
        "--outcome", "confirmed", "--because", "dried out", "--on", "2026-04-03",
    )  # fmt: skip
    shown = logged.run("show", "TRK", "--attribute", "pH")

    assert (ran.code, ran.out) == (0, "")
    assert f"follow-up of {entry} (pH 4.805 at 4w: below 5.0): confirmed" in ran.err
    assert "follow-up: confirmed (entry" in shown.out
    assert "dried out" in shown.out
    assert shown.code == 1


def test_the_open_ones_of_a_study_are_listed(logged: Workspace, entry: str) -> None:
    table = logged.run("follow-up", "--list", "TRK")
    read = json.loads(logged.run("follow-up", "--list", "TRK", "--format", "json").out)

    assert table.code == 0
    assert "open: 1" in table.out
    assert read["open"] == 1
    (row,) = read["follow_ups"]
    assert (f"TRK/{row['position']}", row["state"]) == (entry, "open")
    assert row["outside"] == "pH 4.805 at 4w: below 5.0"
    assert "assessment by a qualified safety assessor" in " ".join(table.out.split())


def test_a_study_without_any_says_so(logged: Workspace) -> None:
    assert (
        "Nothing lies outside its limit."
        in logged.run("follow-up", "--list", "TRK").out
    )


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        ((), "Neither an entry nor a study is given"),
        (("TRK/9", "--list", "TRK"), "Both an entry (TRK/9) and --list are given"),
        (("TRK/9",), "No --outcome is given for TRK/9"),
        (("TRK/9", "--outcome", "confirmed"), "TRK/9"),
    ],
)
def test_half_of_a_follow_up_is_refused(
    logged: Workspace, arguments: tuple[str, ...], reason: str
) -> None:
    ran = logged.run("follow-up", *arguments)

    assert ran.code == 2
    assert reason in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize(
    ("entry", "outcome", "study"),
    [(None, "confirmed", None), ("TRK/9", "confirmed", "TRK"), ("TRK/9", None, None)],
)
def test_an_answer_needs_an_entry_and_an_outcome_and_nothing_else(
    entry: str | None, outcome: str | None, study: str | None
) -> None:
    with pytest.raises(FollowUpOfWhatError):
        follow_ups._given(entry, outcome, study)
    assert follow_ups._given("TRK/9", "confirmed", None) == ("TRK/9", "confirmed")
