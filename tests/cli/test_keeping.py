"""Studies listed, history told, archives written and taken in, records verified."""

from __future__ import annotations

import json
import re
import sqlite3
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


def anchor(err: str) -> str:
    """Return the anchor that a command told."""
    found = re.search(r"record: (study:\S+)", err)
    assert found, err
    return found[1]


def test_studies_are_listed_with_where_their_record_stands(logged: Workspace) -> None:
    (row,) = json.loads(logged.run("studies", "--format", "json").out)["studies"]

    assert row["study"] == "TRK"
    assert row["samples"] == 3
    assert re.fullmatch("[0-9a-f]{16}", row["digest"])


def test_history_tells_every_entry_in_order(logged: Workspace) -> None:
    rows = json.loads(logged.run("history", "TRK", "--format", "json").out)["entries"]

    assert [row["entry"] for row in rows] == [
        f"TRK/{position}" for position in range(1, len(rows) + 1)
    ]
    assert rows[0]["kind"].startswith("study-opened")


def test_history_of_one_sample_leaves_out_the_others(logged: Workspace) -> None:
    hot = logged.codes["T40"]

    rows = json.loads(
        logged.run("history", "TRK", "--sample", hot, "--format", "json").out
    )["entries"]

    assert {row["sample"] for row in rows[1:]} == {hot}
    assert rows[0]["kind"] == "study-opened"


def test_an_archive_is_taken_in_elsewhere_and_shows_the_same(logged: Workspace) -> None:
    exported = logged.run("export", "TRK", "--out", "archive")

    imported = logged.run("import", "archive", "--records", "other.db")

    assert (exported.code, imported.code) == (0, 0), exported.err + imported.err
    assert anchor(exported.err) == anchor(imported.err)
    here = logged.run("show", "TRK", "--format", "json").out
    assert (
        logged.run("show", "TRK", "--format", "json", "--records", "other.db").out
        == here
    )
    assert logged.run("show", "archive", "--format", "json").out == here


def test_an_archive_that_was_altered_is_refused(logged: Workspace) -> None:
    logged.run("export", "TRK", "--out", "archive")
    journal = logged.folder / "archive" / "journal.jsonl"
    text = journal.read_text(encoding="utf-8")
    assert "5.40" in text
    journal.write_text(text.replace("5.40", "5.50"), encoding="utf-8")

    ran = logged.run("import", "archive", "--records", "other.db")

    assert ran.code == 2
    assert "Traceback" not in ran.err


def test_an_export_does_not_overwrite(logged: Workspace) -> None:
    logged.run("export", "TRK", "--out", "archive")

    assert logged.run("export", "TRK", "--out", "archive").code == 2


def test_a_whole_record_verifies_also_against_what_was_printed(
    logged: Workspace,
) -> None:
    printed = anchor(logged.run("note", "TRK", "all jars photographed").err)

    assert logged.run("verify").code == 0
    assert logged.run("verify", "--against", printed).code == 0


def test_an_altered_record_does_not_verify(logged: Workspace) -> None:
    connection = sqlite3.connect(logged.folder / "stability.db")
    for (name,) in connection.execute(
        "select name from sqlite_master where type = 'trigger'"
    ).fetchall():
        connection.execute(f'drop trigger "{name}"')
    connection.execute("update entry set line = replace(line, '5.40', '5.50')")
    connection.commit()
    connection.close()

    ran = logged.run("verify")

    assert ran.code == 1, ran.err
    assert "TRK" in ran.out


def test_a_removed_end_shows_against_what_was_printed(logged: Workspace) -> None:
    printed = anchor(logged.run("note", "TRK", "all jars photographed").err)
    connection = sqlite3.connect(logged.folder / "stability.db")
    for (name,) in connection.execute(
        "select name from sqlite_master where type = 'trigger'"
    ).fetchall():
        connection.execute(f'drop trigger "{name}"')
    connection.execute("delete from entry where line like '%photographed%'")
    connection.commit()
    connection.close()

    assert logged.run("verify", "--against", printed).code == 1


