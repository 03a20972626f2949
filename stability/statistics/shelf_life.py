"""Shelf life of one attribute and pack: batch by batch, and pooled beside it.

Supports, and does not replace, assessment by a qualified safety assessor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import partial

from stability.model.estimate import (
    Bound,
    Caution,
    Drift,
    Line,
    NoFit,
    Side,
    StraightLine,
)
from stability.model.shelf_life import (
    BatchLife,
    Crossing,
    CrossingOutcome,
    Direction,
    LifeEstimate,
    Method,
    ShelfLife,
)
from stability.statistics.crossing import crossing
from stability.statistics.line import line_of
from stability.statistics.margin import margin_to
from stability.statistics.pooling import pool
from stability.statistics.straightness import curvature

#: Checks below which no estimate carries a request [-].
FEWEST_CHECKS = 5
#: Outcomes from worst to best.
_WORST_FIRST: tuple[CrossingOutcome, ...] = (
    "failed at T0",
    "start outside",
    "not precise enough",
    "crossing",
    "no crossing",
)


def shelf_life(
    drifts: Mapping[str, Drift | NoFit],
    bounds: Sequence[Bound],
    *,
    direction: Direction = "either",
    carries: Method = "batch by batch",
    confidence: float = 0.95,
    failed_at_t0: Collection[str] = (),
) -> ShelfLife | NoFit:
    """Estimate the shelf life of one attribute and pack by both methods.

    Parameters
    ----------
    drifts : mapping of str to Drift or NoFit
        The batches under the long-term condition.
    bounds : sequence of Bound
        The limit, at least one bound.
    direction : {"decreasing", "increasing", "either", "either, one-sided"}
        Declared before T0.
    carries : {"batch by batch", "pooled"}
        Which estimate carries the request, declared before T0.
    confidence : float, default 0.95
        Of every bound. [-]
    failed_at_t0 : collection of str, default ()
        Batches with a T0 observation outside its limit.

    Returns
    -------
    ShelfLife or NoFit
        Both estimates with every step; refused where no batch has a line, or the
        limit cannot be held against the lines.

    Raises
    ------
    ValueError
        If there is no bound.

    Notes
    -----
    Batch by batch every batch stands on its own line, mean square and degrees of
    freedom, and the shortest governs. As an intersection of single tests it needs no
    correction for several batches and attributes, and overstates the worst tested
    batch's life in at most 5 % of studies, provided that the drift is straight on the
    declared scale, the scatter does not grow with age, the errors of different checks
    are independent and the evaluation was planned beforehand [1]_. One batch cannot
    show variation between batches.

    References
    ----------
    .. [1] R. L. Berger, "Multiparameter hypothesis testing and acceptance sampling,"
       Technometrics, vol. 24, no. 4, pp. 295-300, 1982.

    Examples
    --------
    >>> from stability.statistics.drift import fit_drift
    >>> ages = [0, 3, 6, 9, 12, 18]
    >>> life = shelf_life(
    ...     {
    ...         "A": fit_drift(ages, [5.52, 5.47, 5.43, 5.36, 5.31, 5.22]),
    ...         "B": fit_drift(ages, [5.50, 5.46, 5.40, 5.36, 5.30, 5.19]),
    ...     },
    ...     [Bound("absolute", "lower", 5.0)],
    ...     direction="decreasing",
    ... )
    >>> life.batch_by_batch.governing.batch
    'B'
    """
    if not bounds:
        message = "a shelf life needs a limit"
        raise ValueError(message)
    fitted = {name: d for name, d in drifts.items() if isinstance(d, Drift)}
    refused = tuple((name, d) for name, d in drifts.items() if isinstance(d, NoFit))
    if not fitted:
        return refused[0][1] if refused else NoFit("no-batch", "There is no batch.")
    refusal = _refusal(fitted, bounds)
    if refusal is not None:
        return refusal
    judge = partial(_crossings, judged=sides(bounds, direction), confidence=confidence)
    own = {name: line_of(drift) for name, drift in fitted.items()}
    single = _estimate("batch by batch", own, fitted, judge, failed_at_t0)
    pooling = pool(fitted) if len(fitted) > 1 and not refused else None
    pooled = None
    if pooling is not None:
        lines = dict(pooling.lines)
        pooled = _estimate("pooled", lines, fitted, judge, failed_at_t0)
    cautions, blocked = _cautions(
        fitted, bounds, direction, carries, single, without_line=bool(refused)
    )
    return ShelfLife(
        batch_by_batch=single,
        pooled=pooled,
        pooling=pooling,
        carries=carries,
        direction=direction,
        confidence=confidence,
        without_line=refused,
        cautions=cautions,
        blocked=blocked,
    )


def share_outside(line: StraightLine, bound: Bound, age: float) -> float | NoFit:
    r"""Return the expected share of single containers outside a bound at an age.

    Parameters
    ----------
    line : Line or Drift
        The fitted line.
    bound : Bound
        The bound.
    age : float
        Such as the life asked for. [months]

    Returns
    -------
    float or NoFit
        Between 0 and 1. [-]

    Notes
    -----
    Φ((L - ŷ(m)) / s) for a lower limit L, with the fitted values taken as true.

    Examples
    --------
    >>> line = Line(7, 5, 5.5, -0.02, 0.1, 5.0, 120.0)
    >>> share_outside(line, Bound("absolute", "lower", 5.0), 25)
    0.5
    """
    margin = margin_to(line, bound)
    if isinstance(margin, NoFit):
        return margin
    room = margin.at(age)
    if line.s_used == 0:
        return 0.0 if room >= 0 else 1.0
    return 0.5 * math.erfc(room / (line.s_used * math.sqrt(2)))


def _refusal(fitted: Mapping[str, Drift], bounds: Sequence[Bound]) -> NoFit | None:
    if len({drift.scale for drift in fitted.values()}) > 1:
        return NoFit("two-scales", "The batches were fitted on different scales.")
    margins = [margin_to(d, bound) for d in fitted.values() for bound in bounds]
    return next((margin for margin in margins if isinstance(margin, NoFit)), None)


def sides(
    bounds: Sequence[Bound], direction: Direction
) -> tuple[tuple[Bound, bool], ...]:
    """Return the bounds that are judged, each with whether it is two-sided.

    Parameters
    ----------
    bounds : sequence of Bound
        The limit.
    direction : {"decreasing", "increasing", "either", "either, one-sided"}
        Declared before T0.

    Returns
    -------
    tuple of (Bound, bool)
        The lower bounds of what decreases, the upper ones of what increases, one-sided;
        else every bound, two-sided after ICH Q1E 2.6 unless declared one-sided.

    Examples
    --------
    >>> low, high = Bound("absolute", "lower", 5.0), Bound("absolute", "upper", 6.0)
    >>> [two for _, two in sides([low, high], "either")]
    [True, True]
    """
    known: dict[Direction, Side] = {"decreasing": "lower", "increasing": "upper"}
    side = known.get(direction)
    if side is None:
        return tuple((bound, direction == "either") for bound in bounds)
    ahead = [bound for bound in bounds if bound.side == side]
    return tuple((bound, False) for bound in ahead or bounds)


def _estimate(
    method: Method,
    lines: Mapping[str, Line],
    drifts: Mapping[str, Drift],
    judge: Callable[..., tuple[Crossing, ...]],
    failed_at_t0: Collection[str],
) -> LifeEstimate:
    lives = []
    for batch, line in lines.items():
        failed = batch in failed_at_t0
        crossings = judge(line, failed=failed)
        shorter = drifts[batch].without_last if method == "batch by batch" else None
        again = None
        if shorter is not None:
            again = min(judge(shorter, failed=failed), key=_urgency)
        governing = min(crossings, key=_urgency)
        lives.append(
            BatchLife(
                batch=batch,
                line=line,
                crossings=crossings,
                outcome=_worst(one.outcome for one in crossings),
                months=governing.months,
                governing=governing,
                months_without_last=None if again is None else again.months,
                outcome_without_last=None if again is None else again.outcome,
            )
        )
    first = min(lives, key=lambda life: _urgency(life.governing))
    outcome = _worst(life.outcome for life in lives)
    text = _text(method, first, lives, outcome)
    return LifeEstimate(method, tuple(lives), first, first.months, outcome, text)


def _crossings(
    line: StraightLine,
    *,
    judged: Sequence[tuple[Bound, bool]],
    confidence: float,
    failed: bool,
) -> tuple[Crossing, ...]:
    found = (
        crossing(line, bound, two_sided=two, confidence=confidence, failed_at_t0=failed)
        for bound, two in judged
    )
    return tuple(one for one in found if isinstance(one, Crossing))


def _urgency(one: Crossing) -> tuple[float, int]:
    """Return a key that puts failures first, then the shortest life."""
    months = math.inf if one.months is None else one.months
    return months, _WORST_FIRST.index(one.outcome)


def _worst(outcomes: Iterable[CrossingOutcome]) -> CrossingOutcome:
    return min(outcomes, key=_WORST_FIRST.index)


def _text(
    method: Method,
    first: BatchLife,
    lives: Sequence[BatchLife],
    outcome: CrossingOutcome,
) -> str:
    parts = [f"{method.capitalize()}: batch {first.batch} governs."]
    parts.append(first.governing.text)
    vague = [life.batch for life in lives if life.outcome == "not precise enough"]
    if outcome == "not precise enough" and first.governing.outcome != outcome:
        parts.append(f"Not precise enough in batch {', '.join(vague)}.")
    shorter = [
        f"{life.batch} {life.without_last_text}"
        for life in lives
        if life.without_last_text
    ]
    if shorter:
        parts.append(f"Without the last check: batch {', '.join(shorter)}.")
    return " ".join(parts)


def _cautions(
    fitted: Mapping[str, Drift],
    bounds: Sequence[Bound],
    direction: Direction,
    carries: Method,
    single: LifeEstimate,
    *,
    without_line: bool,
) -> tuple[tuple[Caution, ...], tuple[str, ...]]:
    """Return the cautions of all batches together, and the batches they block."""
    bend = curvature(tuple(fitted.values()), bounds)
    cautions = list(bend.cautions) if bend is not None else []
    cautions += _against_direction(fitted, direction)
    all_blocked = any(caution.blocks_extrapolation for caution in cautions)
    cautions += _about_batches(fitted, carries, without_line=without_line)
    vague = {b.batch for b in single.batches if b.outcome == "not precise enough"}
    blocked = tuple(
        name
        for name, drift in fitted.items()
        if all_blocked
        or name in vague
        or drift.blocks_extrapolation
        or drift.n < FEWEST_CHECKS
    )
    return tuple(cautions), blocked


def _against_direction(
    fitted: Mapping[str, Drift], direction: Direction
) -> list[Caution]:
    wrong = [
        name
        for name, drift in fitted.items()
        if (direction == "decreasing" and drift.slope_interval[0] > 0)
        or (direction == "increasing" and drift.slope_interval[1] < 0)
    ]
    if not wrong:
        return []
    return [
        Caution(
            "against-direction",
            f"Batch {', '.join(wrong)} moves against the declared direction "
            f"({direction}): the declared side may not be the one that matters; no "
            "extrapolation.",
            blocks_extrapolation=True,
        )
    ]


def _about_batches(
    fitted: Mapping[str, Drift], carries: Method, *, without_line: bool
) -> list[Caution]:
    k = len(fitted)
    found = []
    few = [name for name, drift in fitted.items() if drift.n < FEWEST_CHECKS]
    if few:
        found.append(
            Caution(
                "few-checks",
                f"Batch {', '.join(few)} has fewer than {FEWEST_CHECKS} checks: no "
                "estimate carries a request; the months shown stand.",
                blocks_extrapolation=True,
            )
        )
    next_worse = f"the next batch is worse than all {k} tested with chance 1/{k + 1}"
    if k == 1:
        next_worse = "the next batch is worse than this one with chance 1/2"
        found.append(
            Caution("one-batch", "One batch cannot show variation between batches.")
        )
    found.append(Caution("next-batch", f"If batches are alike drawn, {next_worse}."))
    if carries == "pooled" and k == 1:
        found.append(
            Caution("no-pooling", "One batch is not pooled; it stands by itself.")
        )
    elif carries == "pooled" and without_line:
        found.append(
            Caution(
                "no-pooling",
                "A batch has no line, so nothing is pooled: every batch stands by "
                "itself.",
            )
        )
    return found
