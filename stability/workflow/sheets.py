"""Verbs of the bench sheet: what is read on a day, and as a workbook to be filled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.command_line import EmptySheetError, SheetScopeError
from stability.errors.reports import ReportExistsError
from stability.model.age import T0
from stability.model.bench_cautions import cautions_for
from stability.model.handling import for_laboratory, last_readings, tasks_of
from stability.model.moment import Moment
from stability.model.schedule import OpenCheck, check_for, open_checks
from stability.model.sheet_day import SheetDay, SheetSample, SheetTask
from stability.workflow.occasion import Occasion, facts_of_day
from stability.workflow.sources import load, parse_day

if TYPE_CHECKING:
    from stability.evaluation.index import Index
    from stability.model.handling import LastReadings
    from stability.model.observation import DayFacts
    from stability.model.study import Sample
    from stability.model.study_record import StudyRecord

#: Comparisons come first, then what bears the request, stress last.
_ROLES = ("control", "long-term", "intermediate", "accelerated", "stress")


@dataclass(frozen=True, slots=True)
class SheetWritten:
    """A bench sheet that was written."""

    #: The file.
    target: Path
    #: The day it is for.
    day: date
    #: Code of each study in it.
    studies: tuple[str, ...]
    #: Samples [-].
    samples: int
    #: Where each record stood: subject, position and digest.
    anchors: tuple[str, ...]


def sheet_day(at: Occasion, study: str, on: str | None = None) -> SheetDay:
    """Return what is read of a study on a day.

    A sample stands there with the check to which a reading of that day belongs, if
    that check is open and its window has begun.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    on
        The day as typed, also one to come; None: today in the study's zone.

    Raises
    ------
    StabilityError
        If there is no such study, or the day cannot be read.
    """
    from stability.evaluation.index import index_of

    record = load(at, study).record
    day = at.now.astimezone(record.zone).date() if on is None else parse_day(on)
    facts = facts_of_day(record.days, day, at.account)
    index = index_of(record, day)
    last = last_readings(record, record.observations)
    samples = tuple(
        _sheet_sample(record, waiting, index, last, facts)
        for waiting in sorted(_waiting(record, day), key=partial(_order, record))
    )
    return SheetDay(
        study=record.study,
        protocol=record.protocol,
        day=day,
        anchor=record.head,
        samples=samples,
        facts=facts,
        settings=_settings(record, samples, index, facts),
        cautions=cautions_for(
            record.protocol,
            [one.sample for one in samples],
            laboratory=any(one.laboratory for one in samples),
        ),
    )


def write_workbook(
    at: Occasion,
    study: str | None,
    target: Path,
    *,
    every: bool = False,
    on: str | None = None,
    overwrite: bool = False,
) -> SheetWritten:
    """Write the samples of a check day as a workbook to be filled and read back.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder; None where every study is asked for.
    target
        The file.
    every
        Whether every study of the workspace is taken.
    on
        The day as typed; None: today.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If a study or day cannot be read, nothing is due, or the file cannot be
        written.
    """
    from stability.report.bench_workbook import workbook_bytes
    from stability.report.whole_file import check_place, write_whole

    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    days = sheet_days(at, study, on, every=every)
    check_place(target)
    write_whole(target, workbook_bytes(days))
    return _written(days, target)


def write_paper(
    at: Occasion,
    study: str | None,
    target: Path,
    *,
    every: bool = False,
    on: str | None = None,
    font: Path | None = None,
    overwrite: bool = False,
) -> SheetWritten:
    """Write the samples of a check day as a PDF to be filled in with a pen.

    Parameters
    ----------
    at, study, target, every, on, overwrite
        As in `write_workbook`.
    font
        A TrueType font for scripts that the usual one does not have.

    Raises
    ------
    StabilityError
        As `write_workbook` does.
    """
    from stability.report.bench_sheet import write_bench_sheet

    if target.exists() and not overwrite:
        raise ReportExistsError(target)
    days = sheet_days(at, study, on, every=every)
    write_bench_sheet(days, target, font=font)
    return _written(days, target)


def _written(days: Sequence[SheetDay], target: Path) -> SheetWritten:
    return SheetWritten(
        target=target,
        day=days[0].day,
        studies=tuple(one.study.code for one in days),
        samples=sum(len(one.samples) for one in days),
        anchors=tuple(str(one.anchor) for one in days),
    )


def sheet_days(
    at: Occasion, study: str | None, on: str | None, *, every: bool
) -> tuple[SheetDay, ...]:
    """Return the check day of one study, or of every study that has something due.

    Raises
    ------
    StabilityError
        If neither or both are asked for, or nothing is due.
    """
    if (study is None) != every:
        raise SheetScopeError
    codes: Sequence[str] = _codes(at) if study is None else (study,)
    days = tuple(sheet_day(at, one, on) for one in codes)
    due = tuple(one for one in days if one.samples)
    if not due:
        when = on or (str(days[0].day) if days else "today")
        raise EmptySheetError(f"study {study}" if study else "these records", when)
    return due


def _codes(at: Occasion) -> tuple[str, ...]:
    from stability.records import agenda
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        return agenda.study_codes(connection)


def _waiting(record: StudyRecord, day: date) -> Iterator[OpenCheck]:
    """Yield the open checks to which readings of the day belong."""
    open_ones: dict[str, list[OpenCheck]] = {}
    for one in open_checks(record):
        if one.planned.opens <= day and not one.planned.provisional:
            open_ones.setdefault(one.planned.sample, []).append(one)
    for code, waiting in open_ones.items():
        meant = check_for(record, record.samples[code], Moment(day))
        yield from (one for one in waiting if one.planned.check == meant)


def _order(record: StudyRecord, one: OpenCheck) -> tuple[int, int, str]:
    sample = record.samples[one.planned.sample]
    conditions = record.protocol.conditions
    if sample.condition is None:
        return (-1, 0, sample.code)
    role = _ROLES.index(conditions[sample.condition].role)
    return (role, list(conditions).index(sample.condition), sample.code)


def _sheet_sample(
    record: StudyRecord,
    waiting: OpenCheck,
    index: Index,
    last: LastReadings,
    facts: DayFacts | None,
) -> SheetSample:
    from stability.evaluation.bench_limits import limit_ahead

    planned = waiting.planned
    sample, check = record.samples[planned.sample], planned.check
    observed = {
        (seen.attribute, seen.part)
        for seen in record.standing()
        if seen.sample == sample.code and seen.check == check
    }
    stated = facts.settings if facts is not None else {}
    tasks = tuple(
        SheetTask(
            task,
            last.of(sample, task.attribute),
            limit_ahead(
                index, sample, task.attribute, check,
                stated.get(task.attribute.name, {}),
            ),
        )
        for task in tasks_of(record, sample, check, observed)
    )  # fmt: skip
    return SheetSample(
        sample=sample,
        planned=planned,
        tasks=tasks,
        laboratory=for_laboratory(record, sample, check),
        controls=_controls(record, sample, tasks) if check != T0 else (),
    )


def _controls(
    record: StudyRecord, sample: Sample, tasks: Sequence[SheetTask]
) -> tuple[str, ...]:
    """Return the samples of the batch that the protocol compares with."""
    conditions = {one.task.attribute.compared_with for one in tasks} - {None}
    return tuple(
        one.code
        for one in record.samples.values()
        if one.condition in conditions
        and one.batch == sample.batch
        and one.code != sample.code
        and record.first_placing(one.code) is not None
        and record.retirement_of(one.code) is None
    )


def _settings(
    record: StudyRecord,
    samples: Sequence[SheetSample],
    index: Index,
    facts: DayFacts | None,
) -> dict[str, dict[str, str]]:
    """Return what is known of settings before anything is read."""
    batches = sorted({one.sample.batch for one in samples})
    names = dict.fromkeys(
        each.task.attribute.name
        for one in samples
        for each in one.tasks
        if each.task.part is None
    )
    found: dict[str, dict[str, str]] = {}
    for name in names:
        attribute = record.protocol.attributes[name]
        settings = {
            key: one
            for key, one in attribute.all_settings.items()
            if key not in attribute.told_with_reading
        }
        known = {
            key: one.value for key, one in settings.items() if one.value is not None
        }
        usual = [index.usual_settings.get((name, batch), {}) for batch in batches]
        for key, one in settings.items():
            used = {each[key] for each in usual if key in each}
            if one.kind == "fixed" and len(used) == 1:
                known[key] = used.pop()
        known |= facts.settings.get(name, {}) if facts is not None else {}
        found[name] = {key: known.get(key, "") for key in settings}
    return found
