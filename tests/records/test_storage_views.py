"""Views of storage places: every record with its own cells, spelt as recorded."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from stability.errors.archives import ViewDiffersError
from stability.model import content, place_content
from stability.model.entry import Draft, Entry, chain
from stability.model.logger_form import DeclaredForm
from stability.records.archive import write_archive
from stability.records.archive_reader import read_archive
from stability.records.attachment import Attachment, KeptFile
from stability.records.storage_views import PLACES, RECORDS, storage_views
from stability.records.store import record_of
from stability.records.study_folder import checked_archive
from stability.records.views import readme, views_of
from stability.statistics.logger_file import recognise_logger
from tests.records.small_study import opening_entry

SUBJECT = "place:OVEN-7KQ4"
FILE = b"time,temperature\n2026-03-02T09:00:00Z,40.1\n2026-03-02T10:00:00Z,39.8\n"
SHA = "b" * 64


def draft(kind: str, held: content.Content, day: str, subject: str = SUBJECT) -> Draft:
    """Return what Ana did, stored at noon of its day."""
    return Draft(subject, kind, "Ana", day, f"{day}T12:00:00Z", held)


def oven() -> list[Entry]:
    """Return a place of which everything that may be recorded is."""
    summary = recognise_logger(FILE, "oven.csv", DeclaredForm(), "UTC")
    span = "2026-03-04T22:00:00Z", "2026-03-05T07:00:00Z"
    return list(
        chain(
            [
                draft(
                    place_content.REGISTERED,
                    place_content.registered(
                        "OVEN", "=oven", "Europe/Dublin", temperature="40",
                        tolerance="2", longest_gap="2h", usual=True,
                    ),
                    "2026-03-01",
                ),
                draft(
                    place_content.LOGGED,
                    place_content.logged("=oven.csv", SHA, len(FILE), summary),
                    "2026-03-03",
                ),
                draft(
                    place_content.LOOKED,
                    place_content.looked("38.9", "40.6"),
                    "2026-03-04",
                ),
                draft(
                    place_content.EVENT,
                    place_content.event('=HYPERLINK("x")', *span, "colder"),
                    "2026-03-05",
                ),
                draft(
                    content.ANSWERED,
                    place_content.answered(
                        4, *span, outcome="continued", because="+9 h", study="HDC"
                    ),
                    "2026-03-06",
                ),
                draft(
                    content.INVALIDATED,
                    content.invalidated(3, "another place"),
                    "2026-03-07",
                ),
            ]
        )
    )  # fmt: skip


def rows(text: str) -> list[dict[str, str]]:
    """Return the rows of a table."""
    return list(csv.DictReader(io.StringIO(text)))


def test_a_place_is_told_with_what_is_meant_there() -> None:
    (place,) = rows(storage_views(oven())["storage/places.csv"])

    assert list(place) == list(PLACES)
    assert place == {
        "place": "OVEN-7KQ4", "what": "'=oven", "temperature_c": "40",
        "tolerance_c": "2", "lowest_c": "", "highest_c": "", "longest_gap": "2h",
        "zone": "Europe/Dublin", "done": "2026-03-01",
        "entered": "2026-03-01T12:00:00Z", "person": "Ana",
    }  # fmt: skip


def test_a_place_that_is_measured_has_a_range() -> None:
    held = place_content.registered("SILL", "", "UTC", between=("15", "27"),
                                    longest_gap="1h", usual=False)  # fmt: skip
    made = chain(
        [draft(place_content.REGISTERED, held, "2026-03-01", "place:SILL-CCCC")]
    )
    (place,) = rows(storage_views(made)["storage/places.csv"])

    assert (place["lowest_c"], place["highest_c"]) == ("15", "27")
    assert (place["temperature_c"], place["longest_gap"]) == ("", "1h")


def test_every_record_has_a_row_with_its_own_cells() -> None:
    logger, look, event, answer = rows(storage_views(oven())["storage/records.csv"])

    assert list(logger) == list(RECORDS)
    assert (logger["entry"], logger["kind"]) == ("OVEN-7KQ4/2", "logger")
    assert (logger["start"], logger["end"]) == (
        "2026-03-02T09:00:00Z", "2026-03-02T10:00:00Z",
    )  # fmt: skip
    assert (logger["file"], logger["sha256"]) == ("'=oven.csv", SHA)
    assert (logger["readings"], logger["not_used"]) == ("2", "0")
    assert logger["read_as"].startswith("time from time")
    assert (look["lowest_c"], look["highest_c"], look["start"]) == ("38.9", "40.6", "")
    assert look["state"] == "set aside by 6: another place"
    assert (event["what"], event["direction"]) == ('\'=HYPERLINK("x")', "colder")
    assert (event["start"], event["state"]) == ("2026-03-04T22:00:00Z", "stands")
    assert (answer["outcome"], answer["study"], answer["answers"]) == (
        "continued", "HDC", "4",
    )  # fmt: skip
    assert answer["because"] == "'+9 h"


def test_without_a_place_there_is_no_view(tmp_path: Path) -> None:
    first = opening_entry(tmp_path)

    assert storage_views([first]) == {}
    assert "storage" not in readme(record_of([first]).record)


def test_the_readme_explains_every_column(tmp_path: Path) -> None:
    first = opening_entry(tmp_path)
    text = views_of(record_of([first]).record, [first], oven())["README.md"]

    names = [line.split(" ")[0] for line in text.splitlines()]
    places = names.index("place")
    records = names.index("entry", places)
    assert [one for one in names[places:records] if one in PLACES] == list(PLACES)
    told = [one for one in names[records:] if one in RECORDS]
    assert told[: len(RECORDS)] == list(RECORDS)
    assert max(map(len, text.splitlines())) <= 90


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """Return the archive of a study with its oven."""
    first = opening_entry(tmp_path)
    every = [first, *oven()]
    views = views_of(record_of([first]).record, [first], every)
    file = KeptFile(SHA, "oven.csv", "text/csv", len(FILE))
    write_archive(tmp_path / "HDC", every, [Attachment(file, FILE)], views)
    return tmp_path / "HDC"


def test_an_archive_with_its_views_is_read(archive: Path) -> None:
    assert set(checked_archive(archive).views) >= {
        "storage/places.csv", "storage/records.csv",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("records.csv", "38.9", "39.9"),
        ("records.csv", "continued", "replaced"),
        ("records.csv", "stands", "set aside by 6: x"),
        ("places.csv", ",40,", ",45,"),
    ],
)
def test_a_view_that_says_something_else_is_refused(
    archive: Path, file: str, old: str, new: str
) -> None:
    path = archive / "storage" / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")

    with pytest.raises(ViewDiffersError, match=f"storage/{file} says something else"):
        checked_archive(archive)


def test_an_archive_of_a_version_that_wrote_no_such_view_is_read(archive: Path) -> None:
    for name in ("places.csv", "records.csv"):
        (archive / "storage" / name).unlink()

    assert len(checked_archive(archive).entries) == len(read_archive(archive).entries)
