"""What is observed: measured, scored with words, or stated."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Literal

from stability.model.limit import Limit
from stability.model.number import first_number

#: Units that an attribute may have without declaring its own; typed forms beside.
UNITS = (
    "pH", "mPa·s", "Pa·s", "g", "mm", "cm", "s", "%", "°C", "CFU/g", "meq/kg",
    "lx·h", "N", "1",
)  # fmt: skip
#: How a unit may be typed on a keyboard without its signs. A centipoise is 1 mPa·s by
#: definition.
TYPED_UNITS = {
    "mPa.s": "mPa·s", "Pa.s": "Pa·s", "degC": "°C", "lx.h": "lx·h", "mPas": "mPa·s",
    "mPa s": "mPa·s", "mPa*s": "mPa·s", "Pas": "Pa·s", "Pa s": "Pa·s", "Pa*s": "Pa·s",
    "cP": "mPa·s", "cps": "mPa·s",
}  # fmt: skip

#: Settings that the instrument tells with every reading: stated for the whole
#: day, the value of one jar would stand beside all others.
TOLD_WITH_READING: Final = frozenset({"torque"})
#: How the name of a setting ends -> the unit in which it is told.
SETTING_UNITS: Final = {
    "temperature": "°C", "torque": "%", "mm": "mm", "cm": "cm", "s": "s",
}  # fmt: skip

#: Fixed: another value starts another series. Band: inside, same series. Recorded:
#: never splits a series.
SettingKind = Literal["fixed", "band", "recorded"]


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting of a method, such as spindle, dilution or sample temperature."""

    #: Name as typed.
    name: str
    #: How another value is treated.
    kind: SettingKind
    #: The value that the method prescribes; None where the maker fixes it at T0.
    value: str | None = None
    #: Lower end of the band [setting's unit]; None for other kinds.
    lowest: Decimal | None = None
    #: Upper end of the band [setting's unit]; None for other kinds.
    highest: Decimal | None = None
    #: Why the band is as it is, or why the setting matters; "" where it is not said.
    reason: str = ""
    #: Where the band comes from; "" where it is not said.
    source: str = ""

    @property
    def unit(self) -> str:
        """Return the unit that the name tells; "" where it tells none."""
        return SETTING_UNITS.get(re.split(r"[_ -]", self.name)[-1], "")

    def excludes(self, value: Decimal) -> bool:
        """Say whether a value [setting's unit] lies outside the band."""
        below = self.lowest is not None and value < self.lowest
        return below or (self.highest is not None and value > self.highest)

    @property
    def band(self) -> str:
        """Return what lies inside, in words; "" where there is no band."""
        if self.lowest is None and self.highest is None:
            return ""
        if self.lowest is None:
            return f"at most {self.highest}"
        if self.highest is None:
            return f"at least {self.lowest}"
        return f"{self.lowest} to {self.highest}"

    @property
    def asked(self) -> str:
        """Return how it is typed beside a reading, such as `torque=… (10 to 100 %)`."""
        band = f" ({self.band} {self.unit}".rstrip() + ")" if self.band else ""
        return f"{self.name}=…{band}"


