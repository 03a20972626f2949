"""What a drift figure shows, as plain records: ages, values, marks, limits, fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PointMark = Literal["", "outside", "out of trend", "doubtful", "deviation"]


@dataclass(frozen=True, slots=True)
class PanelPoint:
    """One value at one age."""

    #: age, in the unit of the axis
    age: float
    #: the value
    value: float
    #: what was found of it; empty for nothing
    mark: PointMark = ""


@dataclass(frozen=True, slots=True)
class PanelSeries:
    """The values of one batch or sample."""

    #: name, written at the end of its line
    label: str
    #: place in the order of looks: the same batch looks the same in every panel
    look: int
    #: values in order of age
    points: tuple[PanelPoint, ...]
    #: ages of checks not made, where the line breaks
    missed: tuple[float, ...] = ()
    #: whether the points are joined
    joined: bool = True


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A limit."""

    #: the value
    value: float
    #: its words, such as "lower limit 5.00"
    text: str
    #: on which side of it values are outside
    outside: Literal["below", "above"]


@dataclass(frozen=True, slots=True)
class FittedBand:
    """A fitted line with the band around it."""

    #: ages at which it is drawn, ascending
    ages: tuple[float, ...]
    #: the fitted line at these ages
    line: tuple[float, ...]
    #: lower edge of the band at these ages; empty for a line alone
    lower: tuple[float, ...] = ()
    #: upper edge of the band at these ages; empty for a line alone
    upper: tuple[float, ...] = ()
    #: place in the order of looks of its series; None for a fit of all together
    look: int | None = None
    #: words at its end, such as "95 % band"; empty for none
    text: str = ""
    #: last age that readings cover, beyond which it is dotted; None for all of it
    shown_to: float | None = None


@dataclass(frozen=True, slots=True)
class AgeAxis:
    """The axis of ages, in the protocol's own units."""

    #: places of the checks, in the unit of all ages
    ticks: tuple[float, ...]
    #: their names, such as "4w"
    labels: tuple[str, ...]
    #: words under the axis
    title: str = "age"
    #: age at which it ends; None for the last tick
    end: float | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """One attribute under one condition."""

    #: words above it
    title: str
    #: name of the attribute with its unit, beside the axis
    value_title: str
    #: its series
    series: tuple[PanelSeries, ...]
    #: its limits
    limits: tuple[LimitLine, ...] = ()
    #: its fits
    bands: tuple[FittedBand, ...] = ()
    #: words in place of points when there are none
    if_empty: str = "no readings"
