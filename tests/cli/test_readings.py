"""Readings stored and put right, and what is refused with nothing written."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stability.cli import main, readings
from stability.errors.command_line import NothingToLogError, ReadingsAndFileError

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace

ROOT = Path(__file__).parents[2]


def lines(folder: Path) -> list[str]:
    """Return every line of the journal, read without our own code."""
    connection = sqlite3.connect(folder / "stability.db")
    try:
        found = connection.execute("select line from entry order by number").fetchall()
    finally:
        connection.close()
    return [line for (line,) in found]


def last(folder: Path) -> dict[str, object]:
    """Return the last entry of the journal."""
    entry: dict[str, object] = json.loads(lines(folder)[-1])
    return entry


def test_log_says_what_it_stored_and_where_the_record_stands(
    workspace: Workspace,
) -> None:
    code = workspace.codes["T40"]

    ran = workspace.run("log", code, "pH=5.50/5.52", "--on", "2026-03-04")

    assert (ran.code, ran.out) == (0, "")
    for word in (
        "TRK/",
        "Thistle lotion",
        code,
        "batch A",
        "T40",
        "T0",
        "5.50",
        "inside",
    ):
        assert word in ran.err
    *_, anchor, weight = ran.err.splitlines()
    assert anchor.startswith("record: study:TRK/")
    assert weight.startswith(f"{code} T0: not weighed after sampling.")


def test_readings_are_kept_as_typed(workspace: Workspace) -> None:
    workspace.run("log", workspace.codes["T40"], "pH=5.50/5.5", "--on", "2026-03-04")

    held = last(workspace.folder)["content"]
    assert isinstance(held, dict)
    assert [one["value"] for one in held["readings"]] == ["5.50", "5.5"]


def test_a_short_code_suffices_with_the_study(workspace: Workspace) -> None:
    short = "".join(workspace.codes["T40"].split("-")[1:]).lower()

    ran = workspace.run("log", short, "pH=5.5", "--study", "TRK", "--on", "2026-03-04")

    assert ran.code == 0, ran.err


def test_what_was_not_measured_is_stored_with_its_reason(workspace: Workspace) -> None:
    ran = workspace.run(
        "log", workspace.codes["T40"], "pH=not-measured",
        "--because", "electrode dead", "--on", "2026-03-04",
    )  # fmt: skip

    assert ran.code == 0, ran.err
    assert "electrode dead" in lines(workspace.folder)[-1]


def test_a_far_reading_needs_the_flag_where_nobody_can_be_asked(
    logged: Workspace,
) -> None:
    before = lines(logged.folder)
    typed = ("log", logged.codes["T40"], "pH=4.40/4.42", "--on", "2026-04-02")

    refused = logged.run(*typed)
    written = lines(logged.folder)
    stored = logged.run(*typed, "--yes")

    assert refused.code == 2
    assert "--yes" in refused.err
    assert written == before
    assert stored.code == 0, stored.err


@pytest.mark.parametrize(("answer", "code"), [(True, 0), (False, 2)])
def test_a_far_reading_is_asked_about_where_somebody_is_there(
    logged: Workspace, monkeypatch: pytest.MonkeyPatch, answer: bool, code: int
) -> None:
    asked: list[str] = []

    def confirm(question: str) -> bool:
        asked.append(question)
        return answer

    monkeypatch.setattr(readings, "confirmation", lambda: confirm)
    before = len(lines(logged.folder))

    ran = logged.run("log", logged.codes["T40"], "pH=4.40/4.42", "--on", "2026-04-02")

    assert ran.code == code, ran.err
    assert len(lines(logged.folder)) == before + answer
    assert len(asked) == 1
    assert "far from the last" in asked[0]


@pytest.fixture
def with_history(logged: Workspace) -> Workspace:
    """Return the study with four checks of one jar read."""
    hot = logged.codes["T40"]
    for day, reading in (("2026-03-26", "5.38/5.38"), ("2026-04-02", "5.33/5.35")):
        ran = logged.run("log", hot, f"pH={reading}", "--check", "extra", "--on", day)
        assert ran.code == 0, ran.err
        assert "out of trend" not in ran.err
    return logged


OUT = ("pH=5.05/5.05", "--check", "extra", "--on", "2026-04-09", "--yes")


def test_a_reading_out_of_trend_is_told_after_it_is_stored(
    with_history: Workspace,
) -> None:
    ran = with_history.run("log", with_history.codes["T40"], *OUT)

    told = ran.err.splitlines()
    record = next(n for n, line in enumerate(told) if line.startswith("record: "))
    assert (ran.code, ran.out) == (0, "")
    assert "5.05" in told[0]
    assert "inside" in told[0]
    assert "out of trend, alarm: 5.05 lies outside" in told[record + 1]
    assert "instrument" in told[-1]


def test_a_remark_that_fails_loses_neither_the_reading_nor_its_line(
    with_history: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise ArithmeticError("a fault of ours")

    monkeypatch.setattr("stability.workflow.marks._tested", fails)

    ran = with_history.run("log", with_history.codes["T40"], *OUT)

    assert ran.code == 3
    assert "5.05" in ran.err.splitlines()[0]
    assert any(line.startswith("record: study:TRK/") for line in ran.err.splitlines())
    held = last(with_history.folder)["content"]
    assert isinstance(held, dict)
    assert [one["value"] for one in held["readings"]] == ["5.05", "5.05"]


def test_a_second_observation_is_refused_with_the_ways_out(logged: Workspace) -> None:
    ran = logged.run("log", logged.codes["T40"], "pH=5.41", "--on", "2026-03-19")

    assert ran.code == 2
    assert "correct" in ran.err
    assert "--repeat" in ran.err


def test_a_repeat_is_kept_beside_the_first(logged: Workspace) -> None:
    ran = logged.run(
        "log", logged.codes["T40"], "pH=5.43", "--on", "2026-03-19",
        "--repeat", "meter calibrated again",
    )  # fmt: skip

    shown = json.loads(logged.run("show", "TRK", "--format", "json").out)
    kept = {one["readings"] for one in shown["observations"]}
    assert ran.code == 0, ran.err
    assert {"5.40 / 5.42", "5.43"} <= kept


def test_a_correction_supersedes_and_both_stay_readable(logged: Workspace) -> None:
    entry = reference(logged, "pH", "2w")

    ran = logged.run("correct", entry, "pH=5.44/5.42", "--because", "misread a digit")

    history = logged.run("history", "TRK").out
    assert ran.code == 0, ran.err
    assert "corrected by TRK/" in history
    assert "5.44" in history
    assert "5.40" in history


def test_an_observation_set_aside_takes_no_part(logged: Workspace) -> None:
    entry = reference(logged, "pH", "2w")

    ran = logged.run("invalidate", entry, "--because", "electrode was dry")

    shown = json.loads(logged.run("show", "TRK", "--format", "json").out)
    aside = [one for one in shown["observations"] if not one["takes_part"]]
    assert ran.code == 0, ran.err
    assert [f"TRK/{one['position']}" for one in aside] == [entry]
    assert aside[0]["person"]
    (first,) = [
        one
        for one in shown["observations"]
        if (one["attribute"], one["check"]) == ("pH", "T0")
    ]
    assert first["settings"] == "dilution 10 %"


@pytest.mark.parametrize("about", ["TRK", "TRK/2", "sample"])
def test_a_note_is_stored(logged: Workspace, about: str) -> None:
    ran = logged.run(
        "note", logged.codes["T40"] if about == "sample" else about, "lid was loose"
    )

    assert ran.code == 0, ran.err
    assert "lid was loose" in lines(logged.folder)[-1]


def reference(workspace: Workspace, attribute: str, check: str) -> str:
    """Return the reference of an observation."""
    shown = workspace.run(
        "show", "TRK", "--attribute", attribute, "--check", check, "--format", "json"
    )
    (one,) = json.loads(shown.out)["observations"]
    return f"TRK/{one['position']}"


def test_a_file_and_a_sample_at_once_are_refused(workspace: Workspace) -> None:
    hot = workspace.codes["T40"]

    with pytest.raises(ReadingsAndFileError):
        readings.log(sample=hot, readings=["pH=5.5"], from_file=Path("day.csv"))


def test_no_reading_at_all_is_refused(workspace: Workspace) -> None:
    with pytest.raises(NothingToLogError):
        readings.log(sample=workspace.codes["T40"])


# A file of readings

HEAD = (
    "kind,done,entered,person,sample,check,attribute,reading,unit,settings,"
    "observers,refers_to,because\n"
)


def test_a_file_is_logged_whole(workspace: Workspace) -> None:
    code = workspace.codes["T40"]
    (workspace.folder / "day.csv").write_text(
        HEAD
        + f"observed,2026-03-04,,Ana Reyes,{code},T0,pH,5.50/5.52,pH,dilution=10 %,,,\n"
        + f"observed,2026-03-04,,Ana Reyes,{code},T0,odour,0,,,,,\n",
        encoding="utf-8",
    )

    ran = workspace.run("log", "--from", "day.csv")

    assert ran.code == 0, ran.err
    kinds = [json.loads(line)["kind"] for line in lines(workspace.folder)]
    assert kinds == ["study-opened/1", "observed/1", "observed/1", "received/2"]


def test_one_bad_row_and_nothing_is_written_and_all_bad_rows_are_told(
    workspace: Workspace,
) -> None:
    code = workspace.codes["T40"]
    before = lines(workspace.folder)
    (workspace.folder / "day.csv").write_text(
        HEAD
        + f"observed,2026-03-04,,Ana Reyes,{code},T0,pH,5.50,pH,,,,\n"
        + f"observed,2026-03-04,,Ana Reyes,{code},T0,odour,9,,,,,\n"
        + f"observed,2026-02-30,,Ana Reyes,{code},T0,pH,5.50,pH,,,,\n",
        encoding="utf-8",
    )

    ran = workspace.run("log", "--from", "day.csv")

    assert ran.code == 2
    assert "Traceback" not in ran.err
    assert "3" in ran.err
    assert "4" in ran.err
    assert lines(workspace.folder) == before


# Bad input: one clear message, exit 2, nothing written

BAD = {
    "unknown study": (("log", "TRC-001-X", "pH=5.5"), ()),
    "unknown study, by code": (("miss", "TRC", "4w", "--because", "x"), ("TRK",)),
    "unknown sample": (("log", "{unknown}", "pH=5.5"), ("{T40}",)),
    "unknown attribute": (("log", "{T40}", "hP=5.5"), ("pH",)),
    "wrong check character": (("log", "{mistyped}", "pH=5.5"), ("check character",)),
    "comma for point": (("log", "{T40}", "pH=5,47"), ("comma",)),
    "Arabic digits": (("log", "{T40}", "pH=٥.٥"), ("digit",)),
    "NaN": (("log", "{T40}", "pH=NaN"), ("number",)),
    "infinity": (("log", "{T40}", "pH=1e999"), ("number",)),
    "beyond what is possible": (("log", "{T40}", "pH=56"), ("14",)),
    "negative weight": (("log", "{T40}", "w=-5"), ("w",)),
    "off its scale": (("log", "{T40}", "odour=7"), ("scale",)),
    "no such word": (("log", "{T40}", "odour=fine"), ("slightly changed",)),
    "no equals sign": (("log", "{T40}", "pH"), ("=",)),
    "empty reading": (("log", "{T40}", "pH="), ()),
    "nothing to log": (("log", "{T40}"), ("--from",)),
    "a day that does not exist": (
        ("log", "{T40}", "pH=5.5", "--on", "2026-02-30"),
        ("2026-02-30",),
    ),
    "a day of another form": (
        ("log", "{T40}", "pH=5.5", "--on", "30.03.2026"),
        ("2026-03-02",),
    ),
    "before the batch was made": (
        ("log", "{T40}", "pH=5.5", "--on", "2025-03-02"),
        (),
    ),
    "in the future": (("log", "{T40}", "pH=5.5", "--on", "2399-01-01"), ("future",)),
    "placed before it was made": (("place", "{T40}", "--on", "2025-01-01"), ()),
    "not measured without a reason": (
        ("log", "{T40}", "pH=not-measured"),
        ("because",),
    ),
    "unknown entry": (("correct", "TRK/99", "pH=5.5", "--because", "x"), ("TRK/99",)),
    "an entry that is no reading": (
        ("correct", "TRK/1", "pH=5.5", "--because", "x"),
        ("TRK/1",),
    ),
    "unknown reason to leave": (
        ("retire", "{T40}", "melted", "--because", "x"),
        ("broken",),
    ),
    "unknown condition": (("place", "{T40}", "--to", "T41"), ("T40",)),
    "unknown check": (("miss", "TRK", "5w", "--because", "closed"), ("5w",)),
    "unknown batch": (("stop", "TRK", "--batch", "B", "--because", "x"), ("A",)),
    "a study that is open already": (("start", "study.toml"), ("TRK",)),
    "no such file": (("start", "none.toml"), ("none.toml",)),
    "no such readings": (("log", "--from", "none.csv"), ("none.csv",)),
    "an escape in a name": (("note", "TRK", "a\x1b[31mb"), ()),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_told_once_and_writes_nothing(
    workspace: Workspace, case: str
) -> None:
    typed, told = BAD[case]
    before = lines(workspace.folder)
    code = workspace.codes["T40"]
    words = {
        **workspace.codes,
        "unknown": unknown_code(workspace),
        "mistyped": code[:-1] + ("C" if code[-1] != "C" else "D"),
    }

    ran = workspace.run(*(one.format(**words) for one in typed))

    assert ran.code == 2, ran
    assert ran.err.startswith("stability: ")
    assert "Traceback" not in ran.err
    assert "fault of the program" not in ran.err
    for word in told:
        assert word.format(**words) in ran.err
    assert lines(workspace.folder) == before


def unknown_code(workspace: Workspace) -> str:
    """Return a sound code that the study does not have."""
    from stability.model.code import allot_codes

    return next(
        code for code in allot_codes("TRK", 9) if code not in workspace.codes.values()
    )


def test_a_wrong_unit_is_refused(workspace: Workspace) -> None:
    code = workspace.codes["T40"]
    before = lines(workspace.folder)
    (workspace.folder / "day.csv").write_text(
        HEAD + f"observed,2026-03-04,,Ana,{code},T0,pH,5.50,mm,,,,\n", encoding="utf-8"
    )

    ran = workspace.run("log", "--from", "day.csv")

    assert ran.code == 2
    assert "mm" in ran.err
    assert lines(workspace.folder) == before


# Databases that cannot be used


@pytest.mark.parametrize("typed", [("due",), ("log", "TRK-001-X", "pH=5.5")])
def test_a_database_that_is_not_ours_is_refused(
    workspace: Workspace, typed: tuple[str, ...]
) -> None:
    connection = sqlite3.connect(workspace.folder / "other.db")
    connection.execute("create table recipes (name text)")
    connection.commit()
    connection.close()
    held = (workspace.folder / "other.db").read_bytes()

    ran = workspace.run(*typed, "--records", "other.db")

    assert ran.code == 2
    assert "other.db" in ran.err
    assert (workspace.folder / "other.db").read_bytes() == held


def test_a_file_that_is_no_database_is_refused(workspace: Workspace) -> None:
    (workspace.folder / "letter.db").write_text("Dear Ana, " * 500, encoding="utf-8")

    ran = workspace.run("due", "--records", "letter.db")

    assert ran.code == 2
    assert "letter.db" in ran.err


def test_a_missing_database_is_not_made_by_reading(workspace: Workspace) -> None:
    ran = workspace.run("due", "--records", "elsewhere.db")

    assert ran.code == 2
    assert not (workspace.folder / "elsewhere.db").exists()


NOBODY = 65534


@pytest.fixture
def shared_folder(workspace: Workspace) -> Iterator[Path]:
    """Return a folder with a copy of the records that nobody may write."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        records = folder / "stability.db"
        records.write_bytes((workspace.folder / "stability.db").read_bytes())
        records.chmod(0o444)
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)


