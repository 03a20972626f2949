"""A limit as it stands beside an empty box: in numbers, before anything is read."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from stability.evaluation.index import Index, settings_meant, unit_judged
from stability.evaluation.phrases import number_text
from stability.evaluation.readings import InitialUsed
from stability.model.age import T0
from stability.model.attribute import Attribute
from stability.model.limit import Band
from stability.model.study import Sample


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
    if check == T0 or not limit.is_relative or limit.recorded_only:
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
