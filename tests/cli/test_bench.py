"""Due, day, place, retire, miss and stop, typed as at the bench."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


def due(workspace: Workspace, day: str, *more: str) -> list[dict[str, Any]]:
    """Return what `due` lists as of a day."""
    ran = workspace.run("due", "--as-of", day, "--format", "json", *more)
    assert ran.code == 0, ran.err
    rows: list[dict[str, Any]] = json.loads(ran.out)[
        "samples" if "--samples" in more else "agenda"
    ]
    return rows


def test_due_groups_samples_by_check_and_condition(logged: Workspace) -> None:
    rows = due(logged, "2399-01-01")

    assert {(row["condition"], row["what"]) for row in rows} >= {
        ("T40", "check 4w"),
        ("ROOM", "check 4w"),
        ("ROOM", "check 3M"),
    }
    assert all(row["state"] == "overdue" for row in rows)
    assert {row["samples"] for row in rows} == {1}


def test_due_of_samples_lists_what_remains_to_be_read(logged: Workspace) -> None:
    rows = due(logged, "2399-01-01", "--samples")

    (row,) = [one for one in rows if (one["condition"], one["check"]) == ("T40", "4w")]
    assert row["sample"] == logged.codes["T40"]
    assert "pH" in row["remaining"]
    assert "odour" in row["remaining"]


def test_due_says_when_nothing_is(logged: Workspace) -> None:
    logged.run("stop", "TRK", "--because", "withdrawn", "--on", "2026-03-05")

    ran = logged.run("due")

    assert (ran.code, ran.out.splitlines()[-1]) == (0, "Nothing is due.")


def test_planned_dates_move_with_the_placing(workspace: Workspace) -> None:
    hot = workspace.codes["T40"]

    workspace.run("place", hot, "--on", "2026-04-01")

    rows = due(workspace, "2399-01-01", "--samples")
    assert ("2w", "2026-04-15") in {
        (row["check"], row["due"]) for row in rows if row["sample"] == hot
    }


def test_the_facts_of_a_day_are_stored_with_each_reading(workspace: Workspace) -> None:
    workspace.run(
        "day", "TRK", "--on", "2026-03-04", "--person", "Ben Okoro",
        "--observer", "Ben", "--observer", "Ana", "--set", "pH.dilution=10 %",
    )  # fmt: skip

    ran = workspace.run(
        "log", workspace.codes["T40"], "odour=0/1", "--on", "2026-03-04"
    )

    history = json.loads(workspace.run("history", "TRK", "--format", "json").out)
    assert ran.code == 0, ran.err
    assert history["entries"][-1]["person"] == "Ben Okoro"


def test_a_sample_that_left_is_due_no_more(logged: Workspace) -> None:
    hot = logged.codes["T40"]

    ran = logged.run(
        "retire", hot, "broken", "--because", "dropped", "--on", "2026-03-20"
    )

    assert ran.code == 0, ran.err
    assert hot not in {row["sample"] for row in due(logged, "2399-01-01", "--samples")}


def test_a_replacement_takes_over_with_an_age_of_its_own(logged: Workspace) -> None:
    hot, spare = logged.codes["T40"], logged.codes["spare"]
    logged.run("retire", hot, "broken", "--because", "dropped", "--on", "2026-03-20")

    ran = logged.run(
        "place", spare, "--replaces", hot, "--because", "broken", "--on", "2026-03-21"
    )

    dates = {
        row["check"]: row["due"]
        for row in due(logged, "2399-01-01", "--samples")
        if row["sample"] == spare
    }
    assert ran.code == 0, ran.err
    assert dates["2w"] == "2026-04-04"


def test_a_missed_check_is_recorded_and_no_longer_due(logged: Workspace) -> None:
    ran = logged.run("miss", "TRK", "4w", "--condition", "T40", "--because", "closed")

    checks = {(row["condition"], row["what"]) for row in due(logged, "2399-01-01")}
    assert ran.code == 0, ran.err
    assert ("T40", "check 4w") not in checks
    assert ("ROOM", "check 4w") in checks


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_due_prints_in_every_format(logged: Workspace, form: str) -> None:
    ran = logged.run("due", "--as-of", "2026-04-02", "--format", form)

    assert ran.code == 0, ran.err
    assert "Thistle lotion" in ran.out
    assert ran.err == ""
