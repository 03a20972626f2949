"""Humidity of the air over a saturated solution of a salt."""

from __future__ import annotations

import math
from typing import Final, Literal

Salt = Literal["sodium chloride", "potassium nitrate", "magnesium chloride"]
#: Salt -> A [%] and B [K] of relative humidity A e^(B/T).
SALTS: Final[dict[Salt, tuple[float, float]]] = {
    "sodium chloride": (69.20, 25.0),
    "potassium nitrate": (43.22, 225.0),
    "magnesium chloride": (29.26, 34.0),
}
#: How well the air over a salt keeps its humidity [% relative humidity].
SALT_TOLERANCE: Final = 2.0
#: Temperatures between which the humidity over these salts holds so well [°C].
SALT_RANGE_C: Final = (5.0, 45.0)


def salt_humidity(salt: Salt, temperature_c: float) -> float:
    r"""Return the relative humidity of the air over a saturated salt solution.

    Parameters
    ----------
    salt : str
        A name of `SALTS`.
    temperature_c : float
        Of air and solution. [°C]

    Returns
    -------
    float
        About ± 2. [% relative humidity]

    Raises
    ------
    ValueError
        If the salt is not in the table.

    Notes
    -----
    .. math:: RH = A\, e^{B / T}

    after A. Wexler's table of constant humidity [1]_; from 5 to 45 °C within 2 % of the
    values measured by Greenspan [2]_.

    References
    ----------
    .. [1] CRC Handbook of Chemistry and Physics, "Constant humidity solutions".
    .. [2] L. Greenspan, J. Res. Natl. Bur. Stand. A, vol. 81, pp. 89-96, 1977.

    Examples
    --------
    >>> round(salt_humidity("sodium chloride", 25), 2)
    75.25
    """
    if salt not in SALTS:
        message = f"no humidity is known for {salt}"
        raise ValueError(message)
    factor, exponent = SALTS[salt]
    return factor * math.exp(exponent / (temperature_c + 273.15))


def salt_words(salt: Salt, between: tuple[float, float] | None) -> str:
    """Return what humidity a salt is expected to make, as a report prints it.

    Parameters
    ----------
    salt : str
        A name of `SALTS`.
    between : tuple of float or None
        Lowest and highest temperature meant; None where none is. [°C]

    Examples
    --------
    >>> salt_words("sodium chloride", (25, 25))
    'over saturated sodium chloride, expected 75.3 ± 2 % RH at 25 °C'
    """
    over = f"over saturated {salt}"
    if between is None or not within_range(between):
        return over
    ends = [f"{salt_humidity(salt, end):.1f}" for end in between]
    told = ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
    low, high = between
    at = f"{low:g} °C" if low == high else f"{low:g} to {high:g} °C"
    return f"{over}, expected {told} ± {SALT_TOLERANCE:g} % RH at {at}"


def within_range(between: tuple[float, float]) -> bool:
    """Say whether the humidity over a salt is known at temperatures [°C]."""
    return SALT_RANGE_C[0] <= between[0] and between[1] <= SALT_RANGE_C[1]
