"""Humidity over saturated salts, and doses of light."""

from __future__ import annotations

import math

from stability.model.storage_figures import LightDose

#: Salt -> A [%] and B [K] of relative humidity A e^(B/T).
SALTS = {
    "sodium chloride": (69.20, 25.0),
    "potassium nitrate": (43.22, 225.0),
    "magnesium chloride": (29.26, 34.0),
}
#: How well the air over a salt keeps its humidity [% relative humidity].
SALT_TOLERANCE = 2.0
#: Visible light of ICH Q1B [lx·h].
VISIBLE_DOSE = 1.2e6
#: Near ultraviolet of ICH Q1B [W·h/m²].
ULTRAVIOLET_DOSE = 200.0


def salt_humidity(salt: str, temperature_c: float) -> float:
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

    after A. Wexler's table of constant humidity [1]_.

    References
    ----------
    .. [1] CRC Handbook of Chemistry and Physics, "Constant humidity solutions"; also
       L. Greenspan, J. Res. Natl. Bur. Stand. A, vol. 81, pp. 89-96, 1977.

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


def light_dose(
    *,
    lux: float | None = None,
    ultraviolet: float | None = None,
    hours: float,
) -> LightDose:
    """Return the dose of light beside that of ICH Q1B.

    Parameters
    ----------
    lux : float or None, default None
        Measured illuminance; None where it was not measured. [lx]
    ultraviolet : float or None, default None
        Measured near ultraviolet; None where it was not measured. [W/m²]
    hours : float
        Time under it. [h]

    Returns
    -------
    LightDose
        Without a measured dose the text does not name Q1B.

    Notes
    -----
    At least 1.2 million lx·h and 200 W·h/m² of near ultraviolet [1]_.

    References
    ----------
    .. [1] ICH Q1B, Photostability Testing, Step 4, 1996, section II.C.

    Examples
    --------
    >>> light_dose(lux=8000, hours=150).share_of_visible
    1.0
    """
    visible = None if lux is None else lux * hours
    near = None if ultraviolet is None else ultraviolet * hours
    shares = (
        None if visible is None else visible / VISIBLE_DOSE,
        None if near is None else near / ULTRAVIOLET_DOSE,
    )
    reached = all(share is not None and share >= 1 - 1e-9 for share in shares)
    return LightDose(visible, near, *shares, reached, _dose_text(visible, near))


def _dose_text(visible: float | None, near: float | None) -> str:
    parts = []
    if visible is not None:
        share = 100 * visible / VISIBLE_DOSE
        parts.append(f"{visible:.3g} lx·h, {share:.0f} % of ICH Q1B's visible light")
    if near is not None:
        share = 100 * near / ULTRAVIOLET_DOSE
        parts.append(f"{near:.3g} W·h/m², {share:.0f} % of its near ultraviolet")
    if not parts:
        return "The dose of light was not measured."
    if near is None:
        parts.append("ultraviolet not measured")
    if visible is None:
        parts.append("visible light not measured")
    return f"{'; '.join(parts)}."
