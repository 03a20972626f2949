"""What a verb has written, told to the person who wrote it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stability.model.entry import Entry
    from stability.model.study_record import StudyRecord


@dataclass(frozen=True, slots=True)
class Written:
    """One entry that was stored."""

    #: Subject, such as study:HDC.
    subject: str
    #: Its position.
    position: int
    #: Its digest.
    digest: str
    #: Kind without its version, such as observed.
    kind: str
    #: What was written, in one line.
    text: str
    #: What the person should know besides.
    remarks: tuple[str, ...] = ()

    @property
    def reference(self) -> str:
        """Return how people name the entry: `HDC/12`."""
        return f"{self.subject.partition(':')[2]}/{self.position}"

    @property
    def anchor(self) -> str:
        """Return what proves later that the record passed through here."""
        return f"{self.subject}/{self.position}:{self.digest}"


def written(entry: Entry, text: str, remarks: tuple[str, ...] = ()) -> Written:
    """Return what was written as an entry."""
    kind = entry.kind.partition("/")[0]
    return Written(entry.subject, entry.position, entry.digest, kind, text, remarks)


def echo(record: StudyRecord, code: str, check: str | None = None) -> str:
    """Name a sample so that a wrong label is noticed: product, batch, condition."""
    sample = record.samples[code]
    parts = [
        f"{code} {record.study.product}",
        f"batch {sample.batch}",
        sample.pack,
        sample.condition,
        check,
    ]
    return ", ".join(part for part in parts if part)
