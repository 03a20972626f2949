"""What a study rests on besides its own record: instruments and storage places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from stability.model.instrument import InstrumentRecord
from stability.model.place import PlaceRecord

_Named = TypeVar("_Named", InstrumentRecord, PlaceRecord)
#: Name of the setting that tells with which instrument something was read.
INSTRUMENT = "instrument"


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Records of other subjects, each as of the day of the evaluation."""

    #: Whole name -> instrument, such as PH1-9XR2.
    instruments: Mapping[str, InstrumentRecord] = field(default_factory=dict)
    #: Whole name -> storage place, such as OVEN-7KQ4.
    places: Mapping[str, PlaceRecord] = field(default_factory=dict)
    #: SHA-256 -> file of a logger as received, of those places.
    files: Mapping[str, bytes] = field(default_factory=dict)

    def named(self, stated: str) -> tuple[InstrumentRecord, ...]:
        """Return the instruments that a name as stated may mean.

        Parameters
        ----------
        stated
            Short or whole name; capitals do not matter.

        Returns
        -------
        tuple of InstrumentRecord
            Empty where none is meant; several where two makers gave the same short
            name.
        """
        return _meant(self.instruments, stated)

    def placed(self, stated: str) -> tuple[PlaceRecord, ...]:
        """Return the storage places that a name as stated may mean.

        Parameters
        ----------
        stated
            Short or whole name; capitals do not matter.

        Returns
        -------
        tuple of PlaceRecord
            Empty where none is known; several where two makers gave the same short
            name.
        """
        return _meant(self.places, stated)


#: A study of which nothing else is known.
ALONE = Surroundings()


def _meant(known: Mapping[str, _Named], stated: str) -> tuple[_Named, ...]:
    """Return those whose short or whole name is as stated."""
    name = stated.strip().upper()
    return tuple(
        one for code, one in known.items() if name in {code.upper(), one.name.upper()}
    )
