"""Hours at the bench: what each observation takes, and each sample that is fetched."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from stability.model.attribute import Attribute
from stability.model.plan import BenchHours, CheckDay
from stability.model.protocol import Protocol
from stability.model.schedule import checks_of, expected
from stability.model.study import Sample, Study

#: Minutes for one reading where the protocol states none for its attribute, by kind
#: of attribute (common practice) [min].
USUAL_MINUTES: Final = {"measured": 3.0, "scored": 2.0, "stated": 1.0}
#: Minutes for one weighing (common practice) [min].
WEIGHING: Final = 1.0
#: Minutes to fetch one sample, let it be opened, wipe it and put it back (common
#: practice); waiting until it is at room temperature is not counted [min].
HANDLING: Final = 3.0
#: Hours at the bench above which a day is told to be full (common practice) [h].
FULL_DAY: Final = 7.0


def minutes_of(study: Study, protocol: Protocol, sample: Sample, check: str) -> float:
    """Return the time at the bench for one sample at one check [min].

    Parameters
    ----------
    study, protocol
        The study and its protocol.
    sample
        The sample.
    check
        Its check.
    """
    names = dict(expected(study, protocol, sample, check))
    observed = (minutes_for(protocol.attributes[name]) for name in names)
    return HANDLING + sum(observed)


def minutes_for(attribute: Attribute) -> float:
    """Return the time for one observation, stated or as is usual [min]."""
    if attribute.minutes is not None:
        return float(attribute.minutes)
    if attribute.from_weights:
        return WEIGHING
    times = attribute.readings * attribute.observers
    return USUAL_MINUTES[attribute.kind] * times


def bench_hours(
    study: Study,
    protocol: Protocol,
    samples: Iterable[Sample],
    days: Iterable[CheckDay],
) -> BenchHours:
    """Return the time at the bench for the whole study, with its basis.

    Parameters
    ----------
    study, protocol
        The study and its protocol.
    samples
        Its samples.
    days
        Its days of check.
    """
    stated = assumed = handled = 0
    minutes = 0.0
    for sample in samples:
        for check in checks_of(study, protocol, sample):
            handled += 1
            minutes += minutes_of(study, protocol, sample, check)
            for name in dict(expected(study, protocol, sample, check)):
                known = protocol.attributes[name].minutes is not None
                stated, assumed = stated + known, assumed + (not known)
    return BenchHours(
        hours=minutes / 60,
        stated=stated,
        assumed=assumed,
        handled=handled,
        longest_day=max((day.hours for day in days), default=0.0),
        basis=_basis(stated, assumed),
    )


def _basis(stated: int, assumed: int) -> str:
    usual = ", ".join(f"{kind} {time:g}" for kind, time in USUAL_MINUTES.items())
    text = f"{HANDLING:g} min to handle each sample at each check (common practice)"
    if stated:
        text = f"minutes of {stated} observations as the protocol states them; {text}"
    if assumed:
        text += (
            f"; for {assumed} observations without stated minutes, per reading and "
            f"observer: {usual}, a weighing {WEIGHING:g} min (common practice)"
        )
    return f"{text}. Warming up, cleaning and writing up come on top."
