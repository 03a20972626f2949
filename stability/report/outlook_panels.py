"""What a figure of an outlook shows, as plain records: lines carried past the readings.

Ages are months. Values are in the terms in which the limit is stated.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stability.report.panels import LimitLine, PanelPoint

#: What an upright line stands for.
MarkKind = Literal["asked", "cap", "shown", "other"]


@dataclass(frozen=True, slots=True)
class OutlookLine:
    """One batch or container: its points, its line and the bounds about it."""

    #: its name, written at the end of its line
    label: str
    #: place in the order of looks: the same batch looks the same in every panel; None
    #: for a fit of all together
    look: int | None
    #: its values in order of age
    points: tuple[PanelPoint, ...] = ()
    #: ages at which line and bounds are drawn [months]; empty where there is no line
    ages: tuple[float, ...] = ()
    #: the fitted line at these ages
    line: tuple[float, ...] = ()
    #: the bounds about it at these ages, each drawn thin
    edges: tuple[tuple[float, ...], ...] = ()
    #: what is said of it under its name; "" for nothing
    said: str = ""


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where a bound, or a line, meets a limit."""

    #: age [months]
    age: float
    #: value of the limit there
    value: float
    #: its words
    text: str
    #: false where it carries no estimate and is drawn hollow
    counts: bool = True


@dataclass(frozen=True, slots=True)
class AgeMark:
    """An age that is told by an upright line, named above the panel."""

    #: age [months]
    age: float
    #: its words, such as "asked for: 24 months"
    text: str
    #: what it is, which chooses the line
    kind: MarkKind


@dataclass(frozen=True, slots=True)
class OutlookPanel:
    """One attribute in one pack under one condition."""

    #: words above it
    title: str
    #: what the values are, beside the axis
    value_title: str
    #: its batches or containers
    lines: tuple[OutlookLine, ...]
    #: its limits
    limits: tuple[LimitLine, ...] = ()
    #: where bounds or lines meet limits, inside the panel
    meetings: tuple[Meeting, ...] = ()
    #: ages to be marked
    marks: tuple[AgeMark, ...] = ()
    #: age at which the axis ends [months]
    end: float = 1.0
    #: what the thin lines are, in words; "" where there are none
    edge_text: str = ""
