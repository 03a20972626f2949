"""What happened in the record, counted for a first page as its chapter lists it."""

from __future__ import annotations

from typing import Final

from stability.evaluation.findings import Evaluation, RecordKind
from stability.report.wording import count

#: Kind of a remark -> one and several of it, in words.
COUNTED: Final[dict[RecordKind, tuple[str, str]]] = {
    "failed": ("container failed", "containers failed"),
    "lost": ("sample lost", "samples lost"),
    "replaced": ("sample replaced", "samples replaced"),
    "swapped": ("stay elsewhere", "stays elsewhere"),
    "doubtful": ("doubtful observation", "doubtful observations"),
    "not calibrated": (
        "observation without a valid calibration",
        "observations without a valid calibration",
    ),
    "retired instrument": (
        "observation with a retired instrument",
        "observations with a retired instrument",
    ),
    "missed": ("check missed", "checks missed"),
    "not recorded": ("check not recorded", "checks not recorded"),
    "not measured": ("observation not measured", "observations not measured"),
    "corrected": ("observation corrected", "observations corrected"),
    "set aside": ("observation set aside", "observations set aside"),
    "repeated": ("observation repeated", "observations repeated"),
    "deviation": (
        "observation by another method, setting or age",
        "observations by another method, setting or age",
    ),
    "late": ("late check", "late checks"),
    "early": ("early check", "early checks"),
    "placed late": ("late placing", "late placings"),
    "cycle": ("remark on cycles", "remarks on cycles"),
    "excursion": ("excursion", "excursions"),
    "at make": (
        "observation before the structure had settled",
        "observations before the structure had settled",
    ),
    "extra": ("extra observation", "extra observations"),
    "follow-up": ("follow-up", "follow-ups"),
    "stopped": ("stop", "stops"),
    "amended": ("amendment of the plan", "amendments of the plan"),
    "lodged": ("lodging of the plan", "lodgings of the plan"),
    "taken over": ("taking over from older notes", "takings over from older notes"),
}


def record_text(evaluation: Evaluation) -> str:
    """Return how many things of each kind happened, and how many are deviations."""
    record = evaluation.record
    counts = record.counts()
    if not counts:
        return "Nothing missed, late, corrected, set aside or lost."
    parts = [count(number, *COUNTED[kind]) for kind, number in counts.items()]
    waiting = sum(one.is_open for one in evaluation.follow_ups)
    opened = f" {count(waiting, 'follow-up')} open." if waiting else ""
    said = _deviating(record.deviating, sum(counts.values()))
    return f"{', '.join(parts)}; {said}.{opened}"


def _deviating(deviating: int, of: int) -> str:
    """Return how many of all that happened leave the rules."""
    if of == 1:
        return "it is a deviation" if deviating else "it is no deviation"
    if not deviating:
        return f"none of these {of} is a deviation"
    if deviating == of:
        return f"all of these {of} are deviations"
    verb = "is a deviation" if deviating == 1 else "are deviations"
    return f"{deviating} of these {of} {verb}"
