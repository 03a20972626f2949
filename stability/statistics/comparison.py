"""Condition against control, batch against batch, version against version."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from scipy import stats

from stability.model.contrast import ChanceCount, Contrast
from stability.model.estimate import Drift, NoFit, Scale
from stability.statistics.line import closed_line, on_scale
from stability.statistics.quantiles import t_two_sided, t_two_sided_p

#: Said where several attributes and batches are judged together.
NO_CORRECTION = (
    "The shortest attribute and the shortest batch govern: an intersection of tests, "
    "which needs no correction for their number."
)

Kind = Literal["condition and control", "batches", "versions"]


def against_control(
    ages: Sequence[float],
    values: Sequence[float],
    control: Sequence[float],
    *,
    scale: Scale = "linear",
    resolution: float | None = None,
    shared_start: bool = True,
    confidence: float = 0.95,
) -> Contrast | NoFit:
    """Compare the drift in a condition with that of its control.

    Parameters
    ----------
    ages : sequence of float
        Ages of the checks at which both were read. [months]
    values : sequence of float
        In the condition. [attribute's unit]
    control : sequence of float
        Of the control, pair by pair. [attribute's unit]
    scale : {"linear", "ln"}, default "linear"
        Scale on which drifts are straight.
    resolution : float or None, default None
        Smallest step of a single reading. [attribute's unit]
    shared_start : bool, default True
        True where both start from the same T0 readings; T0 is then left out.
    confidence : float, default 0.95
        Of the two-sided interval. [-]

    Returns
    -------
    Contrast or NoFit
        The slope of the paired differences; refused below three ages.

    Notes
    -----
    Readings of one day share that day's error; pairing takes it out. A T0 that both
    share has a difference of exactly 0 and no scatter, and would weigh on the line as
    a reading that it is not.

    Examples
    --------
    >>> against_control(
    ...     [0, 1, 2, 3], [5.5, 5.4, 5.29, 5.2], [5.5, 5.49, 5.5, 5.48]
    ... ).excludes_no_difference
    False
    """
    kept = [
        triple
        for triple in zip(ages, values, control, strict=True)
        if triple[0] > 0 or not shared_start
    ]
    if len({age for age, _, _ in kept}) < 3:
        return NoFit(
            "too-few-pairs",
            "Fewer than three ages at which both were read, T0 apart.",
        )
    both = [value for _, a, b in kept for value in (a, b)]
    if scale == "ln" and min(both) <= 0:
        return NoFit("not-positive-on-ln", "A value has no logarithm.")
    first = on_scale([a for _, a, _ in kept], scale)
    second = on_scale([b for _, _, b in kept], scale)
    floor = 0.0 if resolution is None else resolution / 2
    if scale == "ln":
        floor /= min(both)
    differences = [float(d) for d in first - second]
    line = closed_line([age for age, _, _ in kept], differences, floor=floor)
    error = line.s_used / math.sqrt(line.sxx)
    return _contrast(
        "condition and control", line.slope, error, float(line.df), confidence
    )


def between_batches(
    first: Drift, second: Drift, *, confidence: float = 0.95
) -> Contrast:
    r"""Compare the drifts of two batches.

    Parameters
    ----------
    first : Drift
        One batch.
    second : Drift
        The other, on the same scale.
    confidence : float, default 0.95
        Of the two-sided interval. [-]

    Returns
    -------
    Contrast
        Difference of slopes, each with its own mean square.

    Raises
    ------
    ValueError
        If the scales differ.

    Notes
    -----
    .. math:: df = \frac{(v_1 + v_2)^2}{v_1^2 / df_1 + v_2^2 / df_2}, \quad
       v_i = s_i^2 / S_{xx,i}

    after Welch and Satterthwaite [1]_. Covariance analysis on checks found 10 to 47 %
    false differences instead of 5 %.

    References
    ----------
    .. [1] F. E. Satterthwaite, "An approximate distribution of estimates of variance
       components," Biometrics Bull., vol. 2, no. 6, pp. 110-114, 1946.
    """
    if first.scale != second.scale:
        message = "batches on different scales are not compared"
        raise ValueError(message)
    variances = (first.slope_error**2, second.slope_error**2)
    total = sum(variances)
    df = float(first.df + second.df)
    if total > 0:
        df = total**2 / (variances[0] ** 2 / first.df + variances[1] ** 2 / second.df)
    difference = first.slope - second.slope
    return _contrast("batches", difference, math.sqrt(total), df, confidence)


def between_versions(
    first: Sequence[Drift], second: Sequence[Drift], *, confidence: float = 0.95
) -> Contrast | NoFit:
    """Compare two versions of a product, batch being the unit.

    Parameters
    ----------
    first : sequence of Drift
        The batches of one version.
    second : sequence of Drift
        The batches of the other, on the same scale.
    confidence : float, default 0.95
        Of the two-sided interval. [-]

    Returns
    -------
    Contrast or NoFit
        t interval on the batches' slopes (Welch); with one batch each, that of the
        two batches, which says so.

    Raises
    ------
    ValueError
        If the scales differ.
    """
    if len({drift.scale for drift in (*first, *second)}) > 1:
        message = "versions on different scales are not compared"
        raise ValueError(message)
    if len(first) == len(second) == 1:
        return between_batches(first[0], second[0], confidence=confidence)
    if len(first) < 2 or len(second) < 2:
        return NoFit(
            "too-few-batches",
            "Versions are compared from two batches of each on; a batch is the unit.",
        )
    slopes = ([d.slope for d in first], [d.slope for d in second])
    means = (float(np.mean(slopes[0])), float(np.mean(slopes[1])))
    variances = [float(np.var(one, ddof=1)) / len(one) for one in slopes]
    error = math.sqrt(sum(variances))
    if error <= 1e-12 * max(abs(mean) for mean in (*means, 1e-300)):
        df = float(len(first) + len(second) - 2)
        return _contrast("versions", means[0] - means[1], 0.0, df, confidence)
    test = stats.ttest_ind(*slopes, equal_var=False)
    return _contrast("versions", means[0] - means[1], error, float(test.df), confidence)


def chance_count(
    tested: str, p_values: Sequence[float], level: float = 0.05
) -> ChanceCount:
    """Return how many of several tests chance alone would let through.

    Parameters
    ----------
    tested : str
        What was tested, such as "slopes".
    p_values : sequence of float
        One for each test. [-]
    level : float, default 0.05
        Of each test. [-]

    Returns
    -------
    ChanceCount
        Made, expected and found.

    Examples
    --------
    >>> chance_count("slopes", [0.01, 0.5, 0.9, 0.2]).text
    '4 slopes tested: 1 with p < 0.05, where chance alone would show about 0.2.'
    """
    found = sum(p < level for p in p_values)
    expected = level * len(p_values)
    text = (
        f"{len(p_values)} {tested} tested: {found} with p < {level:g}, where chance "
        f"alone would show about {expected:.1f}."
    )
    return ChanceCount(tested, len(p_values), level, expected, found, text)


def _contrast(
    kind: Kind, difference: float, error: float, df: float, confidence: float
) -> Contrast:
    half = t_two_sided(confidence, df) * error
    if error > 0:
        p = t_two_sided_p(difference / error, df)
    else:
        p = 1.0 if difference == 0 else 0.0
    interval = difference - half, difference + half
    return Contrast(
        kind=kind,
        difference=difference,
        error=error,
        df=df,
        interval=interval,
        confidence=confidence,
        p=p,
        text=_text(kind, interval, confidence),
    )


def _text(kind: Kind, interval: tuple[float, float], confidence: float) -> str:
    numbers = f"{interval[0]:.3g} to {interval[1]:.3g} a month"
    differ = interval[0] > 0 or interval[1] < 0
    verdict = {
        "condition and control": "The condition drifts otherwise than its control",
        "batches": "These two batches differ",
        "versions": "The versions differ",
    }[kind]
    if not differ:
        verdict = {
            "condition and control": "No drift beyond that of the control was shown",
            "batches": "No difference between these two batches was shown",
            "versions": "No difference between the versions was shown",
        }[kind]
    return f"{verdict}: {numbers} ({100 * confidence:g} %)."
