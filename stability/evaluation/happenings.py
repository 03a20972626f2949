"""What happened in the record: missed, late, corrected, lost, replaced, deviating."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Protocol

from stability.evaluation.calibrations import DOUBTFUL, RETIRED, lacking_groups
from stability.evaluation.failures import Seen
from stability.evaluation.findings import RecordKind, RecordRemark, RecordRemarks
from stability.evaluation.follow_up_findings import FollowUp
from stability.evaluation.index import Index
from stability.evaluation.phrases import days_text, listed
from stability.evaluation.readings import (
    CheckStatus,
    CycleRun,
    Exposure,
    JudgedObservation,
    Remark,
    SampleFate,
    Weight,
)
from stability.evaluation.storage_remarks import excursions_recorded
from stability.model.moment import Moment
from stability.model.names import in_words
from stability.model.observation import RETIRED_AS_FAILED, Observation, Stop
from stability.model.photograph import Photograph

#: The order in which kinds are listed: what was not done first.
KINDS: tuple[RecordKind, ...] = (
    "missed",
    "not recorded",
    "not measured",
    "failed",
    "lost",
    "replaced",
    "swapped",
    "doubtful",
    "not calibrated",
    "retired instrument",
    "deviation",
    "late",
    "early",
    "placed late",
    "cycle",
    "excursion",
    "corrected",
    "set aside",
    "repeated",
    "extra",
    "at make",
    "follow-up",
    "stopped",
    "amended",
    "lodged",
    "taken over",
)


def remarks_on_record(
    index: Index,
    seen: Seen,
    fates: Sequence[SampleFate],
    cycles: Sequence[CycleRun],
    follow_ups: Sequence[FollowUp],
) -> RecordRemarks:
    """Return all that a reader must know about the record."""
    found = [
        *_of_checks(seen.statuses),
        *_of_readings(seen.judged),
        *_of_calibrations(seen.judged),
        *_of_timing(seen.judged),
        *_of_samples(index, fates),
        *_of_cycles(cycles),
        *excursions_recorded(index.storage, index.record.zone),
        *_of_follow_ups(follow_ups),
        *_of_photographs(index.record.photographs),
        *(_stop(one) for one in index.record.stops),
        *_of_plan(index),
    ]
    order = {kind: place for place, kind in enumerate(KINDS)}
    return RecordRemarks(tuple(sorted(found, key=lambda one: order[one.kind])))


def _of_checks(statuses: Iterable[CheckStatus]) -> Iterator[RecordRemark]:
    for one in statuses:
        if one.is_missed:
            yield _about(one, "missed", "deviation")
        elif one.is_unrecorded:
            text = f"{one.text} ({one.planned.closes})"
            yield _about(one, "not recorded", "deviation", text)


def _about(
    status: CheckStatus, kind: RecordKind, weight: Weight, text: str = ""
) -> RecordRemark:
    return RecordRemark(
        kind=kind,
        weight=weight,
        sample=status.sample.code,
        check=status.planned.check,
        attribute=None,
        position=status.refers_to,
        done=status.made_on,
        person="",
        text=text or status.text,
    )


def _of_readings(judged: Iterable[JudgedObservation]) -> Iterator[RecordRemark]:
    for one in judged:
        seen = one.observation
        if seen.corrected_by is not None:
            text = f"{_shown(one)} superseded by entry {seen.corrected_by}"
            yield _reading(seen, "corrected", "remark", text)
        elif seen.invalidated is not None:
            cause = seen.invalidated
            text = f"{_shown(one)} set aside by {cause.person}: {cause.because}"
            yield _reading(seen, "set aside", "remark", text)
        elif seen.not_measured is not None:
            text = f"not measured: {seen.not_measured}"
            yield _reading(seen, "not measured", "remark", text)
        else:
            yield from _of_standing(one)


def _of_standing(one: JudgedObservation) -> Iterator[RecordRemark]:
    seen = one.observation
    kinds: dict[str, RecordKind] = {
        "extra": "extra",
        "at make": "at make",
        "repeat": "repeated",
    }
    for remark in one.remarks:
        if remark.code in kinds:
            yield _reading(seen, kinds[remark.code], remark.weight, remark.text)
        elif remark.code in {"setting", "band"}:
            yield _reading(seen, "deviation", "deviation", remark.text)
        elif remark.code == DOUBTFUL:
            yield _reading(seen, "doubtful", "deviation", remark.text)


def _of_calibrations(judged: Iterable[JudgedObservation]) -> Iterator[RecordRemark]:
    """Yield what lacks a valid calibration, once for all that lacks the same."""
    for ones, remark in lacking_groups(judged):
        first = ones[0].observation
        kind: RecordKind = (
            "retired instrument" if remark.code == RETIRED else "not calibrated"
        )
        told = _reading(first, kind, remark.weight, remark.text)
        if len(ones) > 1:
            entries = listed([str(one.position) for one in ones])
            text = f"{remark.text}: {len(ones)} observations, entries {entries}"
            told = replace(
                told, sample=None, check=None, person="", text=text, count=len(ones)
            )
        yield told


def _shown(one: JudgedObservation) -> str:
    return f"{in_words(one.attribute)} {one.readings_text or 'not measured'}"


def _reading(
    seen: Observation, kind: RecordKind, weight: Weight, text: str
) -> RecordRemark:
    return RecordRemark(
        kind=kind,
        weight=weight,
        sample=seen.sample,
        check=seen.check,
        attribute=seen.attribute,
        position=seen.position,
        done=seen.done,
        person=seen.person,
        text=text,
    )


def _of_timing(judged: Iterable[JudgedObservation]) -> Iterator[RecordRemark]:
    """Yield late and early checks, once for each sample and check."""
    seen: set[tuple[str, str | None, str]] = set()
    for one in judged:
        timing = _timing(one) if one.observation.stands else None
        if timing is None:
            continue
        occasion = (one.sample.code, one.check, timing.text)
        if occasion in seen:
            continue
        seen.add(occasion)
        kind: RecordKind = "late" if timing.code == "late" else "early"
        remark = _reading(one.observation, kind, timing.weight, timing.text)
        yield replace(remark, attribute=None)


def _timing(one: JudgedObservation) -> Remark | None:
    return next(
        (remark for remark in one.remarks if remark.code in {"late", "early"}), None
    )


def _of_samples(index: Index, fates: Iterable[SampleFate]) -> Iterator[RecordRemark]:
    within = round(index.protocol.t0.place_within.nominal_days)
    for one in fates:
        if one.left is not None and one.left.reason not in {"used up", "sent out"}:
            failed = one.left.reason in RETIRED_AS_FAILED
            kind: RecordKind = "failed" if failed else "lost"
            text = f"{one.left.reason}: {one.left.because}"
            if one.replaced_by:
                text += f"; replaced by {one.replaced_by}"
            yield _sample(one, kind, "deviation", one.left, text)
        if one.replaces is not None and one.placed is not None:
            text = f"takes the part of {one.replaces}; its age counts from its placing"
            yield _sample(one, "replaced", "remark", one.placed, text)
        yield from (_exposed(one, exposure) for exposure in one.exposures)
        if one.placed is not None and (one.days_to_placing or 0) > within:
            text = (
                f"placed {days_text(one.days_to_placing or 0)} after the T0 readings, "
                f"meant within {index.protocol.t0.place_within}"
            )
            yield _sample(one, "placed late", "deviation", one.placed, text)


class _Act(Protocol):
    """What somebody did: a placing, a retirement, a change of the plan."""

    @property
    def position(self) -> int:
        """Position of its entry."""

    @property
    def done(self) -> Moment:
        """When."""

    @property
    def person(self) -> str:
        """Who."""


def _sample(
    fate: SampleFate, kind: RecordKind, weight: Weight, act: _Act, text: str
) -> RecordRemark:
    return RecordRemark(
        kind=kind,
        weight=weight,
        sample=fate.sample.code,
        check=None,
        attribute=None,
        position=act.position,
        done=act.done,
        person=act.person,
        text=text,
    )


def _exposed(fate: SampleFate, exposure: Exposure) -> RecordRemark:
    until = f"until {exposure.end.for_people()}" if exposure.end else "so far"
    return RecordRemark(
        kind="swapped",
        weight="deviation",
        sample=fate.sample.code,
        check=None,
        attribute=None,
        position=exposure.position,
        done=exposure.start,
        person="",
        text=(
            f"{days_text(exposure.days)} in {exposure.condition} instead of "
            f"{fate.sample.condition}, from {exposure.start.for_people()} {until}"
        ),
    )


def _of_cycles(cycles: Iterable[CycleRun]) -> Iterator[RecordRemark]:
    for one in cycles:
        if not one.kept:
            yield RecordRemark(
                kind="cycle",
                weight="deviation",
                sample=one.sample,
                check=None,
                attribute=None,
                position=None,
                done=None,
                person="",
                text=one.text,
            )


def _of_follow_ups(follow_ups: Iterable[FollowUp]) -> Iterator[RecordRemark]:
    """Yield every answer, superseded ones among them, and what nobody answered."""
    for one in follow_ups:
        for place, said in enumerate(one.answers, 1):
            later = one.answers[place:]
            after = f"; superseded by entry {later[0].position}" if later else ""
            text = (
                f"of entry {one.position}, {said.question}: {said.outcome}: "
                f"{said.because} ({said.checks_text}){after}"
            )
            yield _asked(one, text, said)
        if one.is_open:
            yield _asked(one, f"open, of entry {one.position}: {one.text}", None)


def _asked(one: FollowUp, text: str, act: _Act | None) -> RecordRemark:
    return RecordRemark(
        kind="follow-up",
        weight="remark",
        sample=one.sample,
        check=one.check,
        attribute=one.attribute,
        position=one.position if act is None else act.position,
        done=None if act is None else act.done,
        person="" if act is None else act.person,
        text=text,
    )


def _of_photographs(kept: Iterable[Photograph]) -> Iterator[RecordRemark]:
    for one in kept:
        cause = one.invalidated
        if cause is None:
            continue
        yield RecordRemark(
            kind="set aside",
            weight="remark",
            sample=one.sample,
            check=one.check,
            attribute=one.attribute,
            position=one.position,
            done=one.done,
            person=one.person,
            text=f"photograph {one.name} set aside by {cause.person}: {cause.because}",
        )


def _of_plan(index: Index) -> Iterator[RecordRemark]:
    record = index.record
    for change in record.amendments:
        text = f"{'; '.join(change.changes)}: {change.because}"
        yield _plan_act(change, "amended", text)
    for one in record.lodgings:
        note = f" ({one.note})" if one.note else ""
        text = f"plan record {one.fingerprint[:16]} with {one.receiver}{note}"
        yield _plan_act(one, "lodged", text)
    if record.taken_over is not None:
        text = record.taken_over.because
        yield _plan_act(record.taken_over, "taken over", text)


def _plan_act(act: _Act, kind: RecordKind, text: str) -> RecordRemark:
    return RecordRemark(
        kind=kind,
        weight="remark",
        sample=None,
        check=None,
        attribute=None,
        position=act.position,
        done=act.done,
        person=act.person,
        text=text,
    )


def _stop(stop: Stop) -> RecordRemark:
    scope = listed([f"{name} {value}" for name, value in stop.scope.items()])
    return RecordRemark(
        kind="stopped",
        weight="remark",
        sample=stop.scope.get("sample"),
        check=None,
        attribute=None,
        position=stop.position,
        done=stop.done,
        person=stop.person,
        text=f"{scope or 'the study'} stopped: {stop.because}",
    )
