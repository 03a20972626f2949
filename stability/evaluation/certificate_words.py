"""Sentences about certificates."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from stability.evaluation.phrases import listed
from stability.model.age import T0
from stability.model.certificate import Certificate
from stability.model.challenge import (
    ChallengeFinding,
    Criterion,
    OrganismFinding,
    verdict_of,
)
from stability.model.judgement import Judgement
from stability.model.microbial_limits import CATEGORY_TEXTS, CountFinding
from stability.model.names import in_words
from stability.model.plate_count import count_words

if TYPE_CHECKING:
    from stability.evaluation.certificate_findings import CertificateFinding

_CHALLENGES: Mapping[Criterion, str] = {
    "criteria A": "criteria A of ISO 11930 met",
    "criteria B": (
        "only criteria B of ISO 11930 met: needs justification of a further "
        "protection, such as a pump pack"
    ),
    "not met": "below criteria B of ISO 11930: does not meet",
    "undecided": "not decided by the table of ISO 11930",
}
#: How a laboratory says that all is well, and that it is not.
_WELL = ("pass", "passed", "passes", "complies", "conforms", "conform", "meets", "met")
_NOT_WELL = ("fail", "failed", "fails", "does not comply", "not conform", "not met")


def results_text(
    certificate: Certificate, challenge: ChallengeFinding | None
) -> tuple[str, ...]:
    """Return the values in words, one for each organism, count or reading."""
    if challenge is not None:
        return tuple(_organism(one) for one in challenge.organisms)
    return tuple(
        f"{one.name} {count_words(one.number)} CFU per g or ml"
        if one.measure == "count"
        else f"{one.name} {one}"
        for one in certificate.results
    )


def _organism(one: OrganismFinding) -> str:
    steps = []
    if one.initial:
        steps.append(f"{one.initial} at the start")
    steps += [
        f"day {each.day}: {f'{each.count}, ' if each.count else ''}{each} log"
        for each in one.reductions
    ]
    stated = f"laboratory: {one.stated}" if one.stated is not None else ""
    computed = "" if one.row is None or one.stated_only else one.criterion
    parts = ["; ".join(steps), computed, stated]
    return f"{one.organism}: {' – '.join(part for part in parts if part)}"


def conclusion(
    challenge: ChallengeFinding | None,
    count: CountFinding | None,
    judgement: Judgement | None,
) -> str:
    """Return what is concluded here, in words."""
    if challenge is not None:
        basis = (
            "as the laboratory states, nothing computed"
            if (challenge.stated_only and challenge.criterion != "undecided")
            else ""
        )
        words = _CHALLENGES[challenge.criterion]
        return f"{words} ({basis})" if basis else words
    if count is not None:
        where = CATEGORY_TEXTS[count.category]
        return (
            f"{count.mark} the limit of ISO 17516, {where}"
            if (count.mark != "undecided")
            else f"not decided by the limits of ISO 17516, {where}"
        )
    # The protocol's limit speaks for everything else, and is told beside this.
    return "recorded only" if judgement and judgement.mark == "recorded only" else ""


def agreement(
    certificate: Certificate,
    challenge: ChallengeFinding | None,
    count: CountFinding | None,
    judgement: Judgement | None,
) -> str:
    """Return the laboratory's conclusion, and whether it is the one drawn here."""
    if not certificate.verdict:
        return _organisms_differ(challenge)
    said = f"laboratory: “{certificate.verdict}”"
    stated = conclusion_of(certificate.verdict)
    if challenge is not None and stated == "met":
        # A laboratory that says no more means the criteria that need no argument.
        stated = "criteria A"
    own = _own(challenge, count, judgement)
    differing = _organisms_differ(challenge)
    if challenge is not None and not challenge.organisms:
        return said
    if stated is None:
        told = f"{said}, not compared"
    elif own is None:
        told = f"{said}, not decided here"
    else:
        told = f"{said}, {'agrees' if stated == own else f'differs from {own} here'}"
    return f"{told}; {differing}" if differing else told


def _own(
    challenge: ChallengeFinding | None,
    count: CountFinding | None,
    judgement: Judgement | None,
) -> str | None:
    """Return what is concluded here in the terms in which laboratories conclude."""
    if challenge is not None:
        return None if challenge.criterion == "undecided" else challenge.criterion
    mark = count.mark if count is not None else judgement.mark if judgement else ""
    return {"inside": "met", "changed, inside": "met", "outside": "not met"}.get(mark)


def conclusion_of(verdict: str) -> str | None:
    """Return a laboratory's conclusion in the same terms; None where it is unclear."""
    criterion = verdict_of(verdict)
    if criterion is not None:
        return criterion
    plain = " ".join(verdict.casefold().split())
    if plain in _NOT_WELL:
        return "not met"
    return "met" if plain in _WELL else None


def _organisms_differ(challenge: ChallengeFinding | None) -> str:
    """Name organisms of which the laboratory states something else than the table."""
    if challenge is None:
        return ""
    return "; ".join(
        f"{one.organism}: laboratory states {one.stated}, computed {one.criterion}"
        for one in challenge.organisms
        if one.stated is not None and one.row and one.stated != one.criterion
    )


def sentence(found: CertificateFinding) -> str:
    """Return all of a certificate in one sentence."""
    one = found.certificate
    pack = f", {one.pack}" if one.pack else ", no pack named"
    sample = f", sample {one.sample}" if one.sample else ""
    age = "at the start (T0)" if one.age == T0 else f"at the age {one.age}"
    standard = f", {one.standard}" if one.standard else ""
    what = (
        f"{in_words(one.attribute)}, batch {one.batch}{pack}{sample}, {age}; "
        f"{one.title} of {one.issued}{standard}"
    )
    if found.mark == "set aside":
        return f"Set aside: {what}"
    if found.mismatches:
        wrong = listed(found.mismatches)
        mismatch = f"Mismatch, not evidence for this study: of {wrong}; {what}"
        if not found.speaks_against:
            return mismatch
        here = found.verdict or found.by_protocol
        return (
            f"{mismatch}: {here}; of the same version and pack, it speaks against the "
            "shelf life all the same"
        )
    by_protocol = found.by_protocol or ""
    values = "" if one.kind == "challenge" else "; ".join(found.results)
    told = [values, found.verdict, by_protocol, found.laboratory_verdict]
    return f"{what}: {'; '.join(part for part in told if part)}"
