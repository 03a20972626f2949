"""Limits: the bounds fixed beforehand, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

#: What a limit rests on. `standard` means a published standard or review that sets the
#: bound; `custom` means trade habit without a better ground.
ReasonKind = Literal[
    "active or preservative", "felt or seen", "pack", "law", "standard", "custom"
]


@dataclass(frozen=True, slots=True)
class Band:
    """A lowest and a highest value, both inclusive; either may be absent."""

    #: Lowest value still inside; None where there is no lower bound.
    lowest: Decimal | None = None
    #: Highest value still inside; None where there is no upper bound.
    highest: Decimal | None = None

    def holds(self, value: Decimal) -> bool:
        """Say whether the value lies inside, the bounds included."""
        above = self.lowest is None or value >= self.lowest
        return above and (self.highest is None or value <= self.highest)


@dataclass(frozen=True, slots=True)
class Limit:
    """The bound of one attribute, for all conditions or for one.

    Several bands may stand together; a value is inside when it is inside each.
    """

    #: Bounds on the value itself [attribute's unit].
    absolute: Band | None = None
    #: Bounds on value - initial [attribute's unit].
    change: Band | None = None
    #: Bounds on 100 * value / initial [%].
    percent_of_initial: Band | None = None
    #: The worst word of the scale that is still inside; None for other kinds.
    highest: str | None = None
    #: The statement that must be made, such as "yes"; None for other kinds.
    required: str | None = None
    #: True where readings are kept and shown but not judged.
    recorded_only: bool = False
    #: When limits relative to initial become numbers: judged inside the fit, or T0.
    frozen_at: Literal["never", "T0"] = "never"
    #: Why this bound and no other.
    reason: str = ""
    #: What the reason rests on.
    reason_kind: ReasonKind = "custom"
    #: Where the bound comes from; "common practice" where no source is known.
    source: str = ""

    @property
    def is_relative(self) -> bool:
        """Say whether the initial value takes part."""
        return self.change is not None or self.percent_of_initial is not None

    @property
    def judges(self) -> bool:
        """Say whether there is a bound that a reading can be held against."""
        return not self.recorded_only and (
            self.absolute is not None
            or self.change is not None
            or self.percent_of_initial is not None
            or self.highest is not None
            or self.required is not None
        )

    def words(self, unit: str) -> str:
        """Return the limit in words, as it is printed beside every reading."""
        if self.recorded_only:
            return "recorded only"
        suffix = f" {unit}" if unit not in {"", "1", "pH"} else ""
        parts = [
            _band_words(self.absolute, suffix, ""),
            _band_words(self.change, suffix, "change "),
            _band_words(self.percent_of_initial, " % of initial", ""),
            f"at most “{self.highest}”" if self.highest is not None else "",
            f"must be “{self.required}”" if self.required is not None else "",
        ]
        return "; ".join(part for part in parts if part) or "no limit"


def _band_words(band: Band | None, suffix: str, lead: str) -> str:
    if band is None:
        return ""
    if band.lowest is not None and band.highest is not None:
        return f"{lead}{band.lowest} to {band.highest}{suffix}"
    if band.lowest is not None:
        return f"{lead}at least {band.lowest}{suffix}"
    return f"{lead}at most {band.highest}{suffix}"
