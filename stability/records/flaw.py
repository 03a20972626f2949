"""What is wrong with a record that does not hold, told entry by entry.

Only a broken record is looked at here, so every entry of the subject may be read again.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from sqlalchemy import Connection, select

from stability.model.entry import link
from stability.records.tables import entry

How = Literal[
    "changed", "inserted", "reordered", "removed", "cut off", "rewritten",
    "unguarded", "derived",
]  # fmt: skip

_WORDS: Final[dict[How, str]] = {
    "changed": "{where} was changed: it no longer gives the digest it was recorded by",
    "inserted": "{where} was inserted: what follows does not build on it",
    "reordered": "{where} was reordered: another entry was recorded in this place",
    "removed": "{where} was removed: what follows builds on it",
    "cut off": "{where} is not there: the record ends before it",
    "rewritten": "{where} was rewritten: its digest or seal is another one",
    "unguarded": "the trigger {where} is missing: the database no longer refuses "
    "changes; back up into a new workspace",
    "derived": "{where}",
}

_PLACE = re.compile(r',"position":([1-9][0-9]*),"subject":"([^"\\]*)"\}\Z')


@dataclass(frozen=True, slots=True)
class Flaw:
    """One thing in the record that does not hold."""

    #: Number in the workspace of the entry concerned; None where there is no such one.
    number: int | None
    #: The entry, such as study:HDC/12, the attachment, or the table and row.
    where: str
    #: What happened to it.
    how: How

    def __str__(self) -> str:
        return _WORDS[self.how].format(where=self.where)


@dataclass(frozen=True, slots=True)
class _Row:
    """An entry of a subject as stored."""

    #: Its number in the workspace.
    number: int
    #: Its position column.
    position: int
    #: The position that its line states for this subject; None where it states none.
    claim: int | None
    #: Its line.
    line: str
    #: Its digest.
    digest: str


def claims_place(line: str, subject: str, position: int) -> bool:
    """Say whether a line states this subject and position.

    A canonical line ends in both, so that a million need not be decoded.
    """
    return line.startswith('{"content":{') and line.endswith(
        f',"position":{position},"subject":"{subject}"}}'
    )


def chain_flaw(connection: Connection, subject: str) -> Flaw:
    """Return the first thing that does not hold in the chain of a broken subject."""
    rows = _rows(connection, subject)
    last = ""
    for place, row in enumerate(rows):
        expected = place + 1
        follows = row.claim == expected and link(last, row.line) == row.digest
        if not follows or row.position != expected:
            return _flaw_at(subject, rows, place, last)
        last = row.digest
    raise ValueError(f"the chain of {subject} holds")


def seal_flaw(connection: Connection, number: int, found: Sequence[Flaw]) -> list[Flaw]:
    """Return the flaws with what a broken seal adds to them.

    Parameters
    ----------
    connection
        To the workspace.
    number
        The first entry whose seal does not follow.
    found
        Flaws in the chains of subjects.
    """
    if any(flaw.number is not None and flaw.number <= number for flaw in found):
        return list(found)
    query = select(entry).where(entry.c.number == number)
    row = connection.execute(query).one()
    where = f"{row.subject}/{row.position}"
    after = select(entry.c.line, entry.c.digest).where(
        entry.c.subject == row.subject, entry.c.position == row.position + 1
    )
    following = connection.execute(after).first()
    if following and link(row.digest, following.line) != following.digest:
        rest = [flaw for flaw in found if not flaw.where.startswith(f"{row.subject}/")]
        return [Flaw(number, where, "changed"), *rest]
    before = _sealed_after(connection, row.digest, row.seal)
    if before is None:
        place = f"an entry just before number {number} ({where}), or its seal,"
        return [Flaw(number, place, "removed"), *found]
    if before < number - 1:
        inserted = connection.execute(
            select(entry.c.subject, entry.c.position).where(
                entry.c.number == before + 1
            )
        ).one()
        where = f"{inserted.subject}/{inserted.position}"
        return [Flaw(before + 1, where, "inserted"), *found]
    return [Flaw(number, where, "reordered"), *found]


def _rows(connection: Connection, subject: str) -> list[_Row]:
    query = select(
        entry.c.number, entry.c.position, entry.c.line, entry.c.digest
    ).where(entry.c.subject == subject)
    rows = []
    for number, position, line, digest in connection.execute(
        query.order_by(entry.c.number)
    ):
        match = _PLACE.search(line)
        stated = match is not None and match[2] == subject
        claim = int(match[1]) if match is not None and stated else None
        if claim is not None and not claims_place(line, subject, claim):
            claim = None
        rows.append(_Row(number, position, claim, line, digest))
    return rows


def _flaw_at(subject: str, rows: Sequence[_Row], place: int, last: str) -> Flaw:
    """Return what happened where the chain first breaks.

    Parameters
    ----------
    subject
        The subject.
    rows
        Its entries in the order of their numbers; those before `place` hold.
    place
        Index of the first that does not.
    last
        Digest of the one before it.
    """
    row, expected = rows[place], place + 1
    if row.claim is None:
        return Flaw(row.number, f"{subject}/{row.position}", "changed")
    if row.claim < expected:
        return _inserted_before(subject, rows, place)
    later = [one for one in rows[place + 1 :] if one.claim == expected]
    if row.claim > expected:
        how: How = "reordered" if later else "removed"
        gone = f"{expected}" if how == "reordered" else _range(expected, row.claim - 1)
        return Flaw(row.number, f"{subject}/{gone}", how)
    if any(link(last, one.line) == one.digest for one in later):
        return Flaw(row.number, f"{subject}/{row.position}", "inserted")
    return Flaw(row.number, f"{subject}/{row.position}", "changed")


def _inserted_before(subject: str, rows: Sequence[_Row], place: int) -> Flaw:
    """Tell which of two entries for one place does not belong.

    It is the one on which nothing builds; of two on which nothing builds, the earlier,
    since an entry is inserted before what was there.
    """
    row = rows[place]
    claim = row.claim or 1
    rival = rows[claim - 1]
    before = rows[claim - 2].digest if claim > 1 else ""
    genuine = link(before, row.line) == row.digest and row.digest != rival.digest
    after = rows[place + 1 : place + 2]
    built_on = any(link(row.digest, one.line) == one.digest for one in after)
    stranger = rival if genuine and (built_on or claim == place) else row
    return Flaw(stranger.number, f"{subject}/{stranger.position}", "inserted")


def _range(first: int, last: int) -> str:
    return f"{first}" if first == last else f"{first} to {last}"


def _sealed_after(connection: Connection, digest: str, seal: str) -> int | None:
    """Return the number of the entry that a seal was made after; None if it is gone."""
    if link("", digest) == seal:
        return 0
    query = select(entry.c.number, entry.c.seal)
    for number, before in connection.execute(
        query, execution_options={"yield_per": 1000}
    ):
        if link(before, digest) == seal:
            return int(number)
    return None
