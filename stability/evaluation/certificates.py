"""Certificates held against the standards, the protocol and the study they are for.

Nothing here is a verdict on safety: the table of a standard is held against what a
laboratory reports, and both conclusions are told where they differ.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from stability.evaluation.certificate_findings import (
    Asked,
    AskedState,
    CertificateFinding,
    CertificateMark,
    Certificates,
)
from stability.evaluation.certificate_words import (
    agreement,
    conclusion,
    conclusion_of,
    results_text,
    sentence,
)
from stability.evaluation.readings import JudgedObservation
from stability.model.age import T0, parse_age
from stability.model.attribute import Attribute
from stability.model.certificate import Certificate
from stability.model.certified import (
    is_of_product,
    mismatches_of,
    observation_of,
    readings_of,
)
from stability.model.challenge import ChallengeFinding, judge_challenge, verdict_of
from stability.model.judgement import Judgement, judge_measured, judge_words
from stability.model.microbial_limits import (
    ABSENT,
    PRESENT,
    SPECIFIED,
    CountFinding,
    judge_counts,
)
from stability.model.study_record import StudyRecord

#: Category that counts where the study states none.
USUAL_CATEGORY = 2
_CRITERIA: Mapping[str, CertificateMark] = {
    "criteria A": "inside",
    "criteria B": "needs justification",
    "not met": "outside",
    "undecided": "undecided",
}
_BY_PROTOCOL: Mapping[str, CertificateMark] = {
    "outside": "outside",
    "undecided": "undecided",
    "not measured": "undecided",
    "no initial": "no initial",
    "inside": "inside",
    "changed, inside": "inside",
    "recorded only": "recorded only",
}
#: From the worst on.
_ORDER: Sequence[CertificateMark] = (
    "outside",
    "needs justification",
    "undecided",
    "no initial",
    "inside",
    "recorded only",
)


def with_certified(record: StudyRecord) -> StudyRecord:
    """Return a record in which certificates of named samples stand as observations.

    They are judged, fitted and counted like any other; each says from which
    certificate it comes.
    """
    made = [observation_of(record, one) for one in record.certificates]
    added = [one for one in made if one is not None]
    if not added:
        return record
    every = sorted((*record.observations, *added), key=lambda one: one.position)
    return replace(record, observations=tuple(every))


def speaks_against(record: StudyRecord, certificate: Certificate) -> str:
    """Return what a certificate failed, in words; "" where it fails nothing.

    Parameters
    ----------
    record
        The study as it stands.
    certificate
        One that is just recorded; its sample's readings are not looked at.
    """
    found = _finding(record, certificate, None)
    if not found.speaks_against:
        return ""
    return found.verdict or found.by_protocol or found.laboratory_verdict


def certificates_of(
    record: StudyRecord, as_of: date, judged: Sequence[JudgedObservation]
) -> Certificates:
    """Return every certificate with what it amounts to, and what is asked for.

    Parameters
    ----------
    record
        The study as of the day.
    as_of
        The day.
    judged
        Every observation, those that come from certificates among them.
    """
    by_position = {
        one.position: one for one in judged if one.observation.certificate is not None
    }
    found = [
        _finding(record, one, by_position.get(one.position))
        for one in record.certificates
    ]
    ordered = sorted(
        found, key=lambda one: (one.mark != "outside", one.certificate.position)
    )
    omitted = record.study.omit
    return Certificates(
        findings=tuple(ordered),
        asked=tuple(_asked(record, as_of, found)),
        left_out=tuple(
            (name, omitted[name])
            for name, one in record.protocol.attributes.items()
            if one.provided_by == "certificate" and name in omitted
        ),
    )


def _finding(
    record: StudyRecord, certificate: Certificate, seen: JudgedObservation | None
) -> CertificateFinding:
    wrong = mismatches_of(record.study, certificate)
    attribute = _attribute(record, certificate)
    challenge = _challenge(certificate)
    count = _count(record, certificate)
    judgement = _by_protocol(certificate, attribute, seen)
    amounts_to = _amounts_to(certificate, challenge, count, judgement)
    found = CertificateFinding(
        certificate=certificate,
        mark=_mark(certificate, wrong, amounts_to),
        mismatches=wrong,
        challenge=challenge,
        count=count,
        results=results_text(certificate, challenge),
        verdict=conclusion(challenge, count, judgement),
        by_protocol=_protocol_text(judgement, attribute),
        laboratory_verdict=agreement(certificate, challenge, count, judgement),
        reasons=_reasons(record, certificate, challenge, count, judgement),
        among_readings=seen is not None,
        microbiological=certificate.kind in {"challenge", "count"}
        or (attribute is not None and attribute.scale == (ABSENT, PRESENT)),
        text="",
        speaks_against=(
            amounts_to == "outside"
            and certificate.invalidated is None
            and is_of_product(record.study, certificate)
        ),
    )
    return replace(found, text=sentence(found))


def _attribute(record: StudyRecord, certificate: Certificate) -> Attribute | None:
    """Return the attribute with the limit that held when it was recorded."""
    held = record.protocol
    if record.amendments:
        held = record.amendments[0].protocol_before
    for one in record.amendments:
        if one.position < certificate.position:
            held = one.protocol
    now = record.protocol.attributes.get(certificate.attribute)
    return held.attributes.get(certificate.attribute, now)


def _challenge(certificate: Certificate) -> ChallengeFinding | None:
    if certificate.kind != "challenge":
        return None
    return judge_challenge(certificate.results, verdict_of(certificate.verdict))


def _count(record: StudyRecord, certificate: Certificate) -> CountFinding | None:
    if certificate.kind != "count":
        return None
    category = record.study.microbial_category or USUAL_CATEGORY
    return judge_counts(certificate.results, category)


def _by_protocol(
    certificate: Certificate,
    attribute: Attribute | None,
    seen: JudgedObservation | None,
) -> Judgement | None:
    """Return the judgement by the protocol's limit; None where it has none."""
    if seen is not None:
        return Judgement(seen.mark, seen.value, seen.word, seen.limit_text, seen.detail)
    if attribute is None:
        return None
    readings = readings_of(certificate, attribute)
    if not readings:
        return None
    if attribute.kind == "measured":
        return judge_measured(readings, attribute.limit, None, attribute.unit)
    return judge_words(readings, attribute, attribute.limit, None)


