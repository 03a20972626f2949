"""Follow-ups: opened by every reading outside its limit, closed by an answer.

Whether one is open is derived and never stored. A reading stays what it is whatever
comes of its follow-up: setting it aside is an act of its own, with a cause.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date

from stability.evaluation.certificate_follow_ups import certificate_follow_ups
from stability.evaluation.certificates import with_certified
from stability.evaluation.checks import statuses_of
from stability.evaluation.failures import Failure, failures_of
from stability.evaluation.fates import exposures_of, fates_of
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.index import Index, index_of
from stability.evaluation.judging import judge_all
from stability.evaluation.phrases import named_check
from stability.evaluation.readings import JudgedObservation
from stability.model.follow_up import Answer
from stability.model.names import in_words
from stability.model.observation import Retirement
from stability.model.study_record import StudyRecord

# So many letters of a reason are those of what is observed: separated, separation [-].
_STEM = 5


def asked_by(record: StudyRecord, as_of: date) -> tuple[FollowUp, ...]:
    """Return the follow-ups of a study; nothing is fitted.

    Parameters
    ----------
    record
        The study.
    as_of
        The day.
    """
    index = index_of(with_certified(record), as_of)
    exposures = exposures_of(index)
    statuses = statuses_of(index)
    failures = failures_of(index, fates_of(index, exposures), statuses)
    return follow_ups_of(index, judge_all(index, exposures), failures)


def follow_ups_of(
    index: Index, judged: Sequence[JudgedObservation], failures: Sequence[Failure]
) -> tuple[FollowUp, ...]:
    """Return the follow-up of every reading outside its limit, in order of the entries.

    A certificate that failed asks too, also where it names no sample.

    A repeat of a reading outside belongs to the follow-up of the first, and so does the
    leaving of a failed sample to that of a score or statement outside of the same day:
    a jar seen swollen and taken out as gassing is one matter. Those answered stay, also
    where the reading was corrected or set aside since.
    """
    answers: dict[int, list[Answer]] = {}
    for said in index.record.answers:
        answers.setdefault(said.refers_to, []).append(said)
    outside = {one.position for one in judged if one.is_outside}
    repeats = _repeats(judged)
    part_of_first = {
        repeat.position
        for first, ones in repeats.items()
        if first in outside
        for repeat in ones
    }
    asking = (outside - part_of_first) | answers.keys()
    found: dict[int, FollowUp] = {}
    for one in judged:
        if one.position not in asking:
            continue
        # One certificate may hold several results; one outside asks for all.
        if one.position not in found or one.is_outside:
            found[one.position] = _of_reading(
                index,
                one,
                tuple(answers.get(one.position, ())),
                repeats.get(one.position, ()),
            )
    for failure in failures:
        position = failure.left.position
        alone = _of_failure(failure, tuple(answers.get(position, ())))
        left = failure.left
        seen = _same_matter(judged, left, found.keys() & outside)
        if seen is None:
            found[position] = alone
        else:
            found[seen] = _together(found[seen], alone)
    for asked in certificate_follow_ups(index, judged, answers, found.keys()):
        found[asked.position] = asked
    return tuple(found[position] for position in sorted(found))


def told_by(record: StudyRecord, leaving: Retirement) -> FollowUp | None:
    """Return the follow-up to which the leaving of a failed sample will belong.

    Parameters
    ----------
    record
        The study before the sample leaves.
    leaving
        As it will be stored.

    Returns
    -------
    FollowUp or None
        None where the leaving asks a follow-up of its own.
    """
    index = index_of(record, leaving.done.day)
    judged = judge_all(index, exposures_of(index))
    asked = {one.position: one for one in follow_ups_of(index, judged, ())}
    outside = {one.position for one in judged if one.is_outside}
    seen = _same_matter(judged, leaving, asked.keys() & outside)
    return None if seen is None else asked[seen]


def _same_matter(
    judged: Iterable[JudgedObservation], left: Retirement, asking: AbstractSet[int]
) -> int | None:
    """Return the score or statement outside that tells why a sample left; or None.

    It is of the same sample and day: one named like the reason, such as separation of
    a jar that left as separated, else the first. A number outside may have another
    cause than the failure of the container.
    """
    stem = left.reason[:_STEM]
    found = [
        (not one.attribute.casefold().startswith(stem), one.position)
        for one in judged
        if one.position in asking
        and one.sample.code == left.sample
        and one.word is not None
        and one.observation.done.day == left.done.day
    ]
    return min(found)[1] if found else None


def _together(seen: FollowUp, left: FollowUp) -> FollowUp:
    """Return one follow-up of a reading and of the leaving of its sample."""
    answers = sorted((*seen.answers, *left.answers), key=lambda one: one.position)
    return replace(
        seen,
        text=f"{seen.text}; with it {left.text}, entry {left.position}",
        answers=tuple(answers),
        also=(*seen.also, left.position),
    )


def _repeats(
    judged: Iterable[JudgedObservation],
) -> dict[int, list[JudgedObservation]]:
    """Return position of a first observation that stands -> its repeats that stand."""
    every = list(judged)
    now = {
        one.position: one.observation.corrected_by
        for one in every
        if one.observation.corrected_by is not None
    }
    found: dict[int, list[JudgedObservation]] = {}
    for one in every:
        first = one.observation.repeats
        if first is None or not one.takes_part:
            continue
        while first in now:
            first = now[first]
        found.setdefault(first, []).append(one)
    return found


def _of_reading(
    index: Index,
    seen: JudgedObservation,
    answers: tuple[Answer, ...],
    repeats: Sequence[JudgedObservation],
) -> FollowUp:
    what = seen.detail or f"limit {seen.limit_text}"
    return FollowUp(
        position=seen.position,
        sample=seen.sample.code,
        condition=seen.condition,
        check=seen.check,
        attribute=seen.attribute,
        text=(
            f"{in_words(seen.attribute)} {seen.with_unit} at "
            f"{named_check(seen.check)}: {what}"
        ),
        repeats=tuple(
            f"repeat, entry {one.position}: {one.value_text}, {one.mark}"
            for one in repeats
        ),
        answers=answers,
        since=_since(index, seen),
    )


def _since(index: Index, seen: JudgedObservation) -> str:
    code = index.record.study.code
    observation = seen.observation
    if observation.corrected_by is not None:
        return f"corrected by {code}/{observation.corrected_by}"
    if observation.invalidated is not None:
        cause = observation.invalidated
        return f"set aside by {code}/{cause.position}: {cause.because}"
    return "" if seen.is_outside else f"now {seen.mark}"


def _of_failure(failure: Failure, answers: tuple[Answer, ...]) -> FollowUp:
    left = failure.left
    return FollowUp(
        position=left.position,
        sample=failure.sample.code,
        condition=failure.sample.condition,
        check=failure.check,
        attribute="sample",
        text=f"sample {left.reason} at {failure.age_days:.0f} d ({left.because})",
        repeats=(),
        answers=answers,
        since="",
    )
