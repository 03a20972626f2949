"""A laboratory's certificate: a result bound to batch, version, pack and age."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, Literal

from stability.model.moment import Moment
from stability.model.number import Number
from stability.model.observation import Invalidation
from stability.model.plate_count import parse_count

#: What a certificate is about where it is not an attribute with a number or a word.
CHALLENGE: Final = "challenge"
COUNT: Final = "count"

#: How a certificate is judged.
CertificateKind = Literal["challenge", "count", "number", "word"]
#: What a value of a certificate is.
Measure = Literal["count", "log reduction", "number", "word"]


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One value of a certificate, kept as typed."""

    #: Organism, kind of count, or the attribute.
    name: str
    #: Day of contact in a challenge [d]; None elsewhere.
    day: int | None
    #: What the value is.
    measure: Measure
    #: Digits or word, as typed.
    value: str
    #: "<", ">" or "".
    qualifier: str = ""

    @property
    def number(self) -> Number:
        """Return the value as an exact number; for everything but words."""
        if self.measure == "count":
            return parse_count(f"{self.qualifier}{self.value}")
        return Number(self.value, self.qualifier, Decimal(self.value))

    def __str__(self) -> str:
        return f"{self.qualifier}{self.value}"


@dataclass(frozen=True, slots=True)
class CertificateFile:
    """The file of a certificate, kept beside the record."""

    #: Name under which it came.
    name: str
    #: SHA-256 of its bytes, under which it is kept.
    sha256: str


@dataclass(frozen=True, slots=True)
class Certificate:
    """What a laboratory certified, of which product, as somebody recorded it."""

    #: Position of its entry.
    position: int
    #: "challenge", "count", or an attribute of the protocol.
    attribute: str
    #: How it is judged.
    kind: CertificateKind
    #: The laboratory.
    laboratory: str
    #: Number of the certificate or test report.
    number: str
    #: Standard or method, as the laboratory names it; "" where it names none.
    standard: str
    #: Batch that was tested, as the certificate names it.
    batch: str
    #: Version of the formula that was tested.
    version: str
    #: Pack that was tested; None where the certificate names none.
    pack: str | None
    #: Sample code; None where the tested container had none.
    sample: str | None
    #: Age of what was tested: T0, or an age such as 3M or 52d.
    age: str
    #: Day on which the certificate was issued.
    issued: date
    #: Its values in their order; empty where it holds a verdict only.
    results: tuple[ResultRow, ...]
    #: What the laboratory concludes, in its words; "" where it concludes nothing.
    verdict: str
    #: The file; None where none was given.
    file: CertificateFile | None
    #: When it was received.
    done: Moment
    #: When that was stored (UTC).
    entered: datetime
    #: Who recorded it.
    person: str
    #: Why it was set aside; None while it stands.
    invalidated: Invalidation | None = None

    @property
    def title(self) -> str:
        """Return how people name it: laboratory and number."""
        return f"{self.laboratory}, no. {self.number}"

    @property
    def same_as(self) -> tuple[str | None, ...]:
        """Return what two records of one result have in common."""
        of = (self.batch, self.version, self.pack, self.sample, self.age)
        return (self.attribute, self.laboratory, self.number, *of)


def certificate_of(
    held: Mapping[str, Any],
    *,
    position: int,
    done: Moment,
    entered: datetime,
    person: str,
) -> Certificate:
    """Return a certificate from what its entry holds.

    Parameters
    ----------
    held
        The content of the entry.
    position
        Its position [-].
    done, entered, person
        When it was received, when that was stored, and by whom.
    """
    file = held["file"]
    return Certificate(
        position=position,
        attribute=held["attribute"],
        kind=held["judged_as"],
        laboratory=held["laboratory"],
        number=held["number"],
        standard=held["standard"],
        batch=held["batch"],
        version=held["version"],
        pack=held["pack"],
        sample=held["sample"],
        age=held["age"],
        issued=date.fromisoformat(held["issued"]),
        results=tuple(ResultRow(**one) for one in held["results"]),
        verdict=held["verdict"],
        file=None if file is None else CertificateFile(file["name"], file["sha256"]),
        done=done,
        entered=entered,
        person=person,
    )
