"""What stands on the label of a sample, line by line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from stability.model.age import check_text
from stability.model.schedule import (
    OpenCheck,
    open_checks,
    planned_placing,
)
from stability.model.study import Sample
from stability.model.study_record import StudyRecord

#: Stands on every label on which it has room; never shortened.
CAUTION: Final = "test sample – not for use on skin"
#: Written by hand where a sample has not been placed.
_BLANK: Final = "____-__-__"
_USES: Final = {
    "reopened": "reopened at each check",
    "in use": "in use",
    "retained": "retained: keep closed",
    "spare": "spare: keep closed",
    "sent out": "to be sent out",
    "T0": "for T0",
}
_KINDS: Final = {"bulk": "bulk", "tube": "tube for the centrifuge"}


@dataclass(frozen=True, slots=True)
class LabelLine:
    """One line of a label."""

    #: What it tells, as it is called where it had to be left off.
    name: str
    #: The words.
    text: str
    #: The lines with the highest rank are left off first.
    rank: int
    #: Whether it prints in bold.
    strong: bool = False
    #: Whether it is left off rather than shortened.
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """The label of one sample."""

    #: Sample code; also what the QR code holds.
    code: str
    #: Further lines in the order in which they stand.
    lines: tuple[LabelLine, ...]


def labels_of(
    record: StudyRecord, samples: Iterable[Sample], day: date
) -> tuple[Label, ...]:
    """Return the labels of samples, in their order.

    Parameters
    ----------
    record
        The study's record.
    samples
        Samples of the study.
    day
        The as-of date; the checks that still wait then are printed.
    """
    waiting: dict[str, list[OpenCheck]] = {}
    for one in open_checks(record):
        waiting.setdefault(one.planned.sample, []).append(one)
    return tuple(
        Label(one.code, tuple(_lines(record, one, waiting.get(one.code, []), day)))
        for one in samples
    )


def _lines(
    record: StudyRecord, sample: Sample, waiting: list[OpenCheck], day: date
) -> Iterator[LabelLine]:
    study = record.study
    if sample.condition is not None:
        words = _condition_text(record, sample.condition)
        yield LabelLine("condition", words, 2, strong=True)
    yield LabelLine("use", _use_text(record, sample), 3)
    yield LabelLine("product", study.product, 5)
    # Not behind the product, whose name may be shortened.
    parts = (f"batch {sample.batch}", sample.pack, _version_text(study.version))
    batch = " · ".join(part for part in parts if part)
    yield LabelLine("batch, pack and version", batch, 4)
    yield LabelLine("dates", _dates_text(record, sample), 6)
    following = _next_text(record, sample, waiting, day)
    if following:
        yield LabelLine("next checks", following, 7)
    yield LabelLine("caution", CAUTION, 1, whole=True)


def _version_text(version: str) -> str:
    """Return a version as it is told apart from a batch or pack: `v1.0`."""
    return version if version[:1] in "vV" else f"v{version}"


def _condition_text(record: StudyRecord, name: str) -> str:
    words = record.protocol.conditions[name].words()
    return f"{name} · {words}" if words else name


def _use_text(record: StudyRecord, sample: Sample) -> str:
    parts = []
    if sample.kind != "container":
        parts.append(_KINDS[sample.kind])
    if sample.twin_of is not None:
        parts.append(f"untreated twin of {sample.twin_of}")
    parts.append(_purpose(sample))
    replaced = next(
        (
            one.replaces
            for one in record.placings_of(sample.code)
            if one.replaces is not None
        ),
        None,
    )
    if replaced is not None:
        parts.append(f"replaces {replaced}")
    return ", ".join(part for part in parts if part)


def _purpose(sample: Sample) -> str:
    if sample.use == "fresh per check":
        checks = ", ".join(map(check_text, sample.checks))
        return f"fresh for {checks}: open only then"
    if sample.use == "untouched":
        return f"untouched until {sample.open_at}"
    if sample.use == "retained" and sample.keep_until is not None:
        return f"keep until {sample.keep_until}, retained"
    if sample.kind != "container" and sample.use == "T0":
        return f"for {', '.join(sample.checks)}" if sample.checks else ""
    return _USES[sample.use]


def _dates_text(record: StudyRecord, sample: Sample) -> str:
    """Return when it was placed, filled and made, what matters most first."""
    batch = record.study.batches[sample.batch]
    parts = []
    if sample.condition is not None:
        placing = record.first_placing(sample.code)
        if placing is not None:
            parts.append(f"placed {placing.done.day}")
        else:
            planned = planned_placing(record.study, record.protocol, sample)
            parts += [f"placed {_BLANK}", f"planned {planned}"]
    if batch.filled is not None and batch.filled != batch.made:
        parts.append(f"filled {batch.filled}")
    parts.append(f"made {batch.made}")
    return " · ".join(map(_together, parts))


def _together(text: str) -> str:
    """Return words that no line end parts."""
    return text.replace(" ", "\u00a0")


def _next_text(
    record: StudyRecord, sample: Sample, waiting: list[OpenCheck], day: date
) -> str:
    """Return the checks that wait: dated where the dates can no longer move."""
    retired, stop = record.retirement_of(sample.code), record.stop_of(sample)
    if retired is not None:
        return f"left the study {retired.done.day}: {retired.reason}"
    if stop is not None:
        return f"stopped {stop.done.day}"
    dated = [
        _together(f"{_check_words(sample, one)} {one.planned.due}")
        for one in waiting
        if not one.planned.provisional and one.planned.closes >= day
    ]
    aged = [_check_words(sample, one) for one in waiting if one.planned.provisional]
    parts = [f"next {' · '.join(dated)}"] if dated else []
    if aged:
        parts.append(f"{', '.join(aged)} after placing")
    return "; ".join(parts)


def _check_words(sample: Sample, waiting: OpenCheck) -> str:
    """Name a check so that nobody opens what is only to be weighed."""
    words = check_text(waiting.planned.check)
    if all(part is not None for _, part in waiting.remaining):
        return f"weigh {words}"
    return f"open at {words}" if sample.use == "untouched" else words
