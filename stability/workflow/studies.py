"""Verbs that read: what is due, which studies there are, what happened, protocols."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from stability.errors.codes import MomentError
from stability.model import content
from stability.model.age import parse_age
from stability.model.agenda import Agenda, Awaited, DueGroup, DueSample, MoveGroup
from stability.workflow.awaited import awaited
from stability.workflow.entry_words import entry_words, facts_words, sample_in
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load, parse_day

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from sqlalchemy import Connection

    from stability.model.protocol import Protocol
    from stability.model.study_record import StudyRecord

__all__ = [
    "Agenda", "Awaited", "DueGroup", "DueSample", "HistoryLine", "MoveGroup",
    "ProtocolLine", "StudyLine", "due", "due_samples", "history", "protocol",
    "protocols", "studies",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class StudyLine:
    """A study of the workspace."""

    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Version of the formula.
    version: str
    #: Protocol's name.
    protocol: str
    #: When it was opened.
    opened: str
    #: How many samples [-].
    samples: int
    #: running or stopped.
    state: str
    #: Position of its last entry.
    position: int
    #: Digest of its last entry.
    digest: str


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One entry of a study."""

    #: How people name it: HDC/12.
    reference: str
    #: Its position.
    position: int
    #: Kind without its version.
    kind: str
    #: When it was done.
    done: str
    #: When it was stored (UTC).
    entered: str
    #: Who did it.
    person: str
    #: Sample that it speaks of; None where it speaks of none.
    sample: str | None
    #: What it says.
    text: str
    #: "" or what became of it: corrected by, set aside by.
    state: str


@dataclass(frozen=True, slots=True)
class ProtocolLine:
    """A ready-made protocol."""

    #: Name by which a study file finds it.
    name: str
    #: Title.
    title: str
    #: Version.
    version: str
    #: Product types it suits.
    suits: tuple[str, ...]
    #: Instruments it needs.
    needs: tuple[str, ...]
    #: Conditions.
    conditions: tuple[str, ...]
    #: Attributes.
    attributes: tuple[str, ...]


def due(
    at: Occasion,
    *,
    study: str | None = None,
    within: str = "7d",
    as_of: str | None = None,
) -> Agenda:
    """Return what is overdue, due and coming, grouped with a count of samples.

    Open follow-ups and certificates that are awaited stand beside: those kept, and in
    studies to which entries were added since, those that are found by judging them.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder; None for every study.
    within
        How far ahead, as an age such as `7d`.
    as_of
        Day as typed; None: today. It moves the day only: what was done counts.

    Raises
    ------
    StabilityError
        If a study, age or day cannot be read.
    """
    from stability.records import agenda, answers

    day, ahead = _days(at, within, as_of)
    with _tables(at, study) as (connection, code, folder):
        checks = agenda.due_groups(connection, day, ahead, code)
        moves = agenda.moves(connection, day, ahead, code)
        kept = answers.kept(connection, max(day, ahead), code)
        lagging = answers.lagging(connection, code)
    missing = awaited(at, kept, lagging, (day, ahead), folder)
    return Agenda(day, checks, moves, missing)


def due_samples(
    at: Occasion,
    *,
    study: str | None = None,
    within: str = "7d",
    as_of: str | None = None,
) -> tuple[DueSample, ...]:
    """Return the same sample by sample, with what is still to be observed.

    Raises
    ------
    StabilityError
        As `due` does.
    """
    from stability.records import agenda

    day, ahead = _days(at, within, as_of)
    with _tables(at, study) as (connection, code, _):
        return agenda.due_samples(connection, day, ahead, code)


def studies(at: Occasion) -> tuple[StudyLine, ...]:
    """Return every study of the workspace.

    Raises
    ------
    StabilityError
        If there is no workspace or it cannot be read.
    """
    from stability.records import agenda, journal
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        rows = agenda.study_rows(connection)
        counts = agenda.sample_counts(connection)
        heads = {one.subject: one for one in journal.heads(connection)}
    return tuple(
        StudyLine(
            study=row["code"],
            product=row["product"],
            version=row["version"],
            protocol=row["protocol"],
            opened=row["opened"],
            samples=counts.get(row["code"], 0),
            state=row["state"],
            position=heads[row["subject"]].position,
            digest=heads[row["subject"]].digest,
        )
        for row in rows
    )


