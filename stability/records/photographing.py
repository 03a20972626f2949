"""Photographs of samples, checked against the study and turned into contents."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from stability.errors.photographs import PhotographKnownError
from stability.model import content
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.photograph import Photograph
from stability.model.plain_text import checked_text
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.attachment import Attachment, attachment_of
from stability.records.continuation import Continuation
from stability.records.guards import not_before_made
from stability.records.intake import find_attribute
from stability.records.observing import resolve_check
from stability.records.photograph_file import (
    MEDIA_TYPE,
    CleanPhotograph,
    read_photograph,
)

_KEPT_CLOSED = {"gassing", "mouldy"}
_CLOSED = (
    "it stays closed: photograph it through the glass, do not smell it, discard it "
    "closed"
)


@dataclass(frozen=True, slots=True)
class Shown:
    """A photograph read from its file, before it is known whose it is."""

    #: Its file.
    path: Path
    #: The cleaned copy.
    clean: CleanPhotograph
    #: Attribute that it shows, as typed; None where none was.
    attribute: str | None
    #: What is said of it; None for nothing.
    caption: str | None


@dataclass(frozen=True, slots=True)
class Photographed:
    """One photograph, ready to be written."""

    #: What the entry holds.
    held: Content
    #: The cleaned copy.
    file: Attachment
    #: It in words.
    text: str
    #: What the person should know.
    remarks: tuple[str, ...]


def check_shown(
    book: Continuation, sample: Sample, typed: str | None, done: Moment
) -> str | None:
    """Return the check that a photograph belongs to; None where it belongs to none.

    A sample that has left is photographed too: a mouldy one, closed, on its way out.

    Raises
    ------
    StabilityError
        If the check is not one of the sample's, or the sample was not there yet.
    """
    record = book.plan
    not_before_made(record, sample, done)
    ended = record.retirement_of(sample.code) or record.stop_of(sample)
    if typed is None and ended is not None and ended.done < done:
        return None
    return resolve_check(book, sample, typed, done)


def read_shown(typed: str, caption: str | None = None) -> Shown:
    """Read a photograph from what was typed.

    Parameters
    ----------
    typed
        Path of its file; `colour=jar.jpg` says that it shows an attribute.
    caption
        What is said of it; None for nothing.

    Raises
    ------
    PhotographFileError
        If the file cannot be kept.
    """
    name, equals, rest = typed.partition("=")
    path, attribute = Path(typed), None
    if equals and not path.exists():
        path, attribute = Path(rest), name.strip()
    return Shown(path, read_photograph(path), attribute, caption)


def photograph(
    book: Continuation,
    sample: Sample,
    check: str | None,
    shown: Shown,
    done: Moment,
) -> Photographed:
    """Return a photograph of a sample as an entry holds it, with its cleaned copy.

    Parameters
    ----------
    book
        The study.
    sample, check
        What it shows, and to which check it belongs; None: to none.
    shown
        As read.
    done
        When it was taken, as stated by the person.

    Raises
    ------
    StabilityError
        If its attribute is not known, or it is kept already of this sample.
    """
    record = book.record
    clean = shown.clean
    attribute = None
    if shown.attribute is not None:
        known = record.protocol.attributes
        attribute = find_attribute(shown.attribute, known, record.study.omit)[0].name
    for one in record.photographs:
        if one.invalidated is not None:
            continue
        if one.sample == sample.code and _is_same(one, clean):
            reference = f"{record.study.code}/{one.position}"
            raise PhotographKnownError(shown.path, sample.code, reference)
    number = 1 + sum(one.sample == sample.code for one in record.photographs)
    name = f"{sample.code}_{check or 'extra'}_{done.day}_{number}.jpg"
    file = attachment_of(clean.content, name, MEDIA_TYPE)
    said = checked_text(shown.caption or "", "the caption").strip()
    held = content.photographed(
        sample.code,
        check,
        attribute,
        said,
        name=name,
        sha256=file.file.sha256,
        size=file.file.size,
        pixels=clean.pixels,
        original=clean.original,
        taken=clean.taken,
    )
    return Photographed(held, file, _text(held), _remarks(record, sample, clean, done))


def _text(held: Content) -> str:
    width, height = held["pixels"]
    of = f" of {held['attribute']}" if held["attribute"] else ""
    said = f": {held['caption']}" if held["caption"] else ""
    return f"photograph{of}, {width} × {height} pixels, cleaned copy kept{said}"


def _is_same(one: Photograph, clean: CleanPhotograph) -> bool:
    """Say whether two photographs were made from the same file, or one of the other."""
    ours = {one.sha256, one.original.sha256}
    theirs = attachment_of(clean.content, "", MEDIA_TYPE).file.sha256
    return bool(ours & {theirs, clean.original.sha256})


def _remarks(
    record: StudyRecord, sample: Sample, clean: CleanPhotograph, done: Moment
) -> tuple[str, ...]:
    found = []
    if clean.taken is not None and clean.taken[:10] != done.day.isoformat():
        found.append(
            f"the camera's clock says {clean.taken[:10]}, it is logged as of {done.day}"
        )
    code = record.study.code
    others = [
        one
        for one in record.photographs
        if one.invalidated is None and _is_same(one, clean)
    ]
    if others:
        other = others[0]
        where = f"{other.sample} as {code}/{other.position}"
        found.append(f"the same photograph is kept of {where}: does it show both?")
    left = record.retirement_of(sample.code)
    if left is not None and left.reason in _KEPT_CLOSED:
        found.append(f"{left.reason}: {_CLOSED}")
    return tuple(found)
