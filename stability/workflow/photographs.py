"""Verbs of photographs: taken in with `log`, listed, written out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.photographs import PhotographFolderError
from stability.model import content
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load_as_of
from stability.workflow.writing import Act
from stability.workflow.written import echo

if TYPE_CHECKING:
    from stability.evaluation.photograph_findings import PhotographSeen  # noqa: TC004
    from stability.model.moment import Moment
    from stability.model.study import Sample
    from stability.records.continuation import Continuation
    from stability.records.photographing import Shown

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["PhotographSeen"]


@dataclass(frozen=True, slots=True)
class PhotographsWritten:
    """Photographs written out as files."""

    #: The folder.
    folder: Path
    #: Names of the files in it.
    names: tuple[str, ...]


def photograph_acts(
    book: Continuation,
    sample: Sample,
    check: str | None,
    shown: Sequence[Shown],
    done: Moment,
) -> Iterator[Act]:
    """Yield the entries of photographs; their cleaned copies are kept with them.

    Parameters
    ----------
    book
        The study.
    sample, check
        What they show, and to which check they belong; None: to none.
    shown
        The photographs as read.
    done
        When they were taken, as stated.

    Raises
    ------
    StabilityError
        If one cannot be taken.
    """
    from stability.records.photographing import photograph

    for one in shown:
        taken = photograph(book, sample, check, one, done)
        book.files.append(taken.file)
        text = f"{echo(book.plan, sample.code, check or 'extra')}: {taken.text}"
        yield Act(content.PHOTOGRAPHED, taken.held, done, text, taken.remarks)


def photographs(
    at: Occasion,
    study: str,
    *,
    sample: str | None = None,
    check: str | None = None,
    condition: str | None = None,
    as_of: str | None = None,
) -> tuple[PhotographSeen, ...]:
    """Return the photographs of a study with the age of what they show.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    sample, check, condition
        Narrow what is returned; None does not.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If a study, name or day is not known.
    """
    from stability.evaluation.index import index_of
    from stability.evaluation.photographs import photographs_of
    from stability.records.acts import find_check
    from stability.records.guards import resolve_sample
    from stability.records.names import find_name

    source, day = load_as_of(at, study, as_of)
    record = source.record
    protocol = record.protocol
    code = resolve_sample(record, sample).code if sample else None
    place = (
        find_name(condition, protocol.conditions, "condition") if condition else None
    )
    planned = find_check(check, ("T0", *protocol.all_checks())) if check else None
    return tuple(
        one
        for one in photographs_of(index_of(record, day))
        if code in {None, one.sample.code}
        and place in {None, one.sample.condition}
        and planned in {None, one.kept.check}
    )


def write_out(
    at: Occasion, study: str, chosen: Sequence[PhotographSeen], folder: Path
) -> PhotographsWritten:
    """Write photographs as files into a new folder, whole or not at all.

    Those that were set aside stay where they are kept: they may show another sample.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    chosen
        Those to be written.
    folder
        A new folder.

    Raises
    ------
    StabilityError
        If nothing was chosen, something stands there, or it cannot be written.
    """
    from stability.records.archive import write_folder

    chosen = [one for one in chosen if one.kept.invalidated is None]
    if not chosen:
        raise PhotographFolderError(folder, "none is kept of what was asked for")
    copies = copies_of(at, study, [one.kept.sha256 for one in chosen])
    files = {one.kept.name: copies[one.kept.sha256] for one in chosen}
    write_folder(folder, files)
    return PhotographsWritten(folder, tuple(files))


def copies_of(at: Occasion, study: str, digests: Sequence[str]) -> Mapping[str, bytes]:
    """Return SHA-256 -> bytes of cleaned copies; the connection is closed again.

    Raises
    ------
    StabilityError
        If one is not kept, or not as it was.
    """
    from stability.records import attachment, store
    from stability.records.database import open_database
    from stability.records.study_folder import files_of_folder

    wanted = set(digests)
    if not wanted:
        return {}
    if store.is_folder(study):
        return {
            one.file.sha256: one.content
            for one in files_of_folder(Path(study), at.now)
            if one.file.sha256 in wanted
        }
    with open_database(at.records).reading() as connection:
        return {one: attachment.fetch(connection, one).content for one in wanted}
