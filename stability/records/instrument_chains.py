"""The instruments that a study names, with all that is recorded of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from sqlalchemy import Connection

from stability.model.entry import Entry
from stability.model.instrument import SUBJECT
from stability.model.study_record import StudyRecord
from stability.model.surroundings import INSTRUMENT, Surroundings
from stability.records import journal
from stability.records.instruments import as_of, instrument_subjects, meant_subjects

#: Subject -> all its entries.
Chains = Mapping[str, Sequence[Entry]]


def cited(record: StudyRecord) -> tuple[str, ...]:
    """Return the names of instruments as the observations of a study state them."""
    stated = (seen.settings.get(INSTRUMENT) for seen in record.observations)
    return tuple(dict.fromkeys(name for name in stated if name))


def chains_in(entries: Iterable[Entry], record: StudyRecord) -> Chains:
    """Return the chains of the instruments that a study names, from entries of any."""
    found: dict[str, list[Entry]] = {}
    for one in entries:
        if one.subject.startswith(SUBJECT):
            found.setdefault(one.subject, []).append(one)
    return {subject: found[subject] for subject in _meant(found, record)}


def chains_kept(connection: Connection, record: StudyRecord) -> Chains:
    """Return the chains of the instruments that a study names, from the workspace."""
    if not cited(record):
        return {}
    subjects = _meant(instrument_subjects(connection), record)
    return {one: journal.entries(connection, one) for one in subjects}


def around(chains: Chains, record: StudyRecord, day: date) -> Surroundings:
    """Return instruments as they were stored by the end of a day in a study's zone.

    Parameters
    ----------
    chains
        Of the instruments that the study names.
    record
        The study.
    day
        The day.
    """
    found = (as_of(entries, day, record.zone) for entries in chains.values())
    return Surroundings({one.code: one for one in found if one is not None})


def _meant(subjects: Iterable[str], record: StudyRecord) -> list[str]:
    known = tuple(subjects)
    meant = (meant_subjects(known, name) for name in cited(record))
    return sorted({one for some in meant for one in some})
