"""What one attribute of one sample is held against, and nothing else of its study.

At the bench an answer must come at once in a study of any size, so limits, marks and
histories are worked out from the few observations that they rest on.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stability.model.age import T0
from stability.model.attribute import Attribute
from stability.model.handling import LastReadings, last_readings
from stability.model.observation import Observation
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.workflow.around import surroundings_of
from stability.workflow.marks import JudgedNow
from stability.workflow.occasion import Occasion
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.index import Index


@dataclass(frozen=True, slots=True)
class Beside:
    """One attribute of one sample with what it is compared with."""

    #: Those observations, looked up once.
    index: Index
    #: The last of them.
    last: LastReadings


def beside(
    at: Occasion, record: StudyRecord, sample: Sample, attribute: Attribute
) -> Beside:
    """Look up what an attribute of a sample is held against, instruments among it.

    Parameters
    ----------
    at
        The occasion.
    record
        The study.
    sample, attribute
        What is read.
    """
    from stability.evaluation.index import index_of

    few = narrowed(record, sample, attribute)
    day = at.now.astimezone(record.zone).date()
    index = index_of(few, day, surroundings_of(at, None, few, day))
    return Beside(index, last_readings(few, few.observations))


def judged_beside(near: Beside, one: Written) -> JudgedNow:
    """Judge what was just stored with what it is compared with.

    Parameters
    ----------
    near
        As it stands with what was stored.
    one
        What was stored.
    """
    from stability.evaluation.fates import exposures_of
    from stability.evaluation.judging import judge_all

    index = near.index
    judged = judge_all(index, exposures_of(index))
    return JudgedNow({one.position: one}, index, judged)


def narrowed(record: StudyRecord, sample: Sample, attribute: Attribute) -> StudyRecord:
    """Return a study with the observations on which marks of one attribute rest.

    All of the sample itself; of the attribute those of its series, those at T0 that
    may be its initial value, and, where a fixed setting parts its series, all of its
    batch, because a setting that was not stated is as usual there.
    """
    fixed = any(one.kind == "fixed" for one in attribute.settings.values())
    alike = {
        code
        for code, one in record.samples.items()
        if one.batch == sample.batch and (fixed or _same_series(one, sample))
    }

    def counts(seen: Observation) -> bool:
        if seen.sample == sample.code:
            return True
        if seen.attribute != attribute.name:
            return False
        at_t0 = seen.check == T0
        return seen.sample in alike or (
            at_t0 and record.samples[seen.sample].batch == sample.batch
        )

    kept = tuple(seen for seen in record.observations if counts(seen))
    codes = {sample.code, *(seen.sample for seen in kept)}
    samples = {code: one for code, one in record.samples.items() if code in codes}
    return replace(record, samples=samples, observations=kept)


def _same_series(one: Sample, other: Sample) -> bool:
    """Say whether two samples of a batch may stand in one series."""
    if one.code == other.code:
        return True
    apart = {"reopened", "in use"}
    if one.use in apart or other.use in apart:
        return False
    return (one.pack, one.condition, one.twin_of) == (
        other.pack,
        other.condition,
        other.twin_of,
    )
