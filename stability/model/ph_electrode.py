"""What a pH electrode should give, and what one gave in its buffers.

Exact decimals throughout, so that what was typed at the meter decides and no rounding
brings a slope inside its range.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

#: Zero of the Celsius scale [K].
_KELVIN: Final = Decimal("273.15")
#: Molar gas constant and Faraday constant, exact since 2019 [J/(mol·K), C/mol].
_GAS_CONSTANT: Final = Decimal("8.31446261815324")
_FARADAY: Final = Decimal("96485.3321233100184")
_LN_10: Final = Decimal("2.302585092994045684")
#: Temperatures for which buffers are tabulated [°C].
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = Decimal(0), Decimal(60)
#: The pH at which an ideal electrode gives 0 mV [pH].
NEUTRAL: Final = Decimal(7)
#: A buffer that is read again may lie this far from its value [pH].
REREAD: Final = Decimal("0.02")

#: pH of standard buffers every 5 °C from 0 °C on [pH].
_JIS: Final[Mapping[str, tuple[str, ...]]] = {
    "oxalate": (
        "1.67", "1.67", "1.67", "1.67", "1.68", "1.68", "1.69", "1.69", "1.70",
        "1.70", "1.71", "1.72", "1.73",
    ),
    "phthalate": (
        "4.01", "4.01", "4.00", "4.00", "4.00", "4.01", "4.01", "4.02", "4.03",
        "4.04", "4.06", "4.08", "4.10",
    ),
    "phosphate": (
        "6.98", "6.95", "6.92", "6.90", "6.88", "6.86", "6.85", "6.84", "6.84",
        "6.83", "6.83", "6.84", "6.84",
    ),
    "borate": (
        "9.46", "9.39", "9.33", "9.27", "9.22", "9.18", "9.14", "9.10", "9.07",
        "9.04", "9.01", "8.99", "8.96",
    ),
    "carbonate": (
        "10.32", "10.25", "10.18", "10.12", "10.07", "10.02", "9.97", "9.93",
    ),
}  # fmt: skip
_STEP: Final = Decimal(5)
#: Standard buffers, the most acid first.
BUFFERS: Final = tuple(_JIS)


@dataclass(frozen=True, slots=True)
class BufferReading:
    """One buffer and what the electrode gave in it."""

    #: pH of the buffer at its temperature [pH].
    ph: Decimal
    #: Potential read in it [mV].
    mv: Decimal


def nernst_slope(temperature: Decimal) -> Decimal:
    r"""Return the fall of potential for one unit of pH of an ideal electrode [mV].

    Parameters
    ----------
    temperature
        Of the buffers [°C].

    Returns
    -------
    Decimal
        Positive. [mV/pH]

    Notes
    -----
    .. math:: k = \ln 10 \; R\,T / F

    with R and F as fixed by the SI since 2019 [1]_.

    References
    ----------
    .. [1] CODATA recommended values of the fundamental physical constants: 2018,
       Rev. Mod. Phys. 93 (2021), 025010.

    Examples
    --------
    >>> round(nernst_slope(Decimal(25)), 3)
    Decimal('59.159')
    """
    return _LN_10 * _GAS_CONSTANT * (temperature + _KELVIN) / _FARADAY * 1000


def slope_percent(buffers: Sequence[BufferReading], temperature: Decimal) -> Decimal:
    """Return the slope of an electrode as a share of the ideal one [%].

    Parameters
    ----------
    buffers
        At least two of different pH.
    temperature
        Of the buffers [°C].

    Returns
    -------
    Decimal
        Least squares over all buffers; of two the line through both. [%]

    Raises
    ------
    ValueError
        If there are not two buffers of different pH.

    Examples
    --------
    >>> buffers = [
    ...     BufferReading(Decimal("7.01"), Decimal(-15)),
    ...     BufferReading(Decimal("4.01"), Decimal(160)),
    ... ]
    >>> round(slope_percent(buffers, Decimal(25)), 1)
    Decimal('98.6')
    """
    return -_line(buffers)[0] / nernst_slope(temperature) * 100


def offset_mv(buffers: Sequence[BufferReading]) -> Decimal:
    """Return the potential at pH 7 on the line through the buffers [mV].

    Parameters
    ----------
    buffers
        At least two of different pH.

    Raises
    ------
    ValueError
        If there are not two buffers of different pH.
    """
    slope, mean_ph, mean_mv = _line(buffers)
    return mean_mv + slope * (NEUTRAL - mean_ph)


def buffer_ph(name: str, temperature: Decimal) -> Decimal | None:
    """Return the pH of a standard buffer at a temperature [pH].

    Parameters
    ----------
    name
        One of `BUFFERS`.
    temperature
        Of the buffer [°C].

    Returns
    -------
    Decimal or None
        Between two temperatures of the table on a straight line; None outside the
        table. [pH]

    Notes
    -----
    Table of JIS Z 8802 [1]_, printed to two decimals.

    References
    ----------
    .. [1] JIS Z 8802, Methods for determination of pH; read in a reproduction of its
       table. The carbonate values at 5, 15, 20, 30 and 35 °C stand in brackets there.

    Examples
    --------
    >>> buffer_ph("phosphate", Decimal("22.5"))
    Decimal('6.87')
    """
    table = _JIS[name]
    place, rest = divmod(temperature, _STEP)
    if not 0 <= temperature <= _STEP * (len(table) - 1):
        return None
    low = Decimal(table[int(place)])
    if not rest:
        return low
    return low + (Decimal(table[int(place) + 1]) - low) * rest / _STEP


def phthalate_ph(temperature: Decimal) -> Decimal:
    r"""Return the pH of 0.05 mol/kg potassium hydrogen phthalate [pH].

    Parameters
    ----------
    temperature
        Of the buffer, 0 to 50 [°C].

    Raises
    ------
    ValueError
        If the equation does not reach so far.

    Notes
    -----
    .. math:: pH = 2073.44/T - 13.3270 + 0.045199\,T - 3.4846 \cdot 10^{-5}\,T^2

    with T in kelvin [1]_. Where the table of `buffer_ph` is rounded to two decimals,
    this is smooth; the two agree within 0.015.

    References
    ----------
    .. [1] Hetzer, Durst, Robinson & Bates (1977), J. Res. Natl. Bur. Stand. 81A, 21,
       doi 10.6028/jres.081A.005.

    Examples
    --------
    >>> round(phthalate_ph(Decimal(25)), 3)
    Decimal('4.006')
    """
    if not 0 <= temperature <= 50:
        raise ValueError(f"the equation holds from 0 to 50 °C, not at {temperature}")
    kelvin = temperature + _KELVIN
    return (
        Decimal("2073.44") / kelvin
        - Decimal("13.3270")
        + Decimal("0.045199") * kelvin
        - Decimal("3.4846E-5") * kelvin**2
    )


def meant_buffer(ph: Decimal) -> str | None:
    """Return the standard buffer whose value at 25 °C a bottle states.

    Parameters
    ----------
    ph
        As on the bottle [pH].

    Returns
    -------
    str or None
        None where no standard buffer lies within 0.02, as for a buffer of pH 7.00.
    """
    room = Decimal(25)
    for name in BUFFERS:
        known = buffer_ph(name, room)
        if known is not None and abs(known - ph) <= REREAD:
            return name
    return None


def brackets(buffers: Sequence[Decimal], ph: Decimal) -> bool:
    """Say whether a reading lies between the buffers of a calibration.

    Parameters
    ----------
    buffers
        pH of each [pH].
    ph
        The reading [pH].
    """
    return min(buffers) <= ph <= max(buffers)


def agrees_again(expected: Decimal, read: Decimal, within: Decimal = REREAD) -> bool:
    """Say whether a buffer that was read again after calibrating gave its value.

    Parameters
    ----------
    expected
        pH of the buffer [pH].
    read
        What the meter showed [pH].
    within
        How far it may lie away [pH]. Usually 0.02, common practice.
    """
    return abs(read - expected) <= within


def _line(buffers: Sequence[BufferReading]) -> tuple[Decimal, Decimal, Decimal]:
    """Return slope [mV/pH], mean pH and mean potential of the buffers."""
    count = len(buffers)
    if count < 2:
        raise ValueError("a slope needs two buffers")
    mean_ph = sum((one.ph for one in buffers), Decimal(0)) / count
    mean_mv = sum((one.mv for one in buffers), Decimal(0)) / count
    spread = sum(((one.ph - mean_ph) ** 2 for one in buffers), Decimal(0))
    if not spread:
        raise ValueError("a slope needs buffers of different pH")
    together = sum(
        ((one.ph - mean_ph) * (one.mv - mean_mv) for one in buffers), Decimal(0)
    )
    return together / spread, mean_ph, mean_mv
