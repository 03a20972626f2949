"""A study kept in memory between writes, so that an answer costs no second reading.

Each write takes the lock of all writers and looks at the head of the study's chain
first: where another bench has added entries, the study is read anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING

from stability.workflow.occasion import Occasion
from stability.workflow.writing import Act, add_acts
from stability.workflow.written import Written

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.records.continuation import Continuation


class KeptStudy:
    """One study of a workspace, folded once and continued with each write.

    Parameters
    ----------
    records
        Path or address of the workspace.
    study
        Study code as typed.

    Raises
    ------
    StabilityError
        If the workspace cannot be read or has no such study.
    """

    def __init__(self, records: str, study: str) -> None:
        from stability.records.database import open_database
        from stability.records.store import continue_study, find_study

        self._database = open_database(records)
        with self._database.reading() as connection:
            self.code = find_study(connection, study)
            self._book: Continuation | None = continue_study(connection, self.code)

    @property
    def book(self) -> Continuation:
        """Return the study as it stood when it was last read or written."""
        if self._book is None:
            from stability.records.store import continue_study

            with self._database.reading() as connection:
                self._book = continue_study(connection, self.code)
        return self._book

    def write(
        self, at: Occasion, acts: Callable[[Continuation], Iterable[Act]]
    ) -> tuple[Written, ...]:
        """Store acts, all or none, and keep the study with them.

        Parameters
        ----------
        at
            The occasion.
        acts
            Yields what is to be stored, checked against the study as it stands now.

        Raises
        ------
        StabilityError
            As what it calls; then nothing was stored.
        """
        from stability.records.store import keep

        try:
            with self._database.writing() as connection:
                book = self._current(connection)
                found = add_acts(at, book, acts(book))
                keep(connection, book)
        except BaseException:
            # What was added to the book but not stored must not be answered from.
            if self._book is not None and (self._book.added or self._book.files):
                self._book = None
            raise
        book.added.clear()
        book.files.clear()
        return found

    def _current(self, connection: Connection) -> Continuation:
        from stability.records import journal
        from stability.records.instrument_names import InstrumentNames
        from stability.records.instruments import kinds_of
        from stability.records.store import continue_study

        if self._book is not None:
            head = self._book.head
            if journal.head(connection, head.subject) == head:
                # Instruments are looked up by the connection that is open now.
                self._book.names = InstrumentNames(partial(kinds_of, connection))
                return self._book
        self._book = continue_study(connection, self.code)
        return self._book
