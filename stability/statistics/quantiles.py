"""Student's t and Fisher's F, from `scipy.special` alone so that they load quickly."""

from __future__ import annotations

import math
from functools import lru_cache

from scipy import special


@lru_cache(maxsize=4096)
def t_quantile(probability: float, df: float) -> float:
    """Return the value that Student's t stays below with a given probability.

    Parameters
    ----------
    probability : float
        Between 0 and 1, both excluded. [-]
    df : float
        Degrees of freedom, above 0. [-]

    Returns
    -------
    float
        The quantile of the distribution of [1]_. [-]

    Raises
    ------
    ValueError
        If a parameter lies outside its range.

    References
    ----------
    .. [1] Student, "The probable error of a mean," Biometrika, vol. 6, no. 1,
       pp. 1-25, 1908.

    Examples
    --------
    >>> round(t_quantile(0.95, 5), 4)
    2.015
    """
    if not 0 < probability < 1 or not df > 0:
        message = f"no quantile of Student's t for {probability} and {df} df"
        raise ValueError(message)
    return float(special.stdtrit(df, probability))


def t_one_sided(confidence: float, df: float) -> float:
    """Return the multiplier of a one-sided bound.

    Parameters
    ----------
    confidence : float
        Such as 0.95. [-]
    df : float
        Degrees of freedom. [-]

    Returns
    -------
    float
        The quantile at `confidence`. [-]

    Examples
    --------
    >>> round(t_one_sided(0.95, 10), 4)
    1.8125
    """
    return t_quantile(confidence, df)


def t_two_sided(confidence: float, df: float) -> float:
    """Return the multiplier of a two-sided interval.

    Parameters
    ----------
    confidence : float
        Such as 0.95. [-]
    df : float
        Degrees of freedom. [-]

    Returns
    -------
    float
        The quantile at (1 + confidence) / 2. [-]

    Examples
    --------
    >>> round(t_two_sided(0.95, 10), 4)
    2.2281
    """
    return t_quantile((1 + confidence) / 2, df)


def t_upper_p(t: float, df: float) -> float:
    """Return the probability that Student's t exceeds a value.

    Parameters
    ----------
    t : float
        May be infinite. [-]
    df : float
        Degrees of freedom. [-]

    Returns
    -------
    float
        One-sided p. [-]

    Examples
    --------
    >>> round(t_upper_p(2.0150, 5), 4)
    0.05
    """
    if math.isinf(t):
        return 0.0 if t > 0 else 1.0
    return float(special.stdtr(df, -t))


def t_two_sided_p(t: float, df: float) -> float:
    """Return the probability that Student's t lies further from 0 than a value.

    Parameters
    ----------
    t : float
        May be infinite. [-]
    df : float
        Degrees of freedom. [-]

    Returns
    -------
    float
        Two-sided p. [-]

    Examples
    --------
    >>> round(t_two_sided_p(-2.5706, 5), 4)
    0.05
    """
    return 2 * t_upper_p(abs(t), df)


def f_upper_p(f: float, df_top: float, df_bottom: float) -> float:
    """Return the probability that Fisher's F exceeds a value.

    Parameters
    ----------
    f : float
        Ratio of two mean squares; may be infinite. [-]
    df_top : float
        Degrees of freedom of the upper mean square. [-]
    df_bottom : float
        Degrees of freedom of the lower mean square. [-]

    Returns
    -------
    float
        Upper-tail p. [-]

    Examples
    --------
    The critical F(0.05; 18, 20) of NIST/SEMATECH e-Handbook 4.6.1.5 is 2.15:

    >>> round(f_upper_p(2.151124, 18, 20), 4)
    0.05
    """
    if math.isinf(f):
        return 0.0
    return float(special.fdtrc(df_top, df_bottom, f))
