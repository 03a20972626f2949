"""Stays of a sample outside its own condition, and the checks they leave unpassed.

Months in a refrigerator are no months on the shelf: what such a sample shows is not
what its check is for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise

from stability.evaluation.phrases import days_text
from stability.model.age import cycle_of
from stability.model.moment import Moment, age_days
from stability.model.observation import Placing
from stability.model.schedule import PlannedCheck


def days_elsewhere(
    placings: Sequence[Placing], condition: str | None, until: Moment
) -> int:
    """Return how long a sample stood outside its condition by a moment [d].

    Parameters
    ----------
    placings
        Of one sample, in order.
    condition
        Its own condition.
    until
        The moment.

    Returns
    -------
    int
        Whole days in other conditions or taken out; hours at the bench, however often,
        come to days only once they add up to them.
    """
    spent = 0.0
    for place, after in pairwise([*placings, None]):
        if place is None or place.condition == condition:
            continue
        end = until if after is None else min(after.done, until)
        spent += max(age_days(place.done, end), 0.0)
    # Minutes lost in a floating-point sum must not make a day less.
    return math.floor(spent + 1e-9)


def short_of_check(
    placings: Sequence[Placing],
    condition: str | None,
    planned: PlannedCheck | None,
    done: Moment,
) -> str:
    """Return why a reading shows no pass at its check; "" where it may.

    It may where the sample stood in its own condition for as long as a reading on the
    first day of the window has it. A cycle counts its steps and not its days.
    """
    if planned is None or condition is None or cycle_of(planned.check) is not None:
        return ""
    away = days_elsewhere(placings, condition, done)
    if not away or done.day - timedelta(days=away) >= planned.opens:
        return ""
    return (
        f"outside {condition} for {days_text(away)}, too long to show a pass at "
        f"{planned.check}"
    )
