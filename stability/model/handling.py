"""In which order a sample is handled at a check, and what was read of it last.

A container is weighed before it is opened, product for the laboratory is taken before
anything else touches it, then it is looked at and smelt, measured, and weighed again
when it is closed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeVar

from stability.model.age import T0, check_order
from stability.model.attribute import Attribute
from stability.model.observation import Observation
from stability.model.schedule import Due, checks_of, expected
from stability.model.study import Sample
from stability.model.study_record import StudyRecord

_Key = TypeVar("_Key")
Stage = Literal[
    "as it comes from its condition",
    "weigh before opening",
    "look and smell",
    "measure",
    "weigh after closing",
]
#: The stages in their order.
STAGES: Final[tuple[Stage, ...]] = (
    "as it comes from its condition",
    "weigh before opening",
    "look and smell",
    "measure",
    "weigh after closing",
)


@dataclass(frozen=True, slots=True)
class Task:
    """One thing that is to be read of a sample."""

    #: What.
    attribute: Attribute
    #: For weights: before opening or after closing; None for other attributes.
    part: str | None
    #: When among the others.
    stage: Stage

    @property
    def due(self) -> Due:
        """Return attribute and part, as a plan names them."""
        return (self.attribute.name, self.part)

    @property
    def text(self) -> str:
        """Return what is read, as one says it."""
        if self.part is None:
            return self.attribute.name
        return {"before": "weight before opening", "after": "weight after closing"}[
            self.part
        ]

    @property
    def unit(self) -> str:
        """Return the unit of a reading; "" where it has none or is a word."""
        if self.part is not None:
            return "g"
        measured = self.attribute.kind == "measured"
        unit = self.attribute.unit if measured else ""
        return "" if unit in {"1", "pH"} else unit


def tasks_of(
    record: StudyRecord, sample: Sample, check: str, observed: Collection[Due] = ()
) -> tuple[Task, ...]:
    """Return what is to be read of a sample at a check, in the order of handling.

    Parameters
    ----------
    record
        The study.
    sample
        The sample.
    check
        One of its checks.
    observed
        What was observed at this check already.
    """
    wanted = list(expected(record.study, record.protocol, sample, check))
    weighed = [name for name, part in wanted if part == "before"]
    if len(weighed) < len(wanted) and _closed_again(record, sample, check):
        wanted += [(name, "after") for name in weighed]
    attributes = record.protocol.attributes
    tasks = [
        Task(attributes[name], part, _stage(attributes[name], part))
        for name, part in wanted
        if (name, part) not in observed
    ]
    return tuple(sorted(tasks, key=lambda one: STAGES.index(one.stage)))


def weighed_later(record: StudyRecord, sample: Sample, check: str) -> set[str]:
    """Return what a later check of a container works out from its weights.

    Opened before, also where nothing of it was to be read, it has to be weighed again
    after sampling. Nothing for a container that is opened once.
    """
    if sample.use == "fresh per check":
        return set()
    return {
        name
        for later in checks_of(record.study, record.protocol, sample)
        if check_order(later) > check_order(check)
        for name, part in expected(record.study, record.protocol, sample, later)
        if part == "before"
    }


def for_laboratory(
    record: StudyRecord, sample: Sample, check: str
) -> tuple[Attribute, ...]:
    """Return what a laboratory works out at a check, from product of such samples."""
    if sample.kind == "tube" or check not in sample.checks:
        return ()
    return tuple(
        one
        for one in record.protocol.attributes.values()
        if one.provided_by == "certificate"
        and one.takes_g is not None
        and one.name not in record.study.omit
        and check in one.when
        and (not one.conditions or sample.condition in one.conditions)
    )


def _closed_again(record: StudyRecord, sample: Sample, check: str) -> bool:
    """Say whether a container is opened at a check and read again later."""
    if sample.use == "fresh per check":
        return False
    checks = checks_of(record.study, record.protocol, sample)
    return check in checks and check != checks[-1]


def _stage(attribute: Attribute, part: str | None) -> Stage:
    if part is not None:
        return "weigh before opening" if part == "before" else "weigh after closing"
    if attribute.read_at != "room":
        return "as it comes from its condition"
    return "measure" if attribute.kind == "measured" else "look and smell"


@dataclass(frozen=True, slots=True)
class LastReadings:
    """What was read last, of a sample or of one like it."""

    #: (sample, attribute) -> its last observation with readings, weights among them.
    of_sample: Mapping[tuple[str, str], Observation]
    #: (batch, pack, condition, attribute) -> the last one of such samples.
    of_like: Mapping[tuple[str, str | None, str | None, str], Observation]
    #: (batch, attribute) -> the last one at T0.
    of_batch: Mapping[tuple[str, str], Observation]

    def of(self, sample: Sample, attribute: Attribute) -> Observation | None:
        """Return the last observation to compare with; None where there is none.

        That of the same sample; else of one of its batch, pack and condition; else
        that of its batch at T0. A weight is compared with that of the same container
        only.
        """
        own = self.of_sample.get((sample.code, attribute.name))
        if own is not None or attribute.from_weights:
            return own
        like = (sample.batch, sample.pack, sample.condition, attribute.name)
        return self.of_like.get(like) or self.of_batch.get(
            (sample.batch, attribute.name)
        )


def last_readings(
    record: StudyRecord, observations: Iterable[Observation]
) -> LastReadings:
    """Look up what was read last among observations.

    Parameters
    ----------
    record
        The study.
    observations
        Those that may be compared with; what does not stand is passed over.
    """
    own: dict[tuple[str, str], Observation] = {}
    like: dict[tuple[str, str | None, str | None, str], Observation] = {}
    batch: dict[tuple[str, str], Observation] = {}
    for seen in observations:
        if not seen.stands or not seen.readings:
            continue
        one = record.samples[seen.sample]
        _keep_later(own, (one.code, seen.attribute), seen)
        key = (one.batch, one.pack, one.condition, seen.attribute)
        _keep_later(like, key, seen)
        if seen.check == T0:
            _keep_later(batch, (one.batch, seen.attribute), seen)
    return LastReadings(own, like, batch)


def _keep_later(found: dict[_Key, Observation], key: _Key, seen: Observation) -> None:
    there = found.get(key)
    if there is None or not seen.done < there.done:
        found[key] = seen
