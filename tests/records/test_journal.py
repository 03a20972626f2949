"""Entries are added at the end, by one writer at a time, and read back as written."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import Connection

from stability.errors.database import BrokenChainError
from stability.model.entry import Draft, Head, chain, link, linked
from stability.records import journal
from stability.records.database import Database, open_database
from stability.records.verify import verify

Drafts = Callable[..., list[Draft]]
Raw = Callable[..., list[tuple[object, ...]]]


def test_entries_come_back_as_they_were_added(either: Database, drafts: Drafts) -> None:
    with either.writing() as connection:
        added = journal.append(connection, drafts(5))
    with either.reading() as connection:
        read = journal.entries(connection, "study:HDC")

    assert read == added
    assert [one.number for one in read] == [1, 2, 3, 4, 5]


def test_digests_do_not_depend_on_the_workspace(
    either: Database, drafts: Drafts
) -> None:
    with either.writing() as connection:
        journal.append(connection, drafts(3, "study:XY"))
        added = journal.append(connection, drafts(2))

    assert [one.digest for one in added] == [one.digest for one in chain(drafts(2))]
    assert [one.position for one in added] == [1, 2]


def test_appending_in_two_commands_or_in_one_gives_the_same_record(
    filled: Database, tmp_path: Path, drafts: Drafts
) -> None:
    other = open_database(tmp_path / "other.db", create=True)
    for one, two in zip(drafts(6), drafts(6, "study:XY"), strict=True):
        with other.writing() as connection:
            journal.append(connection, [one, two])

    with filled.reading() as ours, other.reading() as theirs:
        assert list(journal.all_entries(ours)) == list(journal.all_entries(theirs))


def test_seals_chain_over_the_digests_of_the_whole_workspace(filled: Database) -> None:
    seal = ""
    with filled.reading() as connection:
        for one in journal.all_entries(connection):
            seal = link(seal, one.digest)
            assert one.seal == seal
        last = journal.workspace_head(connection)

    assert last is not None
    assert (last.number, last.seal) == (12, seal)


def test_heads_are_the_last_entries(filled: Database) -> None:
    with filled.reading() as connection:
        last = journal.entries(connection, "study:XY")[-1]
        head = Head("study:XY", 6, last.digest)

        assert journal.head(connection, "study:XY") == head
        assert journal.heads(connection)[1] == head
        assert journal.head(connection, "study:Q") is None
        assert journal.subjects(connection) == ("study:HDC", "study:XY")


def test_many_subjects_are_found_at_once(either: Database, drafts: Drafts) -> None:
    names = [f"study:S{number}" for number in range(1203)]
    with either.writing() as connection:
        journal.append(connection, [drafts(1, name)[0] for name in names])
    with either.reading() as connection:
        assert len(journal.heads(connection)) == 1203


def test_an_empty_workspace_has_no_head(either: Database) -> None:
    with either.reading() as connection:
        assert journal.workspace_head(connection) is None
        assert journal.heads(connection) == ()
        assert journal.entries(connection, "study:HDC") == ()
        assert list(journal.all_entries(connection)) == []


def test_nothing_to_append_is_no_fault(either: Database) -> None:
    with either.writing() as connection:
        assert journal.append(connection, []) == ()


def test_a_command_that_fails_half_way_leaves_nothing(
    filled: Database, drafts: Drafts
) -> None:
    def fail(connection: Connection) -> None:
        journal.append(connection, drafts(3))
        raise RuntimeError("half way")

    with pytest.raises(RuntimeError, match="half way"), filled.writing() as connection:
        fail(connection)
    with filled.reading() as connection:
        assert len(list(journal.all_entries(connection))) == 12


def test_a_bad_draft_takes_the_good_ones_back(filled: Database, drafts: Drafts) -> None:
    bad = Draft("study:HDC", "noted/1", "Ana", "2026-03-02", "later", {})
    with (
        pytest.raises(ValueError, match="no time in UTC"),
        filled.writing() as connection,
    ):
        journal.append(connection, [*drafts(1), bad])
    with filled.reading() as connection:
        assert len(list(journal.all_entries(connection))) == 12


def test_a_changed_entry_is_noticed_when_its_study_is_read(
    filled: Database, raw: Raw
) -> None:
    raw("DROP TRIGGER entry_no_update")
    raw("UPDATE entry SET line = replace(line, 'note 2', 'note 9') WHERE number = 5")

    with filled.reading() as connection:
        with pytest.raises(BrokenChainError, match="study:HDC does not hold from"):
            journal.entries(connection, "study:HDC")
        assert len(journal.entries(connection, "study:XY")) == 6
        assert len(journal.entries(connection, "study:HDC", check=False)) == 6


def test_a_line_that_is_no_entry_is_told_in_one_line(
    filled: Database, raw: Raw
) -> None:
    raw("DROP TRIGGER entry_no_update")
    raw("UPDATE entry SET line = 'gone' WHERE number = 5")

    with (
        filled.reading() as connection,
        pytest.raises(BrokenChainError, match="entry 3 on"),
    ):
        journal.entries(connection, "study:HDC", check=False)


@pytest.mark.parametrize("start", [0, 1, 3])
def test_entries_that_do_not_follow_are_never_stored(
    either: Database, drafts: Drafts, start: int
) -> None:
    elsewhere = chain([*drafts(2), replace(drafts(1)[0], person="Ben"), *drafts(2)])
    with either.writing() as connection:
        journal.append(connection, drafts(3))
    with (
        pytest.raises(ValueError, match=rf"study:HDC/{start + 1} does not follow"),
        either.writing() as connection,
    ):
        journal.append_chained(connection, elsewhere[start:])
    with either.reading() as connection:
        assert journal.entries(connection, "study:HDC")[-1].position == 3


def test_an_entry_is_never_stored_in_another_place_than_its_line_says(
    database: Database, drafts: Drafts
) -> None:
    moved = replace(chain(drafts(1))[0], position=2)
    with (
        pytest.raises(ValueError, match="study:HDC/2 does not follow"),
        database.writing() as connection,
    ):
        journal.append_chained(connection, [moved])


def test_a_missing_position_is_noticed_when_its_study_is_read(
    filled: Database, raw: Raw
) -> None:
    raw("DROP TRIGGER entry_no_update")
    raw("UPDATE entry SET position = 9 WHERE number = 11")

    with (
        filled.reading() as connection,
        pytest.raises(BrokenChainError, match="entry 6 on"),
    ):
        journal.entries(connection, "study:HDC")


# Several writers


def write_many(path: Path, count: int, subject: str) -> None:
    """Add entries one command at a time, as one bench of several."""
    database = open_database(path)
    for place in range(count):
        draft = Draft(
            subject, "noted/1", "Ana", "2026-03-02", "2026-03-02T09:00:00Z",
            {"text": f"{os.getpid()} {place}"},
        )  # fmt: skip
        with database.writing() as connection:
            journal.append(connection, [draft, draft])


@pytest.mark.usefixtures("database")
def test_eight_writers_lose_nothing_and_keep_the_chain(path: Path) -> None:
    context = multiprocessing.get_context("fork")
    subjects = ["study:HDC", "study:XY"] * 4
    writers = [
        context.Process(target=write_many, args=(path, 25, subject))
        for subject in subjects
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(timeout=60)

    assert [writer.exitcode for writer in writers] == [0] * 8
    with open_database(path).reading() as connection:
        found = verify(connection)
        texts = [
            one.content["text"] for one in journal.entries(connection, "study:HDC")
        ]
    assert found.holds
    assert found.entries == 8 * 25 * 2
    # Two entries of one command always stand together.
    assert texts[::2] == texts[1::2]


# Crashes


def write_until_killed(path: Path, acknowledge: int) -> None:
    """Add batches of three and say after each commit how many are there."""
    database = open_database(path)
    place = 0
    while True:
        drafts = [
            Draft(
                "study:HDC", "noted/1", "Ana", "2026-03-02", "2026-03-02T09:00:00Z",
                {"text": f"{place} {part}"},
            )
            for part in range(3)
        ]  # fmt: skip
        with database.writing() as connection:
            last = journal.append(connection, drafts)[-1]
        os.write(acknowledge, f"{last.number}\n".encode())
        place += 1


def last_acknowledged(reader: int) -> int:
    """Return the last number that came through a pipe whole."""
    received = b""
    while part := os.read(reader, 65_536):
        received += part
    whole = received.rpartition(b"\n")[0].split()
    return int(whole[-1]) if whole else 0


def kill_while_writing(path: Path, delay_s: float) -> int:
    """Start a writer, kill it after a while, and return what it acknowledged."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        try:
            write_until_killed(path, writer)
        finally:
            os._exit(1)
    os.close(writer)
    time.sleep(delay_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    acknowledged = last_acknowledged(reader)
    os.close(reader)
    return acknowledged


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
@pytest.mark.usefixtures("database")
def test_a_kill_at_any_moment_loses_no_acknowledged_entry(path: Path) -> None:
    random = Random(20260302)  # noqa: S311  (moments to kill at)
    kept = 0
    longest_s = 0.06
    for _ in range(40):
        acknowledged = kill_while_writing(path, random.uniform(0.0, longest_s))
        with open_database(path).reading() as connection:
            found = verify(connection)

        assert found.holds
        assert found.entries >= max(acknowledged, kept)
        assert found.entries % 3 == 0
        kept = found.entries
        if not kept:
            longest_s *= 1.2  # a busy machine commits nothing so soon
    assert kept > 0


def test_entries_made_here_are_stored_as_linked_ones_are(
    either: Database, drafts: Drafts
) -> None:
    with either.writing() as connection:
        journal.append(connection, [*drafts(2), *drafts(1, "study:XY")])
        before = journal.head(connection, "study:HDC")
        made = []
        for draft in drafts(3, start=2):
            made.append(linked(draft, before or Head(draft.subject, 0, "")))
            before = Head(made[-1].subject, made[-1].position, made[-1].digest)
        journal.append_made(connection, made)
        journal.append_made(connection, [])
        stored = list(journal.all_entries(connection))

    assert [one.number for one in stored] == [1, 2, 3, 4, 5, 6]
    assert [one.digest for one in stored[3:]] == [one.digest for one in made]
    assert [one.line for one in stored[3:]] == [one.line for one in made]
    seal = ""
    for one in stored:
        seal = link(seal, one.digest)
        assert one.seal == seal


def test_entries_made_from_another_end_are_refused(
    database: Database, drafts: Drafts
) -> None:
    (late,) = drafts(1, start=2)
    with database.writing() as connection:
        journal.append(connection, drafts(2))
        stale = linked(late, Head("study:HDC", 1, "0" * 64))
        forged = linked(late, Head("study:HDC", 2, "0" * 64))
        last = journal.head(connection, "study:HDC")
        assert last is not None
        far = linked(late, replace(last, position=7))
        for one in (stale, forged, far):
            with pytest.raises(ValueError, match="does not follow"):
                journal.append_made(connection, [one])
