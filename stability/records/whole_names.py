"""Whole names of instruments and storage places: a short name and four drawn signs.

People type `PH1` or `OVEN`; what is stored is `PH1-9XR2` or `OVEN-7KQ4`, so that those
of two makers never become one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection

from stability.errors import StabilityError
from stability.model.code import ALPHABET, SUFFIX_LENGTH
from stability.model.nearest import nearest
from stability.records import journal

_SHORT: Final = re.compile(r"[A-Z][A-Z0-9]{0,11}")
#: Makes an error from what was typed, and why or what it is.
_Error = Callable[[str, str], StabilityError]


@dataclass(frozen=True, slots=True)
class WholeNames:
    """How the subjects of one kind are named and found."""

    #: What stands before every name: `instrument:`.
    prefix: str
    #: For what can be no name.
    not_a_name: _Error
    #: For a name that none or several bear.
    unknown: _Error
    #: For a short name that one bears already.
    in_use: _Error

    def subject(self, name: str, suffix: str) -> str:
        """Return the subject of a new one.

        Raises
        ------
        StabilityError
            If name or suffix cannot be one.
        """
        short = name.strip().upper()
        if not _SHORT.fullmatch(short):
            reason = "it holds something else, or is too long"
            raise self.not_a_name(name, reason)
        end = suffix.strip().upper()
        if len(end) != SUFFIX_LENGTH or set(end) - set(ALPHABET):
            reason = f"a suffix has {SUFFIX_LENGTH} signs of {ALPHABET}"
            raise self.not_a_name(suffix, reason)
        return f"{self.prefix}{short}-{end}"

    def kept(self, connection: Connection) -> tuple[str, ...]:
        """Return the subjects of all in the workspace."""
        every = journal.subjects(connection)
        return tuple(one for one in every if one.startswith(self.prefix))

    def whole(self, subject: str) -> str:
        """Return the whole name of a subject."""
        return subject.removeprefix(self.prefix)

    def meant(self, subjects: Iterable[str], typed: str) -> tuple[str, ...]:
        """Return the subjects that a short or whole name, or a subject, may mean."""
        name = typed.strip().upper().removeprefix(self.prefix.upper())
        return tuple(
            one for one in subjects if name in {self.whole(one), self._short(one)}
        )

    def only(self, subjects: Sequence[str], typed: str) -> str:
        """Return the one subject that a name means.

        Raises
        ------
        StabilityError
            If none or several are meant.
        """
        meant = self.meant(subjects, typed)
        if len(meant) == 1:
            return meant[0]
        if meant:
            codes = " and ".join(map(self.whole, meant))
            reason = f"{codes} bear this name; type the whole of it"
        else:
            known = [self._short(one) for one in subjects]
            close = nearest(typed.strip().upper(), known)
            reason = f"did you mean {' or '.join(close)}" if close else "none is known"
        raise self.unknown(typed, reason)

    def refuse_known(self, subjects: Iterable[str], name: str) -> None:
        """Refuse a short name that one has already.

        Raises
        ------
        StabilityError
            If one has.
        """
        for one in self.meant(subjects, name):
            raise self.in_use(name.strip().upper(), self.whole(one))

    def _short(self, subject: str) -> str:
        return self.whole(subject)[: -SUFFIX_LENGTH - 1]
