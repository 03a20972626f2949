"""Studies read from a workspace or from a folder, and entries added to them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from stability.errors.archives import NewerEntryError
from stability.errors.codes import SampleCodeFormError
from stability.errors.studies import (
    AsOfTooEarlyError,
    StudyNeededError,
    UnknownStudyError,
)
from stability.model.code import parse_code, study_of
from stability.model.entry import Entry, Head
from stability.model.fold import Folding, entries_as_of, fold
from stability.model.fold_kinds import APPLY
from stability.model.moment import moment_at, parse_utc
from stability.model.nearest import nearest
from stability.model.study_record import StudyRecord
from stability.records import agenda, attachment, derived, journal
from stability.records.continuation import Continuation
from stability.records.instrument_names import InstrumentNames
from stability.records.instruments import kinds_of
from stability.records.opening import read_opening, read_texts, subject_of

_KIND = "study:"


@dataclass(frozen=True, slots=True)
class StudySource:
    """A study with the entries it was folded from."""

    #: The record as of the day that was asked for.
    record: StudyRecord
    #: Its entries, in order.
    entries: tuple[Entry, ...]


def study_subjects(connection: Connection) -> tuple[str, ...]:
    """Return the subjects of all studies."""
    every = journal.subjects(connection)
    return tuple(one for one in every if one.startswith(_KIND))


def find_study(connection: Connection, typed: str) -> str:
    """Return the code of a study of the workspace.

    Raises
    ------
    UnknownStudyError
        If there is none; the message offers the nearest.
    """
    code = typed.strip().upper()
    codes = agenda.study_codes(connection)
    if code in codes:
        return code
    raise UnknownStudyError(typed.strip(), ", ".join(nearest(code, codes)))


def find_study_of(
    connection: Connection,
    typed: str,
    study: str | None,
    *,
    day: date,
    account: str,
) -> str:
    """Return the study to which a sample code as typed belongs.

    A whole code tells it. A short one belongs to the study that was named, else to the
    one whose check day this account has set, else to the only study there is.

    Raises
    ------
    StabilityError
        If it cannot be told.
    """
    if study is not None:
        return find_study(connection, study)
    try:
        whole = parse_code(typed)
    except SampleCodeFormError:
        codes = agenda.studies_of_day(connection, day, account)
        codes = codes or agenda.study_codes(connection)
        if len(codes) != 1:
            raise StudyNeededError(typed) from None
        return study_of(parse_code(typed, codes[0]))
    return find_study(connection, study_of(whole))


def record_of(entries: Sequence[Entry], as_of: date | None = None) -> StudySource:
    """Fold the entries of one study, as of a day where one is given.

    Raises
    ------
    AsOfTooEarlyError
        If the study was not stored by then.
    NewerEntryError
        If a newer version wrote one of them.
    """
    run = tuple(entries)
    if as_of is not None:
        zone = ZoneInfo(run[0].content["time_zone"])
        run = entries_as_of(entries, as_of, zone)
        if not run:
            stored = moment_at(parse_utc(entries[0].entered), zone)
            code = entries[0].subject.removeprefix(_KIND)
            raise AsOfTooEarlyError(code, as_of.isoformat(), stored.day.isoformat())
    _check_known(run)
    return StudySource(fold(run, *read_opening(run[0]), read_texts), run)


def _check_known(entries: Sequence[Entry]) -> None:
    for one in entries[1:]:
        if one.kind not in APPLY:
            raise NewerEntryError(f"{one.subject}/{one.position}", one.kind)


def load(connection: Connection, typed: str, as_of: date | None = None) -> StudySource:
    """Return a study of the workspace.

    Raises
    ------
    StabilityError
        If it is not known, or was not stored by the day asked for.
    """
    code = find_study(connection, typed)
    return record_of(journal.entries(connection, subject_of(code)), as_of)


def every_record(connection: Connection) -> Iterator[StudyRecord]:
    """Yield the record of every study, in the order of their codes."""
    for subject in study_subjects(connection):
        yield record_of(journal.entries(connection, subject)).record


def continue_study(connection: Connection, code: str) -> Continuation:
    """Return a study to which entries can be added, within a writing transaction."""
    book = continue_entries(journal.entries(connection, subject_of(code)))
    book.names = InstrumentNames(lambda: kinds_of(connection))
    return book


def continue_entries(entries: Sequence[Entry]) -> Continuation:
    """Return a study to which entries can be added, from its entries so far."""
    _check_known(entries)
    folding = Folding(entries[0], *read_opening(entries[0]), read_texts)
    for one in entries[1:]:
        folding.add(one)
    last = entries[-1]
    return Continuation(folding, Head(last.subject, last.position, last.digest))


def keep(connection: Connection, book: Continuation) -> None:
    """Store what was added to a study and bring the derived tables up to date."""
    attachment.keep_all(connection, book.files)
    journal.append_made(connection, book.added)
    derived.refresh(connection, book.record)


def is_folder(typed: str) -> bool:
    """Say whether a study is named by its folder rather than by its code."""
    path = Path(typed)
    named_as_path = any(sign in typed for sign in "/\\.")
    holds_study = (path / "study.toml").is_file() or (path / "journal.jsonl").is_file()
    return named_as_path or holds_study
