"""The microbiology lines of page 1: a result, none provided, or why none is needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from stability.evaluation.certificate_findings import CertificateFinding
from stability.evaluation.findings import Evaluation
from stability.evaluation.phrases import listed
from stability.model.age import check_order
from stability.model.attribute import Attribute
from stability.model.certificate import CHALLENGE, COUNT
from stability.model.microbial_limits import ABSENT, PRESENT, SPECIFIED
from stability.model.names import all_in_words
from stability.model.study import Study
from stability.report.wording import count, sentence_case

#: Anchor of the chapter of certificates.
CERTIFICATES: Final = "certificates"
#: Signs that a product offers microbes little, ISO 29621; as laboratories report them.
LOW_RISK: Final = (
    "Signs of low microbiological risk (ISO 29621:2017, as laboratories report them): "
    "pH below 3 or above 10, no water, more than 20 % alcohol, filled above 65 °C, "
    "water activity below 0.75, solvent-based, oxidising, more than 25 % aluminium "
    "chlorohydrate. Whether one of them holds, and what follows, is for the assessor "
    "to say; nothing of it is judged here."
)
#: Above certificates outside that no reading of a sample tells of.
CERTIFIED_OUTSIDE: Final = "Certificates of laboratories"
_SHOWN = 6


def microbiology_lines(evaluation: Evaluation) -> list[str]:
    """Return what is known of microbes, findings first; a result is never assumed."""
    certificates = evaluation.certificates
    told = [one for one in certificates.findings if one.microbiological]
    lines = _certificate_lines([one for one in told if one.mark != "set aside"])
    if len(lines) > _SHOWN:
        left = count(len(lines) - _SHOWN, "more certificate")
        lines = [*lines[:_SHOWN], f"and {left}"]
    lines += _lacking(evaluation, told)
    lines += _not_received(evaluation)
    lines += [
        f"{sentence_case(name)} is left out: {reason}"
        for name, reason in certificates.left_out
    ]
    return lines


def _certificate_lines(told: Sequence[CertificateFinding]) -> list[str]:
    """Return a line for each certificate; counts that say the same share one."""
    alike: dict[tuple[str, str], list[CertificateFinding]] = {}
    for one in told:
        plain = one.mark == "inside" and not one.laboratory_verdict
        if one.certificate.kind == "count" and plain:
            alike.setdefault((one.verdict, one.by_protocol), []).append(one)
    shared = {id(one): ones for ones in alike.values() if len(ones) > 1 for one in ones}
    lines = []
    for one in told:
        if id(one) not in shared:
            lines.append(finding_line(one))
        elif shared[id(one)][0] is one:
            lines.append(_shared_line(shared[id(one)]))
    return lines


def _shared_line(ones: Sequence[CertificateFinding]) -> str:
    """Return counts of several batches and ages in one sentence."""
    ages: dict[str, list[str]] = {}
    for one in ones:
        pack = one.certificate.pack or "no pack named"
        of_batch = ages.setdefault(f"batch {one.certificate.batch}, {pack}", [])
        of_batch.append(one.certificate.age)
    places = "; ".join(
        f"{place}, at {listed(sorted(set(found), key=check_order))}"
        for place, found in ages.items()
    )
    laboratories = listed(
        list(dict.fromkeys(one.certificate.laboratory for one in ones))
    )
    tested = all(
        one.count is not None and set(SPECIFIED) <= set(one.count.organisms)
        for one in ones
    )
    absent = "the specified organisms absent" if tested else ""
    told = (ones[0].verdict, absent, ones[0].by_protocol)
    judged = "; ".join(one for one in told if one)
    return (
        f"{count(len(ones), 'certificate')} of counts by {laboratories}, each "
        f"{judged}: {places}."
    )


def _not_received(evaluation: Evaluation) -> Iterator[str]:
    """Yield what the protocol asks of microbes and no certificate answers yet."""
    attributes = evaluation.identity.protocol.attributes
    missing: dict[str, list[str]] = {}
    for one in evaluation.certificates.asked:
        if one.state == "not received" and _is_of_microbes(attributes[one.attribute]):
            missing.setdefault(one.check, []).append(one.attribute)
    if missing:
        told = "; ".join(
            f"{listed(all_in_words(names))} at {at}" for at, names in missing.items()
        )
        yield f"Asked for by the protocol and not received: {told}."


def _is_of_microbes(attribute: Attribute) -> bool:
    return (
        attribute.name in {CHALLENGE, COUNT}
        or attribute.scale == (ABSENT, PRESENT)
        or attribute.unit.startswith("CFU")
    )


def outside_lines(evaluation: Evaluation) -> list[str]:
    """Return certificates outside that no reading of a sample tells of."""
    return [sentence_case(one.text) for one in evaluation.certificates.outside_alone]


def finding_line(one: CertificateFinding) -> str:
    """Return one certificate in a sentence, with its mark before all else."""
    lead = {
        "outside": "OUTSIDE: ",
        "needs justification": "NEEDS JUSTIFICATION: ",
        "undecided": "NOT DECIDED: ",
    }.get(one.mark, "")
    return f"{lead}{sentence_case(one.text)}."


def _lacking(evaluation: Evaluation, told: list[CertificateFinding]) -> Iterator[str]:
    study = evaluation.identity.study
    evidence = [one for one in told if one.is_evidence]
    if not evidence:
        yield no_certificate_text(study, recorded=bool(told))
        return
    challenged = any(one.certificate.kind == "challenge" for one in evidence)
    if not challenged:
        yield f"No challenge certificate of this study is recorded. {_need(study)}"
    elif study.contains_water:
        yield "Physical stability says nothing about microbiological safety."


def no_certificate_text(study: Study, *, recorded: bool = False) -> str:
    """Return the words where no certificate is evidence.

    Parameters
    ----------
    study
        The study.
    recorded
        Whether certificates are recorded that are none of this study.
    """
    lead = (
        "No certificate of this study is recorded."
        if recorded
        else "No certificate is recorded."
    )
    return f"{lead} {_need(study)}"


def _need(study: Study) -> str:
    if study.contains_water:
        return (
            "The product contains water: it needs a preservation efficacy test by a "
            "laboratory, on the final formula in its pack. Physical stability says "
            "nothing about microbiological safety."
        )
    return (
        "The product is stated to hold no water; whether it needs a test is for the "
        "assessor to say."
    )