#: What writes each kind of output, and the file that it writes.
OUTPUTS = {
    "report": ("report", "TRK", "--out", "o.pdf"),
    "text": ("report", "TRK", "--kind", "text", "--out", "o.txt"),
    "json": ("report", "TRK", "--kind", "json", "--out", "o.json"),
    "summary": ("report", "TRK", "--kind", "summary", "--out", "o.pdf"),
    "plan record": ("report", "TRK", "--kind", "plan", "--out", "o.pdf"),
    "pack": ("report", "TRK", "--kind", "pack", "--out", "o.zip"),
    "labels": ("labels", "TRK", "--out", "o.pdf"),
    "sheet": ("sheet", "TRK", "--on", "2026-04-02", "--out", "o.pdf"),
    "workbook": ("sheet", "TRK", "--on", "2026-04-02", "--out", "o.xlsx"),
    "calendar": ("calendar", "TRK", "--out", "o.ics"),
    "figure as PDF": ("drift", "TRK", "--figure", "o.pdf"),
    "figure as SVG": ("drift", "TRK", "--figure", "o.svg"),
    "figure as PNG": ("drift", "TRK", "--figure", "o.png"),
    "archive": ("export", "TRK", "--out", "o"),
    "backup": ("backup", "--out", "o.db"),
}


@pytest.mark.parametrize("kind", OUTPUTS)
def test_every_kind_of_output_proves_the_record_it_was_made_of(
    logged: Workspace, kind: str
) -> None:
    made = logged.run(*OUTPUTS[kind])
    file = next(one for one in OUTPUTS[kind] if one.startswith("o"))
    logged.run("note", "TRK", "written after the output")

    assert (logged.folder / file).exists(), made.err
    assert logged.run("verify", "--against", file).code == 0

    # The same study begun anew by someone else: no output of ours may fit it.
    other = str(logged.folder / "other.db")
    study = str(logged.folder / "study.toml")
    rewritten = logged.run("start", study, "--person", "Bo", "--records", other)
    assert rewritten.code == 0, rewritten.err
    told = logged.run("verify", "--against", file, "--records", other)
    assert told.code == 1, told.out


@pytest.mark.parametrize("typed", ["TRK", "study:TRK/x:12", "none.pdf"])
def test_what_is_no_anchor_is_refused(logged: Workspace, typed: str) -> None:
    assert logged.run("verify", "--against", typed).code == 2


@pytest.mark.parametrize("typed", ["show", "drift", "history"])
def test_an_unknown_study_is_answered_with_the_nearest(
    logged: Workspace, typed: str
) -> None:
    ran = logged.run(typed, "TRC")

    assert ran.code == 2
    assert "TRK" in ran.err


@pytest.mark.parametrize("folder", [".", "nowhere"])
def test_a_folder_that_holds_no_study_is_refused(
    logged: Workspace, folder: str
) -> None:
    ran = logged.run("import", folder)

    assert ran.code == 2
    assert "Traceback" not in ran.err


def test_a_backup_tells_what_it_holds_and_proves_the_record_later(
    logged: Workspace,
) -> None:
    ran = logged.run("backup", "--out", "kept.db")
    logged.run("note", "TRK", "written after the backup")

    assert ran.code == 0, ran.err
    assert "kept.db: 10 entries, 0 attachments" in ran.err
    (seal,) = re.findall(r"^workspace: (10:[0-9a-f]{16})$", ran.err, re.MULTILINE)
    assert logged.run("verify", "--against", seal).code == 0
    assert logged.run("verify", "--against", anchor(ran.err)).code == 0
    assert logged.run("verify", "--against", "kept.db").code == 0
    assert logged.run("verify", "--against", f"10:{'0' * 16}").code == 1


def test_a_backup_is_a_workspace_like_any_other(logged: Workspace) -> None:
    logged.run("backup", "--out", "kept.db")
    here = logged.run("show", "TRK", "--format", "json").out

    there = logged.run("show", "TRK", "--format", "json", "--records", "kept.db")

    assert (there.code, there.out) == (0, here)


def test_a_backup_writes_over_nothing(logged: Workspace) -> None:
    (logged.folder / "kept.db").write_text("mine")

    assert logged.run("backup", "--out", "kept.db").code == 2
    assert logged.run("backup", "--out", "stability.db").code == 2
    assert (logged.folder / "kept.db").read_text() == "mine"


def test_a_backup_to_a_server_that_is_not_there_shows_no_password(
    logged: Workspace,
) -> None:
    target = f"postgresql://ana:s3cret@/studies?host={logged.folder}"
    ran = logged.run("backup", "--out", target)

    assert ran.code == 2
    assert "s3cret" not in ran.out + ran.err


def test_what_due_shows_is_compared_with_a_rebuild(logged: Workspace) -> None:
    assert logged.run("verify", "--rebuild").code == 0
    connection = sqlite3.connect(logged.folder / "stability.db")
    connection.execute("update open_check set due = '2020-01-01'")
    connection.commit()
    connection.close()

    for arguments in (("verify",), ("verify", "--rebuild")):
        ran = logged.run(*arguments)
        assert ran.code == 1
        assert "open_check of study TRK" in ran.out
    logged.run("note", "TRK", "any entry puts it right")
    assert logged.run("verify").code == 0
