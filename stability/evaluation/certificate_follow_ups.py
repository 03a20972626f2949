"""The follow-up of a failed certificate that is no reading of a sample.

One that names a sample and speaks in the protocol's terms stands among the readings and
asks like them. Any other that failed would ask nobody: a challenge of a container
without a code that was not met, or more microbes than ISO 17516 allows.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from stability.evaluation.certificate_findings import CertificateFinding
from stability.evaluation.certificates import certificates_of
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.index import Index
from stability.evaluation.phrases import named_check
from stability.evaluation.readings import JudgedObservation
from stability.model.follow_up import Answer


def certificate_follow_ups(
    index: Index,
    judged: Sequence[JudgedObservation],
    answers: Mapping[int, Sequence[Answer]],
    told: Collection[int],
) -> Iterator[FollowUp]:
    """Yield the follow-up of each failed certificate that no reading asks for.

    One that was answered stays, also where the certificate was set aside since.

    Parameters
    ----------
    index
        The record, looked up once.
    judged
        Every observation, those that come from certificates among them.
    answers
        Position -> what was answered.
    told
        Positions for which a reading asks already.
    """
    if not index.record.certificates:
        return
    for one in certificates_of(index.record, index.as_of, judged).findings:
        position = one.certificate.position
        if position not in told and (one.speaks_against or position in answers):
            yield _of_certificate(index, one, tuple(answers.get(position, ())))


def _of_certificate(
    index: Index, found: CertificateFinding, answers: tuple[Answer, ...]
) -> FollowUp:
    own = found.certificate
    what = found.verdict or found.by_protocol or found.laboratory_verdict
    since = "" if found.speaks_against else f"now {found.mark}"
    if own.invalidated is not None:
        code = index.record.study.code
        since = f"set aside by {code}/{own.invalidated.position}: "
        since += own.invalidated.because
    return FollowUp(
        position=own.position,
        sample=own.sample or "",
        condition=None,
        check=own.age,
        attribute=own.attribute,
        text=f"certificate of {own.title}, batch {own.batch} at "
        f"{named_check(own.age)}: {what}",
        repeats=(),
        answers=answers,
        since=since,
    )
