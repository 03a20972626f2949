"""What is read on one check day, sample by sample in the order of handling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from stability.model.attribute import Attribute
from stability.model.entry import Head
from stability.model.handling import STAGES, Task
from stability.model.observation import DayFacts, Observation
from stability.model.protocol import Protocol
from stability.model.schedule import PlannedCheck
from stability.model.study import Sample, Study

#: Stands in a bench workbook where nothing is due; read back as an empty cell.
NOT_DUE: Final = "not due"


@dataclass(frozen=True, slots=True)
class SheetTask:
    """One thing to be read, with what stands beside its empty box."""

    #: What, and when among the others.
    task: Task
    #: What was read last of this sample, or of one like it; None for nothing.
    last: Observation | None
    #: The limit in words, relative ones in numbers where the initial value is known.
    limit: str


@dataclass(frozen=True, slots=True)
class SheetSample:
    """One sample of the day."""

    #: The sample.
    sample: Sample
    #: The check to which readings of the day belong, with its window.
    planned: PlannedCheck
    #: What is to be read, in the order of handling.
    tasks: tuple[SheetTask, ...]
    #: What a laboratory works out from product taken now.
    laboratory: tuple[Attribute, ...] = ()
    #: Samples that it may be compared with, by the protocol.
    controls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetDay:
    """One check day of one study."""

    #: The study.
    study: Study
    #: Its protocol, as it holds now.
    protocol: Protocol
    #: The day.
    day: date
    #: Where the record stood: subject, position and digest.
    anchor: Head
    #: Samples in the order of handling.
    samples: tuple[SheetSample, ...]
    #: What was set for the day by the account; None where nothing was.
    facts: DayFacts | None
    #: Attribute -> settings that are known beforehand: set for the day, prescribed, or
    #: fixed by the first reading.
    settings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    #: Cautions that apply to what is read.
    cautions: tuple[str, ...] = ()

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Return everything that is read of any sample, in the order of handling."""
        found: dict[tuple[str, str | None], Task] = {}
        for one in self.samples:
            for each in one.tasks:
                found.setdefault(each.task.due, each.task)
        places = list(self.protocol.attributes)
        return tuple(
            sorted(
                found.values(),
                key=lambda one: (
                    STAGES.index(one.stage),
                    places.index(one.attribute.name),
                ),
            )
        )
