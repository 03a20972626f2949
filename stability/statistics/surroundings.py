"""Doses of light beside what a guideline asks for."""

from __future__ import annotations

import math

from stability.model.storage_figures import LightDose

#: Visible light of ICH Q1B [lx·h].
VISIBLE_DOSE = 1.2e6
#: Near ultraviolet of ICH Q1B [W·h/m²].
ULTRAVIOLET_DOSE = 200.0


def light_dose(
    *, visible: float | None = None, ultraviolet: float | None = None
) -> LightDose:
    """Return a measured dose of light beside that of ICH Q1B.

    Parameters
    ----------
    visible : float or None, default None
        Measured illuminance times hours; None where it was not measured. [lx·h]
    ultraviolet : float or None, default None
        Measured near ultraviolet times hours; None where it was not measured.
        [W·h/m²]

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
    >>> light_dose(visible=8000 * 150).share_of_visible
    1.0
    """
    shares = (
        None if visible is None else visible / VISIBLE_DOSE,
        None if ultraviolet is None else ultraviolet / ULTRAVIOLET_DOSE,
    )
    reached = all(share is not None and share >= 1 - 1e-9 for share in shares)
    text = _dose_text(visible, ultraviolet)
    return LightDose(visible, ultraviolet, *shares, reached, text)


def _dose_text(visible: float | None, near: float | None) -> str:
    if visible is None and near is None:
        return "The dose of light was not measured."
    parts = [
        "visible light not measured"
        if visible is None
        else f"{visible:.0f} lx·h, {_percent(visible / VISIBLE_DOSE)} of the visible "
        "light of ICH Q1B",
        "near ultraviolet not measured"
        if near is None
        else f"{near:.3g} W·h/m², {_percent(near / ULTRAVIOLET_DOSE)} of the near "
        "ultraviolet of ICH Q1B",
    ]
    return f"{'; '.join(parts)}."


def _percent(share: float) -> str:
    """Return a share rounded down, so that what falls short never reads 100 %."""
    return f"{math.floor(100 * share + 1e-9)} %"
