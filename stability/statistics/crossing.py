"""Where the confidence bound of the mean meets a limit, with its five outcomes."""

from __future__ import annotations

import math

from stability.model.estimate import Bound, NoFit, StraightLine
from stability.model.forecast_words import FARTHEST_MONTHS
from stability.model.shelf_life import Crossing, CrossingOutcome
from stability.statistics.margin import Margin, margin_to
from stability.statistics.quantiles import t_one_sided, t_two_sided

#: Checks beyond which it is not said how many would be needed [-].
MOST_CHECKS = 200
#: A crossing must meet the limit this well, relative to the scale [-].
MEETS = 1e-8


def crossing(
    line: StraightLine,
    bound: Bound,
    *,
    two_sided: bool,
    confidence: float = 0.95,
    failed_at_t0: bool = False,
) -> Crossing | NoFit:
    r"""Return where the bound of the mean meets one bound of a limit.

    Parameters
    ----------
    line : Line or Drift
        A fitted line with its scatter.
    bound : Bound
        Absolute, or relative to the initial value inside the fit.
    two_sided : bool
        True for the bound of a two-sided interval.
    confidence : float, default 0.95
        Of the bound or interval. [-]
    failed_at_t0 : bool, default False
        True where a T0 observation lies outside its limit.

    Returns
    -------
    Crossing or NoFit
        The outcome with its words; refused where the bound cannot be held against
        the line.

    Notes
    -----
    The room to the limit is d + e t with variance s² (q00 + 2 q01 t + q11 t²). With
    k = t² s² the crossing solves

    .. math:: (e^2 - k q_{11}) t^2 + 2 (d e - k q_{01}) t + d^2 - k q_{00} = 0,
       \quad t > 0, \quad d + e t \ge 0

    for an absolute lower limit L: d = a - L, e = b. Inside at 0 there is at most one.
    The earliest time at which the confidence limit of the mean intersects the
    criterion [1]_ 2.6. A start inside whose bound is outside at age 0 says that the
    readings are not precise enough, not that the life is 0.

    References
    ----------
    .. [1] ICH Q1E, Evaluation of Stability Data, Step 4, 2003, section 2.6.

    Examples
    --------
    >>> from stability.statistics.line import closed_line
    >>> line = closed_line(
    ...     [0, 1, 2, 3, 6, 9, 12], [5.50, 5.48, 5.44, 5.43, 5.33, 5.25, 5.18]
    ... )
    >>> limit = Bound("absolute", "lower", 5.0)
    >>> round(crossing(line, limit, two_sided=False).months, 4)
    17.6225
    """
    margin = margin_to(line, bound)
    if isinstance(margin, NoFit):
        return margin
    quantile = t_two_sided if two_sided else t_one_sided
    multiplier = quantile(confidence, line.df)
    k = (multiplier * line.s_used) ** 2
    outcome, months = _outcome(margin, k, failed_at_t0=failed_at_t0)
    imprecise = outcome == "not precise enough"
    needed_s = _needed_s(margin, multiplier) if imprecise else None
    needed_checks = (
        _needed_checks(line, margin, confidence, two_sided=two_sided)
        if imprecise
        else None
    )
    return Crossing(
        bound=bound,
        outcome=outcome,
        months=months,
        fitted_months=_fitted_months(margin),
        multiplier=multiplier,
        df=line.df,
        s_used=line.s_used,
        needed_s=needed_s,
        needed_checks=needed_checks,
        text=_text(outcome, months, line, needed_s, needed_checks),
    )


def _outcome(
    margin: Margin, k: float, *, failed_at_t0: bool
) -> tuple[CrossingOutcome, float | None]:
    if failed_at_t0:
        return "failed at T0", 0.0
    if margin.at_start < 0:
        return "start outside", 0.0
    if margin.at_start**2 < k * margin.q00:
        return "not precise enough", None
    if margin.at_start == 0:
        steady = margin.per_month >= 0 and k == 0
        return ("no crossing", None) if steady else ("crossing", 0.0)
    months = _root(margin, k)
    return ("no crossing", None) if months is None else ("crossing", months)


def _root(margin: Margin, k: float) -> float | None:
    """Return the age above 0 at which room = √(k variance), inside at age 0."""
    a, b, c, root = margin.set_within(k)
    q = -(b + root) if b >= 0 else -b + root
    if q == 0:
        return None
    candidates = [c / q] if a == 0 else [c / q, q / a]
    ahead = [t for t in candidates if 0 <= t < math.inf]
    admissible = [t for t in ahead if _meets(margin, k, t)]
    return min(admissible) if admissible else None


def _meets(margin: Margin, k: float, age: float) -> bool:
    """Check a root by substitution, relative to the scale of the terms."""
    half = math.sqrt(k) * margin.error(age)
    scale = abs(margin.at_start) + abs(margin.per_month * age) + half
    return abs(margin.at(age) - half) <= MEETS * scale


def _fitted_months(margin: Margin) -> float | None:
    if margin.at_start < 0 or margin.per_month >= 0:
        return None
    return -margin.at_start / margin.per_month


def _needed_s(margin: Margin, multiplier: float) -> float:
    return margin.at_start / (multiplier * math.sqrt(margin.q00))


def _needed_checks(
    line: StraightLine, margin: Margin, confidence: float, *, two_sided: bool
) -> int | None:
    """Return how many checks, spread like these, would make the start precise."""
    quantile = t_two_sided if two_sided else t_one_sided
    for n in range(line.n + 1, MOST_CHECKS + 1):
        error = line.s_used * math.sqrt(margin.q00 * line.n / n)
        if quantile(confidence, line.df + n - line.n) * error < margin.at_start:
            return n
    return None


def _text(
    outcome: CrossingOutcome,
    months: float | None,
    line: StraightLine,
    needed_s: float | None,
    needed_checks: int | None,
) -> str:
    if outcome == "failed at T0":
        return "A T0 observation lies outside its limit."
    if outcome == "start outside":
        return "The fitted start lies outside the limit."
    if outcome == "no crossing":
        return "The bound of the mean does not meet the limit."
    if outcome == "crossing":
        if months is None or months > FARTHEST_MONTHS:
            until = f"within {FARTHEST_MONTHS} months"
            return f"The bound of the mean does not meet the limit {until}."
        return f"The bound of the mean meets the limit at {months:.1f} months."
    checks = (
        f"or {needed_checks} checks at this scatter"
        if needed_checks is not None
        else f"and more than {MOST_CHECKS} checks would be needed at this scatter"
    )
    return (
        f"Not precise enough: with a scatter of {line.s_used:.3g} over {line.n} checks "
        "the start cannot be told from the limit. No estimate and no extrapolation; "
        "the months shown stand. It would take a scatter below "
        f"{needed_s:.3g}, {checks}."
    )
