"""One observation judged against its limit, in exact decimals.

Limits are inclusive and rounding never brings a value inside. That is stricter than
rounding a result to the limit's digits first, as a pharmacopoeia does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from stability.model.attribute import Attribute
from stability.model.limit import Band, Limit
from stability.model.observation import Reading

#: What a reading is against its limit.
Mark = Literal[
    "inside",
    "changed, inside",
    "outside",
    "no initial",
    "undecided",
    "not measured",
    "recorded only",
]

_ONE = Fraction(1)
_ZERO = Fraction(0)
# What a bound counts that is a share of the initial value.
_SHARE = "% of initial"


@dataclass(frozen=True, slots=True)
class Judgement:
    """The mark of one observation and what it rests on."""

    #: The mark.
    mark: Mark
    #: Mean of the readings [attribute's unit]; None for words or without readings.
    value: Fraction | None = None
    #: The word that stands for several observers; None for measured attributes.
    word: str | None = None
    #: The limit in words.
    limit: str = ""
    #: Which bound was passed, or why nothing can be said; "" where all is inside.
    detail: str = ""


def mean_reading(readings: Sequence[Reading]) -> Fraction | None:
    """Return the exact mean of the readings; None if any has a `<` or `>`."""
    if len(readings) == 1:
        one = readings[0]
        return None if one.qualifier else Fraction(one.number)
    if not readings or any(one.qualifier for one in readings):
        return None
    total = sum((Fraction(one.number) for one in readings), Fraction(0))
    return total / len(readings)


def judge_measured(
    readings: Sequence[Reading],
    limit: Limit,
    initial: Fraction | None,
    unit: str,
    *,
    value: Fraction | None = None,
    words: str | None = None,
) -> Judgement:
    """Judge a measured attribute.

    Parameters
    ----------
    readings
        As typed; their mean is judged.
    limit
        The limit that holds in the sample's condition.
    initial
        Initial value [attribute's unit]; None where there is none.
    unit
        The attribute's unit, for words.
    value
        Judged instead of the mean of the readings, for values that are worked out,
        such as a weight loss.
    words
        The limit in words, where they are known already.
    """
    words = limit.words(unit) if words is None else words
    judged = mean_reading(readings) if value is None else value
    if not limit.judges:
        return Judgement("recorded only", judged, None, words)
    if judged is None and not readings:
        return Judgement("not measured", None, None, words)
    if judged is not None and not limit.is_relative and limit.absolute is not None:
        # Most readings of a study end here, without the lists that the others need.
        faults = _passed("", limit.absolute, judged)
        if not faults:
            return Judgement("inside", judged, None, words)
        return Judgement("outside", judged, None, words, "; ".join(faults))
    found = _Found()
    for lead, band, factor, offset in _bands(limit, initial):
        if factor is None or offset is None:
            found.unsure.append("no initial value")
            continue
        scale = _Scale(lead, band, factor, offset)
        if judged is None:
            _beyond(readings, scale, found)
        else:
            scale.place(judged, found)
    return _judgement(found, judged, words)


def _judgement(found: _Found, judged: Fraction | None, words: str) -> Judgement:
    if found.faults:
        return Judgement("outside", judged, None, words, "; ".join(found.faults))
    if found.unsure:
        lacks = "no initial value" in found.unsure
        mark: Mark = "no initial" if lacks else "undecided"
        return Judgement(mark, judged, None, words, "; ".join(found.unsure))
    return Judgement("inside", judged, None, words)


def judge_words(
    readings: Sequence[Reading],
    attribute: Attribute,
    limit: Limit,
    initial: str | None,
    *,
    words: str | None = None,
) -> Judgement:
    """Judge a score or a statement.

    Parameters
    ----------
    readings
        One word per observer.
    attribute
        Whose scale and rule hold.
    limit
        The limit that holds in the sample's condition.
    initial
        The word at T0; None where there is none, then the first of the scale.
    words
        The limit in words, where they are known already.
    """
    words = limit.words("") if words is None else words
    if not readings:
        return Judgement("not measured", None, None, words)
    word = word_of(readings, attribute)
    if not limit.judges:
        return Judgement("recorded only", None, word, words)
    if limit.highest is not None and attribute.rank(word) > attribute.rank(
        limit.highest
    ):
        return Judgement("outside", None, word, words, f"worse than “{limit.highest}”")
    if limit.required is not None and word != limit.required:
        return Judgement("outside", None, word, words, f"not “{limit.required}”")
    moved = word != (initial if initial is not None else _first(attribute, word))
    return Judgement("changed, inside" if moved else "inside", None, word, words)


def word_of(readings: Sequence[Reading], attribute: Attribute) -> str:
    """Return the word that several observers' words amount to, by the declared rule.

    Worst: the worst word. Both agree: the best word that every observer reached.
    Majority: the median word, the worse one of an even number.
    """
    if not attribute.scale:
        return readings[0].value
    ranks = sorted(attribute.rank(one.value) for one in readings)
    if attribute.rule == "worst":
        return attribute.scale[ranks[-1]]
    if attribute.rule == "both agree":
        return attribute.scale[ranks[0]]
    return attribute.scale[ranks[len(ranks) // 2]]


@lru_cache(maxsize=1024)
def _exact(bound: Decimal) -> Fraction:
    """Return a bound as a fraction; the same few bounds judge all readings."""
    return Fraction(bound)


def _passed(lead: str, band: Band, there: Fraction) -> list[str]:
    """Name the bounds that a value on the band's scale passes."""
    top, bottom = there.numerator, there.denominator
    found = []
    # Whole numbers compared: a fraction's own comparison takes four times as long.
    if band.lowest is not None:
        low = _exact(band.lowest)
        if top * low.denominator < low.numerator * bottom:
            found.append(_beyond_words(lead, "below", band.lowest))
    if band.highest is not None:
        high = _exact(band.highest)
        if top * high.denominator > high.numerator * bottom:
            found.append(_beyond_words(lead, "above", band.highest))
    return found


def _beyond_words(lead: str, side: str, amount: Decimal) -> str:
    """Name a bound that was passed: `above 5.9`, `above 120 % of initial`."""
    if lead == _SHARE:
        return f"{side} {amount} {lead}"
    return f"{lead}{side} {amount}"


def _first(attribute: Attribute, word: str) -> str:
    return attribute.scale[0] if attribute.kind == "scored" else word


def _bands(
    limit: Limit, initial: Fraction | None
) -> list[tuple[str, Band, Fraction | None, Fraction | None]]:
    """Return each band with the factor and offset that bring a value to its scale."""
    found: list[tuple[str, Band, Fraction | None, Fraction | None]] = []
    if limit.absolute is not None:
        found.append(("", limit.absolute, _ONE, _ZERO))
    if limit.change is not None:
        offset = None if initial is None else -initial
        found.append(("change ", limit.change, _ONE, offset))
    if limit.percent_of_initial is not None:
        # A share of nothing, or of less than nothing, says nothing.
        factor = 100 / initial if initial is not None and initial > 0 else None
        found.append((_SHARE, limit.percent_of_initial, factor, _ZERO))
    return found


def _beyond(readings: Sequence[Reading], scale: _Scale, found: _Found) -> None:
    """Judge readings of which some say only `<` or `>`."""
    band = scale.band
    for one in readings:
        value = scale.of(Fraction(one.number))
        before = len(found.faults)
        low, high = band.lowest, band.highest
        if one.qualifier == "<" and low is not None and value <= _exact(low):
            found.faults.append(_beyond_words(scale.lead, "below", low))
        elif one.qualifier == ">" and high is not None and value >= _exact(high):
            found.faults.append(_beyond_words(scale.lead, "above", high))
        elif not one.qualifier:
            scale.place(Fraction(one.number), found)
        if len(found.faults) == before and not _certain(one, value, band):
            found.unsure.append(f"{one} may be on either side of the limit")


def _certain(one: Reading, value: Fraction, band: Band) -> bool:
    """Say whether the value is surely inside the band."""
    if not one.qualifier:
        return True
    if one.qualifier == "<":
        return band.lowest is None and (
            band.highest is None or value <= _exact(band.highest)
        )
    return band.highest is None and (
        band.lowest is None or value >= _exact(band.lowest)
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """What judging has found so far."""

    #: Bounds that were passed.
    faults: list[str] = field(default_factory=list)
    #: Why a bound cannot be judged.
    unsure: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Scale:
    """A band with the factor and offset that bring a value to its scale."""

    #: What the bound counts: "" for the value itself, else with its space; or _SHARE.
    lead: str
    #: The band.
    band: Band
    #: Multiplied with the value [band's unit / attribute's unit].
    factor: Fraction
    #: Added to it [band's unit].
    offset: Fraction

    def of(self, value: Fraction) -> Fraction:
        """Bring a value to the band's scale."""
        if self.factor is _ONE:
            return value if self.offset is _ZERO else value + self.offset
        return value * self.factor + self.offset

    def place(self, value: Fraction, found: _Found) -> None:
        """Add the bounds that a value passes."""
        found.faults.extend(_passed(self.lead, self.band, self.of(value)))
