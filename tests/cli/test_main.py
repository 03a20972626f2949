"""The error boundary, exit codes and help."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.main import get_command

from stability.cli import main
from stability.cli.app import COMMANDS as MODULES
from stability.cli.app import GROUPS, Outcome, app, load_commands
from stability.errors.studies import StudyNeededError
from tests.cli.conftest import unexplained

ROOT = Path(__file__).parents[2]
load_commands(())
COMMANDS: dict[str, Any] = dict(get_command(app).commands)  # type: ignore[attr-defined]
LISTINGS = (
    "protocols", "start", "due", "show", "drift", "shelf-life", "studies", "history",
    "verify",
)  # fmt: skip
WRITING = (
    "start", "stop", "day", "place", "retire", "log", "miss", "correct", "invalidate",
    "note", "import",
)  # fmt: skip


def ends_with(monkeypatch: pytest.MonkeyPatch, end: object) -> int:
    """Run the boundary around something that ends so, and return the exit code."""

    def ending(*_: object, **__: object) -> object:
        if isinstance(end, BaseException):
            raise end
        return end

    monkeypatch.setattr(main, "app", ending)
    return main.run(["due"])


@pytest.mark.parametrize(
    ("end", "code"),
    [
        (None, 0),
        (Outcome.DONE, 0),
        (Outcome.FOUND, 1),
        (StudyNeededError("014W"), 2),
        (typer.BadParameter("no such thing"), 2),
        (PermissionError(13, "Permission denied", "day-cream.pdf"), 2),
        (typer.Abort(), 130),
        (KeyboardInterrupt(), 130),
        (130, 130),
        (KeyError("a fault of ours"), 3),
        (ValueError("a broken contract"), 3),
    ],
)
def test_a_command_ends_with_its_exit_code(
    monkeypatch: pytest.MonkeyPatch, end: object, code: int
) -> None:
    assert ends_with(monkeypatch, end) == code


def test_what_the_user_can_mend_is_told_without_a_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ends_with(monkeypatch, StudyNeededError("014W"))

    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("stability: 014W does not tell its study.")
    assert printed.err.count("\n") == 1


def test_a_file_that_cannot_be_written_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ends_with(monkeypatch, PermissionError(13, "Permission denied", "day-cream.pdf"))

    assert "day-cream.pdf: Permission denied" in capsys.readouterr().err


def test_a_fault_of_the_program_is_named_as_one_and_shows_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("STABILITY_DEBUG", raising=False)

    ends_with(monkeypatch, KeyError("x"))

    told = capsys.readouterr().err
    assert "fault of the program, not of your input" in told
    assert "Traceback" not in told


def test_the_traceback_is_shown_when_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("STABILITY_DEBUG", "1")

    ends_with(monkeypatch, KeyError("x"))

    assert "Traceback" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [["logg"], ["due", "--withn", "7d"], ["due", "--format", "xml"], ["show"]],
)
def test_a_mistyped_command_is_told_in_one_line_with_where_to_look(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    assert main.run(arguments) == 2

    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert re.search(r"See 'stability.* --help'\.$", told)


def test_no_command_prints_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run([]) == 0

    assert "Usage: stability" in capsys.readouterr().out


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["--version"]) == 0

    assert capsys.readouterr().out.startswith("stability ")


def test_help_lists_every_command_under_its_group(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main.run(["--help"])

    shown = capsys.readouterr().out
    places = [shown.index(f"\n{group}:\n") for group in GROUPS]
    assert places == sorted(places)
    assert not re.search(r"^  .*\.\.\.$", shown, re.MULTILINE), "a summary is cut"
    for name in COMMANDS:
        assert re.search(rf"^  {name} +\S", shown, re.MULTILINE)
    assert "qualified safety assessor" in " ".join(shown.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_explained_by_a_line_a_paragraph_and_an_example(name: str) -> None:
    assert unexplained(COMMANDS[name], name) == set()


@pytest.mark.parametrize("name", LISTINGS)
def test_a_listing_command_takes_a_format(name: str) -> None:
    assert "--format" in {
        option for one in COMMANDS[name].params for option in one.opts
    }


@pytest.mark.parametrize("name", WRITING)
def test_a_writing_command_takes_a_person_and_the_records(name: str) -> None:
    options = {option for one in COMMANDS[name].params for option in one.opts}

    assert {"--person", "--records"} <= options


def test_a_reader_that_leaves_early_is_no_fault(tmp_path: Path) -> None:
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m stability.cli.main --help | head -c 1"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.stderr == ""


def test_signs_that_a_terminal_cannot_print_stop_nothing(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "stability.cli.main", "protocols"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        text=True,
        check=False,
    )

    assert (done.returncode, done.stderr) == (0, "")


def test_the_table_of_commands_holds_every_command() -> None:
    assert set(MODULES) == set(COMMANDS)


@pytest.mark.parametrize("name", MODULES)
def test_a_command_is_found_in_the_module_that_the_table_names(name: str) -> None:
    script = (
        "import sys; from stability.cli.main import run; "
        f"code = run([{name!r}, '--help']); "
        f"assert 'stability.cli.{MODULES[name]}' in sys.modules; sys.exit(code)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )

    assert ran.returncode == 0, ran.stderr
    assert f"stability {name}" in ran.stdout
