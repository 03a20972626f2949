"""Photographs and follow-ups as rows of a folder made by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from stability.errors.files import RowsError
from stability.errors.photographs import NotCleanedError
from stability.model.moment import Moment
from stability.records.beside_rows import BESIDE_ROWS
from stability.records.event_rows import RowRules
from stability.records.photograph_file import read_photograph
from stability.records.rows import Row
from stability.records.store import record_of
from stability.records.study_folder import files_of_folder, read_hand_made
from tests.records.pictures import write
from tests.records.small_study import BULK_A, ROOM_A, opened_book, write_files

NOW = datetime(2026, 6, 1, 9, tzinfo=UTC)
HEADER = "kind,done,sample,check,attribute,reading,settings,refers_to,because\n"
READ = f"observed,2026-03-05,{BULK_A},,pH,4.80/4.81,,,\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a cleaned photograph and one that was never cleaned."""
    made = tmp_path / "study"
    write_files(made)
    (made / "pictures").mkdir()
    raw = write(made / "pictures" / "raw.jpg")
    (made / "pictures" / "jar.jpg").write_bytes(read_photograph(raw).content)
    return made


def rows(folder: Path, *lines: str) -> Path:
    """Write the rows of the folder and return it."""
    text = HEADER + READ + "".join(f"{line}\n" for line in lines)
    (folder / "events.csv").write_text(text, encoding="utf-8")
    return folder


def test_a_cleaned_photograph_is_a_row_whose_digest_is_reproducible(
    folder: Path,
) -> None:
    line = f"photographed,2026-03-06,{ROOM_A},,separation,pictures/jar.jpg,,,at the rim"

    made = read_hand_made(rows(folder, line), NOW)
    again = read_hand_made(folder, NOW)

    (found,) = record_of(made.entries).record.photographs
    assert (found.position, found.sample, found.attribute) == (3, ROOM_A, "separation")
    assert found.caption == "at the rim"
    assert found.sha256 == found.original.sha256
    assert made.entries[-1].digest == again.entries[-1].digest
    (file,) = files_of_folder(folder, NOW)
    assert file.content == (folder / "pictures" / "jar.jpg").read_bytes()


def test_a_row_sets_a_photograph_aside_and_another_an_observation(
    folder: Path,
) -> None:
    made = read_hand_made(
        rows(
            folder,
            f"photographed,2026-03-06,{ROOM_A},,,pictures/jar.jpg,,,",
            "invalidated,2026-03-07,,,,,,3,the jar beside it",
            "invalidated,2026-03-07,,,,,,2,electrode dry",
        ),
        NOW,
    )
    record = record_of(made.entries).record

    assert [one.kind for one in made.entries[3:]] == ["invalidated/2", "invalidated/1"]
    (shown,) = record.photographs
    assert shown.invalidated is not None
    assert shown.invalidated.because == "the jar beside it"
    assert not record.observations[0].stands


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("pictures/raw.jpg", "is no cleaned copy"),
        ("../study/pictures/jar.jpg", "to lie in the folder"),
        ("/etc/hostname", "to lie in the folder"),
        ("nothing.jpg", "there is no such file"),
        ("study.toml", "no picture"),
    ],
)
def test_what_is_no_cleaned_copy_beside_the_rows_is_refused(
    folder: Path, name: str, reason: str
) -> None:
    line = f"photographed,2026-03-06,{ROOM_A},,,{name},,,"

    with pytest.raises(RowsError, match=reason):
        read_hand_made(rows(folder, line), NOW)


def test_a_photograph_that_was_never_cleaned_is_told_apart(folder: Path) -> None:
    book = opened_book(folder)
    row = Row(2, {"sample": ROOM_A, "reading": "pictures/raw.jpg"})
    rules = RowRules(
        "events.csv", "Ana", "ana", NOW, entered_is_done=True, folder=folder
    )

    with pytest.raises(NotCleanedError, match="stability log SAMPLE --photo"):
        BESIDE_ROWS["photographed"](book, row, rules, Moment(date(2026, 3, 6)))
    assert book.files == []


def test_a_follow_up_is_a_row(folder: Path) -> None:
    line = (
        "answered,2026-03-06,,,,confirmed,right sample=yes; weight=no,2,"
        "reads the same again"
    )

    made = read_hand_made(rows(folder, line), NOW)

    (found,) = record_of(made.entries).record.answers
    assert (found.refers_to, found.outcome) == (2, "confirmed")
    assert (found.checks["right sample"], found.checks["weight"]) == ("yes", "no")
    assert found.because == "reads the same again"


def test_a_follow_up_of_nothing_is_refused_with_its_line(folder: Path) -> None:
    line = "answered,2026-03-06,,,,confirmed,right sample=yes,77,seen"

    with pytest.raises(RowsError, match="line 3: HDC/77"):
        read_hand_made(rows(folder, line), NOW)
