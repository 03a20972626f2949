"""How differences of drifts are printed: digits, units and sentences."""

from __future__ import annotations

import math
from dataclasses import replace

from stability.evaluation.contrast_findings import Beside, DriftContrast
from stability.evaluation.phrases import listed
from stability.model.age import check_text
from stability.model.contrast import Contrast
from stability.model.estimate import NoFit

#: Digits after the point that are never passed.
_MOST_PLACES = 12


def together(difference: float, interval: tuple[float, float]) -> tuple[str, str, str]:
    """Return a difference and the ends of its interval, to digits that it carries.

    Two digits of half the interval's width; more only where an end would read as 0
    that is none, since that would turn what the interval says of 0.

    Parameters
    ----------
    difference
        The difference [any unit].
    interval
        Its ends [the same unit].

    Examples
    --------
    >>> together(-0.157731, (-0.174103, -0.141359))
    ('-0.158', '-0.174', '-0.141')
    >>> together(1.2, (0.0004, 2.4))
    ('1.2000', '0.0004', '2.4000')
    """
    half = (interval[1] - interval[0]) / 2
    rests_on = half if half > 0 else abs(difference)
    places = 0 if rests_on == 0 else max(0, 1 - math.floor(math.log10(rests_on)))
    places = min(places, _MOST_PLACES)
    while places < _MOST_PLACES and any(
        end != 0 and float(f"{end:.{places}f}") == 0 for end in interval
    ):
        places += 1
    low, high = interval
    return _fixed(difference, places), _fixed(low, places), _fixed(high, places)


def _fixed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def numbers_text(one: DriftContrast) -> str:
    """Return the difference with its interval: `-0.158 (-0.174 to -0.141) pH`.

    Empty where there is none.
    """
    if one.difference is None or one.interval is None:
        return ""
    difference, low, high = together(one.difference, one.interval)
    return f"{difference} ({low} to {high}){unit_text(one.unit)}"


def unit_text(unit: str) -> str:
    """Return a unit after a number; nothing for plain numbers."""
    return "" if unit in {"", "1"} else f" {unit}"


def worded(one: DriftContrast) -> DriftContrast:
    """Return a contrast of drifts with its verdict, and with that and its numbers."""
    if isinstance(one.result, NoFit):
        return replace(one, verdict=one.result.text, text=one.result.text)
    verdict = _verdict(one.sides, one.result)
    kind = "difference of relative rates " if one.scale == "ln" else ""
    level = f"{100 * one.result.confidence:g} %"
    numbers = numbers_text(one)
    text = f"{verdict}: {kind}{numbers} a month, {level}."
    return replace(one, numbers=numbers, verdict=verdict, text=text)


def _verdict(sides: Beside, result: Contrast) -> str:
    first, second = sides.first.name, sides.second.name
    differ = result.excludes_no_difference
    if sides.between == "versions":
        return _of_versions(sides, result)
    if sides.between == "batches":
        if differ:
            return "These two batches differ"
        return "No difference between these two batches was shown"
    if differ and sides.basis == "inert pack":
        return f"{first} drifts otherwise than inert {second}, so look at the pack"
    if differ:
        return f"{first} drifts otherwise than {second}"
    return f"No drift of {first} other than that of {second} was shown"


def _of_versions(sides: Beside, result: Contrast) -> str:
    differ = result.excludes_no_difference
    if result.method == "slopes of batches":
        if differ:
            return "The versions differ"
        return "No difference between the versions was shown"
    one_each = "with one batch each nothing is said of the versions"
    batches = f"{sides.first.batches[0]} and {sides.second.batches[0]}"
    if differ:
        return f"These two batches differ ({batches}; {one_each})"
    return f"No difference between these two batches was shown ({batches}; {one_each})"


def checks_text(checks: tuple[str, ...]) -> str:
    """Return checks as printed: `4w, 12w and 6M`."""
    return listed([check_text(check) for check in checks])


def sentence(text: str) -> str:
    """Return text that begins with a capital where it begins with the word batch."""
    return f"B{text[1:]}" if text.startswith("batch ") else text
