"""Verifying the record: whether every entry follows from the one before it.

Inside the chain, a changed, inserted, reordered or removed entry shows by itself. What
was cut off at the end, or rewritten from some entry on with all links made anew, shows
only against an anchor: a position with its digest, or a number with its seal, that was
printed or sent elsewhere before. Without one, verifying cannot prove that nothing is
missing at the end; with one, it proves the record up to that anchor and no further. It
says nothing about whether what was typed was true.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final, Literal

from sqlalchemy import Connection, Row, func, select

from stability.errors.archives import LineFormError
from stability.errors.database import ChangedAttachmentError
from stability.model.entry import Anchor, Head, WorkspaceHead, entry_from_line, link
from stability.records import attachment as attachments
from stability.records.flaw import (
    Flaw,
    chain_flaw,
    claims_place,
    seal_flaw,
)
from stability.records.tables import entry, missing_guards

#: For printing beside every result.
WHAT_IT_CANNOT_PROVE: Final = (
    "Verifying shows entries that were changed, inserted, reordered or removed inside "
    "the record. It cannot show, by itself, that the last entries were cut off or that "
    "the whole record was written anew: compare it with a position and digest printed "
    "earlier (--against a report, sheet, archive or backup). It cannot show whether "
    "what was typed was true."
)

_STREAMED = {"yield_per": 1000}
_ENTERED = ',"entered":"'
_ATTACHMENT = re.compile(r'"attachment":"([0-9a-f]{64})"')

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class ClockStep:
    """An entry stored at an earlier time than the one before it: a caution only."""

    #: Entry, such as study:HDC/12.
    where: str
    #: When it says it was stored (UTC).
    entered: str
    #: When the entry before it was stored (UTC).
    before: str


@dataclass(frozen=True, slots=True)
class Verification:
    """What verifying found."""

    #: How many entries were read.
    entries: int
    #: How many attachments were read.
    attachments: int
    #: Last entry of the workspace; None in an empty one.
    head: WorkspaceHead | None
    #: Last entry of each subject, in the order of their names.
    heads: tuple[Head, ...]
    #: Anchors that the record passes through.
    anchors_held: tuple[Anchor, ...]
    #: What does not hold, the first entry first.
    flaws: tuple[Flaw, ...]
    #: Where the clock stepped back; no flaw.
    clock_steps: tuple[ClockStep, ...]

    @property
    def holds(self) -> bool:
        """Say whether nothing is wrong."""
        return not self.flaws


@dataclass(slots=True)
class _Walk:
    """What has been seen so far of the journal."""

    anchors: tuple[Anchor, ...]
    number: int = 0
    seal: str = ""
    heads: dict[str, tuple[int, str]] = field(default_factory=dict)
    entered: dict[str, str] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)
    broken_seal: int | None = None
    gap: tuple[int, int] | None = None
    seen: dict[Anchor, str] = field(default_factory=dict)
    wanted: dict[str, tuple[str, int]] = field(default_factory=dict)
    steps: list[ClockStep] = field(default_factory=list)


def verify(
    connection: Connection,
    *,
    anchors: Iterable[Anchor] = (),
    derived_differences: Callable[[], Iterable[str]] | None = None,
    progress: Progress | None = None,
) -> Verification:
    """Hold the whole record against its links, and against anchors.

    Parameters
    ----------
    connection
        To the workspace; one reading transaction sees one state.
    anchors
        Positions with digests, or numbers with seals, known from elsewhere.
    derived_differences
        Rebuilds the derived tables apart and tells in words where they differ from
        those that are kept; None leaves them out.
    progress
        Called with the entries read and the entries there are.

    Returns
    -------
    Verification
        With every flaw found; the first entry that does not hold comes first.
    """
    walk = _Walk(tuple(anchors))
    total = connection.scalar(select(func.max(entry.c.number))) or 0
    _walk_entries(connection, walk, total, progress)
    flaws = [
        *_inner_flaws(connection, walk),
        *_anchor_flaws(walk),
        *_attachment_flaws(connection, walk),
        *(Flaw(None, name, "unguarded") for name in missing_guards(connection)),
    ]
    if derived_differences is not None:
        flaws += [Flaw(None, text, "derived") for text in derived_differences()]
    return Verification(
        entries=connection.scalar(select(func.count()).select_from(entry)) or 0,
        attachments=len(attachments.kept_files(connection)),
        head=WorkspaceHead(walk.number, walk.seal) if walk.number else None,
        heads=tuple(
            Head(subject, *walk.heads[subject]) for subject in sorted(walk.heads)
        ),
        anchors_held=tuple(_held(walk)),
        flaws=tuple(flaws),
        clock_steps=tuple(walk.steps),
    )


def _walk_entries(
    connection: Connection, walk: _Walk, total: int, progress: Progress | None
) -> None:
    query = select(
        entry.c.number,
        entry.c.subject,
        entry.c.position,
        entry.c.line,
        entry.c.digest,
        entry.c.seal,
    ).order_by(entry.c.number)
    rows = connection.execute(query, execution_options=_STREAMED)
    done = 0
    for part in rows.partitions():
        for row in part:
            _walk_one(walk, row)
        done += len(part)
        if progress is not None:
            progress(done, total)


def _walk_one(walk: _Walk, row: Row[int, str, int, str, str, str]) -> None:
    """Hold one entry against the one before it of its subject and of the workspace."""
    number, subject, position, line, digest, seal = row
    if number != walk.number + 1 and walk.gap is None:
        walk.gap = (walk.number + 1, number - 1)
        walk.broken_seal = walk.broken_seal or number
    if walk.broken_seal is None and link(walk.seal, digest) != seal:
        walk.broken_seal = number
    walk.number, walk.seal = number, seal

    before, last = walk.heads.get(subject, (0, ""))
    if not (
        position == before + 1
        and claims_place(line, subject, position)
        and link(last, line) == digest
    ):
        walk.broken.add(subject)
    walk.heads[subject] = (position, digest)
    _look_at(walk, number, subject, position, line)
    if walk.anchors:
        _pass_anchors(walk, row)


def _look_at(walk: _Walk, number: int, subject: str, position: int, line: str) -> None:
    """Note when an entry was stored and which attachments it names."""
    begin = line.rfind(_ENTERED) + len(_ENTERED)
    entered = line[begin : begin + 20]
    before = walk.entered.get(subject, "")
    if entered < before:
        walk.steps.append(ClockStep(f"{subject}/{position}", entered, before))
    walk.entered[subject] = entered
    named = _ATTACHMENT.findall(line) if '"attachment":"' in line else []
    # Only a line that may name a file is decoded: that costs more than all the rest.
    named += _files_of(line) if '"file":{' in line else []
    for sha256 in named:
        walk.wanted.setdefault(sha256, (f"{subject}/{position}", number))


def _files_of(line: str) -> list[str]:
    """Return what an entry names as its file; nothing where the line was spoilt."""
    try:
        read = entry_from_line(line, "")
    except LineFormError:
        return []
    return list(attachments.cited([read]))


def _pass_anchors(walk: _Walk, row: Row[int, str, int, str, str, str]) -> None:
    number, subject, position, _line, digest, seal = row
    for anchor in walk.anchors:
        if isinstance(anchor, WorkspaceHead):
            if anchor.number == number:
                walk.seen[anchor] = seal
        elif anchor.position == position and _is_of(anchor, subject):
            walk.seen[anchor] = digest


def _is_of(anchor: Head, subject: str) -> bool:
    """Say whether an anchor speaks of a subject, named whole or by its short name."""
    return anchor.subject in {subject, subject.partition(":")[2]}


def _held(walk: _Walk) -> Iterator[Anchor]:
    for anchor in walk.anchors:
        known = anchor.seal if isinstance(anchor, WorkspaceHead) else anchor.digest
        if walk.seen.get(anchor, "").startswith(known):
            yield anchor


def _anchor_flaws(walk: _Walk) -> Iterator[Flaw]:
    held = set(_held(walk))
    for anchor in walk.anchors:
        if anchor in held:
            continue
        how: Literal["rewritten", "cut off"] = (
            "rewritten" if anchor in walk.seen else "cut off"
        )
        if isinstance(anchor, WorkspaceHead):
            yield Flaw(anchor.number, f"number {anchor.number}", how)
        else:
            yield Flaw(None, f"{anchor.subject}/{anchor.position}", how)


def _inner_flaws(connection: Connection, walk: _Walk) -> list[Flaw]:
    """Return what does not hold inside the record, in its order."""
    found = [chain_flaw(connection, subject) for subject in sorted(walk.broken)]
    if walk.gap is not None:
        first, last = walk.gap
        where = f"number {first}" if first == last else f"numbers {first} to {last}"
        found.append(Flaw(first, where, "removed"))
    elif walk.broken_seal is not None:
        found = seal_flaw(connection, walk.broken_seal, found)
    return sorted(found, key=lambda flaw: flaw.number or 0)


def _attachment_flaws(connection: Connection, walk: _Walk) -> Iterator[Flaw]:
    there = attachments.kept_files(connection)
    for file in there:
        try:
            attachments.fetch(connection, file.sha256)
        except ChangedAttachmentError:
            yield Flaw(None, f"attachment {file.name} ({file.sha256})", "changed")
    for sha256 in walk.wanted.keys() - {file.sha256 for file in there}:
        where, number = walk.wanted[sha256]
        yield Flaw(number, f"attachment {sha256} of {where}", "removed")
