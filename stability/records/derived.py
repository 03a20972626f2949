"""Tables that are worked out from the journal, so that `due` is one question.

They hold nothing that the journal does not say and may be dropped and rebuilt. This is
the only module that updates or deletes.

`refreshed` holds, for each study, the digest of the rows that a refresh worked out and
of the entry at which it did. So `verify` works out anew only what may differ: a refresh
works out all rows of a study, and is a rebuild of it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, Final

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

from stability.model.schedule import hand_overs, open_checks, planned_placing
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.tables import (
    DERIVED,
    RULES,
    awaited,
    check_day,
    check_group,
    handover,
    metadata,
    open_check,
    refreshed,
    sample,
    study,
)
from stability.records.tables import entry as entries

#: Said where it cannot be told what lies outside.
_UNTOLD: Final = "what lies outside could not be worked out; see stability show"
#: A row, in the order of the table's columns.
_Row = tuple[Any, ...]


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
    for table in DERIVED:
        connection.execute(delete(table))
    for record in records:
        for table, rows in _all_rows(record):
            new = [_named(table, row) for row in rows]
            if new:
                connection.execute(insert(table), new)


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
        now = (_head(connection, code), _digest(rows.get(code, {})))
        if was is None or (was.head, was.rows_sha256) != now:
            found.append(code)
    return tuple(found)


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
    there_are = _present(connection)
    for record in records:
        code = record.study.code
        for table, rows in _rows(record):
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
    for table in _present(connection):
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


def _rows_by_study(connection: Connection) -> dict[str, dict[str, list[_Row]]]:
    """Return study -> table -> its rows as stored."""
    found: dict[str, dict[str, list[_Row]]] = {}
    for table in _present(connection):
        place = table.c.keys().index(_study_column(table).name)
        for row in connection.execute(select(table)):
            of_study = found.setdefault(row[place], {})
            of_study.setdefault(table.name, []).append(tuple(row))
    return found


def _digest(rows: dict[str, list[_Row]]) -> str:
    """Return the SHA-256 of the rows of one study, in whatever order they come."""
    whole = {table: sorted(map(json.dumps, set(rows[table]))) for table in rows}
    text = json.dumps(whole, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _study_column(table: Table) -> Any:
    return table.c.code if table is study else table.c.study


#: Tables whose rows are worked out from a study's record.
_OF_STUDY: Final = tuple(table for table in DERIVED if table is not refreshed)


def _present(connection: Connection) -> list[Table]:
    """Return those that are there: an earlier version did not have all of them."""
    names = set(inspect(connection).get_table_names())
    return [table for table in _OF_STUDY if table.name in names]


def _stored(connection: Connection, table: Table, code: str) -> Iterator[_Row]:
    query = select(table).where(_study_column(table) == code)
    for row in connection.execute(query):
        yield tuple(row)


def _remove(connection: Connection, table: Table, rows: list[_Row]) -> None:
    keys = _KEYS[table.name]
    matches = [table.c[key] == bindparam(f"its_{key}") for key in keys]
    named = (_named(table, row) for row in rows)
    gone = [{f"its_{key}": row[key] for key in keys} for row in named]
    connection.execute(delete(table).where(*matches), gone)


def _named(table: Table, row: _Row) -> dict[str, Any]:
    return dict(zip(table.c.keys(), row, strict=True))


#: Table -> columns that tell a row from every other.
_KEYS = {
    "study": ("code",),
    "sample": ("code",),
    "open_check": ("sample", "check_name"),
    "check_group": ("study", "check_name", "condition", "opens", "due", "closes"),
    "handover": ("study", "condition", "kind", "due", "text"),
    "awaited": ("study", "kind", "due", "position", "text"),
    "check_day": ("study", "day", "account"),
    "refreshed": ("study",),
}


def _all_rows(record: StudyRecord) -> Iterator[tuple[Table, list[_Row]]]:
    """Yield each table with the rows of a study, last what all of them are together."""
    found: dict[str, list[_Row]] = {}
    for table, rows in _rows(record):
        if rows:
            found[table.name] = rows
        yield table, rows
    yield refreshed, [(record.study.code, record.head.digest, RULES, _digest(found))]


def _rows(record: StudyRecord) -> Iterator[tuple[Table, list[_Row]]]:
    """Yield each table with the rows that a study has in it."""
    waiting = list(_check_rows(record))
    yield study, list(_study_rows(record))
    yield sample, list(_sample_rows(record))
    yield open_check, waiting
    yield check_group, list(_group_rows(waiting))
    yield handover, list(_move_rows(record))
    yield awaited, _awaited_rows(record)
    yield check_day, list(_day_rows(record))


def _study_rows(record: StudyRecord) -> Iterator[_Row]:
    whole = any(not one.scope for one in record.stops)
    yield (
        record.study.code,
        record.head.subject,
        record.study.product,
        record.study.version,
        record.protocol.name,
        "stopped" if whole else "running",
        str(record.opening.done),
    )


def _sample_rows(record: StudyRecord) -> Iterator[_Row]:
    code = record.study.code
    for one in record.samples.values():
        yield (
            one.code,
            code,
            one.batch,
            one.pack,
            one.condition,
            one.use,
            _sample_state(record, one),
        )


def _sample_state(record: StudyRecord, one: Sample) -> str:
    retired = record.retirement_of(one.code)
    if retired is not None:
        return retired.reason
    if record.stop_of(one) is not None:
        return "stopped"
    placings = record.placings_of(one.code)
    if not placings:
        return "not placed"
    return "placed" if placings[-1].condition else "taken out"


def _check_rows(record: StudyRecord) -> Iterator[_Row]:
    for waiting in open_checks(record):
        planned = waiting.planned
        # Before its placing a sample has no check but T0: the placing waits instead.
        if planned.provisional:
            continue
        of = record.samples[planned.sample]
        yield (
            record.study.code,
            of.code,
            of.condition,
            of.batch,
            of.pack,
            planned.check,
            planned.opens.isoformat(),
            planned.due.isoformat(),
            planned.closes.isoformat(),
            "\n".join(map(_due_text, waiting.remaining)),
        )


def _group_rows(waiting: Iterable[_Row]) -> Iterator[_Row]:
    groups: dict[tuple[str, ...], int] = {}
    for code, _, condition, _, _, check, *days, _ in waiting:
        key = (code, check, condition or "", *days)
        groups[key] = groups.get(key, 0) + 1
    for key, samples in groups.items():
        yield (*key, samples)


def _due_text(due: tuple[str, str | None]) -> str:
    attribute, part = due
    return attribute if part is None else f"{attribute} ({part} opening)"


def _move_rows(record: StudyRecord) -> Iterator[_Row]:
    groups: dict[tuple[str, ...], list[str]] = {}
    for code, *group in _moves(record):
        groups.setdefault(tuple(group), []).append(code)
    for key, samples in groups.items():
        yield (record.study.code, *key, "\n".join(samples))


def _moves(record: StudyRecord) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield sample, condition, kind, when and what is to be done."""
    for move in hand_overs(record):
        yield (move.sample, move.condition, "step", str(move.due), move.text)
    for one in record.samples.values():
        if (
            one.condition is None
            or record.first_placing(one.code) is not None
            or record.retirement_of(one.code) is not None
            or record.stop_of(one) is not None
        ):
            continue
        day = planned_placing(record.study, record.protocol, one).isoformat()
        yield (one.code, one.condition, "place", day, f"place in {one.condition}")


def _awaited_rows(record: StudyRecord) -> list[_Row]:
    """Return what waits for an answer; a fault in judging keeps no reading out."""
    from stability.evaluation.awaiting import awaiting  # noqa: PLC0415

    code = record.study.code
    try:
        found = awaiting(record)
    except Exception:  # noqa: BLE001  a reading lost cannot be taken again
        day = record.opening.done.day.isoformat()
        return [(code, "follow-up", day, "", "", 0, f"{_UNTOLD} {code}")]
    return [
        (code, one.kind, one.since.isoformat(), one.condition, one.sample,
         one.position, one.text)
        for one in dict.fromkeys(found)
    ]  # fmt: skip


def _day_rows(record: StudyRecord) -> Iterator[_Row]:
    for one in dict.fromkeys((str(facts.day), facts.account) for facts in record.days):
        yield (record.study.code, *one)
