"""Taking in an archive: all that is not here yet, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors.archives import ArchiveAttachmentError, DivergingRecordError
from stability.model.entry import Draft, chain
from stability.records import attachment, journal
from stability.records.archive import write_archive
from stability.records.archive_intake import Intake, take_in
from stability.records.archive_reader import read_archive
from stability.records.attachment import Attachment, attachment_of
from stability.records.database import Database, open_database
from stability.records.verify import verify

Drafts = Callable[..., list[Draft]]
LOGGER = attachment_of(b"time;temperature\n", "logger.csv", "text/csv")


@pytest.fixture
def taken(tmp_path: Path, either: Database) -> Callable[..., tuple[Intake, ...]]:
    """Return a way to write drafts as an archive and take it in."""

    def take(
        drafts: Sequence[Draft], files: Sequence[Attachment] = ()
    ) -> tuple[Intake, ...]:
        folder = tmp_path / f"archive-{len(list(tmp_path.iterdir()))}"
        write_archive(folder, chain(drafts), files, {})
        with either.writing() as connection:
            return take_in(connection, read_archive(folder))

    return take


Take = Callable[..., tuple[Intake, ...]]


def test_an_unknown_study_is_taken_in_line_for_line(
    either: Database, drafts: Drafts, taken: Take
) -> None:
    (intake,) = taken(drafts(4))

    with either.reading() as connection:
        read = journal.entries(connection, "study:HDC")
        assert verify(connection).holds
    assert (intake.outcome, intake.taken) == ("new", 4)
    assert [one.line for one in read] == [one.line for one in chain(drafts(4))]
    assert intake.head.digest == chain(drafts(4))[-1].digest


def test_an_archive_that_continues_ours_is_joined(
    either: Database, drafts: Drafts, taken: Take
) -> None:
    with either.writing() as connection:
        journal.append(connection, [*drafts(2), *drafts(1, "study:XY")])
    (intake,) = taken(drafts(5))

    with either.reading() as connection:
        found = verify(connection)
        digests = [one.digest for one in journal.entries(connection, "study:HDC")]
    assert found.holds
    assert (intake.outcome, intake.taken) == ("continues", 3)
    assert digests == [one.digest for one in chain(drafts(5))]


@pytest.mark.parametrize("count", [1, 3, 5])
def test_an_archive_that_ours_contains_changes_nothing(
    either: Database, drafts: Drafts, taken: Take, count: int
) -> None:
    taken(drafts(5))
    (intake,) = taken(drafts(count))

    with either.reading() as connection:
        assert verify(connection).entries == 5
    assert (intake.outcome, intake.taken) == ("contained", 0)
    assert intake.head.position == 5


@pytest.mark.parametrize("place", range(5))
@pytest.mark.parametrize("count", [5, 8])
def test_an_archive_that_diverges_is_refused_with_the_first_position(
    either: Database, drafts: Drafts, taken: Take, place: int, count: int
) -> None:
    taken(drafts(5))
    forged = drafts(count)
    forged[place] = replace(forged[place], content={"text": "another"})

    match = f"from entry {place + 1} of study:HDC"
    with pytest.raises(DivergingRecordError, match=match):
        taken([*drafts(2, "place:OVEN-7KQ4"), *forged])
    with either.reading() as connection:
        assert verify(connection).entries == 5
        assert journal.subjects(connection) == ("study:HDC",)


def test_places_come_with_their_studies_in_the_archives_order(
    either: Database, drafts: Drafts, taken: Take
) -> None:
    taken(drafts(2, "place:OVEN-7KQ4"))
    mixed = [
        one
        for pair in zip(drafts(4), drafts(4, "place:OVEN-7KQ4"), strict=True)
        for one in pair
    ]
    outcomes = {one.subject: (one.outcome, one.taken) for one in taken(mixed)}

    assert outcomes == {
        "study:HDC": ("new", 4),
        "place:OVEN-7KQ4": ("continues", 2),
    }
    with either.reading() as connection:
        order = [
            f"{one.subject[:5]}{one.position}"
            for one in journal.all_entries(connection)
        ]
    assert order == [
        "place1", "place2", "study1", "study2", "study3", "place3", "study4", "place4",
    ]  # fmt: skip


def test_attachments_come_along_once(
    either: Database, drafts: Drafts, taken: Take
) -> None:
    taken(drafts(1), [LOGGER])
    taken(drafts(2), [LOGGER])

    with either.reading() as connection:
        assert attachment.kept_files(connection) == (LOGGER.file,)
        assert attachment.fetch(connection, LOGGER.file.sha256) == LOGGER


def test_a_changed_attachment_keeps_all_of_the_archive_out(
    either: Database, drafts: Drafts, tmp_path: Path
) -> None:
    write_archive(tmp_path / "HDC", chain(drafts(3)), [LOGGER], {})
    (tmp_path / "HDC/attachments" / LOGGER.file.sha256).write_bytes(b"other")

    with (
        pytest.raises(ArchiveAttachmentError),
        either.writing() as connection,
    ):
        take_in(connection, read_archive(tmp_path / "HDC"))
    with either.reading() as connection:
        assert verify(connection).entries == 0
        assert attachment.kept_files(connection) == ()


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    texts=st.lists(st.sampled_from(["a", "b"]), min_size=1, max_size=5),
    known=st.integers(0, 5),
)
def test_whatever_part_was_known_the_record_ends_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    empty_workspace: Path,
    texts: list[str],
    known: int,
) -> None:
    folder = tmp_path_factory.mktemp("any")
    drafts = [
        Draft(
            "study:HDC", "noted/1", "Ana", "2026-03-02", "2026-03-02T09:00:00Z",
            {"text": text},
        )
        for text in texts
    ]  # fmt: skip
    write_archive(folder / "HDC", chain(drafts), [], {})
    (folder / "s.db").write_bytes(empty_workspace.read_bytes())
    database = open_database(folder / "s.db")
    with database.writing() as connection:
        journal.append(connection, drafts[:known])
    with database.writing() as connection:
        take_in(connection, read_archive(folder / "HDC"))

    with database.reading() as connection:
        read = journal.entries(connection, "study:HDC")
        assert verify(connection).holds
    assert [one.digest for one in read] == [one.digest for one in chain(drafts)]
