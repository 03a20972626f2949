"""Tables that are worked out from the journal, so that `due` is one question.

They hold nothing that the journal does not say and may be dropped and rebuilt. This is
the only module that updates or deletes.

`refreshed` holds, for each study, the digest of the rows that a refresh worked out and
of the entry at which it did. So `verify` works out anew only what may differ: a refresh
works out all rows of a study, and is a rebuild of it.

What waits for an answer is judged first, which `workflow` does: those rows are kept by
`keep_awaited` once the entries are stored, and carry the entry up to which they hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import (
    Connection,
    Table,
    bindparam,
    create_engine,
    delete,
    insert,
    inspect,
    select,
)

from stability.model.agenda import Awaiting
from stability.model.study_record import StudyRecord
from stability.records.derived_rows import (
    OF_STUDY,
    RowCells,
    awaited_rows,
    rows_of,
)
from stability.records.row_digests import digest_of_awaited, digest_of_rows
from stability.records.tables import (
    ANSWERS,
    AWAITED_RULES,
    DERIVED,
    RULES,
    answers_are_there,
    awaited,
    awaited_until,
    metadata,
    refreshed,
    study,
)
from stability.records.tables import entry as entries


def refresh(connection: Connection, record: StudyRecord) -> None:
    """Bring the tables up to date with one study.

    Only rows that differ are touched: after one reading of a large study that is one.
    """
    for table, rows in _all_rows(record):
        wanted = dict.fromkeys(rows)
        there = set(_stored(connection, table, record.study.code))
        gone = [row for row in there if row not in wanted]
        if gone:
            _remove(connection, table, gone)
        new = [_named(table, row) for row in wanted if row not in there]
        if new:
            connection.execute(insert(table), new)


@contextmanager
def tables_of(record: StudyRecord) -> Iterator[Connection]:
    """Give the tables of one study in memory, for a folder without a workspace."""
    engine = create_engine("sqlite://")
    try:
        with engine.begin() as connection:
            metadata.create_all(connection, tables=DERIVED)
            refresh(connection, record)
            yield connection
    finally:
        engine.dispose()


def rebuild(connection: Connection, records: Iterable[StudyRecord]) -> None:
    """Empty the tables and fill them from the records of every study."""
    for table in _present(connection, (*DERIVED, *ANSWERS)):
        connection.execute(delete(table))
    for record in records:
        for table, rows in _all_rows(record):
            new = [_named(table, row) for row in rows]
            if new:
                connection.execute(insert(table), new)


def keep_awaited(
    connection: Connection, code: str, position: int, found: Iterable[Awaiting]
) -> None:
    """Keep what waits for an answer, unless a later entry was looked at already.

    Parameters
    ----------
    connection
        In a writing transaction.
    code
        Study.
    position
        Of the last entry from which it was worked out.
    found
        What was found.
    """
    of_study = awaited_until.c.study == code
    later = awaited_until.c.position > position
    current = awaited_until.c.rules == AWAITED_RULES
    query = select(awaited_until).where(of_study, later, current)
    if connection.execute(query).first() is not None:
        return
    rows = awaited_rows(code, found)
    new = [_named(awaited, row) for row in rows]
    for table in ANSWERS:
        connection.execute(delete(table).where(table.c.study == code))
    if new:
        connection.execute(insert(awaited), new)
    kept = (code, position, AWAITED_RULES, digest_of_awaited(position, rows))
    connection.execute(insert(awaited_until).values(_named(awaited_until, kept)))


def create_answers(connection: Connection) -> None:
    """Make the tables of missing answers where an earlier version wrote."""
    metadata.create_all(connection, tables=ANSWERS)


def create_missing(connection: Connection) -> None:
    """Make the tables that an earlier version did not have."""
    metadata.create_all(connection, tables=DERIVED)


def doubtful(connection: Connection, codes: Iterable[str]) -> tuple[str, ...]:
    """Return the studies whose rows are not what a refresh left at their last entry.

    Parameters
    ----------
    connection
        To the workspace.
    codes
        Codes of all studies that the journal tells of.

    Returns
    -------
    tuple of str
        Codes; of a study whose rows are of an earlier version's rules nothing is said,
        since the next command that writes works them out anew.
    """
    if not inspect(connection).has_table(refreshed.name):
        return tuple(codes)
    left = {row.study: row for row in connection.execute(select(refreshed))}
    rows = _rows_by_study(connection)
    found = []
    for code in codes:
        was = left.get(code)
        if was is not None and was.rules != RULES:
            continue
        now = (_head(connection, code), digest_of_rows(rows.get(code, {})))
        if was is None or (was.head, was.rows_sha256) != now:
            found.append(code)
    return tuple(found)


def comparable(connection: Connection, codes: Iterable[str]) -> tuple[str, ...]:
    """Return the studies whose rows are not known to be of an earlier version's rules.

    Parameters
    ----------
    connection
        To the workspace.
    codes
        Codes of all studies that the journal tells of.
    """
    if not inspect(connection).has_table(refreshed.name):
        return tuple(codes)
    query = select(refreshed.c.study).where(refreshed.c.rules != RULES)
    earlier = set(connection.scalars(query))
    return tuple(code for code in codes if code not in earlier)


def differences(
    connection: Connection, records: Iterable[StudyRecord]
) -> tuple[str, ...]:
    """Return in words where the tables differ from what the journal tells.

    Parameters
    ----------
    connection
        To the workspace.
    records
        Of studies, freshly folded.
    """
    found: list[str] = []
    there_are = _present(connection, DERIVED)
    for record in records:
        code = record.study.code
        for table, rows in rows_of(record):
            if table not in there_are:
                continue
            wanted = set(rows)
            there = set(_stored(connection, table, code))
            if wanted != there:
                count = len(wanted ^ there)
                found.append(f"{table.name} of study {code}: {count} rows differ")
    return tuple(found)


def strangers(connection: Connection, codes: Iterable[str]) -> tuple[str, ...]:
    """Return in words which studies the tables hold that the journal does not know.

    Parameters
    ----------
    connection
        To the workspace.
    codes
        Codes of all studies that the journal tells of.
    """
    known = set(codes)
    found: list[str] = []
    answers = ANSWERS if answers_are_there(connection) else ()
    for table in _present(connection, (*OF_STUDY, *answers)):
        stored = set(connection.scalars(select(_study_column(table)).distinct()))
        found += [
            f"{table.name} holds study {code}, which the journal does not know"
            for code in sorted(stored - known)
        ]
    return tuple(found)


def _head(connection: Connection, code: str) -> str | None:
    """Return the digest of the last entry of a study."""
    query = select(entries.c.digest).where(entries.c.subject == f"study:{code}")
    return connection.scalar(query.order_by(entries.c.position.desc()).limit(1))


def _rows_by_study(connection: Connection) -> dict[str, dict[str, list[RowCells]]]:
    """Return study -> table -> its rows as stored."""
    found: dict[str, dict[str, list[RowCells]]] = {}
    for table in _present(connection, OF_STUDY):
        place = table.c.keys().index(_study_column(table).name)
        for row in connection.execute(select(table)):
            of_study = found.setdefault(row[place], {})
            of_study.setdefault(table.name, []).append(tuple(row))
    return found


def _study_column(table: Table) -> Any:
    return table.c.code if table is study else table.c.study


def _present(connection: Connection, tables: Iterable[Table]) -> list[Table]:
    """Return those that are there: an earlier version did not have all of them."""
    names = set(inspect(connection).get_table_names())
    return [table for table in tables if table.name in names]


def _stored(connection: Connection, table: Table, code: str) -> Iterator[RowCells]:
    query = select(table).where(_study_column(table) == code)
    for row in connection.execute(query):
        yield tuple(row)


def _remove(connection: Connection, table: Table, rows: list[RowCells]) -> None:
    keys = _KEYS[table.name]
    matches = [table.c[key] == bindparam(f"its_{key}") for key in keys]
    named = (_named(table, row) for row in rows)
    gone = [{f"its_{key}": row[key] for key in keys} for row in named]
    connection.execute(delete(table).where(*matches), gone)


def _named(table: Table, row: RowCells) -> dict[str, Any]:
    return dict(zip(table.c.keys(), row, strict=True))


#: Table -> columns that tell a row from every other.
_KEYS = {
    "study": ("code",),
    "sample": ("code",),
    "open_check": ("sample", "check_name"),
    "check_group": ("study", "check_name", "condition", "opens", "due", "closes"),
    "handover": ("study", "condition", "kind", "due", "text"),
    "check_day": ("study", "day", "account"),
    "refreshed": ("study",),
}


def _all_rows(record: StudyRecord) -> Iterator[tuple[Table, list[RowCells]]]:
    """Yield each table with the rows of a study, last what all of them are together."""
    found: dict[str, list[RowCells]] = {}
    for table, rows in rows_of(record):
        if rows:
            found[table.name] = rows
        yield table, rows
    yield (
        refreshed,
        [(record.study.code, record.head.digest, RULES, digest_of_rows(found))],
    )
