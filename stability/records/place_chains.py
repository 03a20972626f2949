"""The storage places that a study names, with all that is recorded of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection

from stability.model.entry import Entry
from stability.model.place import SUBJECT
from stability.model.study_record import StudyRecord
from stability.model.surroundings import Surroundings
from stability.records import attachment, journal
from stability.records.archive_reader import is_archive, read_archive, read_attachment
from stability.records.attachment import Attachment
from stability.records.opening import read_text
from stability.records.place_rows import (
    COLUMNS,
    HandMadePlaces,
    PlaceRowRules,
    Recognise,
    place_entries,
)
from stability.records.places import as_of, meant_subjects, place_subjects
from stability.records.rows import read_rows

#: Storage places of a folder made by hand.
PLACES = "places.csv"


@dataclass(frozen=True, slots=True)
class PlaceChains:
    """Storage places that a study names."""

    #: Subject -> all its entries.
    chains: Mapping[str, Sequence[Entry]] = field(default_factory=dict)
    #: SHA-256 -> file of a logger as received.
    files: Mapping[str, Attachment] = field(default_factory=dict)


def cited(record: StudyRecord) -> tuple[str, ...]:
    """Return the names of places as study file and placings state them."""
    stated = [one.place for one in record.placings]
    return tuple(dict.fromkeys(one for one in (*stated, *_planned(record)) if one))


def _planned(record: StudyRecord) -> Iterable[str]:
    used = {one.condition for one in record.samples.values()}
    places = record.study.places.items()
    return (name for condition, name in places if condition in used)


def chains_kept(
    connection: Connection, record: StudyRecord, *, with_files: bool = True
) -> PlaceChains:
    """Return the places that a study names, from the workspace.

    Parameters
    ----------
    connection
        To the workspace.
    record
        The study.
    with_files
        Whether to read the files of loggers too.
    """
    if not cited(record):
        return PlaceChains()
    subjects = _meant(place_subjects(connection), record)
    chains = {one: journal.entries(connection, one) for one in subjects}
    named = attachment.cited(one for chain in chains.values() for one in chain)
    files = {}
    if with_files:
        files = {one: attachment.fetch(connection, one) for one in named}
    return PlaceChains(chains, files)


def chains_of_folder(
    folder: Path, now: datetime, record: StudyRecord, recognise: Recognise
) -> PlaceChains:
    """Return the places that a study names, from its folder.

    Parameters
    ----------
    folder
        An archive, or one made by hand.
    now
        Nothing in it may lie later.
    record
        The study.
    recognise
        Reads the file of a logger.

    Raises
    ------
    StabilityError
        If something in it does not hold.
    """
    if not is_archive(folder):
        made = places_of_hand_made(folder, now, record, recognise)
        entries, every = made.entries, {one.file.sha256: one for one in made.files}
    else:
        archive = read_archive(folder)
        entries = archive.entries
        wanted = set(attachment.cited(one for one in entries if _is_place(one)))
        every = {
            one.sha256: read_attachment(archive, one)
            for one in archive.files
            if one.sha256 in wanted
        }
    of: dict[str, list[Entry]] = {}
    for one in entries:
        if _is_place(one):
            of.setdefault(one.subject, []).append(one)
    chains = {subject: of[subject] for subject in _meant(of, record)}
    return PlaceChains(chains, every)


def places_of_hand_made(
    folder: Path, now: datetime, record: StudyRecord, recognise: Recognise
) -> HandMadePlaces:
    """Return the storage places of a folder made by hand.

    Parameters
    ----------
    folder, now, record, recognise
        As in `chains_of_folder`.

    Raises
    ------
    StabilityError
        With every fault of every row.
    """
    path = folder / PLACES
    if not path.is_file():
        return HandMadePlaces()
    rules = PlaceRowRules(
        file=f"{folder.name}/{PLACES}",
        person=record.opening.person,
        zone=record.zone,
        now=now,
        folder=folder,
        recognise=recognise,
    )
    return place_entries(read_rows(read_text(path), PLACES, COLUMNS), rules)


def with_places(
    around: Surroundings, found: PlaceChains, record: StudyRecord, day: date
) -> Surroundings:
    """Return surroundings with places as they were stored by the end of a day.

    Parameters
    ----------
    around
        What else the study rests on.
    found
        The places that it names.
    record
        The study.
    day
        The day, in the study's zone.
    """
    places = [as_of(chain, day, record.zone) for chain in found.chains.values()]
    return replace(
        around,
        places={one.code: one for one in places if one is not None},
        files={sha256: one.content for sha256, one in found.files.items()},
    )


def _is_place(entry: Entry) -> bool:
    return entry.subject.startswith(SUBJECT)


def _meant(subjects: Iterable[str], record: StudyRecord) -> list[str]:
    known = tuple(subjects)
    meant = (meant_subjects(known, name) for name in cited(record))
    return sorted({one for some in meant for one in some})
