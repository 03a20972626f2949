"""What stands beside a reading outside its limit and may explain it.

Weight lost, what the comparison did, a doubtful calibration, time out of place: each
is named where it is known, and also where it shows nothing. Nothing here says that a
reading is wrong; a follow-up does that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import Comparison
from stability.model.surroundings import INSTRUMENT

#: Remarks that say that a calibration did not hold, or no more.
_DOUBTS = {"calibration", "doubtful", "retired instrument"}
#: (sample, check) of a reading.
At = tuple[str, str | None]
#: (attribute, sample, check) of a reading.
Of = tuple[str, str, str | None]


@dataclass(frozen=True, slots=True)
class Beside:
    """Readings that stand beside others, looked up once for a study."""

    #: Whether the study weighs its samples.
    weighs: bool
    #: (sample, check) -> loss of weight.
    losses: Mapping[At, JudgedObservation]
    #: (attribute, sample, check) -> comparisons of it.
    comparisons: Mapping[Of, list[Comparison]]
    #: (attribute, sample, check) -> reading.
    readings: Mapping[Of, JudgedObservation]


def beside_of(evaluation: Evaluation) -> Beside:
    """Return what may stand beside a reading of a study."""
    attributes = evaluation.identity.protocol.attributes
    losses: dict[At, JudgedObservation] = {}
    readings: dict[Of, JudgedObservation] = {}
    for one in evaluation.judged:
        if not one.takes_part:
            continue
        readings[one.attribute, one.sample.code, one.check] = one
        loses = attributes[one.attribute].from_weights
        if loses and one.observation.part != "after" and one.value is not None:
            losses[one.sample.code, one.check] = one
    comparisons: dict[Of, list[Comparison]] = {}
    for each in evaluation.comparisons:
        for code in each.samples:
            key = (each.attribute, code, each.check)
            comparisons.setdefault(key, []).append(each)
    weighs = any(
        one.from_weights and name not in evaluation.identity.study.omit
        for name, one in attributes.items()
    )
    return Beside(weighs, losses, comparisons, readings)


def explanations(beside: Beside, seen: JudgedObservation) -> tuple[str, ...]:
    """Return what may explain a reading outside its limit, in words.

    Parameters
    ----------
    beside
        What may stand beside a reading of this study.
    seen
        The reading.
    """
    return (*_weight(beside, seen), *_controls(beside, seen), *_instrument(seen))


def _weight(beside: Beside, seen: JudgedObservation) -> Iterator[str]:
    loss = beside.losses.get((seen.sample.code, seen.check))
    if loss is seen or seen.condition is None:
        return
    if loss is not None:
        word = "loss" if loss.mark != "outside" else "loss outside its limit"
        yield f"weight {word}: {loss.value_text} % at this check"
    elif beside.weighs:
        yield "weight: not known at this check"


def _controls(beside: Beside, seen: JudgedObservation) -> Iterator[str]:
    if seen.condition is None or seen.role == "control":
        return
    found = beside.comparisons.get((seen.attribute, seen.sample.code, seen.check), [])
    for one in found:
        yield f"{one.kind} {one.against}: {one.against_text}, {_moved(beside, one)}"
    if not found:
        yield "control: none read at this check in this batch and pack"


def _instrument(seen: JudgedObservation) -> Iterator[str]:
    """Say that a calibration held; where it did not, a remark says so."""
    stated = seen.observation.settings.get(INSTRUMENT)
    doubts = _DOUBTS & {one.code for one in seen.remarks}
    if stated is not None and not doubts:
        yield f"calibration of {stated}: held"


def _moved(beside: Beside, one: Comparison) -> str:
    """Say whether the comparison moved too."""
    marks = {
        reading.mark
        for code in one.against_samples
        if (reading := beside.readings.get((one.attribute, code, one.check)))
    }
    if "outside" in marks:
        return "outside too"
    return "changed too" if "changed, inside" in marks else "not changed"
