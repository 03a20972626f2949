"""Photographs as every output shows them: with their age and what is seen beside."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.photograph import Photograph
from stability.model.study import Sample


@dataclass(frozen=True, slots=True)
class Beside:
    """A photograph of the comparison, to be seen together with another."""

    #: What is compared: light and dark twin, cold control ...
    kind: str
    #: Position of the comparison's photograph.
    position: int


@dataclass(frozen=True, slots=True)
class PhotographSeen:
    """One photograph with what a reader wants beside it."""

    #: The photograph as kept.
    kept: Photograph
    #: The sample that it shows.
    sample: Sample
    #: Age of the sample from placing, 0 at T0 [days]; None where it was not placed.
    age_days: float | None
    #: The age as printed: "T0", "28 d".
    age_text: str
    #: Photographs of its comparisons from the same check or week.
    beside: tuple[Beside, ...]
