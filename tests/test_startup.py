"""What a fresh interpreter has loaded when a command has done its work.

A list of modules says the same every time; a stopwatch does not.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = {"pandas", "scipy", "statsmodels", "matplotlib", "reportlab"}

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


def loaded(script: str, folder: Path, *arguments: str) -> set[str]:
    """Run a command in a fresh interpreter; return the modules it had loaded."""
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "STABILITY_RECORDS": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    code, *names = done.stdout.splitlines()[-1].split()
    assert code == "0", done.stderr
    return set(names)


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder whose database holds one small study."""
    folder = tmp_path_factory.mktemp("workspace")
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    loaded(AT_THE_END, folder, "start", "study.toml")
    return folder


STUDY = """
format = 1
code = "TRK"
time_zone = "Europe/Dublin"
product = "Startup lotion"
version = "1"
protocol = "new_formula_4w"
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


def test_due_loads_neither_numbers_nor_drawing(workspace: Path) -> None:
    names = loaded(AT_THE_END, workspace, "due")

    assert names & (HEAVY | {"numpy"}) == set()
    assert "sqlalchemy" in names


def test_log_loads_neither_numbers_nor_drawing_before_its_entry_is_committed(
    workspace: Path,
) -> None:
    names = loaded(
        AT_THE_COMMIT, workspace, "note", "TRK", "nothing heavy stands in the way"
    )

    assert names & (HEAVY | {"numpy"}) == set()
    assert "sqlalchemy" in names
