"""A workspace in an empty folder, and the command line run in this process."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from stability.cli.main import run


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command ended with and printed."""

    #: Exit code.
    code: int
    #: Standard output.
    out: str
    #: Standard error.
    err: str


Command = Callable[..., Ran]


@pytest.fixture
def command(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Command:
    """Return how to run one command in an empty folder, by a named person."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STABILITY_RECORDS", raising=False)
    monkeypatch.setenv("STABILITY_PERSON", "Ana Reyes")

    def ran(*arguments: str) -> Ran:
        capsys.readouterr()
        code = run(arguments)
        printed = capsys.readouterr()
        return Ran(code, printed.out, printed.err)

    return ran


PROTOCOL = """
format = 1
title = "Small protocol"
version = "1"
needs = ["pH meter", "balance 0.01 g"]
[t0]
read_after = "24h"
read_before = "72h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "3M"]
reason = "homes and shops"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["2w", "4w"]
reason = "screens for drift"
[attributes.pH]
unit = "pH"
method = "10 % in purified water"
readings = 2
resolution = 0.01
far = 0.5
settings.dilution = "10 %"
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "the preservative needs it"
limit.reason_kind = "active or preservative"
[attributes.odour]
scale = ["as control", "slightly changed", "changed"]
method = "by nose, beside the cold control"
limit.highest = "slightly changed"
limit.reason = "a customer would notice"
[attributes.weight_loss]
method = "share of the net weight"
limit.absolute = {highest = 3.0}
limit.reason = "felt as thicker"
"""

STUDY = """
format = 1
code = "TRK"
time_zone = "Europe/Dublin"
product = "Thistle lotion"
version = "1.0"
protocol = "small.toml"
product_type = "oil-in-water emulsion"
as_sold = {formula = true, pack = true, scale = "one kilogram"}
[request]
months = 12
[packs.JAR]
text = "50 g glass jar"
fill_g = 50
tare_g = 40
[batches.A]
made = 2026-03-02
grams = 1000
[[samples]]
batch = "A"
pack = "JAR"
condition = "T40"
use = "reopened"
count = 1
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "reopened"
count = 1
[[samples]]
batch = "A"
pack = "JAR"
use = "spare"
count = 1
"""


@dataclass(frozen=True, slots=True)
class Workspace:
    """A folder with one open study, and how to run a command there."""

    #: The folder.
    folder: Path
    #: Runs a command.
    run: Command
    #: Sample code by condition; "spare" for the spare one.
    codes: dict[str, str]


@pytest.fixture(scope="session")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder in which the study TRK has just been opened."""
    folder = tmp_path_factory.mktemp("opened")
    (folder / "small.toml").write_text(PROTOCOL, encoding="utf-8")
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    plan = ("--plan-record", str(folder / "plan.pdf"))
    _run_all(folder, ("start", str(folder / "study.toml"), *plan))
    return folder


@pytest.fixture(scope="session")
def read_twice(opened: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the same with samples placed, read at T0 and at 2w in the warm."""
    folder = tmp_path_factory.mktemp("read") / "folder"
    shutil.copytree(opened, folder)
    codes = _codes(folder)
    hot = codes["T40"]
    _run_all(
        folder,
        ("day", "TRK", "--on", "2026-03-04", "--set", "pH.dilution=10 %"),
        ("log", hot, "pH=5.50/5.52", "odour=0", "w=90.00", "--on", "2026-03-04"),
        ("place", hot, codes["ROOM"], "--on", "2026-03-05"),
        ("log", hot, "pH=5.40/5.42", "odour=1", "w=89.80", "--on", "2026-03-19"),
    )
    return folder


def _run_all(folder: Path, *commands: tuple[str, ...]) -> None:
    for arguments in commands:
        code = run([*arguments, "--records", str(folder / "stability.db")])
        assert code == 0, arguments


def _codes(folder: Path) -> dict[str, str]:
    """Return sample code by condition, read without our own code."""
    connection = sqlite3.connect(folder / "stability.db")
    (line,) = connection.execute("select line from entry where number = 1").fetchone()
    connection.close()
    return {
        one["condition"] or one["use"]: one["code"]
        for one in json.loads(line)["content"]["samples"]
    }


@pytest.fixture
def workspace(tmp_path: Path, command: Command, opened: Path) -> Workspace:
    """Return a folder in which the study TRK has just been opened."""
    shutil.copytree(opened, tmp_path, dirs_exist_ok=True)
    return Workspace(tmp_path, command, _codes(tmp_path))


@pytest.fixture
def logged(tmp_path: Path, command: Command, read_twice: Path) -> Workspace:
    """Return the same with samples placed, read at T0 and at 2w in the warm."""
    shutil.copytree(read_twice, tmp_path, dirs_exist_ok=True)
    return Workspace(tmp_path, command, _codes(tmp_path))


def unexplained(command: Any, called: str) -> set[str]:
    """Return what a command's help lacks: a line, a paragraph, a good example.

    Parameters
    ----------
    command
        As Typer made it.
    called
        How it is called, without the program's name.
    """
    summary, paragraph, *_, heading, example = command.help.strip().split("\n\n")
    options = {option for one in command.params for option in one.opts}
    held = {
        "a line": summary.endswith(".") and len(summary) <= 80 and "\n" not in summary,
        "a paragraph": len(paragraph) > 40,
        "a heading": heading.strip() == "Example:",
        "an example": example.strip().startswith(f"stability {called}"),
        "known options": set(re.findall(r" (--[a-z-]+)", example)) <= options,
    }
    return {name for name, holds in held.items() if not holds}
