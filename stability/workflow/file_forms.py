"""How a file of readings is to be read, and what became of its rows."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.entry import Entry
from stability.workflow.entry_words import entry_words, sample_in
from stability.workflow.written import Written, written


@dataclass(frozen=True, slots=True)
class FileForms:
    """How a file is to be read, as typed."""

    #: Study of short codes; None where the file tells it.
    study: str | None = None
    #: Sample of all its rows; None where the rows tell it.
    sample: str | None = None
    #: Sheet of a workbook; None for the only one, or all of a workbook of ours.
    sheet: str | None = None
    #: Whether numbers are written with a decimal comma.
    decimal_comma: bool = False
    #: Order of day, month and year: dmy, mdy or ymd; None where the days tell it.
    dates: str | None = None


@dataclass(frozen=True, slots=True)
class LoggedFile:
    """What was stored of a file."""

    #: Entry that was stored and its remarks, in the order of the rows.
    entries: tuple[tuple[Entry, tuple[str, ...]], ...]
    #: The receipt of the file, one a study; none where nothing was new.
    receipts: tuple[Written, ...]
    #: How many rows say what is stored already [-].
    known: int
    #: What the person should know besides.
    remarks: tuple[str, ...]

    @property
    def rows(self) -> tuple[Written, ...]:
        """Return the entries in words."""
        return tuple(
            written(entry, told(entry), remarks) for entry, remarks in self.entries
        )


def told(entry: Entry) -> str:
    """Return what an entry says, with its sample before it."""
    sample = sample_in(entry)
    return f"{sample}: {entry_words(entry)}" if sample else entry_words(entry)


@dataclass(frozen=True, slots=True)
class ForeseenRow:
    """What would become of one row."""

    #: Where it stands in the file.
    where: str
    #: What it says; "" for what is stored already.
    text: str
    #: When it was done, as stored.
    done: str
    #: Value, limit and mark; "" where nothing is judged.
    mark: str
    #: Entry that says it already; None where it is new.
    stands_as: str | None
    #: What the person should know.
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ForeseenFile:
    """What would be stored of a file."""

    #: Name of the file.
    file: str
    #: Its SHA-256.
    sha256: str
    #: Row by row.
    rows: tuple[ForeseenRow, ...]
    #: What would be asked before it is stored.
    questions: tuple[str, ...]
    #: What the person should know besides.
    remarks: tuple[str, ...]
