"""Which answers a study waits for, as last worked out, and where that lags behind.

An answer that is missing is found by judging, which the entries are stored without. So
each study's rows carry the entry up to which they hold; where others were stored since,
nothing kept is read of that study.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, Connection, func, null, select

from stability.model.agenda import Awaiting
from stability.records.row_digests import digest_of_awaited
from stability.records.tables import (
    AWAITED_RULES,
    answers_are_there,
    awaited,
    awaited_until,
    entry,
    study,
)


@dataclass(frozen=True, slots=True)
class Lagging:
    """A study whose missing answers have to be worked out before they are told."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Whether they never were, or by an earlier version's rules.
    never: bool


@dataclass(frozen=True, slots=True)
class KeptAnswers:
    """What of a study was worked out up to an entry, to be held against its journal."""

    #: The last entry that counts.
    position: int
    #: The rows as stored, sorted.
    rows: tuple[tuple[object, ...], ...]
    #: Whether they are what the last command left there.
    as_left: bool


def lagging(connection: Connection, code: str | None = None) -> tuple[Lagging, ...]:
    """Return the studies to which entries were added since, or that nobody judged.

    Parameters
    ----------
    connection
        To the workspace.
    code
        Study; None for all.
    """
    if not answers_are_there(connection):
        query = select(study.c.code, study.c.product, null().label("position"))
    else:
        query = (
            select(study.c.code, study.c.product, awaited_until.c.position)
            .outerjoin(awaited_until, _of_these_rules())
            .where(awaited_until.c.position.is_distinct_from(_last_position()))
        )
    if code is not None:
        query = query.where(study.c.code == code)
    rows = sorted(map(tuple, connection.execute(query)))
    return tuple(
        Lagging(of_study, product, never=position is None)
        for of_study, product, position in rows
    )


def kept(
    connection: Connection, last: date, code: str | None = None
) -> tuple[tuple[str, str, Awaiting], ...]:
    """Return study, product and missing answer of the studies that do not lag behind.

    Parameters
    ----------
    connection
        To the workspace.
    last
        Nothing that is asked for later is returned.
    code
        Study; None for all.
    """
    if not answers_are_there(connection):
        return ()
    query = (
        select(awaited, study.c.product)
        .join(study, study.c.code == awaited.c.study)
        .join(awaited_until, _of_these_rules())
        .where(awaited_until.c.position == _last_position())
        .where(awaited.c.due <= last.isoformat())
    )
    if code is not None:
        query = query.where(study.c.code == code)
    return tuple(
        (
            row.study,
            row.product,
            Awaiting(
                row.kind, date.fromisoformat(row.due), row.condition, row.sample,
                row.position, row.text,
            ),
        )
        for row in connection.execute(query)
    )  # fmt: skip


def kept_until(connection: Connection, code: str) -> KeptAnswers | None:
    """Return what is kept of a study, whether it lags behind or not.

    None where nothing is kept by the rules of this version.
    """
    if not answers_are_there(connection):
        return None
    of_study = select(awaited_until).where(awaited_until.c.study == code)
    until = connection.execute(of_study).first()
    if until is not None and until.rules != AWAITED_RULES:
        return None
    query = select(awaited).where(awaited.c.study == code)
    rows = tuple(sorted(map(tuple, connection.execute(query))))
    if until is None:
        return KeptAnswers(0, rows, as_left=not rows) if rows else None
    digest = digest_of_awaited(until.position, rows)
    return KeptAnswers(until.position, rows, as_left=digest == until.rows_sha256)


def _of_these_rules() -> ColumnElement[bool]:
    same_study = awaited_until.c.study == study.c.code
    return same_study & (awaited_until.c.rules == AWAITED_RULES)


def _last_position() -> ColumnElement[int]:
    """Return the position of the last entry of a study, of whichever version."""
    of_study = entry.c.subject == study.c.subject
    newest = select(func.max(entry.c.position)).where(of_study)
    return newest.correlate(study).scalar_subquery()
