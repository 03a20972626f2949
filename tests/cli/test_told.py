"""What entries leave open is worked out once they are told, by whatever wrote them."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.cli import told
from stability.records import answers
from stability.records.database import open_database
from tests.cli.conftest import Command, Ran
from tests.records.pictures import write
from tests.records.small_study import BULK_A, ROOM_A, T40_4W, write_files

LOW = f"sample,check,attribute,reading,done\n{BULK_A},T0,pH,4.50/4.52,2026-03-05\n"
ANSWERED = (
    *("--checked", "right sample=yes", "--checked", "calibration=yes"),
    *("--checked", "repeat reading=yes", "--outcome", "confirmed", "--because", "x"),
)


def lagging() -> list[str]:
    """Return the studies of the workspace that nobody judged since the last entry."""
    with open_database("stability.db").reading() as connection:
        return [one.study for one in answers.lagging(connection)]


@pytest.fixture
def opened(command: Command, tmp_path: Path) -> Command:
    """Return how to run a command where study HDC was opened."""
    write_files(tmp_path / "files")
    assert command("start", "files/study.toml").code == 0
    assert lagging() == []
    (tmp_path / "low.csv").write_text(LOW, encoding="utf-8")
    write(tmp_path / "jar.png")
    return command


def did(ran: Ran) -> None:
    """Hold that a command did its work."""
    assert ran.code == 0, ran.err


def test_after_every_command_that_writes_nothing_is_left_to_work_out(
    opened: Command,
) -> None:
    on = ("--on", "2026-03-05")
    for arguments in (
        ("lodge", "HDC", "--with", "Dr Keane"),
        ("day", "HDC", *on),
        ("place", ROOM_A, T40_4W, *on),
        ("log", BULK_A, "pH=5.50/5.52", *on),
        ("correct", "HDC/6", "pH=4.50/4.52", "--because", "misread", "--yes"),
        ("follow-up", "HDC/7", *ANSWERED),
        ("log", ROOM_A, "--photo", "jar.png", *on),
        ("invalidate", "HDC/7", "--because", "wrong jar"),
        ("log", "--from", "low.csv", "--yes"),
        ("miss", "HDC", "2w", "--sample", ROOM_A, "--because", "away"),
        ("note", "HDC", "moved"),
        ("retire", T40_4W, "lost", "--because", "gone", "--on", "2026-03-22"),
        ("stop", "HDC", "--batch", "B", "--because", "withdrawn"),
    ):
        did(opened(*arguments))
        assert lagging() == [], arguments


def test_no_command_tells_entries_of_a_study_without_it() -> None:
    beside = {"told.py", "output.py", "storage.py", "instruments.py", "keeping.py"}
    cli = Path(told.__file__).parent
    telling = {
        path.name for path in cli.glob("*.py") if "tell_written(" in path.read_text()
    }

    assert telling <= beside


def test_a_session_and_an_import_leave_nothing_either(
    opened: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = iter([BULK_A, "none", "no such word"])
    monkeypatch.setattr("builtins.input", lambda: next(lines))
    ran = opened("enter", "HDC", "--on", "2026-03-05")
    assert "HDC/2" in ran.err, ran.err
    assert lagging() == []
    did(opened("export", "HDC", "--out", "archive"))

    Path("stability.db").unlink()
    did(opened("import", "archive"))

    assert lagging() == []


def test_a_reading_is_told_as_stored_whatever_comes_after(
    opened: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_record: object) -> tuple[object, ...]:
        raise KeyError("odour")

    monkeypatch.setattr("stability.evaluation.awaiting.awaiting", broken)

    ran = opened("log", BULK_A, "pH=5.50/5.52", "--on", "2026-03-05")

    assert (ran.code, lagging()) == (0, ["HDC"])
    assert "record: study:HDC/2" in ran.err
    due = opened("due")
    assert due.code == 0
    assert "could not be worked out" in " ".join(due.out.split())
