"""From a study's record to its one evaluation as of a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from stability.evaluation.ageing import ageing_findings
from stability.evaluation.amended import with_amendments
from stability.evaluation.calibrations import instruments_of
from stability.evaluation.cautions import NOTE, cautions_of
from stability.evaluation.certificate_findings import Certificates
from stability.evaluation.certificates import certificates_of, with_certified
from stability.evaluation.checks import coming_of, statuses_of
from stability.evaluation.comparing import comparisons_of
from stability.evaluation.contrast_findings import Contrasts
from stability.evaluation.contrast_pairs import study_series
from stability.evaluation.contrasts import contrasts_of
from stability.evaluation.drifts import measured_series
from stability.evaluation.evidence import Evidence, evidence_of
from stability.evaluation.failed_certificates import failed_certificates, with_failed
from stability.evaluation.failures import Failure, Seen, failures_of
from stability.evaluation.fates import counts_of, cycles_of, exposures_of, fates_of
from stability.evaluation.findings import Evaluation, Identity, MonthsShown
from stability.evaluation.follow_ups import follow_ups_of
from stability.evaluation.grouping import series_of
from stability.evaluation.happenings import remarks_on_record
from stability.evaluation.index import Index, index_of
from stability.evaluation.judging import judge_all
from stability.evaluation.lives import life_findings
from stability.evaluation.outside import outside_of
from stability.evaluation.over_series import multiplicity_of, trend_days, trend_of
from stability.evaluation.photographs import photographs_of
from stability.evaluation.plan_history import limits_late, limits_recorded
from stability.evaluation.readings import CheckStatus, JudgedObservation, SampleFate
from stability.evaluation.series import CurvatureFinding, MeasuredSeries, WordSeries
from stability.evaluation.shown import months_shown, overall
from stability.evaluation.storage import read_places, storage_of
from stability.evaluation.storage_findings import Storage
from stability.evaluation.summary import summary_of
from stability.evaluation.worded import word_series
from stability.model.study_record import StudyRecord
from stability.model.surroundings import ALONE, Surroundings


def evaluate(
    record: StudyRecord, as_of: date, surroundings: Surroundings = ALONE
) -> Evaluation:
    """Evaluate a study as of a day.

    Parameters
    ----------
    record
        Folded from the entries stored by the end of that day
        (`stability.model.fold.entries_as_of`).
    as_of
        The day; no clock is read.
    surroundings
        The instruments and storage places that it names, each as of that day.
    """
    record = with_certified(record)
    stored = storage_of(record, as_of, surroundings, read_places(surroundings))
    by_day = partial(_evaluated, surroundings=surroundings, storage=stored)
    found = by_day(record, as_of)
    pictures = photographs_of(index_of(record, as_of)) if record.photographs else ()
    found = replace(found, photographs=pictures, storage=stored)
    if not record.amendments:
        return found
    return with_amendments(found, record, as_of, by_day)


def _evaluated(
    record: StudyRecord, as_of: date, surroundings: Surroundings, storage: Storage
) -> Evaluation:
    """Evaluate by the limits of each reading's day, of amendments knowing no more."""
    index = replace(index_of(record, as_of, surroundings), storage=storage)
    exposures = exposures_of(index)
    judged, statuses = judge_all(index, exposures), statuses_of(index)
    fates = fates_of(index, exposures)
    failures = failures_of(index, fates, statuses)
    cycles = cycles_of(index)
    measured, curvatures, worded = _series(index, judged, failures)
    seen = Seen(judged, statuses, failures)
    certificates, evidence = _evidence(index, seen)
    asked = follow_ups_of(index, judged, failures)
    shown, (months, months_text) = _shown(evidence)
    return Evaluation(
        identity=_identity(index, statuses, fates),
        judged=judged,
        checks=statuses,
        samples=fates,
        cycles=cycles,
        measured=measured,
        worded=worded,
        curvatures=curvatures,
        trend=trend_of(measured),
        trend_days=trend_days(measured),
        comparisons=comparisons_of(index, judged),
        contrasts=_contrasts(record, judged, measured, worded),
        summary=summary_of(index, judged, statuses, measured, failures),
        outside=outside_of(index, judged, failures),
        shown=shown,
        months_shown=months,
        months_shown_text=months_text,
        record=remarks_on_record(index, seen, fates, cycles, asked),
        coming=coming_of(statuses),
        multiplicity=multiplicity_of(measured),
        cautions=cautions_of(record),
        note=NOTE,
        shelf_life=life_findings(index, evidence, seen, measured),
        ageing=ageing_findings(index, seen, exposures, measured),
        instruments=instruments_of(index, judged),
        follow_ups=asked,
        certificates=certificates,
    )


def _evidence(index: Index, seen: Seen) -> tuple[Certificates, tuple[Evidence, ...]]:
    """Return certificates, and what real time says where some of them failed."""
    certificates = certificates_of(index.record, index.as_of, seen.judged)
    read = evidence_of(index, seen.judged, seen.statuses, seen.failures)
    failed = failed_certificates(index, certificates.findings)
    return certificates, with_failed(read, failed)


def _shown(
    evidence: Sequence[Evidence],
) -> tuple[tuple[MonthsShown, ...], tuple[int, str]]:
    """Return what is shown, pack by pack, and over all packs."""
    shown = months_shown(evidence)
    return shown, overall(shown)


def _series(
    index: Index, judged: Sequence[JudgedObservation], failures: Sequence[Failure]
) -> tuple[
    tuple[MeasuredSeries, ...], tuple[CurvatureFinding, ...], tuple[WordSeries, ...]
]:
    numbers, words = series_of(judged, index)
    measured, curvatures = measured_series(index, numbers)
    return measured, curvatures, word_series(index, words, failures)


def _contrasts(
    record: StudyRecord,
    judged: Sequence[JudgedObservation],
    measured: tuple[MeasuredSeries, ...],
    worded: tuple[WordSeries, ...],
) -> Contrasts:
    return contrasts_of(
        study_series(record.protocol, record.study, judged, measured, worded)
    )


def _identity(
    index: Index, statuses: Sequence[CheckStatus], fates: Sequence[SampleFate]
) -> Identity:
    record = index.record
    readings = [seen.done for seen in record.observations if not seen.certificate]
    first = min(readings, default=None)
    waiting = sum(status.waits for status in statuses)
    return Identity(
        study=record.study,
        protocol=record.protocol,
        fingerprint=record.opening.fingerprint,
        protocol_digest=record.opening.protocol_digest,
        head=record.head,
        as_of=index.as_of,
        state="interim" if waiting else "final",
        checks_waiting=waiting,
        opened=record.opening.done,
        opened_by=record.opening.person,
        first_reading=first,
        last_reading=max(readings, default=None),
        limits_recorded=limits_recorded(record, first),
        batches=len(record.study.batches),
        packs=len(record.study.packs),
        samples=counts_of(fates),
        limits_late=limits_late(record, first),
    )
