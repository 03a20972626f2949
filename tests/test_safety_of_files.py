"""What is written is its owner's only; what is read is neither run nor fetched."""

from __future__ import annotations

import ast
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.records.small_study import write_files

ROOT = Path(__file__).parents[1]
MODULES = sorted((ROOT / "stability").rglob("*.py"))
#: Runs the command line as it is run, and tells what it asked the system for.
WATCHED = """
import sys
def watch(event, given):
    if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.spawn",
                         "os.posix_spawn", "urllib.", "ftplib.", "webbrowser.")):
        sys.stderr.write(f"ASKED {event} {given}\\n")
    if event == "open" and "trap" in str(given[0]):
        sys.stderr.write(f"ASKED {event} {given[0]}\\n")
sys.addaudithook(watch)
from stability.cli.main import main
main()
"""
TRAPS = (
    "=cmd|'/C calc'!A1", "<img src='http://127.0.0.1:9/trap'/>", "file:///trap/passwd",
    "$(touch trap)", "`touch trap`", "{0.__class__}", "%(trap)s", "\\\\nas\\trap",
)  # fmt: skip


def command(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run one command in a folder with every right to share what it writes."""
    return subprocess.run(
        [sys.executable, "-c", WATCHED, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "STABILITY_PERSON": "Ana Reyes"},
        capture_output=True,
        text=True,
        check=False,
        umask=0,
    )


def asked(done: subprocess.CompletedProcess[str]) -> list[str]:
    """Return what a command asked the system for, that reading fonts does not."""
    lines = [one for one in done.stderr.splitlines() if one.startswith("ASKED ")]
    return [one for one in lines if "fc-list" not in one]


@pytest.fixture
def trapped(tmp_path: Path) -> Path:
    """Return a hand-made folder whose every free text is a trap."""
    folder = write_files(tmp_path / "made").parent
    rows = ["kind,done,sample,attribute,reading,because"]
    rows.append("observed,2026-03-05,001-5,pH,5.50/5.52,")
    for text in TRAPS:
        quoted = text.replace('"', '""')
        rows.append(f'noted,2026-03-05,,,,"{quoted}"')
    (folder / "events.csv").write_text("\n".join([*rows, ""]), "utf-8")
    return folder


WRITING = (
    ("import", "made"),
    ("report", "HDC", "--out", "report.pdf"),
    ("report", "HDC", "--kind", "text", "--out", "report.txt"),
    ("export", "HDC", "--out", "archive"),
    ("backup", "--out", "kept.db"),
    ("calendar", "HDC", "--out", "checks.ics"),
    ("labels", "HDC", "--out", "labels.pdf"),
)


def test_nothing_that_is_read_is_run_or_fetched_and_all_that_is_written_is_private(
    trapped: Path, tmp_path: Path
) -> None:
    for arguments in WRITING:
        done = command(tmp_path, *arguments)
        assert done.returncode in {0, 1}, (arguments, done.stderr)
        assert asked(done) == [], arguments

    written = [one for one in tmp_path.rglob("*") if trapped not in (one, *one.parents)]
    shared = [one.name for one in written if stat.S_IMODE(one.stat().st_mode) & 0o077]
    assert len(written) > len(WRITING)
    assert shared == []
    assert not list(tmp_path.rglob("trap"))
    history = command(tmp_path, "history", "HDC", "--format", "json").stdout
    assert all(one.replace("\\", "\\\\") in history for one in TRAPS)


#: What would run or fetch, by name, wherever it is called.
RUNS = {
    "eval", "exec", "__import__", "system", "popen", "Popen", "check_call",
    "check_output", "spawn", "spawnv", "execv", "execvp", "startfile", "urlopen",
    "urlretrieve", "extractall",
}  # fmt: skip
#: An `__init__` from the names of a record's own fields, as the standard library's
#: dataclasses do it; nothing that is read reaches it.
WRITES_CODE = {"stability/model/quick.py": {"exec"}}
FETCHES = {
    "subprocess", "socket", "urllib.request", "http", "ftplib", "requests", "httpx",
    "pickle", "marshal", "shelve", "yaml", "webbrowser", "ctypes",
}  # fmt: skip


def calls(tree: ast.Module) -> set[str]:
    """Return the names of all that a module calls."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                found.add(node.func.id)
            elif isinstance(node.func, ast.Attribute):
                found.add(node.func.attr)
    return found


def imports(tree: ast.Module) -> set[str]:
    """Return the modules that a module imports."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {node.module or "", (node.module or "").split(".")[0]}
    return found


def test_no_module_could_run_or_fetch_what_it_reads() -> None:
    assert len(MODULES) > 20
    trees = {one: ast.parse(one.read_text("utf-8")) for one in MODULES}

    could = {
        path.relative_to(ROOT).as_posix(): found
        for path, tree in trees.items()
        if (found := (calls(tree) & RUNS) | (imports(tree) & FETCHES))
    }

    assert could == WRITES_CODE
