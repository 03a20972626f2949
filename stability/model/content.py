"""What the entries of a study hold, kind by kind.

Written once, read for ever: a kind is never changed, a later version gets a number of
its own. Every function here builds the content of one kind; `fold` reads them back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from stability.model.canonical import Written, written

if TYPE_CHECKING:
    from stability.model.certificate import CertificateFile, ResultRow
    from stability.model.observation import Reading
    from stability.model.photograph import Original
    from stability.model.study import Sample

OPENED: Final = "study-opened/1"
OBSERVED: Final = "observed/1"
CORRECTED: Final = "corrected/1"
INVALIDATED: Final = "invalidated/1"
#: The same of a photograph, which version 1 of the kind never meant.
INVALIDATED_PHOTOGRAPH: Final = "invalidated/2"
PLACED: Final = "placed/1"
RETIRED: Final = "retired/1"
MISSED: Final = "missed/1"
STOPPED: Final = "stopped/1"
NOTED: Final = "noted/1"
DAY: Final = "day/1"
RECEIVED: Final = "received/1"
RECEIVED_FILE: Final = "received/2"
LODGED: Final = "lodged/1"
TAKEN_OVER: Final = "taken-over/1"
AMENDED: Final = "amended/1"
CERTIFIED: Final = "certified/1"
PHOTOGRAPHED: Final = "photographed/1"
ANSWERED: Final = "answered/1"

Content = dict[str, Any]


def opened(
    *,
    study_text: str,
    protocol_text: str,
    protocol_name: str,
    protocol_digest: str,
    time_zone: str,
    samples: Sequence[Sample],
) -> Content:
    """Build the opening: both files whole, and every sample assigned."""
    return {
        "study_text": study_text,
        "protocol_text": protocol_text,
        "protocol_name": protocol_name,
        "protocol_digest": protocol_digest,
        "time_zone": time_zone,
        "samples": [_sample(sample) for sample in samples],
    }


def observed(
    sample: str,
    attribute: str,
    check: str | None,
    readings: Sequence[Reading],
    *,
    unit: str = "",
    part: str | None = None,
    settings: Mapping[str, str] | None = None,
    observers: Sequence[str] = (),
    control: str | None = None,
    blind: bool = False,
    extra: Mapping[str, str] | None = None,
    not_measured: str | None = None,
    repeats: int | None = None,
    because: str | None = None,
) -> Content:
    """Build an observation: one attribute of one sample at one check."""
    return {
        "sample": sample,
        "attribute": attribute,
        "check": check,
        "part": part,
        "readings": [
            _reading(one.value, one.qualifier, one.observer) for one in readings
        ],
        "unit": unit,
        "settings": dict(settings or {}),
        "observers": list(observers),
        "control": control,
        "blind": blind,
        "extra": dict(extra or {}),
        "not_measured": not_measured,
        "repeats": repeats,
        "because": because,
    }


def written_readings(readings: Sequence[Reading]) -> Written:
    """Build what an observation holds as its readings, with its text."""
    told = [
        _written_reading(one.value, one.qualifier, one.observer) for one in readings
    ]
    return [held for held, _ in told], f"[{','.join([text for _, text in told])}]"


@lru_cache(maxsize=4096)  # the numbers and words of a file come again and again
def _written_reading(value: str, qualifier: str, observer: str | None) -> Written:
    return written(_reading(value, qualifier, observer))


def _reading(value: str, qualifier: str, observer: str | None) -> Content:
    return {"value": value, "qualifier": qualifier, "observer": observer}


def corrected(refers_to: int, observation: Content, because: str) -> Content:
    """Build a correction: the whole observation as it should have been."""
    return {
        "refers_to": refers_to,
        "observation": observation,
        "because": because,
    }


def invalidated(refers_to: int, because: str) -> Content:
    """Build the setting aside of what an entry holds, with its cause."""
    return {"refers_to": refers_to, "because": because}


def placed(
    sample: str,
    condition: str | None,
    how: str,
    *,
    place: str | None = None,
    cycle: int | None = None,
    step: int | None = None,
    replaces: str | None = None,
    swapped_with: str | None = None,
    because: str | None = None,
) -> Content:
    """Build a placing: in, moved, step, swapped or out."""
    return {
        "sample": sample,
        "condition": condition,
        "how": how,
        "place": place,
        "cycle": cycle,
        "step": step,
        "replaces": replaces,
        "swapped_with": swapped_with,
        "because": because,
    }


def retired(sample: str, reason: str, because: str) -> Content:
    """Build the leaving of a sample."""
    return {"sample": sample, "reason": reason, "because": because}


def missed(check: str, samples: Sequence[str], because: str) -> Content:
    """Build a check that was not made."""
    return {"check": check, "samples": list(samples), "because": because}


def stopped(scope: Mapping[str, str], because: str) -> Content:
    """Build the end of a study, batch, pack or condition."""
    return {"scope": dict(scope), "because": because}


def noted(
    text: str, refers_to: int | None = None, sample: str | None = None
) -> Content:
    """Build an explanation beside the record."""
    return {"text": text, "refers_to": refers_to, "sample": sample}


def day(
    on: str,
    account: str,
    *,
    observers: Sequence[str] = (),
    settings: Mapping[str, Mapping[str, str]] | None = None,
    control: Mapping[str, str] | None = None,
    blind: bool = False,
) -> Content:
    """Build the facts that hold for a whole check day."""
    return {
        "day": on,
        "account": account,
        "observers": list(observers),
        "settings": {name: dict(values) for name, values in (settings or {}).items()},
        "control": dict(control or {}),
        "blind": blind,
    }


def received(origin: str, rows: int, sha256: str) -> Content:
    """Build the receipt of a hand-made folder: where from, how many rows, digest."""
    return {"origin": origin, "rows": rows, "sha256": sha256}


def received_file(
    name: str, sha256: str, sheet: str | None, rows: int, stored: int
) -> Content:
    """Build the receipt of a file of readings: its rows, and how many were new."""
    return {
        "file": {"name": name, "sha256": sha256},
        "sheet": sheet,
        "rows": rows,
        "stored": stored,
    }


def lodged(receiver: str, fingerprint: str, note: str | None = None) -> Content:
    """Build the lodging of the plan record: who received which fingerprint."""
    return {"receiver": receiver, "fingerprint": fingerprint, "note": note}


def taken_over(because: str) -> Content:
    """Build the statement that a study was taken over from older notes, and why."""
    return {"because": because}


def amended(
    because: str,
    changes: Sequence[str],
    *,
    study_text: str | None = None,
    protocol_text: str | None = None,
    samples: Sequence[Sample] = (),
) -> Content:
    """Build an amendment: changed files whole, what changed in words, new samples."""
    return {
        "because": because,
        "changes": list(changes),
        "study_text": study_text,
        "protocol_text": protocol_text,
        "samples": [_sample(sample) for sample in samples],
    }


def certified(
    attribute: str,
    judged_as: str,
    results: Sequence[ResultRow],
    *,
    laboratory: str,
    number: str,
    standard: str,
    batch: str,
    version: str,
    pack: str | None,
    sample: str | None,
    age: str,
    issued: str,
    verdict: str,
    file: CertificateFile | None,
) -> Content:
    """Build a certificate: what a laboratory found, of which batch, pack and age."""
    return {
        "attribute": attribute,
        "judged_as": judged_as,
        "laboratory": laboratory,
        "number": number,
        "standard": standard,
        "batch": batch,
        "version": version,
        "pack": pack,
        "sample": sample,
        "age": age,
        "issued": issued,
        "results": [
            {
                "name": one.name,
                "day": one.day,
                "measure": one.measure,
                "value": one.value,
                "qualifier": one.qualifier,
            }
            for one in results
        ],
        "verdict": verdict,
        "file": None if file is None else {"name": file.name, "sha256": file.sha256},
    }


def photographed(
    sample: str,
    check: str | None,
    attribute: str | None,
    caption: str,
    *,
    name: str,
    sha256: str,
    size: int,
    pixels: tuple[int, int],
    original: Original,
    taken: str | None,
) -> Content:
    """Build a photograph: the cleaned copy that is kept, and what it was made from."""
    return {
        "sample": sample,
        "check": check,
        "attribute": attribute,
        "caption": caption,
        "file": {"name": name, "sha256": sha256},
        "size": size,
        "pixels": list(pixels),
        "original": {
            "name": original.name,
            "sha256": original.sha256,
            "size": original.size,
        },
        "taken": taken,
    }


def answered(
    refers_to: int,
    question: str,
    checks: Mapping[str, str],
    outcome: str,
    because: str,
) -> Content:
    """Build an answer to what an entry asks: what was looked at, what came of it."""
    return {
        "refers_to": refers_to,
        "question": question,
        "checks": dict(checks),
        "outcome": outcome,
        "because": because,
    }


def _sample(sample: Sample) -> Content:
    return {
        "code": sample.code,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": sample.condition,
        "kind": sample.kind,
        "use": sample.use,
        "checks": list(sample.checks),
        "twin_of": sample.twin_of,
        "open_at": sample.open_at,
        "keep_until": sample.keep_until.isoformat() if sample.keep_until else None,
    }
