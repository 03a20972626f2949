"""Analysis of covariance of batches after ICH Q1E: whether they share a line."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from stability.model.estimate import Drift, Line
from stability.model.shelf_life import Pooling, PoolingTest
from stability.statistics.line import closed_line, line_of
from stability.statistics.quantiles import f_upper_p

#: Level of the tests of slopes and intercepts, for want of power in few checks [-].
POOLING_LEVEL = 0.25
#: Scatter below this share of the values is rounding [-].
ROUNDING = 1e-12
#: How often a pooled life is later than the worst batch's true one; simulated.
OVERSTATES = (
    "Pooling after a test overstates the worst batch's life more often than 5 %: in "
    "19 % of simulated studies of three batches that drift by 0.020, 0.021 and 0.022 "
    "a month at a scatter of 0.03, in 27 % where their readings of a day share an "
    "error, in 38 % where one of six batches drifts by 0.022 and the others by 0.020."
)

Model = Literal["one line", "common slope", "separate lines"]


def pool(drifts: Mapping[str, Drift]) -> Pooling:
    r"""Choose one line, a common slope or separate lines for some batches.

    Parameters
    ----------
    drifts : mapping of str to Drift
        The batches, at least two, on one scale.

    Returns
    -------
    Pooling
        Every step and the line of each batch under the chosen model.

    Raises
    ------
    ValueError
        If there are fewer than two batches, or more than one scale.

    Notes
    -----
    With k batches and N points, both against the mean square of separate lines:

    .. math:: F_{slopes} = \frac{(SSE_{common} - SSE_{separate}) / (k - 1)}
       {SSE_{separate} / (N - 2k)}, \quad
       F_{intercepts} = \frac{(SSE_{one} - SSE_{common}) / (k - 1)}
       {SSE_{separate} / (N - 2k)}

    Poolable where p ≥ 0.25 [1]_ B.2.2.1. One line has N - 2 degrees of freedom, a
    common slope N - k - 1, separate lines the pooled mean square with N - 2k.

    References
    ----------
    .. [1] ICH Q1E, Evaluation of Stability Data, Step 4, 2003, appendix B.2.2.

    Examples
    --------
    >>> from stability.statistics.drift import fit_drift
    >>> ages = [0, 3, 6, 9, 12, 18]
    >>> a = fit_drift(ages, [5.52, 5.47, 5.43, 5.36, 5.31, 5.22])
    >>> b = fit_drift(ages, [5.50, 5.46, 5.40, 5.36, 5.30, 5.19])
    >>> pool({"A": a, "B": b}).model
    'common slope'
    """
    if len(drifts) < 2:
        message = "pooling needs two batches"
        raise ValueError(message)
    batches = list(drifts.values())
    if len({drift.scale for drift in batches}) > 1:
        message = "batches on different scales cannot be pooled"
        raise ValueError(message)
    sums = _sums_of_squares(batches)
    separate, common, one = sums
    n, k = sum(drift.n for drift in batches), len(batches)
    tests = [_test("slopes", common - separate, separate, k, n)]
    if tests[0].poolable:
        tests.append(_test("intercepts", one - common, separate, k, n))
    model = _model(tests)
    return Pooling(
        model=model,
        tests=tuple(tests),
        sse_separate=separate,
        sse_common=common,
        sse_one=one,
        n=n,
        lines=_lines(drifts, model, sums),
        text=_text(model, tests),
    )


def _sums_of_squares(batches: Sequence[Drift]) -> tuple[float, float, float]:
    """Return the sums of squares about separate, common-slope and one line."""
    separate = math.fsum(drift.s**2 * drift.df for drift in batches)
    slope = _common_slope(batches)
    extra = math.fsum(drift.sxx * (drift.slope - slope) ** 2 for drift in batches)
    one = _one_line(batches)
    size = max(abs(drift.intercept) + abs(drift.slope) for drift in batches)
    rounding = one.n * (ROUNDING * size) ** 2
    common = separate + (extra if extra > rounding else 0.0)
    sse_one = one.s_used**2 * one.df
    return separate, common, max(sse_one, common) if sse_one > rounding else common


def _common_slope(batches: Sequence[Drift]) -> float:
    weighted = math.fsum(drift.sxx * drift.slope for drift in batches)
    return weighted / math.fsum(drift.sxx for drift in batches)


def _one_line(batches: Sequence[Drift]) -> Line:
    return closed_line(
        [age for drift in batches for age in drift.ages],
        [value for drift in batches for value in drift.values],
        scale=batches[0].scale,
    )


def _test(
    question: Literal["slopes", "intercepts"],
    extra: float,
    separate: float,
    batches: int,
    n: int,
) -> PoolingTest:
    df_top, df_bottom = batches - 1, n - 2 * batches
    f: float | None
    if separate > 0:
        f = max(extra, 0.0) / df_top / (separate / df_bottom)
        p = f_upper_p(f, df_top, df_bottom)
    else:
        f, p = (None, 0.0) if extra > 0 else (0.0, 1.0)
    return PoolingTest(
        question, f, df_top, df_bottom, p, POOLING_LEVEL, p >= POOLING_LEVEL
    )


def _model(tests: Sequence[PoolingTest]) -> Model:
    if not tests[0].poolable:
        return "separate lines"
    return "one line" if tests[1].poolable else "common slope"


def _lines(
    drifts: Mapping[str, Drift],
    model: Model,
    sums: tuple[float, float, float],
) -> tuple[tuple[str, Line], ...]:
    batches = list(drifts.values())
    separate, common, one = sums
    n, k = sum(drift.n for drift in batches), len(batches)
    floor = max(drift.floor for drift in batches)
    if model == "one line":
        line = replace(_one_line(batches), s_used=max(math.sqrt(one / (n - 2)), floor))
        return tuple((batch, line) for batch in drifts)
    if model == "common slope":
        slope = _common_slope(batches)
        s, df = math.sqrt(common / (n - k - 1)), n - k - 1
        sxx = math.fsum(drift.sxx for drift in batches)
    else:
        s, df = math.sqrt(separate / (n - 2 * k)), n - 2 * k
    found = []
    for batch, drift in drifts.items():
        line = line_of(drift)
        if model == "common slope":
            level = line.intercept + line.slope * line.mean_age
            line = replace(
                line, slope=slope, intercept=level - slope * line.mean_age, sxx=sxx
            )
        found.append((batch, replace(line, df=df, s_used=max(s, floor))))
    return tuple(found)


def _text(model: Model, tests: Sequence[PoolingTest]) -> str:
    steps = ", ".join(f"{test.question} p = {test.p:.4g}" for test in tests)
    chosen = {
        "one line": "all batches share one line",
        "common slope": "common slope, a start for each batch",
        "separate lines": "a line for each batch with the pooled scatter",
    }[model]
    return f"{steps}, against {POOLING_LEVEL}: {chosen}. {OVERSTATES}"
