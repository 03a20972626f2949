"""README's commands are run in order and print what README shows.

A `toml` block is the file that its first line names. A `console` block holds lines that
begin with `$ ` and the output of each, standard output and standard error together. `…`
stands for what differs from run to run, such as the digest of an entry stored now.

`python tests/test_docs.py` writes into README what its commands print now.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
#: The account and the width of the terminal in which README's commands were typed.
AS_SHOWN = {"USER": "maker", "LOGNAME": "maker", "COLUMNS": "96", "TZ": "UTC"}
DIGEST_OF_NOW = re.compile(
    r"^((?:record|workspace): .*:)?(?:[0-9a-f]{16}|[0-9a-f]{64})$", re.MULTILINE
)
BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Command:
    """One command of README with the output shown below it."""

    #: As typed.
    typed: str
    #: Lines shown.
    shown: str


def blocks(language: str) -> list[str]:
    """Return the blocks of one language in their order."""
    return [text for name, text in BLOCK.findall(README) if name == language]


def commands() -> list[Command]:
    """Return the commands of all console blocks in order."""
    found = []
    for block in blocks("console"):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            typed, _, shown = part.partition("\n")
            found.append(Command(typed, shown.rstrip("\n")))
    return found


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of what a reader of README has in front of them."""
    return clone_into(tmp_path_factory.mktemp("clone"))


def clone_into(folder: Path) -> Path:
    """Put into a folder what a reader of README has in front of them."""
    for name in ("example_studies", "protocols"):
        shutil.copytree(ROOT / name, folder / name)
    for block in blocks("toml"):
        (folder / block.split()[1]).write_text(block, encoding="utf-8")
    program = folder / ".venv" / "bin" / "stability"
    program.parent.mkdir(parents=True)
    program.write_text(
        f"#!{sys.executable}\nfrom stability.cli.main import main\nmain()\n",
        encoding="utf-8",
    )
    program.chmod(0o755)
    return folder


def run(folder: Path, typed: str) -> subprocess.CompletedProcess[str]:
    """Run one line in a shell as a reader would, with the environment active."""
    path = f"{folder / '.venv' / 'bin'}{os.pathsep}{os.environ['PATH']}"
    kept = {name: os.environ[name] for name in ("HOME", "LANG") if name in os.environ}
    return subprocess.run(
        ["bash", "-c", typed],
        cwd=folder,
        env={**kept, "PATH": path, "PYTHONPATH": str(ROOT), **AS_SHOWN},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )


def as_pattern(shown: str) -> str:
    """Return shown output as a pattern in which `…` stands for anything on a line."""
    return "[^\n]*".join(map(re.escape, shown.split("…")))


def test_readme_shows_what_its_commands_print(copy: Path) -> None:
    write_first_report(copy)
    differing = []
    for command in commands():
        printed = run(copy, command.typed).stdout.rstrip("\n")
        if not re.fullmatch(as_pattern(command.shown), printed):
            differing.append(f"$ {command.typed}\n{printed}")

    assert commands()
    assert differing == []


def test_the_first_command_ends_with_a_report(copy: Path) -> None:
    done, target = write_first_report(copy)

    assert done.returncode == 0, done.stdout
    assert target.read_bytes().startswith(b"%PDF")


def write_first_report(copy: Path) -> tuple[subprocess.CompletedProcess[str], Path]:
    """Run what README's first command does after the installation."""
    _, _, report = blocks("sh")[0].strip().rpartition("&& ")
    target = copy / report.split("--out ")[1].split()[0]
    target.unlink(missing_ok=True)
    return run(copy, report), target


def test_the_second_command_is_what_the_whole_check_runs() -> None:
    second = blocks("sh")[1].strip()

    assert "\n" not in second
    assert second in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_the_guide_begins_with_the_whole_check() -> None:
    first = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()[0]

    assert "`.ci/run`" in first
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


def test_the_guide_names_tests_that_are_there() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    _, _, table = guide.partition("## What inspectors expect")
    rows = [one for one in table.split("\n## ")[0].splitlines() if "| `" in one]
    named = [one for row in rows for one in re.findall(r"`([a-z_/]+\.py)`", row)]

    assert len(named) > 20
    assert [one for one in named if not (ROOT / "tests" / one).is_file()] == []


def test_readme_names_every_exit_code() -> None:
    from stability.cli import main

    for code in (main.DONE, main.FOUND, main.TO_MEND, main.FAULT, main.INTERRUPTED):
        assert f"| {code} |" in README


def rewritten(copy: Path) -> str:
    """Return README with what its commands print now, for whoever changes a command."""
    report, _ = write_first_report(copy)
    assert report.returncode == 0, report.stdout
    text = README
    for command in commands():
        printed = run(copy, command.typed).stdout.rstrip("\n")
        assert "fault of the program" not in printed
        printed = DIGEST_OF_NOW.sub(r"\1…", printed)
        if not re.fullmatch(as_pattern(command.shown), printed):
            old = f"$ {command.typed}\n{command.shown}".rstrip("\n")
            text = text.replace(old, f"$ {command.typed}\n{printed}")
    return text


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        written = rewritten(clone_into(Path(name)))
    (ROOT / "README.md").write_text(written, encoding="utf-8")