def as_another_account(folder: Path, *arguments: str) -> tuple[int, str]:
    """Run a command in a child that may not write; return exit code and errors.

    The child is a fork, so that it needs no right to read our own files.
    """
    told, telling = os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(telling, 2)
        sys.stderr = os.fdopen(2, "w", encoding="utf-8")
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        os.chdir(folder)
        code = main.run([*arguments, "--records", str(folder / "stability.db")])
        sys.stderr.flush()
        os._exit(code)
    os.close(telling)
    with os.fdopen(told, encoding="utf-8") as stream:
        err = stream.read()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), err


def test_a_read_only_folder_is_named_and_can_still_be_read(
    workspace: Workspace, shared_folder: Path
) -> None:
    code = workspace.codes["T40"]
    typed = ("log", code, "pH=5.5", "--on", "2026-03-04")
    workspace.run("studies")
    workspace.run(*typed)

    read, _ = as_another_account(shared_folder, "studies")
    written, err = as_another_account(shared_folder, *typed)

    assert (read, written) == (0, 2), err
    assert "read" in err
    assert "Traceback" not in err


def test_a_full_disk_is_told_and_the_record_stays_whole(workspace: Workspace) -> None:
    before = lines(workspace.folder)
    blocks = (workspace.folder / "stability.db").stat().st_size // 1024
    command = (
        f"ulimit -f {blocks}; {sys.executable} -m stability.cli.main note TRK "
        f"\"$(head -c 90000 /dev/zero | tr '\\0' x)\""
    )

    ran = subprocess.run(
        ["bash", "-c", command],
        cwd=workspace.folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )

    assert ran.returncode == 2, ran.stderr
    assert "Traceback" not in ran.stderr
    assert lines(workspace.folder) == before
    assert workspace.run("verify").code == 0
