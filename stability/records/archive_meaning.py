"""Whether the entries of an archive tell something, whoever wrote them.

Digests show that nothing was changed since; they do not show that a program which
knows these kinds wrote them. What cannot be read must not be taken in, because nothing
is ever taken out again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from stability.errors.archives import ArchiveEntryError
from stability.model import instrument, place
from stability.model.entry import Entry
from stability.model.instrument import fold_instrument
from stability.model.place import fold_place
from stability.records.store import record_of
from stability.records.views import observations_csv

#: What reading an entry raises that holds other than what its kind holds.
_UNREADABLE = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)


def check_meaning(folder: Path, entries: Sequence[Entry]) -> None:
    """Refuse entries that cannot be read.

    Parameters
    ----------
    folder
        Where they stand, for the message.
    entries
        Of any subjects, each whole.

    Raises
    ------
    ArchiveEntryError
        If one holds other than what its kind holds; it names the first.
    """
    chains: dict[str, list[Entry]] = {}
    for one in entries:
        chains.setdefault(one.subject, []).append(one)
    for subject, chain in chains.items():
        fold = _fold(subject)
        if fold is None:
            raise ArchiveEntryError(
                folder, f"{subject}/1", "nobody knows what it is of"
            )
        if (fault := _fault(fold, chain)) is not None:
            first = _first(fold, chain)
            raise ArchiveEntryError(folder, f"{subject}/{first}", fault)


def _fold(subject: str) -> Callable[[Sequence[Entry]], object] | None:
    if subject.startswith("study:"):
        return _read_study
    if subject.startswith(place.SUBJECT):
        return fold_place
    return fold_instrument if subject.startswith(instrument.SUBJECT) else None


def _read_study(chain: Sequence[Entry]) -> None:
    """Read a study with all that its observations name."""
    record = record_of(chain).record
    observations_csv(record)
    protocols = [one.protocol_before for one in record.amendments]
    attributes = {
        name: one
        for protocol in (*protocols, record.protocol)
        for name, one in protocol.attributes.items()
    }
    for seen in record.observations:
        measured = attributes[seen.attribute].kind == "measured"
        texts = [one.value for one in seen.readings] + [seen.unit]
        if not all(isinstance(one, str) for one in texts):
            raise TypeError("a reading or its unit is no text")
        if measured and not all(one.number.is_finite() for one in seen.readings):
            raise ValueError("a reading is no number")


def _fault(
    fold: Callable[[Sequence[Entry]], object], chain: Sequence[Entry]
) -> str | None:
    """Return why entries cannot be read; None where they can."""
    try:
        fold(chain)
    except _UNREADABLE as error:
        return f"{type(error).__name__}: {error}"
    return None


def _first(fold: Callable[[Sequence[Entry]], object], chain: Sequence[Entry]) -> int:
    """Return the position of the first entry that cannot be read."""
    low, high = 1, len(chain)
    while low < high:
        middle = (low + high) // 2
        if _fault(fold, chain[:middle]) is None:
            low = middle + 1
        else:
            high = middle
    return low
