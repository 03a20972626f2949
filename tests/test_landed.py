"""Workspaces and archives of every earlier landed version are carried forward.

A folder in `records/landed/` is named by the day on which its version landed, and was
written by that version: a workspace with every kind of entry that it knew, the archive
of each study in it, and in `said.json` what it showed of them. Nothing there is ever
written anew; whoever lands a version adds a folder.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from stability.cli.main import run
from stability.records.archive_reader import read_archive
from stability.workflow import backups, bench, evaluate, records, studies
from stability.workflow.occasion import Occasion

FOLDERS = sorted((Path(__file__).parent / "records" / "landed").iterdir())
STUDIES = ("HDC", "TRK")
#: As of when it was shown.
DAY = "2026-11-27"
#: Kinds of entries that each version knew; all are in its workspace.
KINDS = {
    "2026-11-25": {
        "study-opened/1", "observed/1", "corrected/1", "invalidated/1", "placed/1",
        "retired/1", "missed/1", "stopped/1", "noted/1", "day/1", "received/1",
    },
    "2026-11-26": {
        "study-opened/1", "observed/1", "corrected/1", "invalidated/1", "placed/1",
        "retired/1", "missed/1", "stopped/1", "noted/1", "day/1", "received/1",
        "received/2", "lodged/1", "taken-over/1", "amended/1", "certified/1",
        "photographed/1", "answered/1", "place-registered/1", "storage-logged/1",
        "storage-looked/1", "storage-event/1", "instrument-registered/1",
        "calibrated/1",
    },
}  # fmt: skip
#: What said.json holds under a name; under any other the name is the command itself.
NAMED = {"shown", "history", "due"}
Rows = Sequence[Mapping[str, Any]]


@pytest.fixture(params=FOLDERS, ids=lambda one: one.name)
def landed(request: pytest.FixtureRequest) -> Path:
    """Return what an earlier version left."""
    folder: Path = request.param
    return folder


@pytest.fixture
def said(landed: Path) -> Mapping[str, Rows]:
    """Return what the earlier version said of it."""
    text = (landed / "said.json").read_text("utf-8")
    found: Mapping[str, Rows] = json.loads(text)
    return found


@pytest.fixture
def at(landed: Path, tmp_path: Path) -> Occasion:
    """Return an occasion in a copy of the earlier workspace."""
    shutil.copy(landed / "stability.db", tmp_path / "stability.db")
    now = datetime(2027, 1, 4, 9, 0, tzinfo=UTC)
    records = str(tmp_path / "stability.db")
    return Occasion(records, now, "ana", zone="Europe/Dublin")


def shows(
    at: Occasion, said: Rows, capsys: pytest.CaptureFixture[str], *command: str
) -> Rows:
    """Return the rows that a command prints, with only what was said of each."""
    capsys.readouterr()
    assert run([*command, "--format", "json", "--records", at.records]) in {0, 1}
    printed = json.loads(capsys.readouterr().out)
    listed = next(
        value
        for key, value in printed.items()
        if key != "notes" and type(value) is list
    )
    return [{key: row[key] for key in said[0]} for row in listed]


def stored(path: str | Path) -> list[tuple[object, ...]]:
    """Return every entry as stored, read without our code."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("SELECT * FROM entry ORDER BY number").fetchall()


def group_of(row: Mapping[str, Any]) -> tuple[str, str, str]:
    """Return study, condition and check of a row that is due."""
    return row["study"], row["condition"], row["what"]


def stopped(path: str) -> dict[tuple[str, str, str], int]:
    """Return how many samples wait in vain since they were stopped, by their group.

    The versions of before listed them as overdue for ever.
    """
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute(
            "SELECT w.study, coalesce(w.condition, ''), 'check ' || check_name, "
            "count(*) FROM open_check w JOIN sample s ON s.code = w.sample "
            "WHERE s.state = 'stopped' GROUP BY 1, 2, 3"
        )
        return {
            (study, condition, what): count for study, condition, what, count in rows
        }


def test_every_kind_of_its_time_is_in_it(landed: Path) -> None:
    kinds = {json.loads(str(row[3]))["kind"] for row in stored(landed / "stability.db")}

    assert kinds == KINDS[landed.name]
    assert (landed / "stability.db").stat().st_size < 200_000


def test_reading_it_changes_nothing(at: Occasion) -> None:
    before = Path(at.records).read_bytes()

    assert records.verify(at).holds
    assert records.verify(at, rebuild=True).holds
    assert [one.study for one in studies.studies(at)] == list(STUDIES)
    assert Path(at.records).read_bytes() == before


