"""A photograph of a sample: a cleaned copy is kept, of the original its digest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stability.model.moment import Moment
from stability.model.observation import Invalidation


@dataclass(frozen=True, slots=True)
class Original:
    """The file that a photograph was made from; it is not kept."""

    #: Its name, without its folder.
    name: str
    #: SHA-256 of its bytes.
    sha256: str
    #: Its size [bytes].
    size: int


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph of one sample, as kept."""

    #: Position of its entry in the study's chain.
    position: int
    #: Sample code.
    sample: str
    #: Check it belongs to; None where it belongs to none.
    check: str | None
    #: Attribute that it shows; None where it shows the sample as a whole.
    attribute: str | None
    #: What the person says of it; "" for nothing.
    caption: str
    #: Name of the cleaned copy: code, check, day, number.
    name: str
    #: SHA-256 of the cleaned copy, by which it is kept.
    sha256: str
    #: Size of the cleaned copy [bytes].
    size: int
    #: Width and height of the cleaned copy [pixels].
    pixels: tuple[int, int]
    #: What it was made from.
    original: Original
    #: When it was taken by the camera's own clock; None where that cannot be read.
    taken: str | None
    #: When it was taken, as stated by the person.
    done: Moment
    #: Who logged it.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None


def photograph_of(
    held: Mapping[str, Any], *, position: int, done: Moment, person: str
) -> Photograph:
    """Read a photograph from the content of its entry.

    Parameters
    ----------
    held
        The content.
    position, done, person
        Of the entry.
    """
    width, height = held["pixels"]
    return Photograph(
        position=position,
        sample=held["sample"],
        check=held["check"],
        attribute=held["attribute"],
        caption=held["caption"],
        name=held["file"]["name"],
        sha256=held["file"]["sha256"],
        size=held["size"],
        pixels=(width, height),
        original=Original(**held["original"]),
        taken=held["taken"],
        done=done,
        person=person,
    )
