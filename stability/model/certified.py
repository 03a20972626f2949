"""What a certificate says of a study: a mismatch, or evidence, perhaps a reading."""

from __future__ import annotations

from collections.abc import Sequence

from stability.model.age import T0, parse_age
from stability.model.attribute import Attribute
from stability.model.certificate import Certificate
from stability.model.challenge import judge_challenge, verdict_of
from stability.model.microbial_limits import total_of
from stability.model.moment import Moment
from stability.model.observation import Observation, Reading
from stability.model.schedule import planned_checks
from stability.model.study import Sample, Study
from stability.model.study_record import StudyRecord


def mismatches(
    study: Study, *, version: str, batch: str, pack: str | None
) -> tuple[str, ...]:
    """Return in what a certificate is of something else than the study.

    Parameters
    ----------
    study
        The study.
    version, batch, pack
        Of what the certificate is; a pack of None is not named, which is no mismatch.
    """
    found = []
    if version != study.version:
        found.append(f"version {version}, this study is of version {study.version}")
    if batch not in study.batches:
        found.append(f"batch {batch}, this study has {', '.join(study.batches)}")
    if pack is not None and pack not in study.packs:
        found.append(f"pack {pack}, this study has {', '.join(study.packs)}")
    return tuple(found)


def is_of_product(study: Study, certificate: Certificate) -> bool:
    """Say whether a certificate is of the version studied, in a pack of the study.

    Of which batch it is does not matter; a pack that is not named is no other pack.
    """
    packs = {None, *study.packs}
    return certificate.version == study.version and certificate.pack in packs


def mismatches_of(study: Study, certificate: Certificate) -> tuple[str, ...]:
    """Return in what a recorded certificate is of something else than the study."""
    return mismatches(
        study,
        version=certificate.version,
        batch=certificate.batch,
        pack=certificate.pack,
    )


def reached_on(record: StudyRecord, sample: Sample, age: str) -> Moment | None:
    """Return the day on which a sample reached an age; None where nothing tells it.

    A check counts from its due date, every other age from the placing. What was taken
    at T0 is of the day of its T0 check, or of the day on which the batch was made.
    """
    for planned in planned_checks(record, sample):
        if planned.check == age:
            return Moment(planned.due)
    if age == T0:
        settled = record.protocol.t0.read_after
        return Moment(settled.after(record.study.batches[sample.batch].made))
    placing, length = record.first_placing(sample.code), parse_age(age)
    if placing is None or length is None or sample.condition is None:
        return None
    return Moment(length.after(placing.done.day))


def observation_of(record: StudyRecord, certificate: Certificate) -> Observation | None:
    """Return a certificate as an observation of the sample that it names.

    None where it names none, is of something else than the study, or says nothing in
    the terms of the protocol's attribute.
    """
    attribute = record.protocol.attributes.get(certificate.attribute)
    sample = record.samples.get(certificate.sample or "")
    if attribute is None or sample is None or mismatches_of(record.study, certificate):
        return None
    done = reached_on(record, sample, certificate.age)
    readings = readings_of(certificate, attribute)
    if done is None or not readings:
        return None
    planned = certificate.age == T0 or certificate.age in sample.checks
    return Observation(
        position=certificate.position,
        sample=sample.code,
        attribute=attribute.name,
        check=certificate.age if planned else None,
        readings=tuple(readings),
        done=done,
        entered=certificate.entered,
        person=certificate.laboratory,
        unit=attribute.unit if attribute.kind == "measured" else "",
        invalidated=certificate.invalidated,
        certificate=certificate.title,
    )


def readings_of(certificate: Certificate, attribute: Attribute) -> Sequence[Reading]:
    """Return what a certificate says in the terms of an attribute; () where nothing."""
    rows = certificate.results
    if certificate.kind == "challenge":
        found = judge_challenge(rows, verdict_of(certificate.verdict)).governing
        return [Reading(found)] if found in attribute.scale else []
    if certificate.kind == "count":
        if attribute.kind != "measured":
            return []
        counts = {one.name: one.number for one in rows if one.measure == "count"}
        total = total_of(counts)
        return [Reading(f"{total.value:f}", total.qualifier)] if total else []
    return [Reading(one.value, one.qualifier) for one in rows]
