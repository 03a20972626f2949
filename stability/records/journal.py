"""The journal: entries are added at the end and read back, never changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from sqlalchemy import Connection, Row, Select, insert, select, text

from stability.errors.archives import LineFormError
from stability.errors.database import BrokenChainError
from stability.model.entry import (
    Draft,
    Entry,
    Head,
    WorkspaceHead,
    chain,
    entry_from_line,
    link,
)
from stability.records.tables import entry

#: A thousand rows are held in memory while all entries are walked.
_STREAMED = {"yield_per": 1000}
#: Goes from one subject to the next in the index: a long journal costs no more.
_SUBJECTS = text(
    "WITH RECURSIVE found (subject) AS (SELECT min(subject) FROM entry UNION ALL "
    "SELECT (SELECT min(subject) FROM entry WHERE subject > found.subject) "
    "FROM found WHERE found.subject IS NOT NULL) "
    "SELECT subject FROM found WHERE subject IS NOT NULL"
)
#: An entry as it is stored, in the order of its columns.
_Stored = tuple[int, str, int, str, str, str]
#: Columns of an entry, in their order.
_COLUMNS = ("number", "subject", "position", "line", "digest", "seal")
#: Subjects asked for in one statement; SQLite takes 32,766 values.
_SUBJECTS_AT_ONCE = 500


def append(connection: Connection, drafts: Iterable[Draft]) -> tuple[Entry, ...]:
    """Add entries at the end of the journal.

    Parameters
    ----------
    connection
        In a writing transaction, which holds the lock of all writers.
    drafts
        In their order; those of one subject follow its last entry.

    Returns
    -------
    tuple of Entry
        With number, position, digest and seal.

    Raises
    ------
    ValueError
        If a draft has not the form of an entry.
    """
    given = tuple(drafts)
    last = _heads_of(connection, {draft.subject for draft in given})
    return _store(connection, chain(given, last))


def append_chained(
    connection: Connection, entries: Sequence[Entry]
) -> tuple[Entry, ...]:
    """Add entries that carry their digests already, such as those of an archive.

    Parameters
    ----------
    connection
        In a writing transaction.
    entries
        Each linked to the one before it of its subject, the first of each subject to
        the last that is stored.

    Returns
    -------
    tuple of Entry
        With number and seal of this workspace.

    Raises
    ------
    ValueError
        If an entry does not follow.
    """
    last = _heads_of(connection, {one.subject for one in entries})
    for one in entries:
        before = last.get(one.subject) or Head(one.subject, 0, "")
        follows = link(before.digest, one.line) == one.digest
        if one.position != before.position + 1 or not follows:
            raise ValueError(f"{one.subject}/{one.position} does not follow")
        last[one.subject] = Head(one.subject, one.position, one.digest)
    return _store(connection, entries)


def append_made(connection: Connection, entries: Sequence[Entry]) -> None:
    """Add entries of one subject that were linked here, from its last entry on.

    Their links are not worked out a second time.

    Parameters
    ----------
    connection
        In the writing transaction in which the last entry was read.
    entries
        From `linked`, each following the one before it.

    Raises
    ------
    ValueError
        If the first does not follow the last that is stored.
    """
    if not entries:
        return
    first = entries[0]
    before = head(connection, first.subject) or Head(first.subject, 0, "")
    follows = link(before.digest, first.line) == first.digest
    if first.position != before.position + 1 or not follows:
        raise ValueError(f"{first.subject}/{first.position} does not follow")
    _insert(connection, entries)


def _store(connection: Connection, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Insert linked entries and return them with their numbers and seals."""
    rows = _insert(connection, entries)
    return tuple(
        replace(one, number=number, seal=seal)
        for one, (number, *_, seal) in zip(entries, rows, strict=True)
    )


