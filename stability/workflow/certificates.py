"""Verbs of laboratory certificates: record one, list them with what they amount to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stability.model import content
from stability.workflow.entry_words import certificate_words
from stability.workflow.evaluate import evaluate
from stability.workflow.follow_ups import look_lines
from stability.workflow.occasion import Occasion
from stability.workflow.writing import Act, of_study, write
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.certificate_findings import (  # noqa: TC004
        Asked,
        CertificateFinding,
    )
    from stability.evaluation.findings import Evaluation
    from stability.model.content import Content
    from stability.model.moment import Moment
    from stability.records.continuation import Continuation

    # What callers name in their annotations; nothing is imported at run time.
    __all__ = ["Asked", "CertificateFinding"]


@dataclass(frozen=True, slots=True)
class OfWhat:
    """Of what a certificate is, and from where, as typed; None where not told."""

    #: The laboratory.
    laboratory: str | None = None
    #: Number of the certificate.
    number: str | None = None
    #: Standard or method.
    standard: str | None = None
    #: Batch.
    batch: str | None = None
    #: Version of the formula.
    version: str | None = None
    #: Pack.
    pack: str | None = None
    #: Sample code.
    sample: str | None = None
    #: Age of what was tested.
    age: str | None = None
    #: Day on which it was issued.
    issued: str | None = None


def certificate(
    at: Occasion,
    study: str,
    what: str,
    of: OfWhat,
    *,
    results: Sequence[str] = (),
    verdict: str | None = None,
    file: Path | None = None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """Record a certificate of a laboratory, with its file.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code.
    what
        challenge, count, or an attribute of the protocol.
    of
        Of what it is, and from where.
    results
        Its results as typed.
    verdict
        What the laboratory concludes.
    file
        The certificate itself.
    done
        When it was received, as typed; None: now.

    Raises
    ------
    StabilityError
        If something is lacking or cannot be taken; nothing was written.
    """
    from stability.records.certifying import CertificateWish, certify
    from stability.records.guards import checked_moment

    wish = CertificateWish(
        what=what,
        results=tuple(results),
        laboratory=of.laboratory,
        number=of.number,
        standard=of.standard,
        batch=of.batch,
        version=of.version,
        pack=of.pack,
        sample=of.sample,
        age=of.age,
        issued=of.issued,
        verdict=verdict,
        file=file,
    )

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        today = at.now.astimezone(book.plan.zone).date()
        made = certify(book.plan, wish, when, today)
        if made.file is not None:
            book.files.append(made.file)
        text = certificate_words(made.held)
        remarks = (*_failed(at, book, made.held, when), *made.remarks)
        yield Act(content.CERTIFIED, made.held, when, text, remarks)

    return write(at, of_study(study), acts)


def _failed(
    at: Occasion, book: Continuation, held: Content, when: Moment
) -> tuple[str, ...]:
    """Say at once that a certificate failed, and what that does to the shelf life."""
    from stability.evaluation.certificates import speaks_against
    from stability.model.certificate import certificate_of

    position = book.head.position + 1
    made = certificate_of(
        held, position=position, done=when, entered=at.now, person=held["laboratory"]
    )
    what = speaks_against(book.record, made)
    if not what:
        return ()
    reference = f"{book.plan.study.code}/{position}"
    told = (
        f"OUTSIDE: {what}. While it stands it speaks against the shelf life: "
        f"stability shelf-life {book.plan.study.code}. A test made wrongly is set "
        f"aside: stability invalidate {reference} --because REASON"
    )
    return told, *look_lines([reference])


def certificates(at: Occasion, study: str, *, as_of: str | None = None) -> Evaluation:
    """Return the evaluation of a study, which holds its certificates.

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
    return evaluate(at, study, as_of=as_of)
