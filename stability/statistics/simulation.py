"""Simulated studies: how often the statements of this package are wrong.

Every draw comes from a generator that the caller seeds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from stability.model.estimate import Bound, Line, Scale
from stability.model.shelf_life import Crossing
from stability.model.simulated import Simulated
from stability.statistics.crossing import crossing
from stability.statistics.line import closed_line

#: Schedules of 0 to 24 months by number of checks [months].
SCHEDULES: dict[int, tuple[float, ...]] = {
    3: (0, 12, 24),
    5: (0, 6, 12, 18, 24),
    7: (0, 3, 6, 9, 12, 18, 24),
    9: (0, 1, 2, 3, 6, 9, 12, 18, 24),
}
#: Fitted start of every simulated product unless said otherwise.
START = 5.5
#: Its lower limit.
LIMIT = Bound("absolute", "lower", 5.0)

Event = Callable[[np.random.Generator], bool]


@dataclass(frozen=True, slots=True)
class Readings:
    """How the readings of a batch come about."""

    #: True slope [unit per month].
    slope: float = -0.02
    #: Standard deviation of a reading [unit].
    scatter: float = 0.03
    #: Ages of the checks [months].
    ages: Sequence[float] = SCHEDULES[7]
    #: True start [unit].
    start: float = START
    #: Growth of the scatter: sd = scatter (1 + growth age / last age) [-].
    growth: float = 0.0
    #: True where errors add up from check to check.
    accumulates: bool = False
    #: Bend of the true line, added as bend age² [unit per month²].
    bend: float = 0.0
    #: Resolution to which readings are rounded; None for none [unit].
    step: float | None = None

    def true_value(self, age: float) -> float:
        """Return the true value at an age [unit]."""
        return self.start + self.slope * age + self.bend * age * age

    def true_life(self, bound: Bound = LIMIT) -> float:
        """Return the age at which the true line meets the lower bound [months]."""
        low, high = 0.0, 1.0
        while self._inside(high, bound):
            high *= 2
            if high > 1e6:
                return math.inf
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if self._inside(middle, bound) else (low, middle)
        return low

    def _inside(self, age: float, bound: Bound) -> bool:
        least = {
            "absolute": bound.amount,
            "change": self.start + bound.amount,
            "share": self.start * bound.amount,
        }[bound.kind]
        return self.true_value(age) >= least

    def draw(self, rng: np.random.Generator, day: Sequence[float] = ()) -> list[float]:
        """Draw one point per check; `day` holds errors that batches of a day share."""
        errors = rng.normal(0.0, self.scatter, len(self.ages))
        if self.growth:
            last = max(self.ages)
            errors *= [1 + self.growth * age / last for age in self.ages]
        if self.accumulates:
            errors = np.cumsum(errors)
        values = [
            self.true_value(age) + float(error)
            for age, error in zip(self.ages, errors, strict=True)
        ]
        if len(day):
            values = [v + float(d) for v, d in zip(values, day, strict=True)]
        if self.step is not None:
            values = [round(value / self.step) * self.step for value in values]
        return values


def measure(
    name: str,
    nominal: float | None,
    event: Event,
    *,
    runs: int,
    seed: int,
    at_most: bool = True,
) -> Simulated:
    """Count how often something happens in simulated studies.

    Parameters
    ----------
    name : str
        What is simulated and counted.
    nominal : float or None
        Share that is promised; None where no promise holds. [-]
    event : callable
        Draws one study from a generator and says whether it happened.
    runs : int
        Studies. [-]
    seed : int
        Of the generator. [-]
    at_most : bool, default True
        True where the nominal share is an upper bound.

    Returns
    -------
    Simulated
        Nominal and measured with the simulation error.

    Examples
    --------
    >>> measure("a fair coin", 0.5, lambda rng: rng.random() < 0.5, runs=100, seed=1)
    ... # doctest: +ELLIPSIS
    Simulated(name='a fair coin', nominal=0.5, measured=0.5, error=0.05, runs=100, ...)
    """
    rng = np.random.default_rng(seed)
    share = sum(event(rng) for _ in range(runs)) / runs
    error = math.sqrt(share * (1 - share) / runs)
    return Simulated(name, nominal, share, error, runs, at_most)


def life_of_line(
    line: Line, bound: Bound = LIMIT, *, two_sided: bool = False
) -> float | None:
    """Return the life that a line claims.

    Parameters
    ----------
    line : Line
        A fitted line.
    bound : Bound
        The limit.
    two_sided : bool, default False
        Which bound of the mean.

    Returns
    -------
    float or None
        Infinite without a crossing; None where nothing is claimed.
    """
    result = crossing(line, bound, two_sided=two_sided)
    if not isinstance(result, Crossing) or result.outcome == "not precise enough":
        return None
    return math.inf if result.months is None else result.months


def batch_by_batch_overstates(
    batches: Sequence[Readings],
    *,
    bound: Bound = LIMIT,
    scale: Scale = "linear",
    floor: float = 0.0,
    day: float = 0.0,
) -> Event:
    """Return the event that the shortest batch's life exceeds the worst true one.

    Parameters
    ----------
    batches : sequence of Readings
        How each batch is read.
    bound : Bound
        The limit.
    scale : {"linear", "ln"}, default "linear"
        Scale of the fit.
    floor : float, default 0
        Least standard deviation. [scale]
    day : float, default 0
        Standard deviation of an error that all batches of a check share. [unit]

    Returns
    -------
    callable
        The event.
    """
    worst = min(batch.true_life(bound) for batch in batches)

    def overstates(rng: np.random.Generator) -> bool:
        shared = rng.normal(0.0, day, len(batches[0].ages)).tolist() if day else []
        claimed = []
        for batch in batches:
            values = batch.draw(rng, shared)
            line = closed_line(batch.ages, values, scale=scale, floor=floor)
            life = life_of_line(line, bound)
            if life is not None:
                claimed.append(life)
        return len(claimed) == len(batches) and min(claimed) > worst + 1e-9

    return overstates
