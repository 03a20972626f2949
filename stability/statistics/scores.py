"""Scores and statements: counted and ordered, never averaged or fitted."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations, permutations
from typing import Literal

import numpy as np
from scipy import special, stats

from stability.model.scores import (
    FailureInterval,
    FailureShare,
    ScoreCount,
    ScoreReading,
    ScoreTrend,
)
from stability.statistics.failure_times import failure_steps
from stability.statistics.fit_checks import LEVEL

Method = Literal["exact", "approximate", "none"]

#: Readings from which on a trend may have a p [-].
FEWEST_FOR_P = 5
#: Readings up to which p is found by going through all orders [-].
MOST_ENUMERATED = 8
#: Containers from which on the share that failed is estimated step by step [-].
FEWEST_FOR_STEPS = 10


def count_scores(readings: Sequence[ScoreReading]) -> ScoreCount:
    """Return the first line of a score: worst, first failed age, failed of read.

    Parameters
    ----------
    readings : sequence of ScoreReading
        At least one.

    Returns
    -------
    ScoreCount
        Counts of containers, not of looks.

    Raises
    ------
    ValueError
        If there is no reading.

    Examples
    --------
    >>> count_scores([ScoreReading("a", 0, 0, False), ScoreReading("a", 3, 2, True)])
    ... # doctest: +ELLIPSIS
    ScoreCount(worst=2, first_failed_age=3, failed=1, read=1, ...)
    """
    if not readings:
        message = "there is no reading"
        raise ValueError(message)
    failed = {one.container for one in readings if one.failed}
    read = {one.container for one in readings}
    first = min((one.age for one in readings if one.failed), default=None)
    text = f"{len(failed)} of {len(read)} containers failed"
    if first is not None:
        text += f", first at {first:.3g} months"
    worst = max(one.rank for one in readings)
    return ScoreCount(worst, first, len(failed), len(read), f"{text}.")


def failure_intervals(readings: Sequence[ScoreReading]) -> tuple[FailureInterval, ...]:
    """Return between which looks each container failed.

    Parameters
    ----------
    readings : sequence of ScoreReading
        Of reopened containers, or of fresh ones that are seen once each: those failed
        somewhere before that look, or not yet.

    Returns
    -------
    tuple of FailureInterval
        One for each container: (last passed before the first fail, first failed].

    Examples
    --------
    >>> looks = [ScoreReading("a", 3, 0, False), ScoreReading("a", 6, 2, True)]
    >>> failure_intervals(looks)
    (FailureInterval(container='a', after=3, until=6),)
    """
    by_container: dict[str, list[ScoreReading]] = {}
    for one in readings:
        by_container.setdefault(one.container, []).append(one)
    found = []
    for container, looks in by_container.items():
        until = min((one.age for one in looks if one.failed), default=None)
        passed = [
            one.age
            for one in looks
            if not one.failed and (until is None or one.age < until)
        ]
        found.append(FailureInterval(container, max(passed, default=0.0), until))
    return tuple(found)


def largest_share(failed: int, read: int, confidence: float = 0.95) -> float:
    r"""Return the exact upper bound of the share that fails.

    Parameters
    ----------
    failed : int
        Containers that failed. [-]
    read : int
        Containers read, at least one. [-]
    confidence : float, default 0.95
        One-sided. [-]

    Returns
    -------
    float
        For none of n failed 1 - (1 - confidence)^(1/n). [-]

    Notes
    -----
    The share at which `failed` or fewer would be seen with probability
    1 - confidence [1]_.

    References
    ----------
    .. [1] C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits
       illustrated in the case of the binomial," Biometrika, vol. 26, pp. 404-413,
       1934.

    Examples
    --------
    >>> round(largest_share(0, 3), 2)
    0.63
    """
    if failed >= read:
        return 1.0
    return float(special.betaincinv(failed + 1, read - failed, confidence))


def share_that_fails(
    readings: Sequence[ScoreReading], confidence: float = 0.95
) -> FailureShare:
    """Return how many containers fail, with what few containers leave open.

    Parameters
    ----------
    readings : sequence of ScoreReading
        At least one.
    confidence : float, default 0.95
        Of the upper bound. [-]

    Returns
    -------
    FailureShare
        Below 10 containers the intervals and the exact bound only; from 10 on also
        the non-parametric estimate.
    """
    intervals = failure_intervals(readings)
    failed = sum(one.until is not None for one in intervals)
    at_most = largest_share(failed, len(intervals), confidence)
    steps = failure_steps(intervals) if len(intervals) >= FEWEST_FOR_STEPS else ()
    text = (
        f"{failed} of {len(intervals)} failed: up to {100 * at_most:.0f} % may fail "
        f"({100 * confidence:g} % confidence)."
    )
    return FailureShare(
        failed, len(intervals), at_most, confidence, intervals, steps, text
    )


def score_trend(ages: Sequence[float], ranks: Sequence[int]) -> ScoreTrend:
    r"""Return whether a score grows worse with age.

    Parameters
    ----------
    ages : sequence of float
        One for each reading. [months]
    ranks : sequence of int
        0-based places in the scale, 0 the best. [-]

    Returns
    -------
    ScoreTrend
        Kendall's tau-b with a one-sided p, none below five readings.

    Raises
    ------
    ValueError
        If the two sequences differ in length.

    Notes
    -----
    S counts pairs that agree less pairs that disagree; tau-b = S / √((n₀ - n₁)(n₀ -
    n₂)) with n₀ = n(n - 1)/2 and n₁, n₂ the pairs tied in age and in score [1]_. Up
    to eight readings p is the share of all orders of the scores with S at least as
    large. Few readings with many ties cannot come below a p of their own, which is
    told where it is 0.05 or more.

    References
    ----------
    .. [1] M. G. Kendall, "The treatment of ties in ranking problems," Biometrika,
       vol. 33, no. 3, pp. 239-251, 1945.

    Examples
    --------
    >>> score_trend([0, 1, 3, 6, 12], [0, 0, 1, 1, 2]).p
    0.0333
    """
    if len(ages) != len(ranks):
        message = f"{len(ages)} ages but {len(ranks)} ranks"
        raise ValueError(message)
    n = len(ages)
    s = _agreement(tuple(ages), tuple(ranks))
    tau = _tau_b(s, ages, ranks)
    if tau is None:
        text = "No change seen." if len(set(ranks)) < 2 else "Read at one age."
        return ScoreTrend(n, s, None, None, None, "none", text)
    if n < FEWEST_FOR_P:
        text = f"tau-b {tau:.2f}; fewer than {FEWEST_FOR_P} readings have no p."
        return ScoreTrend(n, s, tau, None, None, "none", text)
    if n <= MOST_ENUMERATED:
        p, least = _exact_p(_places(ages), _places(sorted(ranks)), s)
        text = _trend_text(n, tau, p, "exact", least)
        return ScoreTrend(n, s, tau, p, least, "exact", text)
    tied = len(set(ages)) < n or len(set(ranks)) < n
    method: Method = "approximate" if tied else "exact"
    result = stats.kendalltau(
        ages,
        ranks,
        variant="b",
        alternative="greater",
        method="asymptotic" if tied else "exact",
    )
    p = float(result.pvalue)
    return ScoreTrend(n, s, tau, p, None, method, _trend_text(n, tau, p, method, 0.0))


def _trend_text(n: int, tau: float, p: float, method: Method, least: float) -> str:
    text = f"tau-b {tau:.2f}, n {n}, one-sided p {p:.2g} for worse with age ({method})"
    if least < LEVEL:
        return f"{text}."
    return f"{text}; these words cannot give less than {least:.2g}."


def observers_note(observers: Sequence[str], *, blind: bool = False) -> str:
    """Return what several observers can and cannot show.

    Parameters
    ----------
    observers : sequence of str
        Their names.
    blind : bool, default False
        Whether they did not know which container was which.

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> observers_note(["Ana", "Ben"])
    '2 observers (Ana, Ben), not blind; no significance can be claimed.'
    """
    k = len(observers)
    who = f"{k} observer{'' if k == 1 else 's'} ({', '.join(observers)})"
    return (
        f"{who}, {'blind' if blind else 'not blind'}; no significance can be claimed."
    )


def _agreement(ages: Sequence[float], ranks: Sequence[int]) -> int:
    pairs = combinations(zip(ages, ranks, strict=True), 2)
    return sum(_sign(b[0] - a[0]) * _sign(b[1] - a[1]) for a, b in pairs)


def _sign(difference: float) -> int:
    return (difference > 0) - (difference < 0)


def _tau_b(s: int, ages: Sequence[float], ranks: Sequence[int]) -> float | None:
    pairs = len(ages) * (len(ages) - 1) // 2
    untied = [pairs - _tied_pairs(ages), pairs - _tied_pairs(ranks)]
    return float(s / np.sqrt(untied[0] * untied[1])) if all(untied) else None


def _tied_pairs(values: Sequence[float]) -> int:
    return sum(count * (count - 1) // 2 for count in Counter(values).values())


def _places(values: Sequence[float]) -> tuple[int, ...]:
    order = {value: place for place, value in enumerate(sorted(set(values)))}
    return tuple(order[value] for value in values)


def _exact_p(
    ages: tuple[int, ...], ranks: tuple[int, ...], s: int
) -> tuple[float, float]:
    """Return the share of all orders with at least this agreement, and the least."""
    agreements, shares = _all_agreements(ages, ranks)
    at_least = [
        share for one, share in zip(agreements, shares, strict=True) if one >= s
    ]
    return math.fsum(at_least), shares[-1]


@lru_cache(maxsize=512)
def _all_agreements(
    ages: tuple[int, ...], ranks: tuple[int, ...]
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return every agreement that an order of the scores can have, and its share.

    Depends on the ties alone, so that one study meets few different cases.
    """
    orders = np.array(list(permutations(ranks)), dtype=np.int8)
    total = np.zeros(len(orders), dtype=np.int16)
    for i, j in combinations(range(len(ages)), 2):
        sign = _sign(ages[j] - ages[i])
        if sign:
            total += sign * np.sign(orders[:, j] - orders[:, i])
    agreements, counts = np.unique(total, return_counts=True)
    return tuple(map(int, agreements)), tuple((counts / len(orders)).tolist())
