"""What follows from the prospects of a plan, in sentences, most important first."""

from __future__ import annotations

from collections.abc import Iterator

from stability.model.prospects import EvaluationProspect, PlanProspects
from stability.planning.attribute_prospects import Ground, kind_of
from stability.planning.prospect_words import (
    batches_text,
    counted,
    months_words,
    request_words,
)
from stability.statistics.shelf_life import FEWEST_CHECKS
from stability.statistics.support import ASSESSMENT, PROVISIONAL

_NO_LONG_TERM = (
    "No sample is read under long-term storage: this plan shows nothing and supports "
    "nothing; what it finds is a warning."
)


def plan_texts(ground: Ground, found: PlanProspects) -> tuple[str, ...]:
    """Return what a plan can prove, in sentences ready to print.

    Parameters
    ----------
    ground
        The plan.
    found
        Its prospects, still without sentences.
    """
    if found.final is None:
        return _NO_LONG_TERM, ASSESSMENT
    texts = [
        _verdict(found, found.final),
        *_first_interim(found),
        *_provisional(ground, found),
        batches_text(found.batches),
        *_reopened(ground),
        *_short_series(ground),
        *_unknown(found.final),
        ASSESSMENT,
    ]
    return tuple(dict.fromkeys(texts))


def _verdict(found: PlanProspects, final: EvaluationProspect) -> str:
    asked = found.asked
    if found.earliest is None:
        return (
            f"This plan cannot support {asked} months: at {final.check} it supports at "
            f"most {months_words(final.cap)} ({final.governing})."
        )
    look = next(one for one in found.evaluations if one.check == found.earliest)
    told = [one for one in look.chances if one.at_most is not None]
    how = "by real time" if look.shown >= asked else "by extrapolation within the cap"
    first = f"{asked} months can be supported at {look.check} at the earliest, {how}"
    if not told:
        return f"{first}, if every reading passes."
    scored = any(one.kind == "worded" for one in look.attributes)
    passing = " if every score passes" if scored else ""
    return f"{first}. Chance of that{passing}: {request_words(told)}."


def _first_interim(found: PlanProspects) -> Iterator[str]:
    """Yield what the last report before the first estimate will say."""
    early = [
        one
        for one in found.evaluations
        if any(two.kind != "worded" for two in one.attributes)
        and not any(two.estimated for two in one.attributes)
    ]
    if early:
        last = early[-1]
        yield (
            f"The {last.check} report will show {months_words(last.shown)} and "
            f"estimate nothing: fewer than {FEWEST_CHECKS} checks carry no estimate."
        )


def _provisional(ground: Ground, found: PlanProspects) -> Iterator[str]:
    rule = ground.protocol.analysis.provisional
    if rule is None:
        return
    ready = [one.check for one in found.evaluations if one.provisional]
    if ready:
        confirm = ", ".join(rule.confirm_at)
        yield (
            f"From {ready[0]} on {found.asked} months may stand provisionally "
            f"({rule.rule}), if everything that bears the request holds to "
            f"{rule.check} at {rule.condition}; confirmed, or withdrawn, at {confirm}. "
            f"{PROVISIONAL}"
        )
    elif found.asked > rule.months:
        yield (
            f"The provisional answer declared covers {rule.months} months, not the "
            f"{found.asked} asked for."
        )
    else:
        yield (
            f"The provisional answer declared needs samples at {rule.condition} to "
            f"{rule.check} and long-term checks to {rule.real_time_to}; this plan has "
            "none."
        )


def _reopened(ground: Ground) -> Iterator[str]:
    packs = [
        one.pack for one in ground.planned if any(two.reopened for two in one.series)
    ]
    if packs:
        names = ", ".join(dict.fromkeys(packs))
        yield (
            f"{names}: every reopened container is a series of its own and describes "
            "that container, not the unopened product."
        )


def _short_series(ground: Ground) -> Iterator[str]:
    """Yield the places where some containers have no line of their own."""
    found: dict[tuple[str, str, int], list[str]] = {}
    for one in ground.planned:
        if kind_of(one.attribute) != "fitted":
            continue
        last = one.checks[-1]
        points = [len(two.ages(last)) for two in one.series]
        short = [two for two in one.series if len(two.ages(last)) < FEWEST_CHECKS]
        if short and len(short) < len(one.series):
            batches = ", ".join(dict.fromkeys(two.batch for two in short))
            place = one.pack, batches, min(points)
            found.setdefault(place, []).append(one.attribute.name)
    for (pack, batches, fewest), names in found.items():
        yield (
            f"{', '.join(names)} in {pack}, batch {batches}: some containers are read "
            f"at {counted(fewest, 'check')} only, T0 among them, and have no line of "
            "their own; they count for what is shown and against the limits."
        )


def _unknown(final: EvaluationProspect) -> Iterator[str]:
    for one in final.attributes:
        if one.unknown:
            yield f"{one.attribute} in {one.pack} is not in the chances: {one.unknown}."
