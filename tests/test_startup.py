"""What a fresh interpreter has loaded when a command has done its work.

A list of modules says the same every time; a stopwatch does not.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.records.pictures import write

ROOT = Path(__file__).parents[1]
HEAVY = {"pandas", "scipy", "statsmodels", "matplotlib", "reportlab", "openpyxl"}

PLAIN = "import sys; from stability.cli.main import run; sys.exit(run(sys.argv[1:]))"
#: Runs one command and prints, as its last line, what is loaded at the end.
AT_THE_END = """
import sys
from stability.cli.main import run
code = run(sys.argv[1:])
print(code, *sorted(name for name in sys.modules if "." not in name))
"""
#: The same for what is loaded when the first transaction that writes is committed.
AT_THE_COMMIT = """
import sys
from sqlalchemy import event
from sqlalchemy.engine import Engine
from stability.cli.main import run
seen = []
def committed(connection):
    seen.append(sorted(name for name in sys.modules if "." not in name))
event.listen(Engine, "commit", committed)
code = run(sys.argv[1:])
print(code, *(seen[-1] if seen else ["nothing-was-committed"]))
"""
#: The same for what is loaded when it is told where the record stands, and then at
#: the end.
AT_THE_PRINT = """
import sys
from stability.cli.main import run
names = lambda: sorted(name for name in sys.modules if "." not in name)
seen = []
class Told:
    def write(self, text):
        if text.startswith("record: "):
            seen.append(names())
        return sys.__stderr__.write(text)
    def flush(self):
        sys.__stderr__.flush()
    def isatty(self):
        return False
sys.stderr = Told()
code = run(sys.argv[1:])
print(*names())
print(code, *seen[-1])
"""


def loaded(script: str, folder: Path, *arguments: str) -> set[str]:
    """Run a command in a fresh interpreter; return the modules it had loaded."""
    code, *names = stdout_of(folder, *arguments, script=script).splitlines()[-1].split()
    assert code == "0"
    return set(names)


def stdout_of(folder: Path, *arguments: str, script: str = PLAIN) -> str:
    """Return what a script that runs one command prints to standard output."""
    return subprocess.run(
        [sys.executable, "-c", script, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "STABILITY_RECORDS": ""},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    ).stdout


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder whose database holds one small study."""
    folder = tmp_path_factory.mktemp("workspace")
    (folder / "protocol.toml").write_text(PROTOCOL, encoding="utf-8")
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    loaded(AT_THE_END, folder, "start", "study.toml")
    return folder


@pytest.fixture(scope="module")
def code(workspace: Path) -> str:
    """Return the code of the one sample, which T0 asks for."""
    due = json.loads(stdout_of(workspace, "due", "--samples", "--format", "json"))
    found: str = due["samples"][0]["sample"]
    return found


PROTOCOL = """
format = 1
title = "One condition"
version = "1"
[t0]
read_after = "24h"
read_before = "72h"
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["2w", "4w"]
[attributes.pH]
unit = "pH"
method = "meter"
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "preservative"
"""
STUDY = """
format = 1
code = "TRK"
time_zone = "Europe/Dublin"
product = "Startup lotion"
version = "1"
protocol = "protocol.toml"
as_sold = {formula = true, pack = true, scale = "one kilogram"}
[request]
months = 12
[packs.JAR]
text = "glass jar"
[batches.A]
made = 2026-03-02
[[samples]]
batch = "A"
pack = "JAR"
condition = "T40"
use = "reopened"
count = 1
"""


def test_help_loads_neither_numbers_nor_drawing_nor_database(tmp_path: Path) -> None:
    names = loaded(AT_THE_END, tmp_path, "--help")

    assert names & (HEAVY | {"numpy", "sqlalchemy", "rich"}) == set()


def test_help_of_a_command_loads_no_more(tmp_path: Path) -> None:
    names = loaded(AT_THE_END, tmp_path, "report", "--help")

    assert names & (HEAVY | {"numpy", "sqlalchemy", "rich"}) == set()


def test_help_of_plan_loads_no_more(tmp_path: Path) -> None:
    names = loaded(AT_THE_END, tmp_path, "plan", "--help")

    assert names & (HEAVY | {"numpy", "sqlalchemy", "rich"}) == set()


def test_due_loads_neither_numbers_nor_drawing(workspace: Path) -> None:
    names = loaded(AT_THE_END, workspace, "due")

    assert names & (HEAVY | {"numpy"}) == set()
    assert "sqlalchemy" in names


def test_log_loads_neither_numbers_nor_drawing_before_its_entry_is_committed(
    workspace: Path, code: str
) -> None:
    names = loaded(
        AT_THE_COMMIT, workspace, "log", code, "pH=5.5", "--on", "2026-03-04"
    )

    assert names & (HEAVY | {"numpy", "PIL"}) == set()
    assert "sqlalchemy" in names


def test_a_photograph_loads_pictures_and_no_numbers(workspace: Path, code: str) -> None:
    write(workspace / "jar.jpg")

    names = loaded(
        AT_THE_COMMIT, workspace, "log", code, "--photo", "jar.jpg",
        "--on", "2026-03-05",
    )  # fmt: skip

    assert "PIL" in names
    assert names & (HEAVY | {"numpy"}) == set()


def test_answering_and_listing_follow_ups_load_no_numbers(tmp_path: Path) -> None:
    (tmp_path / "protocol.toml").write_text(PROTOCOL, encoding="utf-8")
    (tmp_path / "study.toml").write_text(STUDY, encoding="utf-8")
    loaded(AT_THE_END, tmp_path, "start", "study.toml")
    due = json.loads(stdout_of(tmp_path, "due", "--samples", "--format", "json"))
    code = due["samples"][0]["sample"]

    logged = loaded(AT_THE_END, tmp_path, "log", code, "pH=4.10", "--on", "2026-03-04")
    answered = loaded(
        AT_THE_END, tmp_path, "follow-up", "TRK/2", "--checked", "weight=yes",
        "--outcome", "not explained", "--because", "meter away",
    )  # fmt: skip
    listed = loaded(AT_THE_END, tmp_path, "follow-up", "--list", "TRK")

    for names in (logged, answered, listed):
        assert names & (HEAVY | {"numpy", "PIL"}) == set()


def test_log_loads_numbers_for_a_long_history_only_after_it_has_told_what_it_stored(
    workspace: Path, code: str
) -> None:
    for day in ("06", "07", "08", "09"):
        on = ("--on", f"2026-03-{day}")
        if day == "06":
            loaded(AT_THE_END, workspace, "place", code, *on)
        loaded(AT_THE_END, workspace, "log", code, "pH=5.50", "--check", "extra", *on)

    told = stdout_of(
        workspace, "log", code, "pH=5.10", "--check", "extra", "--on", "2026-03-10",
        script=AT_THE_PRINT,
    ).splitlines()  # fmt: skip
    at_the_end, (left, *when_told) = set(told[-2].split()), told[-1].split()

    assert left == "0"
    assert set(when_told) & (HEAVY | {"numpy"}) == set()
    assert at_the_end & (HEAVY | {"numpy"}) == {"numpy", "scipy"}
