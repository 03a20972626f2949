"""A study as a folder: the archive with its journal, or one made by hand.

Made by hand it holds `study.toml` (with person, opened and time_zone), a protocol of
its own where study.toml names one, `instruments.csv` where readings name instruments,
and `events.csv`. Its rows become entries in the
order of the file, so that their digests are the same wherever it is read.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from stability.errors.archives import (
    ArchiveAttachmentError,
    StudyFolderError,
    ViewDiffersError,
)
from stability.errors.codes import MomentError
from stability.model import content
from stability.model.entry import Entry, chain
from stability.model.instrument import SUBJECT
from stability.model.instrument_content import INSTRUMENT_KINDS
from stability.model.moment import Moment, parse_moment
from stability.model.place_content import PLACE_KINDS
from stability.model.plain_text import checked_name
from stability.records import views
from stability.records.archive import ATTACHMENTS
from stability.records.archive_meaning import check_meaning
from stability.records.archive_reader import (
    Archive,
    differing_views,
    is_archive,
    read_archive,
    read_attachment,
)
from stability.records.attachment import Attachment, cited
from stability.records.event_rows import RowRules, add_rows
from stability.records.instrument_names import InstrumentNames
from stability.records.instrument_rows import COLUMNS as INSTRUMENT_COLUMNS
from stability.records.instrument_rows import instrument_entries
from stability.records.instruments import kinds_in
from stability.records.opening import NewStudy, new_study, opening_draft, read_text
from stability.records.rows import read_rows
from stability.records.store import continue_entries, record_of
from stability.records.subject_rows import SubjectRowRules

EVENTS: Final = "events.csv"
INSTRUMENTS: Final = "instruments.csv"
#: Kinds of entries that this version reads: of studies, instruments and places.
KINDS: Final = frozenset(
    {
        content.OPENED,
        content.OBSERVED,
        content.CORRECTED,
        content.INVALIDATED,
        content.INVALIDATED_PHOTOGRAPH,
        content.PLACED,
        content.RETIRED,
        content.MISSED,
        content.STOPPED,
        content.NOTED,
        content.DAY,
        content.RECEIVED,
        content.RECEIVED_FILE,
        content.LODGED,
        content.TAKEN_OVER,
        content.AMENDED,
        *INSTRUMENT_KINDS,
        *PLACE_KINDS,
        content.CERTIFIED,
        content.PHOTOGRAPHED,
        content.ANSWERED,
    }
)


@dataclass(frozen=True, slots=True)
class HandMade:
    """A folder made by hand, read."""

    #: Its entries from the opening on.
    entries: tuple[Entry, ...]
    #: Number of rows of events.csv.
    rows: int
    #: SHA-256 of events.csv as it is.
    sha256: str
    #: Files that its rows name.
    files: tuple[Attachment, ...] = ()
    #: Entries of the instruments of instruments.csv, in the order of its rows.
    instruments: tuple[Entry, ...] = ()


def entries_of_folder(folder: Path, now: datetime) -> tuple[Entry, ...]:
    """Return the entries of a study's folder without a workspace.

    Parameters
    ----------
    folder
        An archive, or one made by hand.
    now
        Nothing in it may lie later.

    Raises
    ------
    StabilityError
        If it is neither, or something in it does not hold.
    """
    if folder.is_file():
        reason = (
            "it is a file; open the study with 'stability start "
            f"{folder}', then name it by its code"
        )
        raise StudyFolderError(str(folder), reason)
    if is_archive(folder):
        archive = checked_archive(folder)
        subjects = _studies_in(archive)
        if len(subjects) != 1:
            count = len(subjects)
            reason = f"its journal tells of {count} studies; import it, then name one"
            raise StudyFolderError(str(folder), reason)
        return tuple(one for one in archive.entries if one.subject == subjects[0])
    return read_hand_made(folder, now).entries


def checked_archive(folder: Path) -> Archive:
    """Return an archive whose chains hold and whose views say what its journal says.

    Raises
    ------
    StabilityError
        If something in it was altered.
    """
    archive = read_archive(folder, KINDS)
    check_meaning(folder, archive.entries)
    expected: dict[str, str] = {}
    differing: list[str] = []
    for subject in _studies_in(archive):
        entries = [one for one in archive.entries if one.subject == subject]
        record = record_of(entries).record
        expected |= views.compared(record, entries, archive.entries)
        differing += [
            path
            for path, sha256 in views.photographs_in(record).items()
            if path in archive.views
            and hashlib.sha256(archive.views[path]).hexdigest() != sha256
        ]
    differing += differing_views(archive, expected)
    if differing:
        raise ViewDiffersError(str(folder), ", ".join(differing))
    there = {one.sha256 for one in archive.files}
    for sha256 in cited(archive.entries):
        if sha256 not in there:
            raise ArchiveAttachmentError(folder / ATTACHMENTS / sha256, "is missing")
    return archive


def read_hand_made(folder: Path, now: datetime) -> HandMade:
    """Read a folder made by hand.

    Parameters
    ----------
    folder
        With study.toml and events.csv.
    now
        Nothing in it may lie later.

    Raises
    ------
    StabilityError
        If a file is missing or holds what cannot be taken; all rows at once.
    """
    if not (folder / "study.toml").is_file():
        reason = "it holds neither journal.jsonl nor study.toml; name a study's folder"
        raise StudyFolderError(str(folder), reason)
    first = _opening(folder, new_study(folder / "study.toml", (), None))
    book = continue_entries([first])
    person = book.record.opening.person
    instruments = _instruments(folder, person, book.record.zone, now)
    book.names = InstrumentNames(lambda: kinds_in(instruments))
    events = folder / EVENTS
    raw = events.read_bytes() if events.is_file() else b""
    rows = read_rows(read_text(events), EVENTS) if raw else ()
    add_rows(
        book,
        rows,
        RowRules(
            file=f"{folder.name}/{EVENTS}",
            person=person,
            account=person,
            now=now,
            entered_is_done=True,
            accept_far=True,
            folder=folder,
        ),
    )
    digest = hashlib.sha256(raw).hexdigest()
    entries, files = (first, *book.added), tuple(book.files)
    return HandMade(entries, len(rows), digest, files, instruments)


def instruments_of_folder(folder: Path, now: datetime) -> tuple[Entry, ...]:
    """Return the entries of the instruments of a study's folder.

    Parameters
    ----------
    folder
        An archive, or one made by hand.
    now
        Nothing in it may lie later.

    Raises
    ------
    StabilityError
        As `entries_of_folder` does.
    """
    if not is_archive(folder):
        return read_hand_made(folder, now).instruments
    every = read_archive(folder, KINDS).entries
    return tuple(one for one in every if one.subject.startswith(SUBJECT))


def _instruments(
    folder: Path, person: str, zone: ZoneInfo, now: datetime
) -> tuple[Entry, ...]:
    path = folder / INSTRUMENTS
    if not path.is_file():
        return ()
    rules = SubjectRowRules(f"{folder.name}/{INSTRUMENTS}", person, zone, now)
    rows = read_rows(read_text(path), INSTRUMENTS, INSTRUMENT_COLUMNS)
    return instrument_entries(rows, rules)


def files_of_folder(folder: Path, now: datetime) -> Iterator[Attachment]:
    """Yield the files that the entries of a study's folder name, one at a time."""
    if not is_archive(folder):
        yield from read_hand_made(folder, now).files
        return
    archive = read_archive(folder, KINDS)
    wanted = set(cited(archive.entries))
    for file in archive.files:
        if file.sha256 in wanted:
            yield read_attachment(archive, file)


