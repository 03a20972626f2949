"""What the evaluation says of the instruments that a study was read with."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.calibration import Calibration
from stability.model.instrument import InstrumentRecord


@dataclass(frozen=True, slots=True)
class InstrumentUse:
    """One instrument that readings of the study name."""

    #: The instrument as of the day of the evaluation.
    instrument: InstrumentRecord
    #: Attributes that were read with it.
    attributes: tuple[str, ...]
    #: Observations that stand and name it [-].
    observations: int
    #: Calibrations on which they rest, or which make them doubtful, in order of making.
    calibrations: tuple[Calibration, ...]
    #: Positions of observations made without a valid calibration.
    lacking: tuple[int, ...]
    #: Positions of observations that a failed calibration makes doubtful.
    doubtful: tuple[int, ...]
    #: Positions of observations made after it was retired.
    retired: tuple[int, ...]
    #: How many, in words.
    text: str


@dataclass(frozen=True, slots=True)
class Instruments:
    """The instruments of a study, and what names none."""

    #: Instruments that are named, in the order of their names.
    uses: tuple[InstrumentUse, ...] = ()
    #: Attributes read with an instrument of which none is named: (attribute,
    #: observations without, observations).
    unnamed: tuple[tuple[str, int, int], ...] = ()
    #: The caution for what names none; "" where all names one.
    caution: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """Return what a first page says of it, one line each."""
        told = tuple(one.text for one in self.uses)
        return (*told, self.caution) if self.caution else told
