"""Conditions beside their comparisons, check by check.

Cycled samples beside their untreated twins, light beside its dark twin, every other
condition beside the cold control: what the comparison shows too is not the
condition's doing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from stability.evaluation.index import Index, unit_judged
from stability.evaluation.judging import LOSS_DECIMALS
from stability.evaluation.phrases import decimals_of, number_text
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import Comparison
from stability.evaluation.worded import worst_word
from stability.model.age import check_order
from stability.model.attribute import Attribute
from stability.model.protocol import Protocol

Kind = Literal["cycles and untreated twin", "light and dark twin", "cold control"]
Outcome = Literal["worse", "better", "same", "higher", "lower"]
#: (attribute, batch, pack, check) of a condition.
Place = tuple[str, str, str, str]


def comparisons_of(
    index: Index, judged: Iterable[JudgedObservation]
) -> tuple[Comparison, ...]:
    """Return every comparison for which both sides were read at the same check."""
    by_condition, twins = _gathered(judged)
    order = {name: place for place, name in enumerate(index.protocol.attributes)}
    found = []
    for pair in compared_with(index.protocol):
        ours = by_condition.get(pair.condition, {})
        theirs = (
            twins.get(pair.condition, {})
            if pair.kind == "cycles and untreated twin"
            else by_condition.get(pair.against, {})
        )
        both = sorted(
            ours.keys() & theirs.keys(),
            key=lambda one: (order[one[0]], *one[1:3], check_order(one[3])),
        )
        found += [
            _comparison(
                pair, index.attribute(place[0]), place, ours[place], theirs[place]
            )
            for place in both
        ]
    return tuple(found)


Gathered = dict[str, dict[Place, list[JudgedObservation]]]


def _gathered(judged: Iterable[JudgedObservation]) -> tuple[Gathered, Gathered]:
    """Return condition -> readings, and cycled condition -> readings of its twins."""
    by_condition: Gathered = {}
    twins: Gathered = {}
    for one in judged:
        if not one.takes_part or one.condition is None or one.check is None:
            continue
        if one.value is None and one.word is None:
            continue
        sample = one.sample
        place = (one.attribute, sample.batch, sample.pack or "", one.check)
        side = twins if sample.twin_of else by_condition
        name = sample.twin_of or one.condition
        side.setdefault(name, {}).setdefault(place, []).append(one)
    return by_condition, twins


@dataclass(frozen=True, slots=True)
class ComparedWith:
    """A condition and what it is compared with."""

    #: What is compared with what.
    kind: Kind
    #: The condition.
    condition: str
    #: The condition of the comparison.
    against: str


def compared_with(protocol: Protocol) -> Iterator[ComparedWith]:
    """Yield every condition with what it is compared with."""
    dark = set(protocol.twins_of_light().values())
    cold = [
        one.name
        for one in protocol.conditions.values()
        if one.role == "control" and one.name not in dark
    ]
    for one in protocol.conditions.values():
        if one.steps:
            against = one.untreated_twin or ""
            yield ComparedWith("cycles and untreated twin", one.name, against)
        if one.dark_twin:
            yield ComparedWith("light and dark twin", one.name, one.dark_twin)
        if one.role != "control":
            for name in cold:
                yield ComparedWith("cold control", one.name, name)


def _comparison(
    pair: ComparedWith,
    attribute: Attribute,
    place: Place,
    ours: Sequence[JudgedObservation],
    theirs: Sequence[JudgedObservation],
) -> Comparison:
    name, batch, pack, check = place
    found = (
        _numbers(attribute, ours, theirs)
        if attribute.kind == "measured"
        else _words(attribute, ours, theirs)
    )
    return Comparison(
        kind=pair.kind,
        attribute=name,
        batch=batch,
        pack=pack,
        check=check,
        condition=pair.condition,
        against=pair.against,
        samples=_codes(ours),
        against_samples=_codes(theirs),
        text=found.text,
        against_text=found.against_text,
        difference=found.difference,
        outcome=found.outcome,
        statement=f"{found.lead}; {_statement(pair, attribute, found)}",
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """Both sides of a comparison."""

    #: Mean or worst word, as printed.
    text: str
    #: The same of the comparison.
    against_text: str
    #: Difference of the means [attribute's unit]; None for words.
    difference: Fraction | None
    #: How the condition stands against the comparison.
    outcome: Outcome
    #: The difference in words.
    lead: str


def _numbers(
    attribute: Attribute,
    ours: Sequence[JudgedObservation],
    theirs: Sequence[JudgedObservation],
) -> _Found:
    mean, other = _mean(ours), _mean(theirs)
    difference = mean - other
    # One digit beyond the readings for a mean; a loss is no surer than its balance.
    places, further = LOSS_DECIMALS, 0
    if not attribute.from_weights:
        places = max(decimals_of(one.observation.readings) for one in (*ours, *theirs))
        further = 1
    sign = difference.numerator
    outcome: Outcome = "higher" if sign > 0 else "lower" if sign else "same"
    unit = unit_judged(attribute)
    suffix = "" if unit in {"1", "pH"} else f" {unit}"
    plus = "+" if sign > 0 else ""
    text = number_text(difference, places, further=further)
    lead = f"difference {plus}{text}{suffix}"
    return _Found(
        number_text(mean, places, further=further),
        number_text(other, places, further=further),
        difference,
        outcome,
        lead,
    )


def _mean(ones: Sequence[JudgedObservation]) -> Fraction:
    if len(ones) == 1 and ones[0].value is not None:
        return ones[0].value
    by_container: dict[str, list[Fraction]] = {}
    for one in ones:
        by_container.setdefault(one.sample.code, []).append(one.value or Fraction(0))
    means = [sum(values, Fraction(0)) / len(values) for values in by_container.values()]
    return sum(means, Fraction(0)) / len(means)


def _words(
    attribute: Attribute,
    ours: Sequence[JudgedObservation],
    theirs: Sequence[JudgedObservation],
) -> _Found:
    word = worst_word(attribute, [one.word or "" for one in ours]) or ""
    other = worst_word(attribute, [one.word or "" for one in theirs]) or ""
    outcome: Outcome = "same"
    if word != other:
        outcome = "worse" if worst_word(attribute, [word, other]) == word else "better"
    return _Found(word, other, None, outcome, f"“{word}” beside “{other}”")


def _statement(pair: ComparedWith, attribute: Attribute, found: _Found) -> str:
    """Say what can be said of one check; how sure, only several checks can tell."""
    if found.difference is not None:
        return "one check by itself does not tell a difference from chance"
    twin = {
        "cycles and untreated twin": "the untreated twin",
        "light and dark twin": "the dark twin",
        "cold control": "the cold control",
    }[pair.kind]
    unchanged = attribute.kind == "scored" and found.text == attribute.scale[0]
    if found.outcome == "same":
        return "no change seen" if unchanged else f"{twin} shows it too"
    if found.outcome == "worse":
        return f"worse than {twin}"
    return f"{twin} is worse"


def _codes(ones: Sequence[JudgedObservation]) -> tuple[str, ...]:
    if len(ones) == 1:
        return (ones[0].sample.code,)
    return tuple(sorted({one.sample.code for one in ones}))
