"""Entries of the journal, and the two links that hold them together.

An entry's line is hashed exactly as it is stored. Its digest links it to the entry
before it of the same subject and travels with the study; its seal links it to the
entry before it in the workspace and stays there.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final, NoReturn

from stability.errors.archives import AnchorFormError, LineFormError
from stability.model.canonical import check_plain, encoded, holds_refused
from stability.model.quick import quick

#: Keys of a line, in their order.
LINE_KEYS: Final = (
    "content", "done", "entered", "kind", "person", "position", "subject",
)  # fmt: skip
_SUBJECT = re.compile(r"[a-z]+:\w[\w-]{0,63}")
_KIND = re.compile(r"[a-z]+(-[a-z]+)*/[1-9][0-9]?")
_ENTERED = re.compile(
    r"[0-9]{4}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-5][0-9]Z"
)
_HEAD = re.compile(r"(\w[\w:-]*)/([1-9][0-9]{0,17}):([0-9a-f]{16,64})")
_WORKSPACE_HEAD = re.compile(r"([1-9][0-9]{0,17}):([0-9a-f]{16,64})")


@quick
@dataclass(frozen=True, slots=True)
class Draft:
    """What is to become an entry."""

    #: Study, storage place or instrument, such as study:HDC.
    subject: str
    #: Name and version, such as observed/1.
    kind: str
    #: Who did it.
    person: str
    #: When it happened: a date, or a local time with offset.
    done: str
    #: When it is stored: UTC, such as 2026-11-25T09:15:00Z.
    entered: str
    #: What was done or said: dict, list, str, int, bool and None only.
    content: Mapping[str, Any]


@quick
@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the journal."""

    #: Place in the workspace, from 1; None outside a database.
    number: int | None
    #: Study, storage place or instrument, such as study:HDC.
    subject: str
    #: Place among the entries of its subject, from 1.
    position: int
    #: Name and version, such as observed/1.
    kind: str
    #: Who did it.
    person: str
    #: When it happened: a date, or a local time with offset.
    done: str
    #: When it was stored: UTC, whole seconds.
    entered: str
    #: What was done or said.
    content: Mapping[str, Any]
    #: The canonical JSON that is hashed.
    line: str
    #: SHA-256 over the subject's previous digest and the line.
    digest: str
    #: SHA-256 over the workspace's previous seal and the digest; None outside one.
    seal: str | None


@quick
@dataclass(frozen=True, slots=True)
class Head:
    """The last entry of a subject: the anchor that outputs print."""

    #: Subject, such as study:HDC; in an anchor as typed also HDC alone.
    subject: str
    #: Position of the last entry.
    position: int
    #: Its digest; in an anchor as typed its first 16 digits or more.
    digest: str

    def __str__(self) -> str:
        return f"{self.subject}/{self.position}:{self.digest}"


@dataclass(frozen=True, slots=True)
class WorkspaceHead:
    """The last entry of a workspace: the anchor that backups print."""

    #: Number of the last entry.
    number: int
    #: Its seal; in an anchor as typed its first 16 digits or more.
    seal: str

    def __str__(self) -> str:
        return f"{self.number}:{self.seal}"


Anchor = Head | WorkspaceHead


def parse_anchor(text: str) -> Anchor:
    """Read `SUBJECT/POSITION:DIGEST` or `NUMBER:SEAL`.

    Parameters
    ----------
    text
        As printed; 16 digits of the digest or seal suffice.

    Raises
    ------
    AnchorFormError
        If it has another form.

    Examples
    --------
    >>> parse_anchor("study:HDC/12:0123456789abcdef")
    Head(subject='study:HDC', position=12, digest='0123456789abcdef')
    """
    typed = text.strip()
    if match := _WORKSPACE_HEAD.fullmatch(typed):
        return WorkspaceHead(int(match[1]), match[2])
    if match := _HEAD.fullmatch(typed):
        return Head(match[1], int(match[2]), match[3])
    raise AnchorFormError(text)


def link(previous: str, text: str) -> str:
    """Return the SHA-256 that ties a text to what stands before it.

    Parameters
    ----------
    previous
        The digest or seal before it; empty at the beginning.
    text
        The line, or for a seal the digest.

    Notes
    -----
    Lower-case hexadecimal digits of SHA-256 over the UTF-8 bytes of the previous link,
    a newline and the text.
    """
    return hashlib.sha256(f"{previous}\n{text}".encode()).hexdigest()


def canonical_line(draft: Draft, position: int) -> str:
    """Return the one JSON text of an entry.

    Parameters
    ----------
    draft
        The entry to be.
    position
        Its place among the entries of its subject.

    Raises
    ------
    ValueError
        As `following` does.
    """
    return linked(draft, Head(draft.subject, position - 1, "")).line


def chain(
    drafts: Iterable[Draft], heads: Mapping[str, Head] | None = None
) -> tuple[Entry, ...]:
    """Return drafts as entries, each linked to the one before it of its subject.

    Parameters
    ----------
    drafts
        In their order.
    heads
        Last entry so far of each subject; without one a subject begins at position 1.

    Raises
    ------
    ValueError
        As `canonical_line` does.
    """
    last = dict(heads or {})
    made: list[Entry] = []
    for draft in drafts:
        before = last.get(draft.subject) or Head(draft.subject, 0, "")
        entry = linked(draft, before)
        last[draft.subject] = Head(entry.subject, entry.position, entry.digest)
        made.append(entry)
    return tuple(made)