def test_it_shows_what_was_shown(
    at: Occasion, said: Mapping[str, Rows], capsys: pytest.CaptureFixture[str]
) -> None:
    shown = shows(at, said["shown"], capsys, "show", "HDC", "--as-of", DAY)
    history = [shows(at, said["history"], capsys, "history", one) for one in STUDIES]

    assert shown == said["shown"]
    assert [row for rows in history for row in rows] == said["history"]


def test_the_same_is_due(
    at: Occasion, said: Mapping[str, Rows], capsys: pytest.CaptureFixture[str]
) -> None:
    rows = shows(at, said["due"], capsys, "due", "--as-of", "2026-04-05")

    expected = [
        {**row, "samples": left}
        for row in said["due"]
        if (left := row["samples"] - stopped(at.records).get(group_of(row), 0))
    ]
    added = [row for row in rows if row not in expected]
    kept = [row for row in rows if row not in added]
    assert sorted(kept, key=str) == sorted(expected, key=str)
    assert {row["state"] for row in added} <= {"open", "awaited"}, "answers, no checks"


def test_every_list_shows_what_it_showed(
    at: Occasion, said: Mapping[str, Rows], capsys: pytest.CaptureFixture[str]
) -> None:
    for command in said.keys() - NAMED:
        assert shows(at, said[command], capsys, *command.split()) == said[command]


@pytest.mark.parametrize("code", STUDIES)
def test_what_is_exported_today_is_the_same_record(
    at: Occasion, landed: Path, tmp_path: Path, code: str
) -> None:
    records.export(at, code, tmp_path / "archive")

    then = landed / code
    names = ["journal.jsonl", "study.toml", "protocol.toml"]
    names += [
        str(one.relative_to(then))
        for folder in ("attachments", "photographs")
        for one in sorted((then / folder).glob("*"))
    ]
    for name in names:
        now = (tmp_path / "archive" / name).read_bytes()
        assert now == (then / name).read_bytes()


@pytest.mark.parametrize("code", STUDIES)
def test_its_archive_is_taken_in_with_every_digest(
    at: Occasion, landed: Path, tmp_path: Path, code: str
) -> None:
    new = str(tmp_path / "new.db")
    taken = records.import_(
        Occasion(new, at.now, "ana", zone="Europe/Dublin"), landed / code
    )
    archive = read_archive(landed / code)

    assert taken.outcome == "new"
    assert [row[3:5] for row in stored(new)] == [
        (one.line, one.digest) for one in archive.entries
    ]
    assert records.import_(at, landed / code).outcome == "contained"


@pytest.mark.parametrize("code", STUDIES)
def test_its_archive_is_evaluated_where_it_lies(
    landed: Path, at: Occasion, code: str
) -> None:
    folder = str(landed / code)
    found = [
        (evaluate.show(at, one, as_of=DAY), evaluate.evaluate(at, one, as_of=DAY))
        for one in (folder, code)
    ]

    assert found[0] == found[1]
    assert len(found[0][0]) > 1


def test_it_is_gone_on_with(at: Occasion, landed: Path, tmp_path: Path) -> None:
    before = stored(at.records)
    bench.note(at, "HDC", "gone on with")
    bench.log(at, "HDC-005-Y", ["pH=5.3/5.3"], done="2026-12-01", accept_far=True)

    anchors = [str(landed / code) for code in STUDIES]
    assert stored(at.records)[: len(before)] == before
    assert records.verify(at, against=[*anchors, str(landed / "stability.db")]).holds
    assert records.verify(at, rebuild=True).holds
    copy = backups.backup(at, str(tmp_path / "copy.db"))
    assert copy.entries == len(before) + 2
    assert copy.flaws == ()


def kept(path: str | Path) -> list[tuple[object, ...]]:
    """Return every attachment as stored, read without our code."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("SELECT * FROM attachment ORDER BY 1").fetchall()


def test_it_goes_to_a_server_and_back_with_every_line_digest_and_seal(
    at: Occasion, server_address: str, tmp_path: Path
) -> None:
    backups.backup(at, server_address)
    on_server = replace(at, records=server_address)
    back = backups.backup(on_server, str(tmp_path / "back.db"))

    assert back.flaws == ()
    assert stored(tmp_path / "back.db") == stored(at.records)
    assert kept(tmp_path / "back.db") == kept(at.records)
    home = replace(at, records=str(tmp_path / "back.db"))
    assert records.verify(home, against=[at.records], rebuild=True).holds
    assert records.verify(on_server, against=[at.records], rebuild=True).holds
