"""Whether the record says already what a row of a received file says."""

from __future__ import annotations

from collections.abc import Mapping

from stability.model import content
from stability.model.moment import Moment
from stability.model.observation import Observation
from stability.model.study import Sample
from stability.records.continuation import Continuation
from stability.records.typed import Typed


def already(
    book: Continuation, sample: Sample, check: str | None, one: Typed, done: Moment
) -> Observation | None:
    """Return the observation that says just this already; None where none does.

    One that was corrected or set aside since counts: it came in once.

    Parameters
    ----------
    book
        The study.
    sample
        Whose reading.
    check
        The check; None where it was not stated, because what it is worked out to
        depends on what is stored already.
    one
        The reading, understood.
    done
        When it was read; its day counts.
    """
    there = book.on_day(sample.code, one.attribute.name, one.part, done.day)
    if not there:
        return None
    settings = dict(one.settings)
    if settings:
        # An instrument is stored by its whole name, whatever was typed.
        held = one.content(sample.code, check)
        held = book.names.completed(
            content.OBSERVED, held, book.plan.protocol.attributes
        )
        settings = held["settings"]
    for seen in there:
        if (check is None or seen.check == check) and _says(seen, one, settings):
            return seen
    return None


def _says(seen: Observation, one: Typed, settings: Mapping[str, str]) -> bool:
    """Say whether an observation holds just what was typed."""
    return (
        seen.readings == one.readings
        and seen.not_measured == one.not_measured
        and dict(seen.settings) == settings
        and seen.observers == one.observers
        and seen.control == one.control
        and seen.blind == one.blind
        and dict(seen.extra) == dict(one.extra)
    )
