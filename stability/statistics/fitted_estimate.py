"""What a fitted line brings to the request, and how it came about in words."""

from __future__ import annotations

from stability.model.shelf_life import BatchLife, Crossing, ShelfLife
from stability.statistics.shelf_life import FEWEST_CHECKS


def fitted_estimate(
    life: ShelfLife, batch: str, checks: int | None = None
) -> tuple[float | None, str]:
    """Return the estimate that one batch brings to the request, with its basis.

    Parameters
    ----------
    life : ShelfLife
        Of one attribute and pack.
    batch : str
        The batch.
    checks : int or None, default None
        Checks among its points, where some are extra readings that no check asked for;
        None where every point is a check. [-]

    Returns
    -------
    tuple of float or None, and str
        Months by the method that carries the request, None where there is no crossing
        or no estimate; below five checks no estimate counts, except that a T0
        observation outside its limit always does.
    """
    own = {one.batch: one for one in life.batch_by_batch.batches}
    used = {one.batch: one for one in life.carrying.batches}
    if batch not in own:
        reason = next((n.text for name, n in life.without_line if name == batch), "")
        return None, f"no estimate: {reason.rstrip('.')}"
    chosen = used[batch]
    made = own[batch].line.n if checks is None else checks
    if chosen.outcome != "failed at T0" and made < FEWEST_CHECKS:
        return None, f"fewer than {FEWEST_CHECKS} checks carry no estimate"
    return chosen.months, _how(life, chosen)


def _how(life: ShelfLife, chosen: BatchLife) -> str:
    """Say how an estimate came about, or why there is none; its months stand beside."""
    one, line = chosen.governing, chosen.line
    sided = "two-sided" if life.direction == "either" else "one-sided"
    side = one.bound.side
    if one.outcome == "failed at T0":
        return "failed at T0: an observation lies outside its limit"
    if one.outcome == "start outside":
        return f"start outside: the fitted start lies beyond the {side} limit"
    return (
        f"{one.outcome}{_needs(one)} by the {sided} {100 * life.confidence:g} % bound "
        f"of the mean at the {side} limit, {life.carrying.method}, {line.scale} scale, "
        f"{one.df} df"
    )


def _needs(one: Crossing) -> str:
    """Say what scatter, or how many checks, an estimate would take."""
    if one.needed_s is None:
        return ""
    checks = "" if one.needed_checks is None else f" or {one.needed_checks} checks"
    return f" (scatter {one.s_used:.3g}; it takes less than {one.needed_s:.3g}{checks})"
