"""What is kept of missing answers: up to which entry, for whom, as it was left."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

import pytest
from sqlalchemy import Connection, create_engine

from stability.model.agenda import Awaiting
from stability.model.entry import Draft
from stability.records import answers, derived, journal
from stability.records.tables import answers_are_there, create_all

OPEN = Awaiting("follow-up", date(2026, 3, 20), "ROOM", "HDC-1-2", 3, "follow-up HDC/3")
COMING = Awaiting("certificate", date(2026, 6, 6), "", "", 0, "certificate of acid")
LAST = date(2026, 12, 31)


@pytest.fixture
def connection(drafts: Callable[..., list[Draft]]) -> Iterator[Connection]:
    """Return a workspace with a study of three entries."""
    engine = create_engine("sqlite://")
    with engine.begin() as made:
        create_all(made)
        journal.append(made, drafts(3))
        made.exec_driver_sql(
            "INSERT INTO study VALUES ('HDC', 'study:HDC', 'Cream', '1', 'p', 'r', 'o')"
        )
        yield made
    engine.dispose()


def test_a_study_lags_behind_until_its_last_entry_was_looked_at(
    connection: Connection,
) -> None:
    assert answers.lagging(connection) == (answers.Lagging("HDC", "Cream", never=True),)

    derived.keep_awaited(connection, "HDC", 2, [OPEN])

    assert answers.lagging(connection) == (
        answers.Lagging("HDC", "Cream", never=False),
    )
    assert answers.kept(connection, LAST) == ()

    derived.keep_awaited(connection, "HDC", 3, [OPEN, OPEN, COMING])

    assert answers.lagging(connection) == ()
    assert set(answers.kept(connection, LAST)) == {
        ("HDC", "Cream", OPEN),
        ("HDC", "Cream", COMING),
    }
    assert answers.kept(connection, date(2026, 6, 5)) == (("HDC", "Cream", OPEN),)


def test_one_study_can_be_asked_for(connection: Connection) -> None:
    assert answers.lagging(connection, "QDC") == ()
    assert len(answers.lagging(connection, "HDC")) == 1

    derived.keep_awaited(connection, "HDC", 3, [OPEN])

    assert answers.kept(connection, LAST, "QDC") == ()
    assert len(answers.kept(connection, LAST, "HDC")) == 1


def test_what_was_worked_out_from_fewer_entries_replaces_nothing(
    connection: Connection,
) -> None:
    derived.keep_awaited(connection, "HDC", 3, [OPEN])

    derived.keep_awaited(connection, "HDC", 2, [])

    assert answers.kept(connection, LAST) == (("HDC", "Cream", OPEN),)


def test_an_answer_takes_its_row_away(connection: Connection) -> None:
    derived.keep_awaited(connection, "HDC", 2, [OPEN])
    derived.keep_awaited(connection, "HDC", 3, [])

    assert answers.lagging(connection) == ()
    assert answers.kept(connection, LAST) == ()
    kept = answers.kept_until(connection, "HDC")
    assert kept == answers.KeptAnswers(3, (), as_left=True)


def test_rows_by_the_rules_of_an_earlier_version_count_as_none(
    connection: Connection,
) -> None:
    derived.keep_awaited(connection, "HDC", 3, [OPEN])
    connection.exec_driver_sql("UPDATE awaited_until SET rules = 0")

    assert [one.never for one in answers.lagging(connection)] == [True]
    assert answers.kept(connection, LAST) == ()
    assert answers.kept_until(connection, "HDC") is None

    derived.keep_awaited(connection, "HDC", 2, [])

    assert answers.kept_until(connection, "HDC") == answers.KeptAnswers(
        2, (), as_left=True
    )


def test_a_workspace_of_an_earlier_version_has_no_such_tables(
    connection: Connection,
) -> None:
    connection.exec_driver_sql("DROP TABLE awaited_until")

    assert not answers_are_there(connection)
    assert [one.never for one in answers.lagging(connection)] == [True]
    assert answers.kept(connection, LAST) == ()
    assert answers.kept_until(connection, "HDC") is None

    derived.create_answers(connection)

    assert answers_are_there(connection)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE awaited SET text = 'x'",
        "DELETE FROM awaited",
        "UPDATE awaited_until SET position = 1",
        "UPDATE awaited_until SET rows_sha256 = 'x'",
        "DELETE FROM awaited_until",
    ],
)
def test_what_was_changed_is_not_as_it_was_left(
    change: str, connection: Connection
) -> None:
    derived.keep_awaited(connection, "HDC", 3, [OPEN])
    before = answers.kept_until(connection, "HDC")

    connection.exec_driver_sql(change)

    after = answers.kept_until(connection, "HDC")
    assert before is not None
    assert after is not None
    assert (before.as_left, after.as_left) == (True, False)
