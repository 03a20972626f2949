"""Observations as plain mappings for JSON: as typed, and as judged."""

from __future__ import annotations

from typing import Any

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import InitialUsed, JudgedObservation
from stability.model.age import check_text
from stability.model.observation import Invalidation, Observation
from stability.model.surroundings import INSTRUMENT


def observations_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every observation ever made, in order of the entries."""
    code = evaluation.identity.study.code
    return [
        {
            "entry": f"{code}/{one.position}",
            **observation_object(one, _value_unit(evaluation, one)),
        }
        for one in evaluation.judged
    ]


def _value_unit(evaluation: Evaluation, seen: JudgedObservation) -> str:
    """Return the unit of what is judged: a loss is a share of the net fill."""
    attribute = evaluation.identity.protocol.attributes[seen.attribute]
    loses = attribute.from_weights and seen.observation.part != "after"
    return "%" if loses else seen.unit


def observation_object(seen: JudgedObservation, value_unit: str) -> dict[str, Any]:
    """Return one judged observation; numbers as typed or exact, never rounded."""
    sample, told = seen.sample, seen.observation
    return {
        "position": seen.position,
        "sample": sample.code,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": seen.condition,
        "attribute": seen.attribute,
        "part": told.part,
        "role": seen.role,
        "purpose": seen.purpose,
        "check": seen.check,
        "check_text": None if seen.check is None else check_text(seen.check),
        "due": seen.planned.due.isoformat() if seen.planned else None,
        "done": str(told.done),
        "age_days": seen.age_days,
        "age_months": seen.age_months,
        "readings": [str(one) for one in told.readings],
        "observers": [one.observer for one in told.readings],
        "readings_unit": seen.unit,
        "value": seen.value_text or None,
        "value_unit": value_unit,
        "initial": _initial(seen.initial),
        "limit": seen.limit_text,
        "mark": seen.mark,
        "detail": seen.detail or None,
        "takes_part": seen.takes_part,
        "left_out": seen.left_out or None,
        "doubtful": seen.is_doubtful,
        "remarks": [one.text for one in seen.remarks],
        "not_measured": told.not_measured,
        **_told(told),
    }


def _told(told: Observation) -> dict[str, Any]:
    """Return how and by whom it was read, and what became of the entry."""
    return {
        "settings": dict(told.settings),
        "instrument": told.settings.get(INSTRUMENT),
        "compared_with": told.control,
        "blind": told.blind,
        "further": dict(told.extra),
        "certificate": told.certificate,
        "person": told.person,
        "entered": told.entered.isoformat(),
        "because": told.because,
        "repeats": told.repeats,
        "corrects": told.corrects,
        "corrected_by": told.corrected_by,
        "set_aside": set_aside(told.invalidated),
    }


def _initial(one: InitialUsed | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {"text": one.text, "basis": one.basis, "positions": list(one.positions)}


def set_aside(one: Invalidation | None) -> dict[str, Any] | None:
    """Return by which entry, whom and why something was set aside."""
    if one is None:
        return None
    return {
        "position": one.position,
        "because": one.because,
        "person": one.person,
        "done": str(one.done),
    }
