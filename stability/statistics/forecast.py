"""When a fitted line will meet a limit, with an interval: an early warning."""

from __future__ import annotations

import math

from stability.model.estimate import Bound, Forecast, NoFit, StraightLine
from stability.statistics.margin import Margin, margin_to
from stability.statistics.quantiles import t_two_sided


def forecast(
    line: StraightLine, bound: Bound, confidence: float = 0.95
) -> Forecast | NoFit:
    r"""Forecast when a fitted line meets a bound.

    Parameters
    ----------
    line : Line or Drift
        A fitted line.
    bound : Bound
        The bound that must not be passed.
    confidence : float, default 0.95
        Two-sided confidence of the interval of the time. [-]

    Returns
    -------
    Forecast or NoFit
        The fitted time and its interval, which may have no latest end or be empty.

    Notes
    -----
    The interval holds the ages t > 0 at which the fitted mean cannot be told from the
    bound: room² ≤ t² s² variance (the inverse regression of [1]_). Where the slope
    cannot be told from 0 it has no latest end.

    References
    ----------
    .. [1] E. C. Fieller, "Some problems in interval estimation," J. R. Stat. Soc. B,
       vol. 16, no. 2, pp. 175-185, 1954.

    Examples
    --------
    >>> from stability.statistics.line import closed_line
    >>> line = closed_line([0, 3, 6, 9], [5.5, 5.42, 5.35, 5.24])
    >>> round(forecast(line, Bound("absolute", "lower", 5.0)).months, 1)
    17.8
    """
    margin = margin_to(line, bound)
    if isinstance(margin, NoFit):
        return margin
    months = _fitted_time(margin)
    k = (t_two_sided(confidence, line.df) * line.s_used) ** 2
    if margin.at_start < 0:
        return Forecast(bound, "outside", None, None, None)
    _, _, c, _ = margin.set_within(k)
    if c < 0 or margin.at_start == 0:
        return Forecast(bound, "now", months, 0.0, None)
    earliest, latest = _ends(margin, k)
    return _named(bound, months, earliest, latest)


def _fitted_time(margin: Margin) -> float | None:
    if margin.at_start < 0 or margin.per_month >= 0:
        return None
    return -margin.at_start / margin.per_month


def _ends(margin: Margin, k: float) -> tuple[float | None, float | None]:
    """Return the ends of the ages above 0 at which room² ≤ k variance."""
    a, b, c, root = margin.set_within(k)
    q = -(b + root) if b >= 0 else -b + root
    if q == 0:
        return None, None
    roots = [c / q] if a == 0 else [c / q, q / a]
    ahead = sorted(t for t in roots if 0 < t < math.inf)
    if not ahead:
        return None, None
    if a > 0 and len(ahead) == 2:
        return ahead[0], ahead[1]
    return ahead[0], None


def _named(
    bound: Bound, months: float | None, earliest: float | None, latest: float | None
) -> Forecast:
    if earliest is None:
        return Forecast(bound, "empty", months, None, None)
    if latest is None:
        return Forecast(bound, "from", months, earliest, None)
    return Forecast(bound, "within", months, earliest, latest)
