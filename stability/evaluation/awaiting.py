"""What of a study waits for an answer: open follow-ups, certificates, sent samples.

All of it is told by the entries alone and by no clock, so that it can be kept beside
the checks that are due. Nothing is fitted, and no numerical library is loaded.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from stability.evaluation.certificate_findings import Certificates
from stability.evaluation.certificates import certificates_of, with_certified
from stability.evaluation.checks import statuses_of
from stability.evaluation.failures import failures_of
from stability.evaluation.fates import exposures_of, fates_of
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.follow_ups import follow_ups_of
from stability.evaluation.index import Index, index_of
from stability.evaluation.judging import judge_all
from stability.evaluation.phrases import listed, named_check
from stability.evaluation.readings import JudgedObservation
from stability.model.agenda import Awaiting
from stability.model.observation import RETIRED_AS_FAILED
from stability.model.study_record import StudyRecord

#: How a sample leaves that goes to a laboratory.
SENT_OUT = "sent out"


def awaiting(record: StudyRecord) -> tuple[Awaiting, ...]:
    """Return what waits for an answer, whatever the day.

    - *Follow-ups* that nobody answered, of a stopped study too.
    - *Certificates* that the protocol asks for and that are not received, from the day
      on which their check is reached; none of a study that was stopped as a whole.
    - *Results* of samples sent out: none has come while no certificate that stands
      names the sample, or, without naming one, is of its batch and pack and issued
      since it left. Bulk that was sent out may have been tested in any pack.
    """
    asks = any(
        one.provided_by == "certificate" for one in record.protocol.attributes.values()
    )
    if not (asks or record.observations or record.retirements or record.certificates):
        return ()
    record = with_certified(record)
    index = index_of(record, _last_day(record))
    judged = judge_all(index, exposures_of(index))
    found = [*_follow_ups(index, judged)]
    if not any(not one.scope for one in record.stops):
        certificates = certificates_of(record, index.as_of, judged)
        found += [*_certificates(certificates), *_results(record, certificates)]
    return tuple(found)


def _last_day(record: StudyRecord) -> date:
    """Return the last day of which an entry tells, so that all of them count."""
    days = [one.done.day for one in record.observations]
    days += [one.done.day for one in record.retirements]
    return max(days, default=record.opening.done.day)


def _follow_ups(
    index: Index, judged: Sequence[JudgedObservation]
) -> Iterator[Awaiting]:
    record = index.record
    failed = any(one.reason in RETIRED_AS_FAILED for one in record.retirements)
    failures = (
        failures_of(index, fates_of(index, exposures_of(index)), statuses_of(index))
        if failed
        else ()
    )
    days = {one.position: one.done.day for one in record.certificates}
    days |= {one.position: one.done.day for one in record.observations}
    days |= {one.position: one.done.day for one in record.retirements}
    for one in follow_ups_of(index, judged, failures):
        if one.is_open:
            yield Awaiting(
                kind="follow-up",
                since=days[one.position],
                condition=one.condition or "",
                sample=one.sample,
                position=one.position,
                text=f"follow-up {record.study.code}/{one.position}: {_of(one)}",
            )


def _of(asked: FollowUp) -> str:
    """Say shortly of what it is; all of it stands in the list of follow-ups."""
    if asked.attribute == "sample":
        return f"{asked.sample} left as failed"
    if not asked.sample:
        return f"certificate of {asked.attribute} at {named_check(asked.check)}"
    return f"{asked.attribute} of {asked.sample} at {named_check(asked.check)}"


def _certificates(found: Certificates) -> Iterator[Awaiting]:
    """Yield what is missing at each check: a laboratory often sends all together."""
    missing: dict[tuple[date, str], list[str]] = {}
    for one in found.asked:
        if not one.positions and one.reached_on is not None:
            missing.setdefault((one.reached_on, one.check), []).append(one.attribute)
    for (day, check), names in missing.items():
        what = "certificate" if len(names) == 1 else "certificates"
        yield Awaiting(
            kind="certificate",
            since=day,
            condition="",
            sample="",
            position=0,
            text=f"{what} of {listed(names)} at {named_check(check)}",
        )


def _results(record: StudyRecord, found: Certificates) -> Iterator[Awaiting]:
    come = [one.certificate for one in found.evidence]
    for left in record.retirements:
        if left.reason != SENT_OUT:
            continue
        sample = record.samples[left.sample]
        if any(
            one.sample == sample.code
            or (
                one.sample is None
                and one.batch == sample.batch
                and (sample.pack is None or one.pack in {None, sample.pack})
                and one.issued >= left.done.day
            )
            for one in come
        ):
            continue
        yield Awaiting(
            kind="result",
            since=left.done.day,
            condition="",
            sample=sample.code,
            position=left.position,
            text=f"result of {sample.code}, sent out",
        )
