"""The force in a centrifuge."""

from __future__ import annotations

#: Force per squared speed and radius [g / (cm · (1/min)²)]: 4 π² / (3600 · 980.665).
_FACTOR = 1.118e-5


def relative_centrifugal_force(rpm: float, radius_cm: float) -> float:
    r"""Return how many times its own weight a sample is pressed outwards.

    Parameters
    ----------
    rpm : float
        Speed of the rotor. [1/min]
    radius_cm : float
        From the axis to the bottom of the tube. [cm]

    Returns
    -------
    float
        In multiples of standard gravity. [g]

    Raises
    ------
    ValueError
        If speed or radius is not above 0.

    Notes
    -----
    .. math:: RCF = 1.118 \cdot 10^{-5}\, r\, n^2

    with the constant rounded as makers of centrifuges print it [1]_. A speed without
    a radius gives no force.

    References
    ----------
    .. [1] :math:`r \omega^2 / g` with :math:`\omega = 2 \pi n / 60` and
       g = 9.80665 m/s² (3rd General Conference on Weights and Measures, 1901).

    Examples
    --------
    >>> round(relative_centrifugal_force(3000, 10), 1)
    1006.2
    """
    if rpm <= 0 or radius_cm <= 0:
        message = f"{rpm} rpm at {radius_cm} cm give no force"
        raise ValueError(message)
    return _FACTOR * radius_cm * rpm**2
