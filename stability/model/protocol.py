"""A protocol: what is done to the samples and what is read, fixed before T0."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from stability.model.age import Age, check_order, parse_age
from stability.model.attribute import Attribute
from stability.model.condition import Condition


@dataclass(frozen=True, slots=True)
class T0Rule:
    """When the initial values are read and from when age counts."""

    #: Earliest reading after the batch is made: the structure has settled.
    read_after: Age
    #: Latest reading after the batch is made.
    read_before: Age
    #: How long after the T0 readings samples may be placed; later is a deviation.
    place_within: Age = Age(7, "d")
    #: Why these ages.
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Window:
    """Days around a due date within which a check counts as made."""

    #: The window holds for checks up to this age.
    up_to: Age
    #: Days before the due date.
    before: Age
    #: Days after the due date.
    after: Age


#: Windows for protocols that state none (common practice).
USUAL_WINDOWS = (
    Window(Age(1, "w"), Age(1, "d"), Age(1, "d")),
    Window(Age(4, "w"), Age(2, "d"), Age(2, "d")),
    Window(Age(12, "w"), Age(3, "d"), Age(3, "d")),
    Window(Age(6, "M"), Age(7, "d"), Age(7, "d")),
    Window(Age(99, "y"), Age(14, "d"), Age(14, "d")),
)


@dataclass(frozen=True, slots=True)
class Provisional:
    """A rule of thumb by which a request may be provisional; declared before T0."""

    #: Shelf life that the rule grants provisionally [months].
    months: int
    #: Accelerated condition that must hold.
    condition: str
    #: Check to which it must hold.
    check: str
    #: Check to which the long-term condition must hold by then.
    real_time_to: str
    #: The rule in words.
    rule: str
    #: Where the rule comes from.
    source: str
    #: Long-term checks that confirm it, or withdraw it.
    confirm_at: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Analysis:
    """How the results are evaluated, declared before T0."""

    #: Confidence level of every bound [-].
    confidence: float = 0.95
    #: Which estimate carries the request.
    carries_request: Literal["batch by batch", "pooled"] = "batch by batch"
    #: How a pair of limits is judged.
    two_limits: Literal["two-sided", "one-sided at each"] = "two-sided"
    #: Long-term checks at which the request is evaluated; others are interim.
    evaluate_at: tuple[str, ...] = ()
    #: Longest extrapolation beyond the months shown; None leaves it to ICH Q1E.
    longest_extrapolation: Age | None = None
    #: Rule for a provisional answer; None where none was declared.
    provisional: Provisional | None = None
    #: True where scores and statements may be extrapolated at all.
    extrapolate_scores: bool = False


@dataclass(frozen=True, slots=True)
class Protocol:
    """One protocol file, read and checked."""

    #: Name it is found by: the file's name without its ending.
    name: str
    #: Title as printed.
    title: str
    #: Version of the protocol.
    version: str
    #: Settling and placing.
    t0: T0Rule
    #: Conditions by name, in the file's order.
    conditions: Mapping[str, Condition]
    #: Attributes by name, in the file's order.
    attributes: Mapping[str, Attribute]
    #: Format number of the file.
    format: int = 1
    #: What it is for, in a sentence or two.
    purpose: str = ""
    #: Product types it suits, in words.
    suits: tuple[str, ...] = ()
    #: Instruments it needs.
    needs: tuple[str, ...] = ()
    #: Units that it declares beside the usual ones.
    units: tuple[str, ...] = ()
    #: Windows around due dates, shortest age first.
    windows: tuple[Window, ...] = USUAL_WINDOWS
    #: How results are evaluated.
    analysis: Analysis = field(default_factory=Analysis)
    #: Cautions that belong to this kind of product, beyond the usual ones.
    cautions: tuple[str, ...] = ()
    #: Publications it rests on.
    sources: tuple[str, ...] = ()

    def window_of(self, check: str) -> Window:
        """Return the window of a check by age; cycles take the shortest."""
        age = parse_age(check)
        if age is None:
            return self.windows[0]
        for window in self.windows:
            if age.nominal_days <= window.up_to.nominal_days:
                return window
        return self.windows[-1]

    def all_checks(self) -> tuple[str, ...]:
        """Return every check of every condition once, in order."""
        names = {
            check
            for condition in self.conditions.values()
            for check in condition.all_checks
        }
        return tuple(sorted(names, key=check_order))

    def twins_of_light(self) -> dict[str, str]:
        """Return light condition -> dark twin."""
        return {
            name: condition.dark_twin
            for name, condition in self.conditions.items()
            if condition.dark_twin
        }


def window_days(window: Window, due: date) -> tuple[date, date]:
    """Return the first and the last day of a window around a due date."""
    before = round(window.before.nominal_days)
    return (
        date.fromordinal(due.toordinal() - before),
        window.after.after(due),
    )
