"""The chance that one attribute in one pack supports the life asked for."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stability.model.age import parse_age
from stability.model.estimate import Bound, NoFit
from stability.model.power import Assumed
from stability.model.prospects import Chances
from stability.model.shelf_life import Cap
from stability.planning.assumed import Expected
from stability.planning.planned_series import PlannedSeries
from stability.statistics.plan_chances import chance_inside, chance_unblocked
from stability.statistics.power import (
    chance_of_support,
    noncentral_t_above,
    planned_line,
    point_scatter,
)
from stability.statistics.quantiles import t_one_sided, t_two_sided
from stability.statistics.shelf_life import FEWEST_CHECKS


@dataclass(frozen=True, slots=True)
class Line:
    """One series as the plan will have it at one evaluation."""

    #: Ages of its points, T0 first [months].
    ages: tuple[float, ...]
    #: Containers behind each point [-].
    containers: tuple[int, ...]
    #: Ages of all points that the whole plan will give it [months].
    schedule: tuple[float, ...]
    #: Containers behind each of those [-].
    counts: tuple[int, ...]
    #: Points up to which a reading outside would end the support too early [-].
    needed: int
    #: Months shown by its batch if everything passes [months].
    shown: float
    #: Longest life that it may support [months].
    cap: float


def line_of(series: PlannedSeries, check: str, cap: Cap, asked: float) -> Line:
    """Return one series as it will stand at a check.

    A reading outside counts up to the first check that shows the life asked for; what
    fails later takes nothing from that.
    """
    made = series.up_to(check)
    start = (1,) if series.has_t0 else ()
    counts = (*start, *series.containers.values())
    schedule = series.ages(list(series.containers)[-1])
    showing = [
        place
        for place, one in enumerate(made)
        if (age := parse_age(one)) is not None and age.whole_months >= asked
    ]
    needed = (showing[0] + 1 if showing else len(made)) + len(start)
    return Line(
        ages=series.ages(check),
        containers=counts[: len(made) + len(start)],
        schedule=schedule,
        counts=counts,
        needed=needed,
        shown=cap.shown,
        cap=cap.months,
    )


def fitted_chances(
    lines: Sequence[Line],
    expected: Expected,
    *,
    asked: float,
    confidence: float,
    room_used: float,
    day_share: float,
) -> Chances:
    """Return the chances of an attribute that is fitted, in one case of drift.

    Every series has to reach the life asked for on its own line; alike series are
    worked out once.

    Parameters
    ----------
    lines
        All series of the attribute in one condition and pack.
    expected
        What is assumed of it.
    asked
        Life asked for. [months]
    confidence
        Of each bound. [-]
    room_used
        Share of the room that is used up by the life asked for. [-]
    day_share
        Share of a check's variance that the containers of a day have in common. [-]
    """
    product = expected.drifting(room_used, asked)
    estimate = inside = support = 1.0
    estimated = [line for line in lines if len(line.ages) >= FEWEST_CHECKS]
    for line, count in Counter(lines).items():
        here = _Single(line, expected, product, asked, confidence, day_share)
        inside_here = here.inside()
        estimate *= here.estimate() ** count if line in estimated else 1.0
        inside *= inside_here**count
        support *= (inside_here * here.reaches()) ** count
    beyond = tuple(one.ages for one in estimated if asked > one.shown)
    if support > 0 and beyond:
        support *= chance_unblocked(beyond)
    return Chances(room_used, estimate if estimated else 0.0, inside, support)


@dataclass(frozen=True, slots=True)
class _Single:
    """One series in one case of drift."""

    #: The series.
    line: Line
    #: What is assumed of the attribute.
    expected: Expected
    #: The product in this case of drift, with the scatter of one container.
    product: Assumed
    #: Life asked for [months].
    asked: float
    #: Of each bound [-].
    confidence: float
    #: Share of a check's variance that the containers of a day have in common [-].
    day_share: float

    def point(self) -> Assumed:
        """Return the product with the scatter of one point of the line."""
        return replace(
            self.product,
            scatter=max(
                scatter_of_points(
                    self.product.scatter, self.line.containers, self.day_share
                ),
                self.expected.floor,
            ),
        )

    def inside(self) -> float:
        """Return the chance that no reading lies outside while it matters."""
        found = _inside(
            self.line.schedule,
            self.line.counts,
            self.product,
            self.expected.bounds,
            self.day_share,
        )
        if isinstance(found, NoFit):
            return 0.0
        return found[self.line.needed - 1] if self.line.needed else 1.0

    def estimate(self) -> float:
        """Return the chance that an estimate can be given."""
        return self._within(0.0)

    def reaches(self) -> float:
        """Return the chance that nothing but a reading outside stands in the way.

        A start that is not precise enough never lowers what real time has shown; a
        plan does not count on that, and is a little too careful where scatter is wide.
        """
        if self.asked > self.line.cap:
            return 0.0
        if len(self.line.ages) < FEWEST_CHECKS:
            return 1.0
        reached = self._within(self.asked)
        if self.asked > self.line.shown:
            return max(reached - self._against(), 0.0)
        return reached

    def _within(self, months: float) -> float:
        found = chance_of_support(
            self.line.ages,
            months,
            self.point(),
            self.expected.bounds,
            direction=self.expected.direction,
            confidence=self.confidence,
        )
        return 0.0 if isinstance(found, NoFit) else found

    def _against(self) -> float:
        """Return the chance that it seems to move against its declared direction."""
        signs = {"decreasing": 1.0, "increasing": -1.0}
        sign = signs.get(self.expected.direction)
        if sign is None:
            return 0.0
        line = planned_line(self.line.ages, self.point())
        shift = sign * line.slope * math.sqrt(line.sxx) / line.s_used
        return noncentral_t_above(t_two_sided(0.95, line.df), line.df, shift)


@lru_cache(maxsize=256)
def _inside(
    ages: tuple[float, ...],
    counts: tuple[int, ...],
    product: Assumed,
    bounds: tuple[Bound, ...],
    day_share: float,
) -> tuple[float, ...] | NoFit:
    """Return the chance that nothing lies outside, up to each point of a plan."""
    if len(ages) == 1:
        # One age has no line to hold the limit against.
        return (1.0,)
    return chance_inside(ages, product, bounds, containers=counts, day_share=day_share)


def scatter_of_points(
    scatter: float, containers: Sequence[int], day_share: float
) -> float:
    """Return the scatter of a line's points, as the mean square of all of them.

    T0 is often read in one container where later checks are read in several.

    Examples
    --------
    >>> round(scatter_of_points(1.0, (2, 2), 0.5), 3)
    0.866
    """
    squares = [
        point_scatter(
            day=scatter * math.sqrt(day_share),
            container=scatter * math.sqrt(1 - day_share),
            reading=0.0,
            containers=count,
        )
        ** 2
        for count in containers
    ]
    return math.sqrt(math.fsum(squares) / len(squares))


def loss_chances(
    containers: int,
    ages: Sequence[float],
    caps: Sequence[Cap],
    *,
    few_checks: bool,
    scatter: float,
    asked: float,
    confidence: float,
    room_used: float,
) -> Chances:
    r"""Return the chances of a loss of weight, worked out from rates.

    Parameters
    ----------
    containers
        Containers weighed by then, each of which gives one rate. [-]
    ages
        Age of each at its last weighing. [months]
    caps
        One for each batch.
    few_checks
        True where too few checks carry an estimate.
    scatter
        Standard deviation of single containers' losses at the life asked for, as a
        share of the highest loss. [-]
    asked
        Life asked for. [months]
    confidence
        Of the bound of the mean rate. [-]
    room_used
        Share of the highest loss that is reached by the life asked for. [-]

    Notes
    -----
    The life reaches m where the upper bound of the mean rate stays below limit / m:
    P{T'(c - 1, δ) > t} with δ = (1 - u) √c / scatter.
    """
    inside = 1.0
    for age in ages:
        share = min(age, asked) / asked
        if share > 0 and scatter > 0:
            room = (1 - room_used * share) / (scatter * share)
            inside *= 0.5 * math.erfc(-room / math.sqrt(2))
    known = not few_checks and containers > 1
    reached = 1.0
    if known and scatter > 0:
        shift = (1 - room_used) * math.sqrt(containers) / scatter
        quantile = t_one_sided(confidence, containers - 1)
        reached = noncentral_t_above(quantile, containers - 1, shift)
    within = all(asked <= cap.months for cap in caps)
    return Chances(
        room_used, 1.0 if known else 0.0, inside, inside * reached if within else 0.0
    )
