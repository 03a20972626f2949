"""A certificate as somebody records it, checked and turned into a content."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final, TypeVar

from stability.errors import StabilityError
from stability.errors.certificates import (
    CertificateFaultsError,
    CertificateKnownError,
    CertificateLacksError,
)
from stability.errors.samples import ReadingsError
from stability.model import content
from stability.model.age import T0, is_check
from stability.model.attribute import Attribute
from stability.model.certificate import (
    CHALLENGE,
    COUNT,
    CertificateFile,
    CertificateKind,
    ResultRow,
)
from stability.model.certified import mismatches, reached_on
from stability.model.content import Content
from stability.model.moment import Moment, parse_moment
from stability.model.plain_text import checked_name
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.attachment import Attachment
from stability.records.certificate_files import read_certificate_file
from stability.records.certificate_results import read_results
from stability.records.guards import resolve_sample
from stability.records.intake import find_attribute

#: How long before an age was reached a result may be issued: checks have windows.
EARLY: Final = timedelta(days=31)
#: What must be told of every certificate: field -> what a message calls it.
NEEDED: Final[Mapping[str, str]] = {
    "laboratory": "the laboratory",
    "number": "its number",
    "batch": "the batch",
    "version": "the version",
    "age": "the age of what was tested",
    "issued": "the day on which it was issued",
}
_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class CertificateWish:
    """A certificate as typed."""

    #: challenge, count, or an attribute of the protocol.
    what: str
    #: Results, each `NAME=VALUES` or a value alone.
    results: tuple[str, ...] = ()
    #: The laboratory.
    laboratory: str | None = None
    #: Number of the certificate.
    number: str | None = None
    #: Standard or method.
    standard: str | None = None
    #: Batch that was tested.
    batch: str | None = None
    #: Version that was tested.
    version: str | None = None
    #: Pack that was tested.
    pack: str | None = None
    #: Sample code.
    sample: str | None = None
    #: Age of what was tested.
    age: str | None = None
    #: Day on which it was issued.
    issued: str | None = None
    #: What the laboratory concludes.
    verdict: str | None = None
    #: The file.
    file: Path | None = None


@dataclass(frozen=True, slots=True)
class Certified:
    """A certificate that can be stored."""

    #: The content of its entry.
    held: Content
    #: Its file; None where none was given.
    file: Attachment | None
    #: What the person should know.
    remarks: tuple[str, ...]


class _Faults:
    """Faults found so far; what cannot be read is told and left out."""

    def __init__(self) -> None:
        self.found: list[str] = []

    def read(self, make: Callable[[], _Value]) -> _Value | None:
        """Return what was made; None, and the fault kept, where it could not be."""
        try:
            return make()
        except ReadingsError as error:
            self.found += error.faults
        except StabilityError as error:
            self.found.append(str(error).rstrip("."))
        return None

    def check(self, holds: bool, fault: str) -> None:
        """Keep a fault where something does not hold."""
        if not holds:
            self.found.append(fault)


def certify(
    record: StudyRecord, wish: CertificateWish, done: Moment, today: date
) -> Certified:
    """Return a certificate that can be stored.

    Parameters
    ----------
    record
        The study as it stands.
    wish
        What was typed.
    done
        When it was received.
    today
        A certificate is not issued later.

    Raises
    ------
    CertificateLacksError
        If something is not told without which a result belongs to nothing.
    CertificateFaultsError
        If something cannot be taken; all of it at once.
    CertificateKnownError
        If it is recorded already.
    CertificateFileError
        If its file cannot be kept.
    """
    typed = _needed(wish)
    kind, attribute, name = _meant(record, wish.what)
    faults = _Faults()
    sample = _sample(record, wish, faults)
    rows, verdict = _results(wish, kind, attribute, faults)
    bound = _bound(wish, typed, sample, faults)
    issued = _issued(record, typed, done, today, faults)
    if sample is not None and issued is not None:
        _check_age(record, sample, bound["age"], issued, faults)
    if faults.found or issued is None:
        raise CertificateFaultsError(wish.what, faults.found)
    file = None if wish.file is None else read_certificate_file(wish.file)
    held = content.certified(
        name,
        kind,
        rows,
        **bound,
        sample=sample.code if sample else None,
        issued=issued.isoformat(),
        verdict=verdict,
        file=CertificateFile(file.file.name, file.file.sha256) if file else None,
    )
    _refuse_known(record, held)
    return Certified(held, file, tuple(_remarks(record, held, sample, rows)))


def _needed(wish: CertificateWish) -> dict[str, str]:
    """Return what every certificate tells.

    Raises
    ------
    CertificateLacksError
        If something of it is not there; all of it at once.
    """
    typed = {name: (getattr(wish, name) or "").strip() for name in NEEDED}
    lacking = [words for name, words in NEEDED.items() if not typed[name]]
    if not wish.results and not (wish.verdict or "").strip():
        lacking.append("a result or a verdict")
    if lacking:
        raise CertificateLacksError(wish.what, lacking)
    return typed


def _results(
    wish: CertificateWish,
    kind: CertificateKind,
    attribute: Attribute | None,
    faults: _Faults,
) -> tuple[tuple[ResultRow, ...], str]:
    """Return the values, and what the laboratory concludes."""
    read = faults.read(lambda: read_results(wish.results, kind, attribute))
    rows, stated = read or ((), "")
    verdict = _named(wish.verdict, "the verdict", faults) or ""
    faults.check(not (verdict and stated), "the verdict is typed twice")
    return rows, verdict or stated


def _bound(
    wish: CertificateWish,
    typed: Mapping[str, str],
    sample: Sample | None,
    faults: _Faults,
) -> dict[str, Any]:
    """Return of what the certificate is, and from where."""
    names = {
        one: _named(typed[one], NEEDED[one], faults) or ""
        for one in ("laboratory", "number", "batch", "version")
    }
    own_pack = sample.pack if sample else None
    pack = _named(wish.pack, "the pack", faults) or own_pack
    _check_sample(sample, names["batch"], pack, faults)
    standard = _named(wish.standard, "the standard", faults) or ""
    age = _age(typed["age"], faults)
    return {**names, "standard": standard, "pack": pack, "age": age}


def _meant(
    record: StudyRecord, typed: str
) -> tuple[CertificateKind, Attribute | None, str]:
    """Return how a certificate is judged, and of which attribute it is."""
    own = {
        name: one
        for name, one in record.protocol.attributes.items()
        if one.provided_by == "certificate"
    }
    plain = typed.strip().casefold()
    if plain in {CHALLENGE, COUNT}:
        found = next(
            (one for one in own.values() if one.name.casefold() == plain), None
        )
        name = found.name if found else plain
        return ("challenge" if plain == CHALLENGE else "count"), found, name
    every = record.protocol.attributes
    attribute = find_attribute(typed, every, record.study.omit)[0]
    if attribute.name not in own:
        fault = (
            f"{attribute.name} is read at the bench: log it on its sample; from a "
            f"laboratory come {', '.join(dict.fromkeys([CHALLENGE, COUNT, *own]))}"
        )
        raise CertificateFaultsError(typed, [fault])
    kind: CertificateKind = "number" if attribute.kind == "measured" else "word"
    return kind, attribute, attribute.name


def _sample(
    record: StudyRecord, wish: CertificateWish, faults: _Faults
) -> Sample | None:
    typed = (wish.sample or "").strip()
    return faults.read(lambda: resolve_sample(record, typed)) if typed else None


def _named(typed: str | None, what: str, faults: _Faults) -> str | None:
    if typed is None or not typed.strip():
        return None
    return faults.read(lambda: checked_name(typed, what))


def _check_sample(
    sample: Sample | None, batch: str, pack: str | None, faults: _Faults
) -> None:
    if sample is None:
        return
    fault = f"{sample.code} is of batch {sample.batch}, the certificate of {batch}"
    faults.check(sample.batch == batch, fault)
    own = sample.pack or "no pack"
    fault = f"{sample.code} is in {own}, the certificate of {pack}"
    faults.check(pack == sample.pack, fault)


def _issued(
    record: StudyRecord,
    typed: Mapping[str, str],
    done: Moment,
    today: date,
    faults: _Faults,
) -> date | None:
    moment = parse_moment(typed["issued"], record.zone)
    if moment is None or moment.time is not None:
        fault = f"{typed['issued']!r} is no day; write it as 2026-03-02"
        faults.check(holds=False, fault=fault)
        return None
    issued = moment.day
    faults.check(issued <= today, f"{issued} has not come yet")
    received = f"it was issued on {issued}, after it was received on {done.day}"
    faults.check(issued <= done.day or issued > today, received)
    batch = record.study.batches.get(typed["batch"])
    if batch is not None:
        fault = f"issued on {issued}, before batch {batch.name} was made ({batch.made})"
        faults.check(issued >= batch.made, fault)
    return issued


def _age(typed: str, faults: _Faults) -> str:
    age = T0 if typed.upper() == T0 else typed
    fault = f"{typed!r} is no age; write T0, or such as 3M, 8w or 52d"
    faults.check(is_check(age), fault)
    return age


def _check_age(
    record: StudyRecord, sample: Sample, age: str, issued: date, faults: _Faults
) -> None:
    reached = reached_on(record, sample, age) if is_check(age) else None
    if reached is not None:
        fault = (
            f"{sample.code} reaches the age {age} on {reached.day}, the certificate is "
            f"of {issued}"
        )
        faults.check(reached.day <= issued + EARLY, fault)


def _refuse_known(record: StudyRecord, held: Content) -> None:
    own = ("attribute", "laboratory", "number", "batch", "version", "pack", "sample")
    same = tuple(held[key] for key in (*own, "age"))
    for one in record.certificates:
        if one.invalidated is None and one.same_as == same:
            reference = f"{record.study.code}/{one.position}"
            raise CertificateKnownError(one.title, reference)


def _remarks(
    record: StudyRecord,
    held: Content,
    sample: Sample | None,
    rows: Sequence[ResultRow],
) -> list[str]:
    """Return what to look at again on the paper while it lies there."""
    told = [
        f"{one.name}: {one} is {one.number.value:f}"
        for one in rows
        if one.measure == "count" and "^" in one.value
    ]
    wrong = mismatches(
        record.study, version=held["version"], batch=held["batch"], pack=held["pack"]
    )
    if wrong:
        what = f"mismatch: of {'; '.join(wrong)}. Kept, and printed as no evidence"
        return [*told, f"{what} for this study"]
    if held["pack"] is None:
        told.append(
            "the pack is not named: held, it speaks for no pack; failed, it counts "
            "for every one"
        )
    judged = held["judged_as"] in {"number", "word"}
    if judged and sample is None:
        told.append(
            "no sample is named: it is judged alone and joins no series (--sample)"
        )
    elif sample is not None and reached_on(record, sample, held["age"]) is None:
        told.append(f"{sample.code} was not placed: its age cannot be told")
    if held["file"] is None:
        told.append("no file: keep the paper, and give it as PDF, PNG or JPEG")
    return told
