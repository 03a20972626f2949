"""The verb that writes labels for samples."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from stability.errors.labels import NoLabelsError
from stability.errors.reports import ReportExistsError
from stability.model.study import Sample, Use
from stability.workflow.occasion import Occasion
from stability.workflow.sources import load_as_of

if TYPE_CHECKING:
    from stability.model.study_record import StudyRecord


@dataclass(frozen=True, slots=True)
class WhichSamples:
    """Which samples get a label; None and an empty list narrow nothing."""

    #: Batch as typed.
    batch: str | None = None
    #: Pack as typed.
    pack: str | None = None
    #: Condition as typed.
    condition: str | None = None
    #: Use as typed, such as `reopened`.
    use: str | None = None
    #: Sample codes as typed.
    samples: Sequence[str] = ()
    #: Also those that have left the study.
    retired: bool = False


@dataclass(frozen=True, slots=True)
class WhichLabels:
    """What labels they go on, each as typed; None leaves it as usual."""

    #: Size of the labels of a known sheet.
    sheet: str | None = None
    #: Size of one label for a label printer.
    printer: str | None = None
    #: Left and top margin of the sheet.
    margin: str | None = None
    #: From one label to the next, across and down.
    pitch: str | None = None
    #: The first free label of the first page, from 1 [-].
    start_at: int = 1
    #: Whether every label has its outline.
    outlines: bool = False


@dataclass(frozen=True, slots=True)
class LabelsWritten:
    """Labels that were written."""

    #: The file.
    target: Path
    #: Study code.
    study: str
    #: The as-of date.
    as_of: date
    #: Labels [-].
    labels: int
    #: Pages [-].
    pages: int
    #: What the person should know before the sheet is put in.
    remarks: tuple[str, ...]
    #: Where the record stood: subject, position and digest.
    anchor: str


def labels(
    at: Occasion,
    study: str,
    target: Path,
    which: WhichSamples | None = None,
    on: WhichLabels | None = None,
    *,
    as_of: str | None = None,
    font: Path | None = None,
    overwrite: bool = False,
) -> LabelsWritten:
    """Write the labels of a study's samples as a PDF file.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    target
        The file.
    which
        Which samples; None: all that are in the study.
    on
        What labels; None: the usual sheet.
    as_of
        Day as typed; None: today in the study's zone.
    font
        A TrueType font for scripts that the usual one does not have.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If a name or size is not known, nothing is to be printed, or the file cannot be
        written.
    """
    from stability.report.label_sizes import sheet_for
    from stability.report.labels import LabelPrint, write_labels

    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    wanted = on or WhichLabels()
    sheet = sheet_for(wanted.sheet, wanted.printer, wanted.margin, wanted.pitch)
    source, day = load_as_of(at, study, as_of)
    record = source.record
    chosen = _chosen(record, which or WhichSamples())
    how = LabelPrint(sheet, wanted.start_at, wanted.outlines)
    printed = write_labels(record, chosen, day, target, how, font=font)
    return LabelsWritten(
        target=target,
        study=record.study.code,
        as_of=day,
        labels=printed.labels,
        pages=printed.pages,
        remarks=printed.remarks,
        anchor=str(record.head),
    )


def _chosen(record: StudyRecord, which: WhichSamples) -> tuple[Sample, ...]:
    """Return the samples that were asked for, in the order of their codes."""
    matching = _matching(record, which)
    there = tuple(
        one
        for one in matching
        if which.retired or record.retirement_of(one.code) is None
    )
    if there:
        return there
    if matching:
        number = len(matching)
        left = "the sample asked for has" if number == 1 else f"all {number} have"
        reason = f"{left} left it; add --retired to print them all the same"
    else:
        reason = "no sample is in all that was asked for; name less"
    raise NoLabelsError(record.study.code, reason)


def _matching(record: StudyRecord, which: WhichSamples) -> tuple[Sample, ...]:
    from stability.records.guards import resolve_sample
    from stability.records.names import find_name

    study, protocol = record.study, record.protocol
    codes = {resolve_sample(record, typed).code for typed in which.samples}
    known = {
        "batch": (which.batch, study.batches),
        "pack": (which.pack, study.packs),
        "condition": (which.condition, protocol.conditions),
        "use": (which.use, get_args(Use)),
    }
    wanted = {
        what: find_name(typed, names, what)
        for what, (typed, names) in known.items()
        if typed is not None
    }
    return tuple(
        one
        for one in record.samples.values()
        if (not codes or one.code in codes)
        and all(getattr(one, what) == name for what, name in wanted.items())
    )
