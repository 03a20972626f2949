"""Entries of storage places: found, worded, made and stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.model import content
from stability.model.entry import Draft, Entry
from stability.model.moment import utc_text
from stability.model.place import PlaceRecord, fold_place
from stability.model.place_words import happening_words
from stability.workflow.occasion import Occasion, person_of

if TYPE_CHECKING:
    from sqlalchemy import Connection


def words_of(at: Occasion, subject: str, entry: Entry) -> str:
    """Return what an entry of a place says, in one line."""
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        record = fold_place(entries_of_place(connection, subject))
    return f"{record.name} {happening_words(record.happenings[entry.position], record)}"


def find_place(at: Occasion, name: str) -> tuple[str, PlaceRecord]:
    """Return the subject that a name means, and the place as it is now."""
    from stability.records import places as store
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        subject = store.find_subject(store.place_subjects(connection), name)
        return subject, fold_place(entries_of_place(connection, subject))


def entries_of_place(connection: Connection, subject: str) -> tuple[Entry, ...]:
    """Return the entries of a place."""
    from stability.records import journal

    return journal.entries(connection, subject)


def draft_of(
    at: Occasion,
    of: tuple[str, PlaceRecord | None],
    kind: str,
    held: content.Content,
    done: str | None,
) -> Draft:
    """Return an entry to be, of a place or of one that is registered by it."""
    from stability.records.guards import checked_moment

    subject, place = of
    zone = at.local_zone() if place is None else place.zone
    person = person_of(at.person, None, at.environment_person, at.account)
    when = checked_moment(done, zone, at.now)
    return Draft(subject, kind, person, str(when), utc_text(at.now), held)


def append(connection: Connection, draft: Draft) -> Entry:
    """Store one entry, within a writing transaction."""
    from stability.records import journal

    return journal.append(connection, [draft])[0]
