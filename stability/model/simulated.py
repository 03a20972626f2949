"""A promise of the statistics beside what simulation measures."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Simulated:
    """How often something happened in simulated studies."""

    #: What was simulated, and what was counted.
    name: str
    #: Share that is promised at most, or expected [-]; None where no promise holds.
    nominal: float | None
    #: Share measured [-].
    measured: float
    #: Simulation error: one standard deviation of the share [-].
    error: float
    #: Simulated studies [-].
    runs: int
    #: True where the nominal share is an upper bound and not an expectation.
    at_most: bool

    @property
    def holds(self) -> bool | None:
        """Say whether it holds within 3 simulation errors; None without a promise."""
        if self.nominal is None:
            return None
        above = self.measured - self.nominal
        room = 3 * max(self.error, math.sqrt(self.nominal / self.runs))
        return above <= room if self.at_most else abs(above) <= room