def history(
    at: Occasion, study: str, *, sample: str | None = None
) -> tuple[HistoryLine, ...]:
    """Return the entries of a study in their order.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder; or the name of a storage place or an instrument, where no
        study bears it.
    sample
        Only entries that speak of this sample; None: all.

    Raises
    ------
    StabilityError
        If study or sample is not known.
    """
    from stability.records.guards import resolve_sample

    if sample is None and (beside := _beside(at, study)):
        return beside
    source = load(at, study)
    record = source.record
    only = resolve_sample(record, sample).code if sample else None
    states = _states(record)
    code = record.study.code
    return tuple(
        HistoryLine(
            reference=f"{code}/{one.position}",
            position=one.position,
            kind=one.kind.partition("/")[0],
            done=one.done,
            entered=one.entered,
            person=one.person,
            sample=sample_in(one),
            text=f"{entry_words(one)}{facts_words(one)}",
            state=states.get(one.position, ""),
        )
        for one in source.entries
        if only is None or _speaks_of(one.kind, one.content, only)
    )


def protocols(at: Occasion) -> tuple[ProtocolLine, ...]:
    """Return the ready-made protocols.

    Raises
    ------
    StabilityError
        If one of them cannot be read.
    """
    from stability.records.protocol_file import protocol_names

    read = (protocol(at, name) for name in protocol_names())
    return tuple(
        ProtocolLine(
            name=one.name,
            title=one.title,
            version=one.version,
            suits=one.suits,
            needs=one.needs,
            conditions=tuple(one.conditions),
            attributes=tuple(one.attributes),
        )
        for one in read
    )


def protocol(at: Occasion, name_or_file: str) -> Protocol:
    """Return a protocol, checked.

    Parameters
    ----------
    at
        The occasion.
    name_or_file
        Name of a ready-made protocol, or a file.

    Raises
    ------
    StabilityError
        If there is none, or it has faults; all of them at once.
    """
    from stability.records.protocol_file import find_protocol, read_protocol

    del at  # every verb takes its occasion; a protocol does not depend on it
    return read_protocol(*find_protocol(name_or_file))


def _days(at: Occasion, within: str, as_of: str | None) -> tuple[date, date]:
    day = at.today() if as_of is None else parse_day(as_of)
    age = parse_age(within.strip())
    if age is None:
        raise MomentError(within, "it is no length of time such as 7d or 2w")
    return day, age.after(day)


@contextmanager
def _tables(
    at: Occasion, study: str | None
) -> Iterator[tuple[Connection, str | None, StudyRecord | None]]:
    """Give the derived tables of the workspace, or of one folder with its study."""
    from stability.records.database import open_database

    if study is None:  # over all studies nothing is folded, so nothing more is loaded
        with open_database(at.records).reading() as connection:
            yield connection, None, None
        return
    from stability.records.derived import tables_of
    from stability.records.store import find_study, is_folder

    if is_folder(study):
        record = load(at, study).record
        with tables_of(record) as connection:
            yield connection, None, record
        return
    with open_database(at.records).reading() as connection:
        yield connection, find_study(connection, study), None


def _beside(at: Occasion, typed: str) -> tuple[HistoryLine, ...]:
    """Return the entries of a place or an instrument; () where a study is meant."""
    from stability.records import agenda, store
    from stability.records.database import open_database
    from stability.workflow.subject_history import subject_history

    if store.is_folder(typed):
        return ()
    with open_database(at.records).reading() as connection:
        if typed.strip().upper() in agenda.study_codes(connection):
            return ()
    return subject_history(at, typed)


def _states(record: StudyRecord) -> dict[int, str]:
    """Return position -> what became of the reading, certificate or photograph."""
    code = record.study.code
    found: dict[int, str] = {}
    for seen in record.observations:
        if seen.corrected_by is not None:
            found[seen.position] = f"corrected by {code}/{seen.corrected_by}"
        elif seen.invalidated is not None:
            found[seen.position] = f"set aside by {code}/{seen.invalidated.position}"
    for paper in record.certificates:
        if paper.invalidated is not None:
            found[paper.position] = f"set aside by {code}/{paper.invalidated.position}"
    for shown in record.photographs:
        if shown.invalidated is not None:
            found[shown.position] = f"set aside by {code}/{shown.invalidated.position}"
    return found


def _speaks_of(kind: str, held: Mapping[str, Any], code: str) -> bool:
    if kind == content.OPENED:
        return True
    return any(code == value or code in _codes(value) for value in held.values())


def _codes(value: object) -> tuple[object, ...]:
    if isinstance(value, list):
        return tuple(value)
    return tuple(value.values()) if isinstance(value, dict) else ()
