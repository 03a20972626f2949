"""Every observation ever made, judged against the limit that held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from stability.evaluation.calibrations import with_calibrations
from stability.evaluation.index import (
    Index,
    Settings,
    fixed_settings,
    purpose_of,
)
from stability.evaluation.phrases import (
    age_text,
    decimals_of,
    number_text,
    readings_text,
)
from stability.evaluation.readings import (
    Exposure,
    InitialUsed,
    JudgedObservation,
    Purpose,
    Remark,
)
from stability.evaluation.remarks import remarks_of
from stability.evaluation.stays import short_of_check
from stability.evaluation.storage_remarks import excursion_remarks
from stability.model.age import DAYS_PER_MONTH
from stability.model.attribute import Attribute
from stability.model.judgement import Judgement, Mark, judge_measured, judge_words
from stability.model.limit import Limit
from stability.model.moment import age_days
from stability.model.observation import Observation
from stability.model.schedule import PlannedCheck
from stability.model.study import Sample

#: Digits after the point of a loss that is worked out from weights.
LOSS_DECIMALS = 3
#: What is said of a weight from which loss counts.
FIRST_WEIGHT: Final = "first weight: loss counts from here"
_CARRY_MONTHS: Final = {"long-term", "intermediate", "accelerated"}


@dataclass(frozen=True, slots=True)
class _Case:
    """One observation with what is needed to judge it."""

    #: The observation.
    seen: Observation
    #: Its sample.
    sample: Sample
    #: Its attribute.
    attribute: Attribute
    #: What it is for.
    purpose: Purpose
    #: Condition whose limit holds; None at T0.
    condition: str | None
    #: The limit that holds.
    limit: Limit
    #: The limit in words.
    words: str
    #: Fixed settings.
    settings: Settings
    #: Initial value; None where there is none.
    initial: InitialUsed | None


def judge_all(
    index: Index, exposures: Mapping[str, Sequence[Exposure]]
) -> tuple[JudgedObservation, ...]:
    """Judge every observation, superseded and set-aside ones among them.

    Parameters
    ----------
    index
        The record, looked up once.
    exposures
        Sample -> times in another condition than its own.
    """
    return tuple(
        _judged(index, _case(index, seen), exposures.get(seen.sample, ()))
        for seen in index.record.observations
    )


def _case(index: Index, seen: Observation) -> _Case:
    sample = index.record.samples[seen.sample]
    attribute = index.attribute(seen.attribute)
    purpose = purpose_of(index.record, seen)
    condition = None if purpose in {"T0", "at make"} else sample.condition
    usual = index.usual_settings.get((attribute.name, sample.batch), {})
    settings = fixed_settings(attribute, seen, usual)
    limit, words = index.limit_on_its_day(seen, condition)
    return _Case(
        seen,
        sample,
        attribute,
        purpose,
        condition,
        limit,
        words,
        settings,
        None
        if attribute.from_weights
        else index.initial_of(attribute, settings, sample),
    )


def _judged(
    index: Index, case: _Case, exposures: Sequence[Exposure]
) -> JudgedObservation:
    seen, sample = case.seen, case.sample
    planned = index.planned.get((seen.sample, seen.check)) if seen.check else None
    judgement = _if_kept(index, case, planned, _judgement(index, case))
    days = _age(index, case)
    left_out = _left_out(index, seen, case.purpose, days)
    return JudgedObservation(
        observation=seen,
        sample=sample,
        condition=case.condition,
        role=index.roles[sample.code] if case.condition else None,
        purpose=case.purpose,
        planned=planned,
        age_days=days,
        age_months=None if days is None else days / DAYS_PER_MONTH,
        age_text=_age_text(index, case, days),
        readings_text=readings_text(seen.readings),
        unit=seen.unit,
        value=judgement.value,
        value_text=_value_text(case, judgement),
        word=judgement.word,
        initial=case.initial,
        limit=case.limit,
        limit_text=judgement.limit,
        mark=judgement.mark,
        detail=judgement.detail,
        remarks=(
            *_remarks(index, case, planned, exposures),
            *_hidden_by_mean(case, judgement),
            *_counted_as_lost(index, case),
        ),
        takes_part=not left_out,
        left_out=left_out,
        fixed_settings=case.settings,
    )


def _remarks(
    index: Index,
    case: _Case,
    planned: PlannedCheck | None,
    exposures: Sequence[Exposure],
) -> tuple[Remark, ...]:
    usual = index.usual_settings.get((case.seen.attribute, case.sample.batch), {})
    found = remarks_of(
        case.seen,
        case.attribute,
        purpose=case.purpose,
        planned=planned,
        usual=usual,
        exposures=exposures,
    )
    met = excursion_remarks(index.storage, case.seen, index.record.zone)
    return with_calibrations((*found, *met), index, case.seen, case.attribute, usual)


def _judgement(index: Index, case: _Case) -> Judgement:
    attribute, seen = case.attribute, case.seen
    if seen.not_measured is not None:
        return Judgement("not measured", None, None, case.words, seen.not_measured)
    if attribute.from_weights:
        return _judge_weight(index, case)
    if attribute.kind == "measured":
        value = None if case.initial is None else case.initial.value
        judged = judge_measured(
            seen.readings, case.limit, value, attribute.unit, words=case.words
        )
        return _if_comparable(case, judged)
    word = None if case.initial is None else case.initial.word
    return judge_words(seen.readings, attribute, case.limit, word, words=case.words)


def _if_comparable(case: _Case, judged: Judgement) -> Judgement:
    """Let nothing pass that compares with no other reading.

    A fail stands: a product that has grown thin is what brings a torque so low. The
    value stays in its series, as only a cause that somebody states takes one out.
    """
    why = case.attribute.not_comparable(case.seen.settings)
    if not why or judged.mark != "inside":
        return judged
    return replace(judged, mark="undecided", detail=why)


def _if_kept(
    index: Index, case: _Case, planned: PlannedCheck | None, judged: Judgement
) -> Judgement:
    """Let no sample pass a check whose age it spent elsewhere; a fail stands.

    Only where checks carry or cap months. Stress carries none, and what is held beside
    real time counts its days itself.
    """
    if judged.mark not in {"inside", "changed, inside"} or case.condition is None:
        return judged
    if index.roles[case.sample.code] not in _CARRY_MONTHS:
        return judged
    placings = index.record.placings_of(case.sample.code)
    why = short_of_check(placings, case.condition, planned, case.seen.done)
    return replace(judged, mark="undecided", detail=why) if why else judged


def _hidden_by_mean(case: _Case, judgement: Judgement) -> tuple[Remark, ...]:
    """Name single readings outside the limit whose mean lies inside.

    The mean is what the protocol judges; that it hides something has to be seen.
    """
    readings = case.seen.readings
    if judgement.mark != "inside" or judgement.value is None or len(readings) < 2:
        return ()
    if case.attribute.from_weights or case.attribute.kind != "measured":
        return ()
    value = None if case.initial is None else case.initial.value
    single = [
        judge_measured([one], case.limit, value, case.attribute.unit, words="")
        for one in readings
    ]
    outside = [one.detail for one in single if one.mark == "outside"]
    if not outside:
        return ()
    bounds = "; ".join(dict.fromkeys(outside))
    text = f"{len(outside)} of {len(readings)} readings {bounds}, their mean inside"
    return (Remark("single reading", "remark", text),)


def _counted_as_lost(index: Index, case: _Case) -> tuple[Remark, ...]:
    """Say where product that nobody weighed out may be in a loss."""
    loss = index.losses.get(case.seen.position)
    text = "" if loss is None else loss.counted_text
    return (Remark("taken out", "remark", text),) if text else ()


def _judge_weight(index: Index, case: _Case) -> Judgement:
    words = case.words
    loss = index.losses.get(case.seen.position)
    if loss is None:
        return Judgement("recorded only", None, None, words, "")
    if case.purpose == "T0":
        detail = loss.detail or FIRST_WEIGHT
        return Judgement("recorded only", Fraction(0), None, words, detail)
    if loss.percent is None:
        mark: Mark = "undecided" if case.limit.judges else "recorded only"
        return Judgement(mark, None, None, words, loss.detail)
    judged = judge_measured(
        case.seen.readings, case.limit, None, "%", value=loss.percent
    )
    if loss.at_least and judged.mark == "inside":
        return replace(judged, mark="undecided", detail=loss.detail)
    return judged


def _value_text(case: _Case, judgement: Judgement) -> str:
    if judgement.word is not None:
        return judgement.word
    if judgement.value is None:
        return readings_text(case.seen.readings)
    if case.attribute.from_weights:
        return number_text(judgement.value, LOSS_DECIMALS, further=0)
    if len(case.seen.readings) == 1:
        return case.seen.readings[0].value
    return number_text(judgement.value, decimals_of(case.seen.readings))


def _age(index: Index, case: _Case) -> float | None:
    if case.purpose in {"T0", "at make"}:
        return 0.0
    placing = index.record.first_placing(case.sample.code)
    return None if placing is None else age_days(placing.done, case.seen.done)


def _age_text(index: Index, case: _Case, days: float | None) -> str:
    """Return an age as printed, with its clock where that is not the usual one."""
    text = age_text(days, case.seen.check)
    condition = index.record.protocol.conditions.get(case.condition or "")
    opened = condition is not None and condition.age_from == "first opening"
    aged = case.purpose in {"check", "extra"} and days is not None
    return f"{text} from opening" if opened and aged else text


def _left_out(
    index: Index, seen: Observation, purpose: Purpose, days: float | None
) -> str:
    code = index.record.study.code
    if seen.corrected_by is not None:
        return f"superseded by {code}/{seen.corrected_by}"
    if seen.invalidated is not None:
        cause = seen.invalidated
        return f"set aside by {code}/{cause.position}: {cause.because}"
    if seen.not_measured is not None:
        return f"not measured: {seen.not_measured}"
    if purpose == "at make":
        return "at make, before the structure had settled"
    if days is None:
        return "read of a sample that was not placed"
    return "read before the sample was placed" if days < 0 else ""
