"""What waits for an answer, worked out beside the record and never in its way.

Entries are stored and told first. What they leave open is judged then, and kept for
`due`; a crash, a full disk or an account that may not write loses that harmlessly,
since `due` works out anew what lags behind.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Final

from stability.model.agenda import Awaited, Awaiting
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.model.study_record import StudyRecord
    from stability.records.answers import KeptAnswers, Lagging
    from stability.records.database import Database

#: How long what is already told waits for other writers [s].
_PATIENCE_S: Final = 2.0
#: Said where it cannot be told what lies outside.
_UNTOLD: Final = "what lies outside could not be worked out; see stability show"


def catch_up(at: Occasion, subjects: Iterable[str]) -> None:
    """Work out what waits for an answer in studies to which entries were added.

    Those that were never judged, or by an earlier version's rules, are judged too.
    Nothing is raised: what was stored is stored and told.

    Parameters
    ----------
    at
        The occasion on which they were added.
    subjects
        Subjects of the entries, such as study:HDC.
    """
    codes = {one.partition(":")[2] for one in subjects if one.startswith("study:")}
    if not codes:
        return
    from stability.records import answers, derived
    from stability.records.database import open_database
    from stability.records.tables import answers_are_there

    try:
        database = open_database(at.records, timeout_s=_PATIENCE_S)
        with database.reading() as connection:
            waiting = answers.lagging(connection)
            there = answers_are_there(connection)
        if waiting and not there:
            with database.writing() as connection:
                derived.create_answers(connection)
        for one in waiting:
            if one.never or one.study in codes:
                _keep(database, one.study)
    except Exception:  # noqa: BLE001  what was told as stored must not look like a fault
        return


def _keep(database: Database, code: str) -> None:
    """Judge a study and keep what is missing; one that cannot be judged stays so."""
    from stability.evaluation.awaiting import awaiting
    from stability.records import derived, journal
    from stability.records.opening import subject_of
    from stability.records.store import record_of

    with database.reading() as connection:
        entries = journal.entries(connection, subject_of(code))
    try:
        found = awaiting(record_of(entries).record)
    except Exception:  # noqa: BLE001  `due` says which study it is
        return
    with database.writing() as connection:
        derived.keep_awaited(connection, code, entries[-1].position, found)


def awaited(
    at: Occasion,
    kept: Iterable[tuple[str, str, Awaiting]],
    lagging: Iterable[Lagging],
    days: tuple[date, date],
    folder: StudyRecord | None = None,
) -> tuple[Awaited, ...]:
    """Return what waits for an answer, the oldest first; nothing is stored.

    Parameters
    ----------
    at
        The occasion.
    kept
        Study, product and missing answer of studies that were judged.
    lagging
        Studies that are judged here.
    days
        The as-of date, and the last for which something is listed.
    folder
        The one study, where it was read from a folder.
    """
    day, last = days
    found = list(kept)
    for one in lagging:
        missing = _missing(at, one.study, folder)
        found += [(one.study, one.product, answer) for answer in missing]
    told = [
        one.on(day, study, product)
        for study, product, one in found
        if one.since <= max(day, last)
    ]
    return tuple(sorted(told, key=lambda one: (one.due, one.study, one.position)))


def _missing(
    at: Occasion, code: str, folder: StudyRecord | None
) -> tuple[Awaiting, ...]:
    """Judge a study; where that cannot be done, say so in place of an answer."""
    from stability.evaluation.awaiting import awaiting

    try:
        return awaiting(folder or load(at, code).record)
    except Exception:  # noqa: BLE001  what is due of other studies must be told
        return (Awaiting("follow-up", date.min, "", "", 0, f"{_UNTOLD} {code}"),)


def awaited_differs(
    connection: Connection, code: str, *, rebuild: bool
) -> tuple[str, ...]:
    """Say where what is kept of missing answers is not what its entry leaves open.

    That it lags behind the record is no difference: `due` judges what was added.

    Parameters
    ----------
    connection
        To the workspace.
    code
        Study.
    rebuild
        Whether to judge it anew also where it is what the last command left.
    """
    from stability.records import answers, journal
    from stability.records.opening import subject_of

    kept = answers.kept_until(connection, code)
    if kept is None:
        return ()
    head = journal.head(connection, subject_of(code))
    if head is None or not 1 <= kept.position <= head.position:
        return (f"awaited_until of study {code}: the record has no such entry",)
    if kept.as_left and not rebuild:
        return ()
    try:
        differ = _rows_that_differ(connection, code, kept)
    except Exception as fault:  # noqa: BLE001  what cannot be judged is told
        return (f"awaited of study {code} cannot be compared: {fault}",)
    if differ:
        return (f"awaited of study {code}: {differ} rows differ",)
    told = f"awaited_until of study {code}: what it says of the rows does not hold"
    return () if kept.as_left else (told,)


def _rows_that_differ(connection: Connection, code: str, kept: KeptAnswers) -> int:
    """Judge a study as it stood and return how many rows are not what was kept."""
    from stability.evaluation.awaiting import awaiting
    from stability.records import journal
    from stability.records.derived_rows import awaited_rows
    from stability.records.opening import subject_of
    from stability.records.store import record_of

    entries = journal.entries(connection, subject_of(code))[: kept.position]
    wanted = set(awaited_rows(code, awaiting(record_of(entries).record)))
    return len(wanted ^ set(kept.rows))
