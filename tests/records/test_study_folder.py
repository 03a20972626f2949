"""Folders made by hand and archives: the same entries, altered ones refused."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from pathlib import Path

import pytest

from stability.errors import StabilityError
from stability.errors.archives import (
    ArchiveChainError,
    StudyFolderError,
    ViewDiffersError,
)
from stability.errors.files import RowsError, UnknownProtocolError
from stability.records.archive import write_archive
from stability.records.store import record_of
from stability.records.study_folder import (
    checked_archive,
    entries_of_folder,
    read_hand_made,
    receipt,
)
from stability.records.views import observations_csv, views_of
from tests.records.small_study import BULK_A, NOW, STUDY, write_files

EVENTS = """\
kind,done,sample,attribute,reading,because
observed,2026-03-05,001-5,pH,5.50/5.52,
observed,2026-03-05,001-5,spread,60,
placed,2026-03-06,009-Q,,,
retired,2026-03-10,009-Q,,broken,"fell, badly"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder made by hand."""
    made = tmp_path / "day_cream"
    write_files(made)
    (made / "events.csv").write_text(EVENTS, encoding="utf-8")
    return made


@pytest.fixture
def archive(folder: Path, tmp_path: Path) -> Path:
    """Return the archive of the same study."""
    entries = read_hand_made(folder, NOW).entries
    target = tmp_path / "archive"
    write_archive(target, entries, (), views_of(record_of(entries).record, entries))
    return target


def test_a_folder_made_by_hand_is_its_opening_and_its_rows(folder: Path) -> None:
    made = read_hand_made(folder, NOW)

    assert [one.kind for one in made.entries] == [
        "study-opened/1",
        "observed/1",
        "observed/1",
        "placed/1",
        "retired/1",
    ]
    opening = made.entries[0]
    assert (opening.person, opening.done) == ("Ana Reyes", "2026-03-01T09:00:00+00:00")
    assert opening.entered == "2026-03-01T09:00:00Z"
    assert made.rows == 4
    assert made.sha256 == hashlib.sha256(EVENTS.encode()).hexdigest()


def test_digests_are_the_same_wherever_and_whenever_it_is_read(
    folder: Path, tmp_path: Path
) -> None:
    other = tmp_path / "elsewhere"
    folder.rename(other)

    again = read_hand_made(other, NOW.replace(year=2030)).entries

    # Computed by this program when the format was fixed: it must never change.
    assert again[-1].digest == (
        "c474450a22535ddb73d3b08e3113fa681a946dd5528c1b051d7603bf89362944"
    )


def test_the_receipt_says_who_imported_what(folder: Path) -> None:
    made = read_hand_made(folder, NOW)

    last = receipt(made, "day_cream", "Ben", NOW)

    assert (last.position, last.person) == (6, "Ben")
    assert last.content == {"origin": "day_cream", "rows": 4, "sha256": made.sha256}
    assert last.entered == "2026-06-01T09:00:00Z"


def test_without_events_a_folder_is_just_opened(folder: Path) -> None:
    (folder / "events.csv").unlink()

    assert len(entries_of_folder(folder, NOW)) == 1


@pytest.mark.parametrize("missing", ["person", "opened", "code"])
def test_what_a_folder_must_state_is_named(folder: Path, missing: str) -> None:
    lines = [one for one in STUDY.splitlines() if not one.startswith(f"{missing} =")]
    write_files(folder, "\n".join(lines))

    with pytest.raises(StudyFolderError, match=f"does not state {missing}"):
        read_hand_made(folder, NOW)


def test_a_time_of_opening_that_is_none_is_refused(folder: Path) -> None:
    write_files(folder, STUDY.replace("2026-03-01T09:00", "2026-02-30T09:00"))

    with pytest.raises(StabilityError, match="2026-02-30"):
        read_hand_made(folder, NOW)


def test_a_folder_without_a_study_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StudyFolderError, match=r"neither journal\.jsonl nor study"):
        entries_of_folder(tmp_path, NOW)


def test_faults_of_rows_name_the_folder(folder: Path) -> None:
    (folder / "events.csv").write_text("kind\nobserved\n", encoding="utf-8")

    with pytest.raises(RowsError, match=r"^day_cream/events\.csv: 1 fault"):
        read_hand_made(folder, NOW)


def test_a_row_of_tomorrow_is_refused(folder: Path) -> None:
    early = NOW.replace(month=3, day=8)

    with pytest.raises(RowsError, match=r"line 5: 2026-03-10 lies in the future"):
        read_hand_made(folder, early)


def test_an_archive_holds_the_same_entries(folder: Path, archive: Path) -> None:
    assert [one.digest for one in entries_of_folder(archive, NOW)] == [
        one.digest for one in entries_of_folder(folder, NOW)
    ]


@pytest.mark.parametrize("view", ["study.toml", "protocol.toml", "observations.csv"])
def test_a_view_that_says_something_else_is_refused(archive: Path, view: str) -> None:
    text = (archive / view).read_text(encoding="utf-8")
    (archive / view).write_text(text.replace("5", "6", 1), encoding="utf-8")

    with pytest.raises(ViewDiffersError, match=f"{view} says something else"):
        checked_archive(archive)


def test_words_of_the_readme_may_change(archive: Path) -> None:
    (archive / "README.md").write_text("mine", encoding="utf-8")

    assert checked_archive(archive).entries


def test_an_altered_journal_is_refused(archive: Path) -> None:
    journal = archive / "journal.jsonl"
    text = journal.read_text(encoding="utf-8")
    journal.write_text(text.replace("5.52", "5.53"), encoding="utf-8")

    with pytest.raises(ArchiveChainError):
        checked_archive(archive)


def test_the_readme_verifies_the_journal_without_this_program(archive: Path) -> None:
    readme = (archive / "README.md").read_text(encoding="utf-8")
    program = readme.split("<<'END'\n")[1].split("\nEND\n")[0]
    head = record_of(entries_of_folder(archive, NOW)).record.head

    def run() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-I", "-c", program],
            cwd=archive,
            capture_output=True,
            text=True,
            check=False,
        )

    assert run().stdout.strip() == str({head.subject: head.digest})
    assert head.digest in readme
    journal = archive / "journal.jsonl"
    lines = journal.read_text(encoding="utf-8").splitlines(keepends=True)
    altered = json.loads(lines[2])
    altered["line"] = altered["line"].replace("5.52", "5.53")
    journal.write_text(
        "".join([*lines[:2], json.dumps(altered) + "\n", *lines[3:]]), encoding="utf-8"
    )
    assert run().returncode == 1


def test_every_observation_is_in_the_table_with_what_became_of_it(
    folder: Path,
) -> None:
    more = "corrected,,,,5.40/5.42,typo\ninvalidated,2026-03-07,,,,spilt\n"
    text = EVENTS.replace("because\n", "because,refers_to\n").replace(",\n", ",,\n")
    rows = [
        line + ("," if line.count(",") < 6 and "badly" not in line else "")
        for line in text.splitlines()
    ]
    rows[4] = 'retired,2026-03-10,009-Q,,broken,"fell, badly",'
    corrected, invalidated = more.splitlines()
    table = "\n".join([*rows, f"{corrected},2", f"{invalidated},3", ""])
    (folder / "events.csv").write_text(table, encoding="utf-8")

    record = record_of(entries_of_folder(folder, NOW)).record
    lines = observations_csv(record).splitlines()

    assert len(lines) == 4
    assert lines[1].startswith(f"HDC/2,{BULK_A},A,,,T0,pH,,5.50 / 5.52,pH,2026-03-05,")
    assert lines[1].endswith("corrected by 6,")
    assert "set aside by 7: spilt" in lines[2]
    assert lines[3].endswith(",2,stands,typo")


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(StudyFolderError, match="nowhere"):
        entries_of_folder(tmp_path / "nowhere", NOW)


def test_a_protocol_that_is_not_there_is_named(folder: Path) -> None:
    (folder / "protocol.toml").unlink()

    with pytest.raises(UnknownProtocolError, match=r"protocol\.toml"):
        read_hand_made(folder, NOW)