def _mark(
    certificate: Certificate, wrong: Sequence[str], amounts_to: CertificateMark
) -> CertificateMark:
    if certificate.invalidated is not None:
        return "set aside"
    return "mismatch" if wrong else amounts_to


def _amounts_to(
    certificate: Certificate,
    challenge: ChallengeFinding | None,
    count: CountFinding | None,
    judgement: Judgement | None,
) -> CertificateMark:
    """Return what it amounts to, of whatever product it is."""
    marks: set[CertificateMark] = set()
    if challenge is not None:
        marks.add(_CRITERIA[challenge.governing])
    if count is not None:
        marks.add(count.mark)
    if conclusion_of(certificate.verdict) == "not met":
        # Who tested may know more than the numbers say.
        marks.add("outside")
    if judgement is not None:
        marks.add(_BY_PROTOCOL[judgement.mark])
    return next((one for one in _ORDER if one in marks), "recorded only")


def _protocol_text(judgement: Judgement | None, attribute: Attribute | None) -> str:
    if judgement is None or attribute is None or judgement.mark == "recorded only":
        return ""
    return f"{judgement.mark} by the protocol's limit ({judgement.limit})"


def _reasons(
    record: StudyRecord,
    certificate: Certificate,
    challenge: ChallengeFinding | None,
    count: CountFinding | None,
    judgement: Judgement | None,
) -> tuple[str, ...]:
    found: list[str] = []
    if challenge is not None:
        found += challenge.reasons
        found += [
            f"{one.organism}: {why}"
            for one in challenge.organisms
            for why in one.reasons
        ]
    if count is not None:
        found += count.reasons
    if challenge is None and conclusion_of(certificate.verdict) == "not met":
        found.append("the laboratory states that it is not met, which governs")
    if count is not None and record.study.microbial_category is None:
        found.append(f"the study states no category; {USUAL_CATEGORY} is taken")
    if judgement is not None and judgement.detail:
        found.append(judgement.detail)
    if certificate.pack is None:
        found.append(
            "the certificate names no pack: held, it speaks for none; failed, it "
            "counts for every pack"
        )
    if certificate.invalidated is not None:
        found.append(f"set aside: {certificate.invalidated.because}")
    return tuple(found)


def _asked(
    record: StudyRecord, as_of: date, found: Sequence[CertificateFinding]
) -> list[Asked]:
    return [
        _answer(record, as_of, found, attribute, check)
        for name, attribute in record.protocol.attributes.items()
        if attribute.provided_by == "certificate" and name not in record.study.omit
        for check in attribute.when
    ]


def _answer(
    record: StudyRecord,
    as_of: date,
    found: Sequence[CertificateFinding],
    attribute: Attribute,
    check: str,
) -> Asked:
    positions = tuple(
        one.certificate.position
        for one in found
        if one.is_evidence and one.certificate.age == check and _answers(one, attribute)
    )
    state: AskedState = "not received"
    reached_on = _earliest(record, check)
    if positions:
        state = "received"
    elif reached_on > as_of:
        state = "to come"
    return Asked(attribute.name, check, state, positions, reached_on)


def _answers(one: CertificateFinding, attribute: Attribute) -> bool:
    """Say whether a certificate is of an attribute.

    The organisms that must be absent stand on the certificate of the counts.
    """
    if one.certificate.attribute == attribute.name:
        return True
    stated = set(one.count.organisms) if one.count is not None else set()
    return attribute.scale == (ABSENT, PRESENT) and set(SPECIFIED) <= stated


def _earliest(record: StudyRecord, check: str) -> date:
    """Return the day on which a check is first reached."""
    start = min(
        (one.done.day for one in record.placings if one.how == "in"),
        default=min(one.made for one in record.study.batches.values()),
    )
    length = None if check == T0 else parse_age(check)
    return start if length is None else length.after(start)
