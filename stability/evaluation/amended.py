"""Amended plans: readings keep the limits of their day, the shorter life governs.

A limit that is loosened after the reading is worth nothing, and one that is tightened
must be seen. So the study is also evaluated whole by every version of its protocol:
what differs is shown beside the limits of the day, and the shelf life is the shortest
that any version gives. What the study file leaves out belongs to the version: an
attribute that is left out once it has failed still bears the request as opened.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from stability.evaluation.amendment_findings import AmendmentFinding, Rejudged
from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import LifeFindings
from stability.model.estimate import Caution
from stability.model.plan_acts import Amendment
from stability.model.protocol import Protocol
from stability.model.study import Study
from stability.model.study_record import StudyRecord

_Evaluate = Callable[[StudyRecord, date], Evaluation]

#: Answers to the request, from the weakest on.
_ANSWERS = (
    "not supported",
    "interim",
    "provisional on accelerated data",
    "supported by extrapolation within the cap",
    "shown by real-time data",
)


def with_amendments(
    found: Evaluation, record: StudyRecord, as_of: date, evaluate: _Evaluate
) -> Evaluation:
    """Return an evaluation with what its amendments change, and the shortest life.

    Parameters
    ----------
    found
        The evaluation, each observation judged by the limits of its day.
    record
        The study.
    as_of
        The day.
    evaluate
        Evaluates a record that has no amendments.
    """
    versions = _versions(record)
    wholes = [evaluate(_under(record, *one), as_of) for one in versions]
    names = ["as opened", *(f"as amended on {a.done.day}" for a in record.amendments)]
    lives = [
        (name, whole.shelf_life)
        for name, whole in zip(names, wholes, strict=True)
        if whole.shelf_life is not None
    ]
    least = min(wholes, key=lambda one: one.months_shown)
    return replace(
        found,
        shown=least.shown,
        months_shown=least.months_shown,
        months_shown_text=least.months_shown_text,
        amendments=tuple(
            _finding(one, found, whole)
            for one, whole in zip(record.amendments, wholes[1:], strict=True)
        ),
        shelf_life=_shortest(lives) if lives else None,
    )


def judged_otherwise(
    record: StudyRecord, protocol: Protocol, as_of: date, evaluate: _Evaluate
) -> tuple[Rejudged, ...]:
    """Return what would be judged otherwise by another protocol.

    Parameters
    ----------
    record
        The study as it stands.
    protocol
        The protocol that is thought of.
    as_of
        The day.
    evaluate
        Evaluates a record, amended or not.
    """
    by_day = evaluate(record, as_of)
    return _rejudged(by_day, evaluate(_under(record, record.study, protocol), as_of))


def _versions(record: StudyRecord) -> list[tuple[Study, Protocol]]:
    first = record.amendments[0]
    later = [(one.study, one.protocol) for one in record.amendments]
    return [(first.study_before, first.protocol_before), *later]


def _under(record: StudyRecord, study: Study, protocol: Protocol) -> StudyRecord:
    """Return the record as if one version of the plan had held all the time.

    Attributes that a later version added stay readable; no limit of theirs is older.
    Of the study, what decides which readings count and how counts of germs are judged
    is that version's; samples and what is asked for are those of today.
    """
    attributes = {**record.protocol.attributes, **protocol.attributes}
    return replace(
        record,
        protocol=replace(protocol, attributes=attributes),
        study=replace(
            record.study,
            omit=study.omit,
            microbial_category=study.microbial_category,
        ),
        amendments=(),
    )


def _finding(
    amendment: Amendment, found: Evaluation, whole: Evaluation
) -> AmendmentFinding:
    return AmendmentFinding(
        position=amendment.position,
        done=amendment.done,
        person=amendment.person,
        because=amendment.because,
        changes=amendment.changes,
        before=sum(
            one.observation.position < amendment.position for one in found.judged
        ),
        otherwise=_rejudged(found, whole),
    )


def _rejudged(found: Evaluation, whole: Evaluation) -> tuple[Rejudged, ...]:
    return tuple(
        Rejudged(
            position=own.observation.position,
            sample=own.sample.code,
            attribute=own.attribute,
            check=own.check,
            value_text=own.value_text,
            mark=own.mark,
            limit_text=own.limit_text,
            mark_otherwise=other.mark,
            limit_otherwise=other.limit_text,
        )
        for own, other in zip(found.judged, whole.judged, strict=True)
        if own.observation.stands and own.mark != other.mark
    )


def _shortest(lives: Sequence[tuple[str, LifeFindings]]) -> LifeFindings:
    """Return the weakest answer with the fewest months; a caution says so."""
    name, life = min(lives, key=lambda one: _rank(one[1]))
    months = "; ".join(
        f"{version}: {one.supported.months} months, {one.request.outcome}"
        for version, one in lives
    )
    caution = Caution(
        "amended",
        "The plan was amended, so the shelf life was worked out by every version of "
        f"its limits, for all readings alike ({months}). The shortest governs: the "
        f"plan {name}.",
    )
    return replace(life, cautions=(*life.cautions, caution))


def _rank(life: LifeFindings) -> tuple[int, int, int]:
    """Return what a version claims: of those that grant nothing, months decide."""
    answer = _ANSWERS.index(life.request.outcome)
    granted = max(answer, _ANSWERS.index("interim"))
    return granted, life.supported.months, answer