def _insert(connection: Connection, entries: Sequence[Entry]) -> list[_Stored]:
    """Give linked entries their numbers and seals, insert and return them."""
    if not entries:
        return []
    before = workspace_head(connection) or WorkspaceHead(0, "")
    seal = before.seal
    rows: list[_Stored] = []
    for number, one in enumerate(entries, before.number + 1):
        seal = link(seal, one.digest)
        rows.append((number, one.subject, one.position, one.line, one.digest, seal))
    # All columns are plain: the library need not prepare every row by itself.
    statement = insert(entry).compile(dialect=connection.dialect)
    if statement.positiontup == list(_COLUMNS):
        connection.exec_driver_sql(str(statement), rows)
    else:
        named = [dict(zip(_COLUMNS, row, strict=True)) for row in rows]
        connection.execute(insert(entry), named)
    return rows


def entries(
    connection: Connection, subject: str, *, check: bool = True
) -> tuple[Entry, ...]:
    """Return the entries of one subject in their order.

    Parameters
    ----------
    connection
        To the workspace.
    subject
        Such as study:HDC.
    check
        Whether to hold each entry against its digest on the way.

    Raises
    ------
    BrokenChainError
        If an entry does not follow from the one before it.
    """
    query = _all().where(entry.c.subject == subject).order_by(entry.c.position)
    read: list[Entry] = []
    digest = ""
    for row in connection.execute(query):
        if check:
            digest = link(digest, row.line)
            if digest != row.digest or row.position != len(read) + 1:
                raise BrokenChainError(subject, len(read) + 1)
        read.append(_entry(row))
    return tuple(read)


def all_entries(connection: Connection) -> Iterator[Entry]:
    """Walk the whole journal in its order without holding it in memory."""
    query = _all().order_by(entry.c.number)
    for row in connection.execute(query, execution_options=_STREAMED):
        yield _entry(row)


def head(connection: Connection, subject: str) -> Head | None:
    """Return the last entry of a subject; None where it has none."""
    return _heads_of(connection, {subject}).get(subject)


def heads(connection: Connection) -> tuple[Head, ...]:
    """Return the last entry of every subject, in the order of their names."""
    found = _heads_of(connection, set(subjects(connection)))
    return tuple(found[subject] for subject in sorted(found))


def workspace_head(connection: Connection) -> WorkspaceHead | None:
    """Return number and seal of the last entry; None in an empty workspace."""
    query = select(entry.c.number, entry.c.seal).order_by(entry.c.number.desc())
    row = connection.execute(query.limit(1)).first()
    return None if row is None else WorkspaceHead(row.number, row.seal)


def subjects(connection: Connection) -> tuple[str, ...]:
    """Return every subject that has an entry, in the order of their names."""
    return tuple(sorted(connection.scalars(_SUBJECTS)))


def _heads_of(connection: Connection, wanted: set[str]) -> dict[str, Head]:
    """Return the last entries of some subjects, with one search each in the index."""
    found: dict[str, Head] = {}
    names = sorted(wanted)
    for start in range(0, len(names), _SUBJECTS_AT_ONCE):
        part = names[start : start + _SUBJECTS_AT_ONCE]
        given = {f"s{place}": name for place, name in enumerate(part)}
        rows = ", ".join(f"(:{key})" for key in given)
        query = text(
            f"WITH wanted (subject) AS (VALUES {rows}) "  # noqa: S608  (only :names)
            "SELECT entry.subject, entry.position, entry.digest "
            "FROM wanted JOIN entry ON entry.subject = wanted.subject "
            "AND entry.position = (SELECT max(position) FROM entry AS last "
            "WHERE last.subject = wanted.subject)"
        )
        for subject, position, digest in connection.execute(query, given):
            found[subject] = Head(subject, position, digest)
    return found


def _all() -> Select[int, str, int, str, str, str]:
    return select(
        entry.c.number,
        entry.c.subject,
        entry.c.position,
        entry.c.line,
        entry.c.digest,
        entry.c.seal,
    )


def _entry(row: Row[int, str, int, str, str, str]) -> Entry:
    try:
        return entry_from_line(row.line, row.digest, row.number, row.seal)
    except LineFormError as error:
        raise BrokenChainError(row.subject, row.position) from error
