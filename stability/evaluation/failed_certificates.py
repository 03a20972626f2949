"""Certificates that failed end what is supported, whether or not they name a sample.

A product whose preservation failed, or that holds more microbes than it may, must not
be called stable because its pH is. So the rule is:

- It counts if it *failed*: below criteria B of ISO 11930, above the limit of ISO 17516,
  a specified organism present, outside by the protocol's limit, or the laboratory says
  that it is not met. One that needs a justification or is undecided is left to the
  assessor. Challenges, counts and organisms always count; another attribute where it
  bears the request.
- It counts if it is of the *version* studied, in a *pack* of the study, of whatever
  batch: the next batch is made by the same formula. One of another version or pack is a
  mismatch. It counts for the pack that it names; for every pack where it names none, or
  an inert one, which tests the formula and takes no pack's part.
- A sample's *storage* decides as for every reading: kept hot, under stress, in use or
  for comparison, it does not speak for the shelf. Where no sample is named nothing says
  that it was kept otherwise, so that it counts; an age in cycles says that it was.
- Then nothing is supported past the last age *before* it at which a certificate of the
  same batch in the same pack *held*; with none, or T0 only, nothing at all is. A later
  one that holds does not undo it, nor does one of the same age: a test made wrongly is
  set aside, with its cause.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from stability.evaluation.certificate_findings import (
    CertificateFinding,
    FailedCertificate,
)
from stability.evaluation.evidence import Evidence, FailureSeen
from stability.evaluation.index import Index, role_of
from stability.evaluation.life_findings import AttributeLife
from stability.evaluation.phrases import count_text
from stability.model.age import (
    DAYS_PER_MONTH,
    T0,
    check_order,
    cycle_of,
    parse_age,
)
from stability.model.certificate import Certificate
from stability.model.limit import Limit
from stability.model.shelf_life import Bearing, Cap, Shown

#: Why nothing is offered beyond.
_NO_FURTHER = "nothing is extrapolated past a failed certificate"


def failed_certificates(
    index: Index, found: Iterable[CertificateFinding]
) -> tuple[FailedCertificate, ...]:
    """Return the certificates that end what is supported, in order of age.

    Parameters
    ----------
    index
        The record, looked up once.
    found
        Every certificate, held against standards, protocol and study.
    """
    every = tuple(found)
    failed = [
        FailedCertificate(
            certificate=one.certificate,
            packs=_packs(index, one),
            what=_what(one),
            held_at=_held_at(index, one, every),
        )
        for one in every
        if _counts(index, one)
    ]
    return tuple(
        sorted(
            failed,
            key=lambda one: (
                check_order(one.certificate.age),
                one.certificate.position,
            ),
        )
    )


def with_failed(
    evidence: Iterable[Evidence], failed: Iterable[FailedCertificate]
) -> tuple[Evidence, ...]:
    """Return what real time says, with the failed certificates of each pack.

    One that stands among the readings as outside is told there already.
    """
    every = tuple(failed)
    return tuple(
        _with(one, [each for each in every if one.pack in each.packs])
        for one in evidence
    )


def shown_by(failed: FailedCertificate) -> Shown:
    """Return how long certificates show that it held before it failed."""
    age = parse_age(failed.held_at or "")
    if age is None:
        return Shown(0, None, 0, "nothing")
    months = age.whole_months
    return Shown(months, failed.held_at, months, f"{age} (by certificate)")


def certified_lives(evidence: Evidence) -> list[AttributeLife]:
    """Return what the failed certificates of a pack bring to the request."""
    return [_life(evidence, one) for one in evidence.certified]


def _counts(index: Index, found: CertificateFinding) -> bool:
    certificate = found.certificate
    if not found.speaks_against or cycle_of(certificate.age) is not None:
        return False
    attribute = index.protocol.attributes.get(certificate.attribute)
    bears = attribute is not None and attribute.bears_request
    return (found.microbiological or bears) and _of_the_shelf(index, found)


def _of_the_shelf(index: Index, found: CertificateFinding) -> bool:
    """Say whether nothing tells that it was kept otherwise than on the shelf."""
    sample = index.record.samples.get(found.certificate.sample or "")
    if sample is None or found.certificate.age == T0:
        return True
    return role_of(index.record, sample) in {None, "long-term"}


def _packs(index: Index, found: CertificateFinding) -> tuple[str, ...]:
    packs = index.record.study.packs
    named = packs.get(found.certificate.pack or "")
    if named is None or named.inert:
        return tuple(packs)
    return (named.name,)


def _what(found: CertificateFinding) -> str:
    if found.challenge is not None and found.challenge.governing == "not met":
        return "below criteria B of ISO 11930"
    if found.count is not None and found.count.mark == "outside":
        return "outside the limit of ISO 17516"
    return found.by_protocol or "not met, as the laboratory states"


def _held_at(
    index: Index, failed: CertificateFinding, every: Iterable[CertificateFinding]
) -> str | None:
    """Return the last age before at which the same batch held in the same pack."""
    own = failed.certificate
    ages = [
        one.certificate.age
        for one in every
        if one.mark == "inside"
        and one.certificate.attribute == own.attribute
        and one.certificate.batch == own.batch
        and one.certificate.pack == own.pack
        and cycle_of(one.certificate.age) is None
        and check_order(one.certificate.age) < check_order(own.age)
        and _of_the_shelf(index, one)
    ]
    return max(ages, key=check_order, default=None)


def _with(evidence: Evidence, failed: Iterable[FailedCertificate]) -> Evidence:
    told = {(one.batch, one.attribute, one.check) for one in evidence.failures}
    new = tuple(one for one in failed if not _is_told(one.certificate, told))
    if not new:
        return evidence
    failures = [*evidence.failures, *(_seen(one) for one in new)]
    return replace(
        evidence,
        failures=tuple(sorted(failures, key=lambda one: (one.age, one.batch))),
        certified=new,
    )


def _is_told(certificate: Certificate, told: Collection[tuple[str, str, str]]) -> bool:
    """Say whether the reading of a named sample tells of the failure already."""
    where = certificate.batch, certificate.attribute
    checks = (certificate.age, "extra")
    return certificate.sample is not None and any(
        (*where, one) in told for one in checks
    )


def _seen(failed: FailedCertificate) -> FailureSeen:
    one = failed.certificate
    age = parse_age(one.age)
    days = 0.0 if age is None else age.nominal_days
    return FailureSeen(one.batch, one.attribute, one.age, days / DAYS_PER_MONTH)


def _life(evidence: Evidence, failed: FailedCertificate) -> AttributeLife:
    shown = shown_by(failed)
    one = failed.certificate
    most = float(shown.months)
    kept = count_text(shown.months, "month") if shown.months else "nothing"
    basis = (
        f"failed at {one.age}, {failed.what} (certificate of {one.title}); "
        f"{failed.held_words}: {kept} can be supported while it stands"
    )
    bearing = Bearing(
        attribute=one.attribute,
        pack=evidence.pack,
        batch=one.batch,
        shown=shown,
        cap=Cap(most, most, "none", _NO_FURTHER),
        estimate=None,
        ends_at=shown.months,
        basis=basis,
        condition=evidence.condition,
    )
    return AttributeLife(
        attribute=one.attribute,
        condition=evidence.condition,
        pack=evidence.pack,
        kind="certified",
        unit="",
        limit=Limit(),
        limit_text=f"by certificate: {failed.what}",
        bounds=(),
        life=None,
        weight_loss=None,
        shown=shown,
        bearings=(bearing,),
        share_outside=(),
        cautions=(),
    )
