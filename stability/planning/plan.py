"""The plan of a study: samples shared out or as stated, with all that follows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from math import ceil

from stability.model.age import T0
from stability.model.code import allot_study_code
from stability.model.first_days import weekend_words
from stability.model.plan import (
    USUAL_USABLE,
    VERY_LOW,
    CheckDay,
    FillLevel,
    LeftOut,
    StudyPlan,
)
from stability.model.protocol import Protocol
from stability.model.sample import PLACED, assign_samples
from stability.model.schedule import planned_placing
from stability.model.study import Study
from stability.planning.bench_hours import FULL_DAY, bench_hours
from stability.planning.fill_levels import dry_words, fill_levels, listed
from stability.planning.grams import (
    attribute_uses,
    batch_grams,
    full_cross,
    grams_lines,
)
from stability.planning.plan_dates import before_opening, check_days, start_days
from stability.planning.portions import Wishes, standing
from stability.planning.prices import is_frozen
from stability.planning.sharing import further_batch, share
from stability.planning.ways_out import usable_share_words, ways_out

#: From here on a condition is hot, down from here cold (common practice) [°C].
HOT, COLD = 40, 8


def plan_study(
    study: Study,
    protocol: Protocol,
    usable: Decimal = USUAL_USABLE,
    wishes: Wishes | None = None,
) -> StudyPlan:
    """Return the plan of a study.

    Rows of samples that the study states are taken as they stand; a study without
    any is shared out.

    Parameters
    ----------
    study
        The study; its rows may be missing.
    protocol
        Its protocol.
    usable
        Share of each batch that can be filled into samples [-].
    wishes
        What the maker changed of how it is shared out; None for nothing.
    """
    left_out: tuple[LeftOut, ...] = ()
    further_g: Decimal | None = None
    shared_out = not study.samples
    planned = study
    if shared_out:
        shared = share(study, protocol, usable, wishes)
        planned, left_out = shared.study, shared.left_out
    code = planned.code or allot_study_code(planned.product, ())
    planned = replace(planned, code=code)
    samples = assign_samples(planned, protocol)
    record = before_opening(planned, protocol, samples)
    batches = batch_grams(planned, protocol, usable)
    levels = fill_levels(planned, protocol, samples)
    days = check_days(record)
    if shared_out and any(one.short_g > 0 for one in batches):
        further_g = further_batch(study, protocol, usable, wishes)
    return StudyPlan(
        study=planned,
        protocol=protocol,
        is_shared=shared_out,
        usable=usable,
        lines=grams_lines(planned, protocol, samples),
        batches=batches,
        tests=attribute_uses(planned, protocol, samples),
        levels=levels,
        days=days,
        start_days=start_days(record),
        bench=bench_hours(planned, protocol, samples, days),
        full_cross=full_cross(planned, protocol),
        left_out=left_out,
        ways_out=ways_out(planned, protocol, batches, usable, further_g),
        cautions=tuple(_cautions(planned, protocol, usable, levels, days)),
    )


def _cautions(
    study: Study,
    protocol: Protocol,
    usable: Decimal,
    levels: Sequence[FillLevel],
    days: Sequence[CheckDay],
) -> Iterator[str]:
    """Yield what to know besides, most important first."""
    yield from dry_words(protocol, levels)
    yield f"{usable_share_words(study, usable)} into samples; --usable changes that"
    yield from _unknown_masses(study, protocol)
    yield from _unread_packs(study)
    yield from _alternatives(study, protocol)
    yield from _opened_words(study, levels)
    yield from _placing_words(study, protocol)
    yield from weekend_words(study, protocol, assign_samples(study, protocol))
    yield from _cycle_words(study, protocol)
    full = [one for one in days if one.hours > FULL_DAY]
    if full:
        yield (
            f"{len(full)} of {len(days)} check days take more than {FULL_DAY:g} h at "
            f"the bench, the longest {max(one.hours for one in full):.1f} h: stagger "
            "the batches or share the work"
        )
    sent = any(row.use == "sent out" for row in study.samples)
    if study.contains_water and not sent:
        yield (
            "the product contains water and nothing is sent out: a preservation "
            "efficacy test by a laboratory is needed, on the final formula in its pack"
        )
    yield from _aged_for_laboratory(study, protocol)
    if study.request.after_opening and not _has_in_use(study):
        yield (
            f"{study.request.after_opening} after opening is asked for, and no sample "
            "is in use: the plan gives no evidence for it; the protocol in-use is for "
            "that, as a study of its own"
        )
    if any(is_frozen(one) for one in standing(study, protocol)):
        yield (
            "glass that is frozen bursts when it is full: leave a third empty, stand "
            "it in a tray, wear gloves at the thaw"
        )
    yield from _oven_words(study, protocol)


def _oven_words(study: Study, protocol: Protocol) -> Iterator[str]:
    """Yield what to know of heat and cold before packs are filled for them."""
    kept = [
        one.temperature
        for one in standing(study, protocol)
        if one.temperature is not None
    ]
    if any(degrees >= HOT for degrees in kept):
        yield (
            "closed packs in heat can leak or burst: stand them in a tray; alcohol or "
            "volatile silicones never go into an unvented oven"
        )
    if any(degrees >= HOT or degrees <= COLD for degrees in kept):
        yield "no kitchen oven, and no refrigerator that holds food"


def _aged_for_laboratory(study: Study, protocol: Protocol) -> Iterator[str]:
    """Yield what a laboratory reads on aged product, which needs a closed container."""
    later: dict[tuple[str, ...], list[str]] = {}
    for one in protocol.attributes.values():
        checks = tuple(check for check in one.when if check != T0)
        if one.provided_by == "certificate" and checks and one.name not in study.omit:
            later.setdefault(checks, []).append(one.name)
    for checks, names in later.items():
        yield (
            f"a laboratory reads {listed(names)} at {listed(checks)} on aged product: "
            "keep a closed container for it besides, because microbes get into one "
            "that was opened"
        )


def _unread_packs(study: Study) -> Iterator[str]:
    used = {row.pack for row in study.samples}
    idle = [name for name in study.packs if name not in used]
    if idle:
        yield (
            f"no sample is filled into {listed(idle)}: the plan shows nothing for it; "
            "add [[samples]], or take the pack out"
        )


def _unknown_masses(study: Study, protocol: Protocol) -> Iterator[str]:
    unstated = [one.name for one in study.batches.values() if one.grams is None]
    if unstated:
        yield f"no grams stated for batch {listed(unstated)}: it may be too small"
    used = {row.pack for row in study.samples}
    empty = [
        one.name
        for one in study.packs.values()
        if one.fill_g is None and one.name in used
    ]
    if empty:
        yield f"no fill_g stated for pack {listed(empty)}: such samples count as 0 g"
    read = [one for one in protocol.attributes.values() if one.name not in study.omit]
    if all(one.takes_g is None for one in read):
        yield (
            "the protocol states takes_g for no attribute: what readings use up, and "
            "how full reopened containers stay, is not known"
        )
    weighed = any(one.from_weights for one in read)
    bare = [
        one.name
        for one in study.packs.values()
        if one.tare_g is None and one.name in used
    ]
    if weighed and bare:
        yield (
            f"no tare_g stated for pack {listed(bare)}: weigh ten empty ones and "
            "state the mean, or weight loss counts from the fill meant, not from the "
            "net weight"
        )


def _alternatives(study: Study, protocol: Protocol) -> Iterator[str]:
    """Yield groups of which more is read than is needed."""
    groups: dict[str, list[str]] = {}
    for one in protocol.attributes.values():
        if one.one_of is not None and one.name not in study.omit:
            groups.setdefault(one.one_of, []).append(one.name)
    for group, names in groups.items():
        if len(names) > 1:
            yield (
                f"for {group}, {listed(names)} are all planned, and one is enough: "
                "leave out, with the reason, what you do not own"
            )


def _opened_words(study: Study, levels: Sequence[FillLevel]) -> Iterator[str]:
    low = [one for one in levels if one.use == "reopened" and one.share < VERY_LOW]
    untouched = any(row.use == "untouched" for row in study.samples)
    if low and not untouched:
        yield (
            "reopened containers fall below 40 % and none is kept untouched: late "
            "readings speak for nearly empty, often opened packs"
        )
    if any(row.use == "reopened" for row in study.samples):
        yield (
            "a reopened container describes an opened pack; the report prints it with "
            "every result"
        )


def _placing_words(study: Study, protocol: Protocol) -> Iterator[str]:
    """Yield samples that would be placed before their T0 readings can be made."""
    early = {
        f"batch {sample.batch} in {sample.condition} on {placed}"
        for sample in assign_samples(study, protocol)
        if sample.use in PLACED
        and (placed := planned_placing(study, protocol, sample))
        < protocol.t0.read_after.after(study.batches[sample.batch].made)
    }
    for one in sorted(early):
        yield (
            f"{one} would be placed before its T0 readings "
            f"({protocol.t0.read_after} after making): place it later"
        )


def _cycle_words(study: Study, protocol: Protocol) -> Iterator[str]:
    """Yield when hands are needed at every step of a cycle, weekends among them."""
    starts = {
        sample.condition: planned_placing(study, protocol, sample)
        for sample in assign_samples(study, protocol)
        if sample.condition is not None and sample.use in PLACED
    }
    for condition in standing(study, protocol):
        if condition.cycles and condition.name in starts:
            first = starts[condition.name]
            days = ceil(condition.cycles * condition.hours_per_cycle / 24)
            last = first + timedelta(days=days)
            moves = condition.cycles * len(condition.steps)
            yield (
                f"{condition.name} needs hands at {moves} changes of place from "
                f"{first} ({first:%a}) to {last} ({last:%a}), on weekends too"
            )


def _has_in_use(study: Study) -> bool:
    return any(row.use == "in use" for row in study.samples)
