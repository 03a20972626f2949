"""A limit as it stands beside an empty box: in numbers, before anything is read."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from stability.evaluation.index import Index, settings_meant, unit_judged
from stability.evaluation.phrases import number_text
from stability.evaluation.readings import InitialUsed
from stability.evaluation.weights import losses_of
from stability.model.age import T0
from stability.model.attribute import Attribute
from stability.model.limit import Band, Limit
from stability.model.observation import Observation, Reading
from stability.model.study import Pack, Sample


def limit_ahead(
    index: Index,
    sample: Sample,
    attribute: Attribute,
    check: str,
    stated: Mapping[str, str],
) -> str:
    """Return the limit that the next reading will be held against, in words.

    A limit relative to the initial value is told in numbers where there is one, so
    that nobody has to reckon at the bench.

    Parameters
    ----------
    index
        The record, looked up once.
    sample, attribute, check
        What will be read, and when.
    stated
        Settings under which it will be read.
    """
    limit = attribute.limit_in(None if check == T0 else sample.condition)
    unit = unit_judged(attribute) if attribute.kind == "measured" else ""
    words = f"{'loss ' if attribute.from_weights else ''}{limit.words(unit)}"
    if check == T0 or limit.recorded_only:
        return words
    if attribute.from_weights:
        return _weight_text(index, sample, attribute, limit, words)
    if not limit.is_relative:
        return words
    usual = index.usual_settings.get((attribute.name, sample.batch), {})
    settings = settings_meant(attribute, stated, usual)
    initial = index.initial_of(attribute, settings, sample)
    if initial is None or initial.value is None:
        return f"{words} (no initial value)"
    ranges = [
        _range_text(band, initial, share=share)
        for band, share in ((limit.change, False), (limit.percent_of_initial, True))
        if band is not None
    ]
    suffix = f" {unit}" if unit not in {"", "1", "pH"} else ""
    return f"{', '.join(ranges)}{suffix} ({words}, from {initial.text})"


def _weight_text(
    index: Index, sample: Sample, attribute: Attribute, limit: Limit, words: str
) -> str:
    """Return the limit of a loss as the weight that a balance has to show at least."""
    most = None if limit.absolute is None else limit.absolute.highest
    standing = [one for one in index.observations.get(sample.code, ()) if one.stands]
    weights = [
        one for one in standing if one.attribute == attribute.name and one.readings
    ]
    if most is None or not weights:
        return words
    pack = index.record.study.packs.get(sample.pack or "")
    grams = lightest_inside(standing, weights[-1], pack, Fraction(most))
    if grams is None:
        return words
    decimals = max(
        len(one.value.partition(".")[2]) for each in weights for one in each.readings
    )
    # A weight rounded down would lie outside.
    least = Fraction(math.ceil(grams * 10**decimals), 10**decimals)
    return f"at least {number_text(least, decimals)} g ({words})"


def lightest_inside(
    standing: Sequence[Observation],
    weighed: Observation,
    pack: Pack | None,
    most_percent: Fraction,
) -> Fraction | None:
    """Return the lightest next weight before opening that is still inside [g].

    Parameters
    ----------
    standing
        All observations of one container that stand.
    weighed
        One of its weights.
    pack
        Its pack, for tare or fill; None where it has none.
    most_percent
        The loss that is still inside, as a share of the net fill [%].

    Returns
    -------
    Fraction or None
        None where it cannot be told: no net fill is known, or an interval is open.

    Notes
    -----
    The loss falls with the weight along a straight line, so that two weights tell it.
    """

    def loss_at(grams: str) -> Fraction | None:
        ahead = replace(
            weighed,
            position=max(one.position for one in standing) + 1,
            check="ahead",
            part="before",
            readings=(Reading(grams),),
            done=max((one.done for one in standing), key=lambda one: one.day),
        )
        lost = losses_of([*standing, ahead], weighed.attribute, pack)[ahead.position]
        return None if lost.at_least else lost.percent

    at_none, at_one = loss_at("0"), loss_at("1")
    if at_none is None or at_one is None or at_none == at_one:
        return None
    return (most_percent - at_none) / (at_one - at_none)


def _range_text(band: Band, initial: InitialUsed, *, share: bool) -> str:
    """Return a band around the initial value as a band of values."""
    if initial.value is None:
        raise ValueError("without an initial value there is no range")
    low, high = (
        None if end is None else _end(Fraction(end), initial.value, share=share)
        for end in (band.lowest, band.highest)
    )
    decimals = len(initial.text.partition(".")[2])
    if low is not None and high is not None:
        return f"{number_text(low, decimals)} to {number_text(high, decimals)}"
    if low is not None:
        return f"at least {number_text(low, decimals)}"
    if high is not None:
        return f"at most {number_text(high, decimals)}"
    return "any value"


def _end(end: Fraction, initial: Fraction, *, share: bool) -> Fraction:
    return initial * end / 100 if share else initial + end
