"""Scores and statements of two sides beside each other, never averaged or tested."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stability.evaluation.contrast_findings import Beside, WordContrast
from stability.evaluation.contrast_pairs import StudySeries, matched, pairs_of
from stability.evaluation.contrast_words import sentence
from stability.evaluation.series import WordSeries
from stability.evaluation.worded import worst_word
from stability.model.attribute import Attribute

#: States of a series in which no word moved.
_STILL = {"inside", "recorded only", "no reading"}


def word_contrasts(series: StudySeries) -> tuple[WordContrast, ...]:
    """Hold the words of the conditions, batches and packs of a study beside each other.

    Parameters
    ----------
    series
        What was worded.
    """
    attributes = series.protocol.attributes
    return tuple(
        _word_contrast(pair.sides, attributes[pair.sides.attribute], one, other)
        for pair in pairs_of(series.protocol, series.study, series.worded)
        for one, other in matched(pair.first, pair.second)
    )


def _word_contrast(
    sides: Beside, attribute: Attribute, one: WordSeries, other: WordSeries
) -> WordContrast:
    said = words_say(sides, attribute, [one], [other])
    return WordContrast(sides, one.text, other.text, *said)


def moved(*series: WordSeries) -> bool:
    """Say whether a word moved or lies outside in any of some series."""
    return any(one.state not in _STILL for one in series)


def words_say(
    sides: Beside,
    attribute: Attribute,
    first: Sequence[WordSeries],
    second: Sequence[WordSeries],
) -> tuple[bool, str]:
    """Say whether a word moved on either side, and what can be said of both.

    Parameters
    ----------
    sides
        The two sides.
    attribute
        Orders the words of a score.
    first, second
        The series of each side; several batches in a comparison of versions.
    """
    any_moved = moved(*first, *second)
    here, there = sides.first.name, sides.second.name
    ours, theirs = _worst(attribute, first), _worst(attribute, second)
    if ours is None or theirs is None:
        return any_moved, sentence(f"{here if ours is None else there} was not read")
    if ours != theirs and attribute.kind == "stated":
        return any_moved, "the statements differ"
    if ours != theirs:
        worse = here if worst_word(attribute, [ours, theirs]) == ours else there
        return any_moved, f"{worse} went further"
    ages = _first_failed(first), _first_failed(second)
    if ages[0] != ages[1]:
        return any_moved, f"{here if ages[0] < ages[1] else there} failed first"
    return (
        any_moved,
        "both sides show it" if any_moved else "no change seen on either side",
    )


def _worst(attribute: Attribute, series: Sequence[WordSeries]) -> str | None:
    return worst_word(attribute, [one.worst for one in series if one.worst is not None])


def _first_failed(series: Sequence[WordSeries]) -> float:
    """Return the age of the first failure [days]; none comes after all others."""
    ages = [one.first_failed_age for one in series]
    return min([age for age in ages if age is not None], default=math.inf)
