"""Bringing the derived tables of an earlier version up to date.

The journal stays as it is: its kinds are read for ever.
"""

from __future__ import annotations

from sqlalchemy import Connection

from stability.errors import StabilityError
from stability.records import derived, journal, store


def renew(connection: Connection) -> None:
    """Make the derived tables what this version works out.

    A study that cannot be read keeps the rows that it has, so that it keeps nobody
    from writing to the others; `verify` tells of it.

    Parameters
    ----------
    connection
        In a writing transaction.
    """
    derived.create_missing(connection)
    for subject in store.study_subjects(connection):
        try:
            record = store.record_of(journal.entries(connection, subject)).record
        except StabilityError:
            continue
        derived.refresh(connection, record)
