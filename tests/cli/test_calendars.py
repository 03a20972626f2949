"""Check days as a calendar file, and what is said beside it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

    from tests.cli.conftest import Command, Workspace

EVENT = re.compile(r"BEGIN:VEVENT\n.*?END:VEVENT", re.DOTALL)


def events(folder: Path, name: str = "checks.ics") -> dict[str, str]:
    """Return uid -> event as written, lines unfolded."""
    text = (folder / name).read_bytes().decode("utf-8")
    plain = text.replace("\r\n ", "").replace("\r\n", "\n")
    return {one.split("UID:")[1].split("\n")[0]: one for one in EVENT.findall(plain)}


def test_a_calendar_is_written_and_told(workspace: Workspace) -> None:
    ran = workspace.run(
        "calendar", "TRK", "--out", "checks.ics", "--as-of", "2026-11-26"
    )

    assert (ran.code, ran.out) == (0, "")
    assert "checks.ics: events of TRK: " in ran.err
    assert "tentative: " in ran.err
    assert "record: study:TRK/1:" in ran.err
    assert len(events(workspace.folder)) > 4


def test_a_second_export_moves_what_was_placed_and_doubles_nothing(
    workspace: Workspace,
) -> None:
    hot, room = workspace.codes["T40"], workspace.codes["ROOM"]
    workspace.run("calendar", "TRK", "--out", "checks.ics")
    before = events(workspace.folder)
    workspace.run("place", hot, room, "--on", "2026-03-10")
    ran = workspace.run("calendar", "TRK", "--out", "checks.ics", "--overwrite")
    after = events(workspace.folder)
    (check,) = [uid for uid in before if "+T40+2w+" in uid]

    assert ran.code == 0, ran.err
    assert set(after) <= set(before)
    # Made on 2 March, to be placed 72 h later: 19 March; placed on 10 March: 24 March.
    assert "DTSTART;VALUE=DATE:20260319" in before[check]
    assert "DTSTART;VALUE=DATE:20260324" in after[check]


def test_a_reminder_is_written_where_one_is_asked_for(workspace: Workspace) -> None:
    workspace.run("calendar", "TRK", "--remind", "1d", "--out", "checks.ics")

    assert all("TRIGGER:-P1D" in one for one in events(workspace.folder).values())


def test_all_studies_share_a_file(workspace: Workspace) -> None:
    study = (workspace.folder / "study.toml").read_text(encoding="utf-8")
    (workspace.folder / "second.toml").write_text(
        study.replace('"TRK"', '"TRQ"'), encoding="utf-8"
    )
    workspace.run("start", "second.toml")
    ran = workspace.run("calendar", "--all", "--out", "checks.ics")

    assert "events of TRK, TRQ" in ran.err
    assert {uid[:3] for uid in events(workspace.folder)} == {"TRK", "TRQ"}
    assert len(ran.err.splitlines()) == 3, "one anchor for each study"


def test_all_takes_no_study_that_was_not_yet_open(workspace: Workspace) -> None:
    ran = workspace.run(
        "calendar", "--all", "--as-of", "2020-01-01", "--out", "checks.ics"
    )

    assert ran.code == 2
    assert "Nothing is planned any more in these records" in ran.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("calendar", "--out", "c.ics"), "Name one study for the calendar, or give"),
        (("calendar", "TRK", "--all", "--out", "c.ics"), "not both"),
        (("calendar", "TRK", "--remind", "1M", "--out", "c.ics"), "--remind '1M'"),
        (("calendar", "TRK", "--remind", "soon", "--out", "c.ics"), "'soon'"),
        (("calendar", "TRX", "--out", "c.ics"), "TRX"),
        (("calendar", "TRK", "--out", "small.toml"), "exists already"),
        (("calendar", "TRK", "--out", "none/c.ics"), "There is no folder none"),
        (("calendar", "study.toml", "--out", "c.ics"), "stability start study.toml"),
    ],
)
def test_what_is_wrong_is_told_in_one_line_and_nothing_is_written(
    workspace: Workspace, arguments: tuple[str, ...], words: str
) -> None:
    ran = workspace.run(*arguments)

    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
    assert len(ran.err.splitlines()) == 1
    assert not (workspace.folder / "c.ics").exists()


def test_without_records_there_is_no_calendar(command: Command) -> None:
    ran = command("calendar", "--all", "--out", "c.ics")

    assert ran.code == 2
    assert "There are no records" in ran.err


def test_a_stopped_study_has_nothing_planned_once_its_days_are_over(
    workspace: Workspace,
) -> None:
    workspace.run("stop", "TRK", "--because", "recipe given up", "--on", "2026-03-03")
    ran = workspace.run("calendar", "TRK", "--out", "checks.ics")

    assert ran.code == 2
    assert "Nothing is planned any more in study TRK" in ran.err
    assert not (workspace.folder / "checks.ics").exists()
