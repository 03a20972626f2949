"""The storage commands."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

from stability.cli.storage import group
from tests.cli.conftest import Command, unexplained
from tests.workflow.test_storage import logger

COMMANDS: dict[str, Any] = dict(get_command(group).commands)  # type: ignore[attr-defined]
OVEN = (
    "storage", "add", "OVEN", "--temperature", "40", "--tolerance", "2",
    "--suffix", "7KQ4", "--zone", "UTC",
)  # fmt: skip


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_explained_by_a_line_a_paragraph_and_an_example(name: str) -> None:
    assert unexplained(COMMANDS[name], f"storage {name}") == set()


@pytest.mark.parametrize(
    ("name", "needed", "free"),
    [
        ("event", {"start", "end"}, {"direction"}),
        ("answer", {"start", "outcome", "because"}, {"end", "side", "study"}),
        ("look", {"lowest", "highest"}, set()),
        ("show", set(), {"start", "end"}),
    ],
)
def test_help_marks_what_a_command_cannot_do_without(
    name: str, needed: set[str], free: set[str]
) -> None:
    required = {one.name: one.required for one in COMMANDS[name].params}

    assert {one for one in needed if not required[one]} == set()
    assert {one for one in free if required[one]} == set()


def test_an_oven_is_registered_logged_answered_and_shown(
    command: Command, tmp_path: Path
) -> None:
    logger(tmp_path / "oven.csv", [40.0] * 5 + [25.0] * 9 + [40.0] * 5)
    assert command(*OVEN).code == 0
    made = command("storage", "log", "OVEN", "oven.csv")

    assert (made.code, made.out) == (0, "")
    assert "OVEN-7KQ4/2  OVEN logger oven.csv: 19 readings" in made.err
    assert "1 excursion asks for an answer" in made.err
    assert "2026-02-01 05:00 to 2026-02-01 14:00: 9 h colder than meant" in made.err
    assert command(
        "storage", "answer", "OVEN", "--from", "2026-02-01", "--outcome", "continued",
        "--because", "9 h of 12 weeks",
    ).code == 0  # fmt: skip
    shown = json.loads(command("storage", "show", "OVEN", "--format", "json").out)
    (one,) = shown["excursions"]
    assert (one["hours"], one["peak_c"], one["open"], one["outcome"]) == (
        9.0, 25.0, False, "continued",
    )  # fmt: skip
    assert [row["kind"] for row in shown["records"]] == ["logger", "answer"]
    assert any("50.0 % of the known time" in note for note in shown["notes"])
    table = command("storage", "show", "OVEN").out
    assert "continued: 9 h of 12 weeks" in table
    assert re.search(r"record: place:OVEN-7KQ4/3:[0-9a-f]{16}", table)


def test_looks_events_and_the_list(command: Command) -> None:
    command(*OVEN)
    assert command("storage", "look", "OVEN", "--min", "38", "--max", "44").code == 0
    told = command(
        "storage", "event", "OVEN", "power cut", "--from", "2026-03-04T22:00",
        "--to", "2026-03-05T07:00", "--side", "colder",
    )  # fmt: skip

    assert "9 h colder than meant (power cut)" in told.err
    aside = command("storage", "invalidate", "OVEN/2", "--because", "mistyped")
    assert "OVEN/2 set aside: mistyped" in aside.err
    listed = json.loads(command("storage", "list", "--format", "json").out)
    (row,) = listed["places"]
    assert (row["place"], row["meant"], row["looks"], row["events"]) == (
        "OVEN-7KQ4", "40 ± 2 °C", 0, 1,
    )  # fmt: skip


def test_what_cannot_be_told_of_a_file_is_asked_for(
    command: Command, tmp_path: Path
) -> None:
    command(*OVEN)
    rows = ["when,Temp 1,Temp 2", "02/03/2026 9:00,40,21", "03/03/2026 9:00,40,21", ""]
    (tmp_path / "a.csv").write_text("\n".join(rows), encoding="utf-8")

    asked = command("storage", "log", "OVEN", "a.csv")
    assert asked.code == 2
    assert "declare it with --temperature" in asked.err
    asked = command("storage", "log", "OVEN", "a.csv", "--temperature", "Temp 1")
    assert asked.code == 2
    assert "declare it with --dates" in asked.err
    taken = command(
        "storage", "log", "OVEN", "a.csv", "--temperature", "Temp 1", "--dates",
        "day-first", "--unit", "c", "--time", "when",
    )  # fmt: skip
    assert taken.code == 0