def linked(draft: Draft, before: Head) -> Entry:
    """Return a draft as the entry that follows another, as `following` does."""
    return following(
        before, draft.kind, draft.content,
        person=draft.person, done=draft.done, entered=draft.entered,
    )  # fmt: skip


def following(
    before: Head | Entry,
    kind: str,
    content: Mapping[str, Any],
    *,
    person: str,
    done: str,
    entered: str,
    written: str | None = None,
) -> Entry:
    """Return the entry that follows another of its subject.

    Parameters
    ----------
    before
        The entry before it, or a head at position 0.
    kind, content, person, done, entered
        As in a draft.
    written
        The content as a template wrote it; None where it is still to be written.

    Raises
    ------
    ValueError
        If a field has not its form, or the content holds what is no plain JSON. What
        people type is checked where it comes in.
    """
    subject, position = before.subject, before.position + 1
    # The keys of a line stand in their order; those inside the content are sorted.
    follows, ends = _frame(subject, kind, person, done, entered)
    if written is None:
        check_plain(content)
        written = encoded(content)
    line = f'{{"content":{written}{follows}{position}{ends}'
    if holds_refused(line):
        raise ValueError(f"an entry holds a refused character: {line!r}")
    return Entry(
        None, subject, position, kind, person, done, entered, content, line,
        link(before.digest, line), None,
    )  # fmt: skip


def entry_from_line(
    line: str, digest: str, number: int | None = None, seal: str | None = None
) -> Entry:
    """Read an entry back from its line.

    Parameters
    ----------
    line
        As stored.
    digest, number, seal
        As stored beside it.

    Raises
    ------
    LineFormError
        If the line is no entry. Whether it is canonical is `decode_line`'s to check.
    """
    return _entry(_loads(line, _DECODER), line, digest, number, seal)


def decode_line(line: str, digest: str) -> Entry:
    """Read an entry from a line of unknown origin, which must be canonical.

    Parameters
    ----------
    line, digest
        As received.

    Raises
    ------
    LineFormError
        If the line is no entry, holds a key twice, a number with a point, a refused
        character, or is not written in the canonical form.
    """
    entry = entry_from_line(line, digest)
    if encoded(_loads(line, _DECODER)) != line:
        _loads(line, _STRICT_DECODER)
        raise LineFormError("it is not written in the canonical form")
    if holds_refused(line):
        raise LineFormError("it holds a character that is never kept")
    return entry


def decode_object(text: str) -> dict[str, Any]:
    """Decode one JSON object in which no key stands twice.

    Raises
    ------
    LineFormError
        If the text is none.
    """
    decoded = _loads(text, _STRICT_DECODER)
    if not isinstance(decoded, dict):
        raise LineFormError("it is no JSON object")
    return decoded


def _loads(text: str, decoder: json.JSONDecoder) -> Any:
    try:
        return decoder.decode(text)
    except RecursionError as error:
        raise LineFormError("it is nested too deeply") from error
    except ValueError as error:
        raise LineFormError(f"it is no JSON ({error})") from error


def _entry(
    fields: Any, line: str, digest: str, number: int | None, seal: str | None
) -> Entry:
    if not isinstance(fields, dict) or tuple(sorted(fields)) != LINE_KEYS:
        raise LineFormError("it has not the keys of an entry")
    fault = _field_fault(fields)
    if fault is not None:
        raise LineFormError(fault)
    return Entry(number=number, line=line, digest=digest, seal=seal, **fields)


def _refuse_number(text: str) -> NoReturn:
    raise LineFormError(f"it holds the number {text}; only whole numbers are kept")


def _unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) != len(pairs):
        raise LineFormError("a key stands in it twice")
    return fields


_DECODER = json.JSONDecoder(parse_float=_refuse_number, parse_constant=_refuse_number)
_STRICT_DECODER = json.JSONDecoder(
    object_pairs_hook=_unique_keys,
    parse_float=_refuse_number,
    parse_constant=_refuse_number,
)


@lru_cache(maxsize=4096)  # what was read on one day shares it
def _frame(
    subject: str, kind: str, person: str, done: str, entered: str
) -> tuple[str, str]:
    """Return a line's text between content and position, and behind the position."""
    if not person.strip() or not done.strip():
        raise ValueError("an entry needs its person and its time")
    fault = _form_fault(subject, kind, entered)
    if fault is not None:
        raise ValueError(fault)
    follows = (
        f',"done":{encoded(done)},"entered":{encoded(entered)},"kind":{encoded(kind)},'
        f'"person":{encoded(person)},"position":'
    )
    return follows, f',"subject":{encoded(subject)}}}'


def _field_fault(fields: Mapping[str, Any]) -> str | None:
    """Return what keeps decoded fields from being an entry; None if nothing does."""
    texts = [fields[key] for key in ("done", "entered", "kind", "person", "subject")]
    if not all(isinstance(text, str) for text in texts):
        return "a field that is a text is none"
    position = fields["position"]
    if not isinstance(position, int) or isinstance(position, bool) or position < 1:
        return "its position is no number from 1"
    if not isinstance(fields["content"], dict):
        return "its content is no table"
    return _form_fault(fields["subject"], fields["kind"], fields["entered"])


@lru_cache(maxsize=256)  # the entries of one command share them
def _form_fault(subject: str, kind: str, entered: str) -> str | None:
    if not _SUBJECT.fullmatch(subject):
        return f"{subject!r} is no subject"
    if not _KIND.fullmatch(kind):
        return f"{kind!r} is no kind of entry"
    if not _ENTERED.fullmatch(entered):
        return f"{entered!r} is no time in UTC"
    return None
