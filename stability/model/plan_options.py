"""What a maker types to have a study planned that has no file yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class PlanOptions:
    """Batches, packs and wishes as typed with `plan`."""

    #: Batches with grams, such as "A=400".
    batches: Sequence[str] = ()
    #: Packs with grams, such as "JAR=50" or "GLASS=15:inert".
    packs: Sequence[str] = ()
    #: Mean mass of an empty pack, such as "JAR=32.10".
    tares: Sequence[str] = ()
    #: Days on which batches are made, such as "A=2026-03-02".
    made: Sequence[str] = ()
    #: Conditions and attributes left out, such as "viscosity=no viscometer".
    omit: Sequence[str] = ()
    #: Shelf life asked for [months]; None where not typed.
    months: int | None = None
    #: Period after opening asked for, such as "6M"; None where none is.
    after_opening: str | None = None
    #: Product name; None where not typed.
    product: str | None = None
    #: True for a product without water.
    without_water: bool = False

    @property
    def typed(self) -> tuple[str, ...]:
        """Return the options that were typed, as they are named."""
        named = {
            "--batch": self.batches,
            "--pack": self.packs,
            "--tare": self.tares,
            "--made": self.made,
            "--omit": self.omit,
            "--months": self.months,
            "--after-opening": self.after_opening,
            "--product": self.product,
            "--without-water": self.without_water,
        }
        return tuple(name for name, value in named.items() if value)


@dataclass(frozen=True, slots=True)
class PlanKnowledge:
    """What the maker knows of methods, product and batches, as typed with `plan`."""

    #: Scatter of one check, such as "pH=0.03" or "viscosity=6 %".
    scatter: Sequence[str] = ()
    #: Value at T0 that is expected, such as "active=100".
    start: Sequence[str] = ()
    #: How much batches differ, as a share of the room to the limit [%]; None for the
    #: usual.
    batch_spread: str | None = None


@dataclass(frozen=True, slots=True)
class PlanWishes:
    """How the work is shared out and counted, as typed with `plan`."""

    #: Share of each batch that can be filled into samples [%]; None for the usual.
    usable: str | None = None
    #: Mass sent out for challenge test and counts [g]; None for the usual.
    sent_out: str | None = None
    #: File to be written; None for none.
    write: Path | None = None
    #: True where a file of this name may be replaced.
    overwrite: bool = False