def receipt(made: HandMade, origin: str, person: str, now: datetime) -> Entry:
    """Return the last entry of a folder made by hand: who imported it, and when."""
    book = continue_entries(made.entries)
    zone = book.record.zone
    local = now.astimezone(zone).replace(microsecond=0)
    return book.add(
        content.RECEIVED,
        content.received(origin, made.rows, made.sha256),
        person=person,
        done=Moment(local.date(), local),
        entered=now,
    )


def _studies_in(archive: Archive) -> list[str]:
    subjects = dict.fromkeys(one.subject for one in archive.entries)
    return [one for one in subjects if one.startswith("study:")]


def _opening(folder: Path, new: NewStudy) -> Entry:
    """Return the opening of a folder made by hand, whose study file says it all."""
    study = new.study
    missing = [
        name
        for name, value in (
            ("code", None if new.code_allotted else study.code),
            ("person", study.person),
            ("opened", study.opened),
        )
        if not value
    ]
    if missing:
        reason = f"its study.toml does not state {', '.join(missing)}; add it"
        raise StudyFolderError(str(folder), reason)
    opened = parse_moment(study.opened or "", new.zone)
    if opened is None:
        raise MomentError(study.opened or "", "opened in study.toml is none")
    person = checked_name(study.person or "", "person in study.toml")
    stored = _stored(opened, new.zone)
    return chain([opening_draft(new, person, opened, stored)])[0]


def _stored(moment: Moment, zone: ZoneInfo) -> datetime:
    """Return when something was stored of which perhaps only the day is known: noon."""
    if moment.time is not None:
        return moment.time
    day = moment.day
    return datetime(day.year, day.month, day.day, 12, tzinfo=zone)
