"""Verbs that move, keep and prove the record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from stability.errors import StabilityError
from stability.errors.archives import DivergingRecordError
from stability.workflow.around import chains_of
from stability.workflow.around_places import places_of
from stability.workflow.awaited import awaited_differs
from stability.workflow.entry_words import entry_words
from stability.workflow.occasion import Occasion, person_of
from stability.workflow.photographs import copies_of
from stability.workflow.sources import entries_of
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.model.entry import Anchor, Entry
    from stability.records.archive_intake import Intake
    from stability.records.archive_reader import Archive
    from stability.records.attachment import Attachment
    from stability.records.study_folder import HandMade
    from stability.records.verify import Verification  # noqa: TC004

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["Verification"]

Outcome = Literal["new", "continues", "contained"]


@dataclass(frozen=True, slots=True)
class Imported:
    """What became of a folder that was imported."""

    #: All was new, the folder went on from our record, or we had it all.
    outcome: Outcome
    #: Subjects of the folder.
    subjects: tuple[str, ...]
    #: How many entries were stored.
    entries: int
    #: The receipt of a folder made by hand; empty for an archive.
    written: tuple[Written, ...]
    #: Subject, position and digest of the last entry of each subject.
    anchors: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Exported:
    """An archive that was written."""

    #: The folder.
    target: Path
    #: Study code.
    study: str
    #: How many entries it holds.
    entries: int
    #: The files in it.
    files: tuple[str, ...]
    #: Subject, position and digest of the last entry.
    anchors: tuple[str, ...]


def import_(at: Occasion, folder: Path) -> Imported:
    """Take a study's folder into the workspace: all of it that is new, or nothing.

    Raises
    ------
    StabilityError
        If the folder was altered, holds what cannot be taken, or tells another story
        than our record; nothing was written.
    """
    from stability.records.archive_reader import is_archive
    from stability.records.study_folder import checked_archive, read_hand_made

    if is_archive(folder):
        return _import_archive(at, checked_archive(folder))
    return _import_hand_made(at, folder, read_hand_made(folder, at.now))


def export(at: Occasion, study: str, target: Path) -> Exported:
    """Write a study as an archive: its journal, and views of it for people.

    The instruments that its readings name and the storage places go with it, each
    whole, with the files of their loggers.

    Raises
    ------
    StabilityError
        If the study is not known or the folder cannot be written.
    """
    from stability.records import store
    from stability.records.archive import write_archive
    from stability.records.attachment import cited
    from stability.records.store import record_of
    from stability.records.views import photographs_in, views_of

    entries = entries_of(at, study)
    record = record_of(entries).record
    photographs = photographs_in(record)
    copies = copies_of(at, study, list(photographs.values()))
    places = places_of(at, study, record, with_files=False)
    beside = (*chains_of(at, study, record).values(), *places.chains.values())
    others = [one for chain in beside for one in chain]
    every = [*entries, *others]
    views: dict[str, str | bytes] = {
        **views_of(record, entries, others),
        **{path: copies[sha256] for path, sha256 in photographs.items()},
    }
    with _files(at, study, every) as files:
        beside_files = places.files.values() if store.is_folder(study) else ()
        write_archive(target, every, _once(files, beside_files), views)
    return Exported(
        target=target,
        study=record.study.code,
        entries=len(every),
        files=("journal.jsonl", *sorted(views), *cited(every)),
        anchors=(str(record.head), *(_anchor(chain[-1]) for chain in beside)),
    )


def verify(
    at: Occasion,
    folder: Path | None = None,
    against: Sequence[str] = (),
    progress: Callable[[int, int], None] | None = None,
    *,
    rebuild: bool = False,
) -> Verification:
    """Hold the record against its links, the derived tables, and anchors.

    Parameters
    ----------
    at
        The occasion.
    folder
        An archive that is verified instead of the workspace.
    against
        Anchors as printed, or files that carry them.
    progress
        Called with the entries read and the entries there are.
    rebuild
        Whether to work the derived tables of every study out anew, not only of those
        whose rows are not what the last command that wrote left there.

    Raises
    ------
    StabilityError
        If there is nothing to verify, or an anchor cannot be read.
    """
    from stability.records.anchors import anchors_from
    from stability.records.verify import verify as verified

    anchors: list[Anchor] = [one for text in against for one in anchors_from(text)]
    with _to_verify(at, folder) as connection:
        return verified(
            connection,
            anchors=anchors,
            derived_differences=lambda: _differences(connection, rebuild=rebuild),
            progress=progress,
        )


@contextmanager
def _files(
    at: Occasion, study: str, entries: Sequence[Entry]
) -> Iterator[Iterable[Attachment]]:
    """Give the files that entries name, read one at a time."""
    from stability.records import attachment, store
    from stability.records.database import open_database
    from stability.records.study_folder import files_of_folder

    if store.is_folder(study):
        yield files_of_folder(Path(study), at.now)
        return
    with open_database(at.records).reading() as connection:
        yield (attachment.fetch(connection, one) for one in attachment.cited(entries))


def _once(*given: Iterable[Attachment]) -> Iterator[Attachment]:
    """Yield files one at a time, each once."""
    seen: set[str] = set()
    for files in given:
        for one in files:
            if one.file.sha256 not in seen:
                seen.add(one.file.sha256)
                yield one


def _import_archive(at: Occasion, archive: Archive) -> Imported:
    from stability.records import derived, journal
    from stability.records.archive_intake import take_in
    from stability.records.database import open_database
    from stability.records.store import record_of

    with open_database(at.records, create=True).writing() as connection:
        taken = take_in(connection, archive)
        for one in taken:
            if one.taken and one.subject.startswith("study:"):
                entries = journal.entries(connection, one.subject)
                derived.refresh(connection, record_of(entries).record)
    outcomes = {one.outcome for one in taken}
    outcome = next(one for one in ("new", "continues", "contained") if one in outcomes)
    return Imported(
        outcome=outcome,
        subjects=tuple(one.subject for one in taken),
        entries=sum(one.taken for one in taken),
        written=(),
        anchors=tuple(str(one.head) for one in taken),
    )


def _import_hand_made(at: Occasion, folder: Path, made: HandMade) -> Imported:
    from stability.records import derived, journal
    from stability.records.archive_intake import take_in_entries
    from stability.records.attachment import keep_all
    from stability.records.database import open_database
    from stability.records.place_chains import places_of_hand_made
    from stability.records.store import record_of
    from stability.records.study_folder import receipt
    from stability.statistics.logger_file import recognise_logger

    subject = made.entries[0].subject
    person = person_of(at.person, None, at.environment_person, at.account)
    last = receipt(made, folder.resolve().name, person, at.now)
    record = record_of((*made.entries, last)).record
    places = places_of_hand_made(folder, at.now, record, recognise_logger)
    beside = (*made.instruments, *places.entries)
    with open_database(at.records, create=True).writing() as connection:
        ours = journal.entries(connection, subject)
        if ours:
            _refuse_other(ours, made.entries)
            keep_all(connection, places.files)
            return _contained(ours[-1], take_in_entries(connection, beside))
        entries = (*made.entries, last)
        keep_all(connection, (*made.files, *places.files))
        journal.append_chained(connection, entries)
        derived.refresh(connection, record)
        others = take_in_entries(connection, beside)
    told = (written(last, entry_words(last)),)
    subjects = (subject, *(one.subject for one in others))
    anchors = (_anchor(last), *(str(one.head) for one in others))
    taken = len(entries) + sum(one.taken for one in others)
    return Imported("new", subjects, taken, told, anchors)


def _contained(last: Entry, others: Sequence[Intake]) -> Imported:
    """Return what became of a folder whose study we have already."""
    taken = sum(one.taken for one in others)
    return Imported(
        outcome="continues" if taken else "contained",
        subjects=(last.subject, *(one.subject for one in others)),
        entries=taken,
        written=(),
        anchors=(_anchor(last), *(str(one.head) for one in others)),
    )


def _refuse_other(ours: Sequence[Entry], theirs: Sequence[Entry]) -> None:
    """Refuse a folder that is not contained in our record."""
    for place, one in enumerate(theirs):
        if place >= len(ours) or ours[place].digest != one.digest:
            raise DivergingRecordError(one.subject, place + 1)


def _anchor(entry: Entry) -> str:
    return f"{entry.subject}/{entry.position}:{entry.digest}"


@contextmanager
def _to_verify(at: Occasion, folder: Path | None) -> Iterator[Connection]:
    """Give the workspace, or an archive taken into one that is thrown away."""
    import tempfile

    from stability.records.database import open_database
    from stability.records.study_folder import checked_archive

    if folder is None:
        with open_database(at.records).reading() as connection:
            yield connection
        return
    archive = checked_archive(folder)
    with tempfile.TemporaryDirectory() as temporary:
        records = Path(temporary, "archive.db")
        _import_archive(replace(at, records=str(records)), archive)
        with open_database(records).reading() as connection:
            yield connection


def _differences(connection: Connection, *, rebuild: bool) -> tuple[str, ...]:
    from stability.records import derived, journal, store
    from stability.records.opening import subject_of

    subjects = store.study_subjects(connection)
    codes = [one.partition(":")[2] for one in subjects]
    found = list(derived.strangers(connection, codes))
    held = derived.comparable if rebuild else derived.doubtful
    for code in held(connection, codes):
        try:
            entries = journal.entries(connection, subject_of(code))
            record = store.record_of(entries).record
        except StabilityError as fault:
            found.append(f"the derived tables of {code} cannot be compared: {fault}")
        else:
            found += derived.differences(connection, [record])
    for code in codes:
        found += awaited_differs(connection, code, rebuild=rebuild)
    return tuple(found)