@dataclass(frozen=True, slots=True)
class Attribute:
    """One attribute of a protocol, with its method and limits."""

    #: Name, as typed and printed.
    name: str
    #: Measured as a number, scored with a word of `scale`, or stated (yes/no ...).
    kind: Literal["measured", "scored", "stated"]
    #: How it is observed.
    method: str = ""
    #: Short name for typing; None where there is none.
    short: str | None = None
    #: Unit of a measured attribute; "1" where it has no dimension.
    unit: str = "1"
    #: Words from best to worst for a score; the allowed statements for a statement.
    scale: tuple[str, ...] = ()
    #: Settings by name.
    settings: Mapping[str, Setting] = field(default_factory=dict)
    #: Readings per check [-].
    readings: int = 1
    #: Smallest step of one reading [unit]; None where it is not known.
    resolution: Decimal | None = None
    #: Number of people who observe [-].
    observers: int = 1
    #: What several observers' words amount to, declared before T0.
    rule: Literal["worst", "both agree", "majority"] = "worst"
    #: Condition whose sample is the comparison; None where there is none.
    compared_with: str | None = None
    #: Further readings asked only where the score is not the best.
    extra: tuple[str, ...] = ()
    #: Where it is read.
    read_at: Literal["room", "in condition", "both"] = "room"
    #: Checks at which it is read; empty means every check of the condition.
    when: tuple[str, ...] = ()
    #: Conditions in which it is read; empty means every condition.
    conditions: tuple[str, ...] = ()
    #: What is read: the container, bulk at T0 or a tube for the centrifuge.
    on: Literal["container", "bulk", "tube"] = "container"
    #: Who provides it: the bench, or a laboratory's certificate.
    provided_by: Literal["bench", "certificate"] = "bench"
    #: Instrument that the attribute needs, as listed in the protocol's `needs`.
    instrument: str | None = None
    #: Group of which a study reads at least one, such as "thickness" for a
    #: viscometer, a spread or a worded score; None where it stands alone.
    one_of: str | None = None
    #: Whether it bears the request (the shelf life asked for).
    bears_request: bool = True
    #: Direction in which it is known to change.
    direction: Literal["decreasing", "increasing", "either"] = "either"
    #: Scale on which drift is fitted.
    fit_scale: Literal["linear", "ln"] = "linear"
    #: True for a loss that is worked out from weights before and after opening.
    from_weights: bool = False
    #: True where its rate may be taken to follow Arrhenius.
    kinetic: bool = False
    #: Lowest reading that is physically possible [unit]; None where any is.
    lowest_possible: Decimal | None = None
    #: Highest reading that is physically possible [unit]; None where any is.
    highest_possible: Decimal | None = None
    #: Change from the sample's last reading that asks for confirmation [unit].
    far: Decimal | None = None
    #: Mass used up by one observation at one check, all its readings together [g];
    #: None where nothing is.
    takes_g: Decimal | None = None
    #: Mass that must still be there for an observation and goes back after it [g];
    #: None where none is needed.
    needs_g: Decimal | None = None
    #: Surfaces used up by one observation, such as a needle's hole [-].
    takes_surfaces: int = 0
    #: Hands-on time at the bench for one observation [min]; None where not stated.
    minutes: Decimal | None = None
    #: The limit that holds where no condition has its own.
    limit: Limit = field(default_factory=Limit)
    #: Limits by condition where they differ.
    limit_at: Mapping[str, Limit] = field(default_factory=dict)

    @property
    def all_settings(self) -> Mapping[str, Setting]:
        """Settings by name; what is read with an instrument may name which."""
        named = self.kind == "measured" and self.instrument is not None
        if not named or "instrument" in self.settings:
            return self.settings
        return {**self.settings, "instrument": Setting("instrument", "recorded")}

    @property
    def told_with_reading(self) -> tuple[str, ...]:
        """Names of the settings that are stated with each reading, not for the day."""
        return tuple(
            one.name
            for one in self.settings.values()
            if one.kind != "fixed" and one.name in TOLD_WITH_READING
        )

    def not_comparable(self, settings: Mapping[str, str]) -> str:
        """Say why the instrument could not tell a value; "" where it could.

        A torque outside its band says of one reading that it compares with no other,
        however the number beside it looks.
        """
        for name in self.told_with_reading:
            setting = self.settings[name]
            stated = settings.get(name)
            if stated is None or not setting.band:
                continue
            value = first_number(stated)
            if value is None or setting.excludes(value):
                return f"at {name} {stated} it compares with no other reading"
        return ""

    def limit_in(self, condition: str | None) -> Limit:
        """Return the limit that holds in a condition (None: at T0)."""
        return self.limit_at.get(condition or "", self.limit)

    def rank(self, word: str) -> int:
        """Return the 0-based place of a word in the scale.

        Raises
        ------
        ValueError
            If the word is not on the scale.
        """
        return self.scale.index(word)
