"""Photographs of samples checked against the study, and kept on both databases."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import text

from stability.errors.photographs import PhotographFileError, PhotographKnownError
from stability.errors.samples import SampleGoneError, TooEarlyError, UnknownNameError
from stability.model import content
from stability.model.moment import Moment
from stability.records import journal
from stability.records.attachment import fetch, kept_files
from stability.records.continuation import Continuation
from stability.records.database import Database
from stability.records.guards import resolve_sample
from stability.records.observing import invalidate, kind_setting_aside
from stability.records.photographing import (
    Photographed,
    check_shown,
    photograph,
    read_shown,
)
from stability.records.store import continue_study, keep, record_of
from stability.records.verify import verify
from tests.records.pictures import camera_words, jar, write
from tests.records.small_study import (
    ROOM_A,
    SPARE_A,
    T40_2W,
    add,
    opened_book,
    opening_entry,
)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return the study with one jar placed in the warm and one at room."""
    made = opened_book(tmp_path / "files")
    for code, condition in ((T40_2W, "T40"), (ROOM_A, "ROOM")):
        add(made, content.PLACED, content.placed(code, condition, "in"), "2026-03-06")
    return made


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a photograph that the camera dates 20 March."""
    return write(tmp_path / "jar.jpg")


def taken(
    book: Continuation,
    typed: str,
    code: str = T40_2W,
    day: str = "2026-03-20",
    caption: str | None = None,
) -> Photographed:
    """Photograph a sample on a day, and add it to the study."""
    sample = resolve_sample(book.plan, code)
    done = Moment(date.fromisoformat(day))
    check = check_shown(book, sample, None, done)
    found = photograph(book, sample, check, read_shown(typed, caption), done)
    book.files.append(found.file)
    add(book, content.PHOTOGRAPHED, found.held, day)
    return found


def test_it_belongs_to_the_check_of_its_day(book: Continuation, file: Path) -> None:
    found = taken(book, str(file), caption=" at the rim ")

    assert (found.held["check"], found.held["attribute"]) == ("2w", None)
    assert found.held["caption"] == "at the rim"
    assert found.held["file"] == {
        "name": f"{T40_2W}_2w_2026-03-20_1.jpg",
        "sha256": found.file.file.sha256,
    }
    assert found.text == ("photograph, 240 × 320 pixels, cleaned copy kept: at the rim")
    assert found.remarks == ()


def test_a_second_of_a_sample_has_the_next_number(
    book: Continuation, file: Path, tmp_path: Path
) -> None:
    taken(book, str(file))
    other = write(tmp_path / "other.jpg", jar(corner=(1, 2, 3)))

    assert taken(book, str(other)).held["file"]["name"].endswith("_2.jpg")


def test_it_says_which_attribute_it_shows(book: Continuation, file: Path) -> None:
    found = taken(book, f"sep={file}")

    assert found.held["attribute"] == "separation"
    assert found.text.startswith("photograph of separation, ")
    with pytest.raises(UnknownNameError, match="shine"):
        taken(book, f"shine={file}", ROOM_A)


def test_a_name_with_an_equals_sign_is_a_file_where_there_is_one(
    book: Continuation, tmp_path: Path
) -> None:
    odd = write(tmp_path / "a=b.jpg")

    assert taken(book, str(odd)).held["original"]["name"] == "a=b.jpg"


def test_a_file_that_is_none_is_refused(book: Continuation, tmp_path: Path) -> None:
    with pytest.raises(PhotographFileError):
        taken(book, str(tmp_path / "nothing.jpg"))


def test_the_same_photograph_is_kept_once_of_a_sample(
    book: Continuation, file: Path, tmp_path: Path
) -> None:
    first = taken(book, str(file))
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(first.file.content)

    for again in (file, copy):
        with pytest.raises(PhotographKnownError, match="HDC/4"):
            taken(book, str(again))


def test_the_same_photograph_of_another_sample_is_asked_about(
    book: Continuation, file: Path
) -> None:
    taken(book, str(file))

    found = taken(book, str(file), ROOM_A)

    assert found.remarks == (
        f"the same photograph is kept of {T40_2W} as HDC/4: does it show both?",
    )


def test_a_camera_that_tells_another_day_is_remarked(
    book: Continuation, tmp_path: Path
) -> None:
    old = write(tmp_path / "old.jpg", exif=camera_words(taken="2026:03:12 08:00:00"))

    (remark,) = taken(book, str(old)).remarks

    assert remark == (
        "the camera's clock says 2026-03-12, it is logged as of 2026-03-20"
    )


@pytest.mark.parametrize(
    ("reason", "closed"), [("mouldy", True), ("gassing", True), ("broken", False)]
)
def test_a_sample_on_its_way_out_is_photographed_closed(
    book: Continuation, file: Path, reason: str, closed: bool
) -> None:
    add(book, content.RETIRED, content.retired(T40_2W, reason, "seen"), "2026-03-19")

    found = taken(book, str(file))

    assert found.held["check"] is None
    told = any("it stays closed: photograph it through the glass" in one
               for one in found.remarks)  # fmt: skip
    assert told == closed


def test_before_its_batch_was_made_nothing_shows_a_sample(
    book: Continuation, file: Path
) -> None:
    with pytest.raises(TooEarlyError):
        taken(book, str(file), day="2026-03-01")


def test_a_check_of_a_sample_that_has_left_can_be_named_for_no_later_day(
    book: Continuation,
) -> None:
    add(book, content.RETIRED, content.retired(T40_2W, "broken", "fell"), "2026-03-19")
    sample = resolve_sample(book.plan, T40_2W)

    with pytest.raises(SampleGoneError):
        check_shown(book, sample, "2w", Moment(date(2026, 3, 20)))


def test_a_sample_without_a_condition_is_photographed_too(
    book: Continuation, file: Path
) -> None:
    assert taken(book, str(file), SPARE_A).held["check"] is None


# Kept together with its entry


def logged(database: Database, folder: Path, file: Path) -> str:
    """Store the study and one photograph; return the SHA-256 of its copy."""
    with database.writing() as connection:
        journal.append_chained(connection, [opening_entry(folder)])
    with database.writing() as connection:
        made = continue_study(connection, "HDC")
        add(made, content.PLACED, content.placed(T40_2W, "T40", "in"), "2026-03-06")
        found = taken(made, str(file))
        keep(connection, made)
    return found.file.file.sha256


def test_the_copy_comes_back_byte_for_byte(
    either: Database, tmp_path: Path, file: Path
) -> None:
    sha256 = logged(either, tmp_path / "files", file)

    with either.reading() as connection:
        kept = fetch(connection, sha256)
        entries = journal.entries(connection, "study:HDC")
        checked = verify(connection)

    assert kept.content == read_shown(str(file)).clean.content
    assert kept.file.media_type == "image/jpeg"
    assert [one.sha256 for one in record_of(entries).record.photographs] == [sha256]
    assert checked.holds
    assert checked.attachments == 1


def test_one_set_aside_stays_kept(either: Database, tmp_path: Path, file: Path) -> None:
    sha256 = logged(either, tmp_path / "files", file)
    with either.writing() as connection:
        made = continue_study(connection, "HDC")
        (shown,) = made.record.photographs
        held = invalidate(made, shown.position, "another jar")
        kind = kind_setting_aside(made, shown.position)
        add(made, kind, held, "2026-03-21")
        keep(connection, made)

    with either.reading() as connection:
        entries = journal.entries(connection, "study:HDC")
        checked = verify(connection)
        kept = fetch(connection, sha256)

    (aside,) = record_of(entries).record.photographs
    assert aside.invalidated is not None
    assert (aside.invalidated.because, aside.sha256) == ("another jar", sha256)
    assert kept.content
    assert checked.holds


def test_a_copy_that_was_taken_away_or_changed_is_found(
    either: Database, tmp_path: Path, file: Path
) -> None:
    sha256 = logged(either, tmp_path / "files", file)
    with either.reading() as connection:
        assert verify(connection).holds

    _tamper(either, "UPDATE attachment SET content = substr(content, 1, 100)")
    with either.reading() as connection:
        changed = verify(connection)
    _tamper(either, "DELETE FROM attachment")
    with either.reading() as connection:
        removed = verify(connection)

    where = f"attachment {T40_2W}_2w_2026-03-20_1.jpg ({sha256})"
    assert (where, "changed") in {(one.where, one.how) for one in changed.flaws}
    gone = f"attachment {sha256} of study:HDC/3"
    assert (gone, "removed") in {(one.where, one.how) for one in removed.flaws}


def _tamper(database: Database, statement: str) -> None:
    """Change a stored file as somebody would who owns the database."""
    with database.writing() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("ALTER TABLE attachment DISABLE TRIGGER USER"))
        else:
            for name in ("attachment_no_update", "attachment_no_delete"):
                connection.execute(text(f"DROP TRIGGER IF EXISTS {name}"))
        connection.execute(text(statement))


def test_what_is_not_committed_keeps_no_file(
    either: Database, tmp_path: Path, file: Path
) -> None:
    with either.writing() as connection:
        journal.append_chained(connection, [opening_entry(tmp_path / "files")])

    with pytest.raises(RuntimeError):
        _begin_and_fail(either, file)

    with either.reading() as connection:
        assert kept_files(connection) == ()
        assert len(journal.entries(connection, "study:HDC")) == 1


def _begin_and_fail(database: Database, file: Path) -> None:
    with database.writing() as connection:
        made = continue_study(connection, "HDC")
        taken(made, str(file), SPARE_A)
        keep(connection, made)
        raise RuntimeError
