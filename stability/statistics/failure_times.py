"""Non-parametric estimate of when containers failed, from looks at them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from stability.model.scores import FailureInterval, FailureStep

#: Rounds after which the estimate is taken as it is [-].
MOST_ROUNDS = 5000
#: Largest change of a share at which the estimate has settled [-].
SETTLED = 1e-12
#: Shares below this are none [-].
NONE = 1e-6


def failure_steps(intervals: Sequence[FailureInterval]) -> tuple[FailureStep, ...]:
    """Estimate the share of containers that fails between looks.

    Parameters
    ----------
    intervals : sequence of FailureInterval
        One for each container; open ended where it has not failed yet.

    Returns
    -------
    tuple of FailureStep
        Steps with a share, in the order of age; the shares add up to 1.

    Notes
    -----
    The shares that make the looks most likely, found by self-consistency [1]_. None
    of the libraries in use has this estimate for intervals.

    References
    ----------
    .. [1] B. W. Turnbull, "The empirical distribution function with arbitrarily
       grouped, censored and truncated data," J. R. Stat. Soc. B, vol. 38, no. 3,
       pp. 290-295, 1976.

    Examples
    --------
    >>> failure_steps([FailureInterval("a", 3, 6), FailureInterval("b", 3, 6)])
    (FailureStep(after=3, until=6, share=1.0),)
    """
    ends = [_ends(one) for one in intervals]
    cells = _cells(ends)
    covers = np.array(
        [[after <= a and b <= until for a, b in cells] for after, until in ends],
        dtype=float,
    )
    share = _most_likely(covers)
    return tuple(
        FailureStep(max(a, 0.0), None if math.isinf(b) else b, float(weight))
        for (a, b), weight in zip(cells, share, strict=True)
        if weight > NONE
    )


def _most_likely(covers: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the shares that make the looks most likely."""
    share = np.full(covers.shape[1], 1 / covers.shape[1])
    for number in range(MOST_ROUNDS):
        pull = (covers / (covers @ share)[:, np.newaxis]).mean(axis=0)
        updated = share * pull
        # A share that only ever shrinks never gets to 0 by itself.
        if number % 100 == 99:
            updated[(updated < 1e-3) & (pull < 1 - 1e-4)] = 0.0
            updated /= updated.sum()
        change = float(np.abs(updated - share).max())
        share = updated
        if change < SETTLED:
            break
    return share


def _ends(one: FailureInterval) -> tuple[float, float]:
    """Return the ends; what had failed at T0 failed at some time before."""
    until = math.inf if one.until is None else one.until
    return (one.after if one.after < until else -math.inf), until


def _cells(ends: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the innermost intervals: a left end followed at once by a right end."""
    marks = sorted(
        {(after, 1, after) for after, _ in ends}
        | {(until, 0, until) for _, until in ends}
    )
    return [
        (left[2], right[2])
        for left, right in pairwise(marks)
        if left[1] == 1 and right[1] == 0
    ]
