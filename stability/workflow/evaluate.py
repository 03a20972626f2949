"""Verbs that evaluate a study: readings with marks, the evaluation, the report."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.reports import (
    ReportExistsError,
    ReportFolderMissingError,
    ReportNotWrittenError,
    ReportPlaceTakenError,
)
from stability.workflow.around_places import whole_surroundings
from stability.workflow.occasion import Occasion
from stability.workflow.packs import write_study_pack
from stability.workflow.report_files import Progress, write_study_report
from stability.workflow.sources import load_as_of

if TYPE_CHECKING:
    from stability.evaluation.ageing_findings import (  # noqa: TC004
        HeatFinding,
        KineticFinding,
    )
    from stability.evaluation.findings import Evaluation  # noqa: TC004
    from stability.evaluation.follow_up_findings import FollowUp  # noqa: TC004
    from stability.evaluation.life_findings import AttributeLife  # noqa: TC004
    from stability.evaluation.readings import JudgedObservation  # noqa: TC004
    from stability.evaluation.series import MeasuredSeries, WordSeries  # noqa: TC004
    from stability.model.study_record import StudyRecord
    from stability.records.store import StudySource
    from stability.report.in_print import PrintWish

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = [
        "AttributeLife",
        "Evaluation",
        "FollowUp",
        "HeatFinding",
        "JudgedObservation",
        "KineticFinding",
        "MeasuredSeries",
        "WordSeries",
    ]


@dataclass(frozen=True, slots=True)
class ReportWritten:
    """A report that was written."""

    #: The file.
    target: Path
    #: Study code.
    study: str
    #: The as-of date.
    as_of: date
    #: Where the record stood: subject, position and digest.
    anchor: str


@dataclass(frozen=True, slots=True)
class Shown:
    """Observations that were asked for."""

    #: The observations, judged.
    judged: tuple[JudgedObservation, ...]
    #: Follow-ups of the whole study.
    follow_ups: tuple[FollowUp, ...]


def evaluate(at: Occasion, study: str, *, as_of: str | None = None) -> Evaluation:
    """Return the evaluation of a study.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If study or day cannot be read.
    """
    return _evaluated(at, study, as_of)[0]


def ageing(
    at: Occasion,
    study: str,
    *,
    attribute: str | None = None,
    as_of: str | None = None,
) -> Evaluation:
    """Return the evaluation of a study, with heat beside real time for one attribute.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    attribute
        The attribute; None: all.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If study, attribute or day is not known.
    """
    from stability.evaluation.ageing import of_attribute
    from stability.records.intake import find_attribute

    evaluation, record = _evaluated(at, study, as_of)
    if attribute is None or evaluation.ageing is None:
        return evaluation
    named = find_attribute(attribute, record.protocol.attributes)[0].name
    return replace(evaluation, ageing=of_attribute(evaluation.ageing, named))


def show(
    at: Occasion,
    study: str,
    *,
    sample: str | None = None,
    attribute: str | None = None,
    condition: str | None = None,
    check: str | None = None,
    as_of: str | None = None,
) -> tuple[JudgedObservation, ...]:
    """Return observations with their marks.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    sample, attribute, condition, check
        Narrow what is returned; None does not.
    as_of
        Day as typed; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If a study, name or day is not known.
    """
    return shown(
        at, study, sample=sample, attribute=attribute, condition=condition,
        check=check, as_of=as_of,
    ).judged  # fmt: skip


def shown(
    at: Occasion,
    study: str,
    *,
    sample: str | None = None,
    attribute: str | None = None,
    condition: str | None = None,
    check: str | None = None,
    as_of: str | None = None,
) -> Shown:
    """Return observations with their marks, and what those outside ask.

    Parameters are those of `show`.

    Raises
    ------
    StabilityError
        If a study, name or day is not known.
    """
    from stability.records.acts import find_check
    from stability.records.guards import resolve_sample
    from stability.records.intake import find_attribute
    from stability.records.names import find_name

    evaluation, record = _evaluated(at, study, as_of)
    protocol = record.protocol
    code = resolve_sample(record, sample).code if sample else None
    named = (
        find_attribute(attribute, protocol.attributes)[0].name if attribute else None
    )
    place = (
        find_name(condition, protocol.conditions, "condition") if condition else None
    )
    planned = find_check(check, ("T0", *protocol.all_checks())) if check else None
    judged = tuple(
        one
        for one in evaluation.judged
        if (code is None or one.sample.code == code)
        and named in {None, one.attribute}
        and place in {None, one.condition}
        and planned in {None, one.check}
    )
    return Shown(judged, evaluation.follow_ups)


def report(
    at: Occasion,
    study: str,
    target: Path,
    *,
    kind: str = "pdf",
    as_of: str | None = None,
    font: Path | None = None,
    overwrite: bool = False,
    readings: PrintWish = "auto",
    progress: Progress | None = None,
) -> ReportWritten:
    """Write the report of a study.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    target
        The file.
    kind
        pdf, text, json, summary for one page of it, plan for the plan record as it
        stands on that day, or pack for one ZIP file of all that it rests on.
    as_of
        Day as typed; None: today in the study's zone.
    font
        A TrueType font for scripts that the usual one does not have.
    overwrite
        Whether a file that stands there is replaced.
    readings
        Which readings the PDF prints one by one; all of them stand in its files.
    progress
        Told how far the PDF is; None: nobody watches.

    Raises
    ------
    StabilityError
        If the study cannot be read or the file not written.
    """
    from stability.report.plan_record import write_plan_record
    from stability.report.study_json import study_json
    from stability.report.study_text import study_text
    from stability.report.summary_sheet import write_summary

    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    evaluation, source = found = _sourced(at, study, as_of)
    if kind == "plan":
        write_plan_record(source.record, target, font=font)
    elif kind == "summary":
        write_summary(evaluation, target, font=font)
    elif kind in {"pdf", "pack"}:
        write = write_study_pack if kind == "pack" else write_study_report
        write(at, study, found, target, font=font, readings=readings, progress=progress)
    else:
        text = study_json(evaluation) if kind == "json" else study_text(evaluation)
        _write_text(target, text)
    identity = evaluation.identity
    head = source.record.head
    return ReportWritten(target, identity.study.code, identity.as_of, str(head))


def _evaluated(
    at: Occasion, study: str, as_of: str | None
) -> tuple[Evaluation, StudyRecord]:
    evaluation, source = _sourced(at, study, as_of)
    return evaluation, source.record


def _sourced(
    at: Occasion, study: str, as_of: str | None
) -> tuple[Evaluation, StudySource]:
    from stability.evaluation.evaluate import evaluate as evaluated

    source, day = load_as_of(at, study, as_of)
    around = whole_surroundings(at, study, source.record, day)
    return evaluated(source.record, day, around), source


def _write_text(target: Path, text: str) -> None:
    """Write beside the target, then put the whole file in its place."""
    if not target.parent.is_dir():
        raise ReportFolderMissingError(target.parent)
    if target.is_dir():
        raise ReportPlaceTakenError(target)
    part = target.with_name(f".{target.name}.part")
    try:
        part.write_text(text, encoding="utf-8", newline="\n")
        part.replace(target)
    except OSError as fault:
        part.unlink(missing_ok=True)
        reason = fault.strerror or str(fault)
        raise ReportNotWrittenError(target, reason) from fault
