"""Listings of a plan before T0: grams, ways out, prospects, fill levels, dates."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from stability.cli.listings_prospects import prospects_listings
from stability.cli.options import Format
from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.model.plan import FillLevel, GramsLine, StudyPlan
    from stability.workflow.drafts import Draft

LINES = (
    Column("purpose", "purpose"),
    Column("pack", "pack"),
    Column("batch", "batch"),
    Column("samples", "samples", right=True),
    Column("each_g", "g each", right=True),
    Column("grams", "g", right=True),
    Column("checks", "checks"),
    Column("keep_until", "keep until"),
)
BATCHES = (
    Column("batch", "batch"),
    Column("made_g", "made g", right=True),
    Column("usable_g", "usable g", right=True),
    Column("needed_g", "needed g", right=True),
    Column("left_g", "left g", right=True),
    Column("short_g", "short g", right=True),
)
WAYS = (
    Column("way_out", "way out"),
    Column("wins_g", "wins g", right=True),
    Column("enough", "enough"),
    Column("costs", "costs", below=True),
)
LEFT_OUT = (
    Column("left_out", "left out for want of grams"),
    Column("grams", "g", right=True),
    Column("costs", "costs", below=True),
)
LEVELS = (
    Column("condition", "condition"),
    Column("pack", "pack"),
    Column("use", "use"),
    Column("batch", "batch"),
    Column("check", "check"),
    Column("left_g", "left g", right=True),
    Column("full_percent", "% full", right=True),
    Column("surfaces_left", "surfaces left", right=True),
    Column("remark", "remark"),
)
LEVELS_IN_SHORT = (
    Column("condition", "condition"),
    Column("pack", "pack"),
    Column("use", "use"),
    Column("batch", "batch"),
    Column("levels", "% full after each check"),
    Column("remark", "remark", below=True),
)
TESTS = (
    Column("attribute", "test"),
    Column("takes_g", "g each", right=True),
    Column("needs_g", "g returned", right=True),
    Column("observations", "times", right=True),
    Column("grams", "g in all", right=True),
    Column("surfaces", "surfaces", right=True),
)
DAYS = (
    Column("day", "day"),
    Column("weekday", "on"),
    Column("weekend", "weekend"),
    Column("samples", "samples", right=True),
    Column("hours", "h", right=True),
    Column("checks", "checks"),
)
NONE_OPENED = "No container is opened again."
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def draft_listings(draft: Draft, form: Format, *, full: bool) -> tuple[Listing, ...]:
    """Return everything that a plan tells, the samples first.

    Parameters
    ----------
    draft
        The plan.
    form
        Batches stand side by side in a table, one a row elsewhere.
    full
        Whether the full cross is shown to compare with.
    """
    plan = draft.plan
    table = form is Format.table
    return (
        _shares(draft, full=full) if table else _lines(draft),
        *(() if table else (_batches(plan),)),
        _ways(plan),
        _left_out(plan),
        *prospects_listings(draft.prospects),
        _levels_in_short(plan) if table else _levels(plan),
        _tests(plan),
        _days(plan),
    )


def _facts(draft: Draft, *, full: bool) -> dict[str, Cell]:
    plan, prospects = draft.plan, draft.prospects
    facts: dict[str, Cell] = {
        "protocol": plan.protocol.name,
        "product": plan.study.product,
        "requested_months": prospects.asked,
        "short_g": _number(plan.short_g),
        "bench_hours": round(plan.bench.hours, 1),
        "supported_at_the_earliest": prospects.earliest,
    }
    if full:
        facts["full_cross_g"] = _number(plan.full_cross.grams)
        facts["full_cross_containers"] = plan.full_cross.containers
    return facts


def _lines(draft: Draft) -> Listing:
    rows: list[Row] = [
        {
            "purpose": line.purpose,
            "pack": line.pack,
            "batch": batch,
            "samples": count,
            "each_g": _number(line.each_g),
            "grams": _number(line.grams(batch)),
            "checks": " ".join(line.checks),
            "keep_until": line.keep_until.isoformat() if line.keep_until else None,
        }
        for line in draft.plan.lines
        for batch, count in line.samples.items()
    ]
    facts, notes = _facts(draft, full=True), _notes(draft, full=True)
    return Listing("samples", LINES, rows, "No samples.", facts, notes)


def _shares(draft: Draft, *, full: bool) -> Listing:
    """Return the purposes with the grams of each batch beside each other."""
    plan = draft.plan
    names = list(plan.study.batches)
    columns = (
        Column("purpose", "purpose"),
        Column("pack", "pack"),
        *(Column(name, f"{name} g", right=True) for name in names),
        Column("samples", "samples", right=True),
        Column("checks", "checks"),
    )
    rows = [_share(line, names) for line in plan.lines]
    sums: dict[str, dict[str, Decimal | None]] = {
        "samples need": {one.batch: one.needed_g for one in plan.batches},
        "can be filled": {one.batch: one.usable_g for one in plan.batches},
        "left over": {one.batch: one.left_g for one in plan.batches},
    }
    for title, grams in sums.items():
        cells = {name: _number(mass) for name, mass in grams.items()}
        rows.append({"purpose": title, **cells})
    return Listing(
        "samples", columns, rows, "No samples.", _facts(draft, full=full),
        _notes(draft, full=full),
    )  # fmt: skip


def _share(line: GramsLine, names: list[str]) -> Row:
    kept = f"keep until {line.keep_until}" if line.keep_until else ""
    return {
        "purpose": line.purpose,
        "pack": line.pack,
        **{name: _number(line.grams(name)) or None for name in names},
        "samples": sum(line.samples.values()),
        "checks": " ".join(line.checks) or kept,
    }


def _notes(draft: Draft, *, full: bool) -> tuple[str, ...]:
    """Return what to know of the samples, most important first."""
    plan = draft.plan
    notes = []
    if plan.short_g:
        batches = ", ".join(
            f"{one.batch} by {_number(one.short_g)} g"
            for one in plan.batches
            if one.short_g
        )
        notes.append(f"Short by {_number(plan.short_g)} g: batch {batches}.")
    if full:
        cross = plan.full_cross
        notes.append(
            "A full cross of packs and conditions with a fresh container at every "
            f"check would take {_number(cross.grams)} g of each batch in "
            f"{cross.containers} containers; T0 and what is sent out come on top."
        )
    notes += [
        f"{one[:1].upper()}{one[1:]}." for one in (*draft.remarks, *plan.cautions)
    ]
    return tuple(notes)


def _batches(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {
            "batch": one.batch,
            "made_g": _number(one.made_g),
            "usable_g": _number(one.usable_g),
            "needed_g": _number(one.needed_g),
            "left_g": _number(one.left_g),
            "short_g": _number(one.short_g),
        }
        for one in plan.batches
    ]
    return Listing("batches", BATCHES, rows, "No batch.")


def _ways(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {
            "way_out": one.text,
            "wins_g": _number(one.grams),
            "enough": one.enough,
            "costs": one.costs,
        }
        for one in plan.ways_out
    ]
    return Listing("ways_out", WAYS, rows, "")


def _left_out(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {"left_out": one.text, "grams": _number(one.grams), "costs": one.costs}
        for one in plan.left_out
    ]
    return Listing("left_out", LEFT_OUT, rows, "")


def _levels(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {
            "condition": one.condition,
            "pack": one.pack,
            "use": one.use,
            "batch": one.batch,
            "check": one.check,
            "left_g": _number(one.left_g),
            "full_percent": _percent(one),
            "surfaces_left": one.surfaces_left,
            "remark": one.words(),
        }
        for one in plan.levels
    ]
    return Listing("fill_levels", LEVELS, rows, NONE_OPENED)


def _levels_in_short(plan: StudyPlan) -> Listing:
    """Return one row for containers that are alike but for their batch."""
    series: dict[tuple[str, ...], list[FillLevel]] = {}
    for one in plan.levels:
        # Fresh containers of one row stand side by side, not in a row each.
        sample = "" if one.use == "fresh per check" else one.sample
        key = (sample, one.batch, one.condition, one.pack, one.use)
        series.setdefault(key, []).append(one)
    batches: dict[tuple[str, ...], list[str]] = {}
    for (_, batch, *place), levels in series.items():
        told = " ".join(f"{one.check} {_percent(one)}" for one in levels)
        first: dict[str, str] = {}
        for one in levels:
            if words := one.words():
                first.setdefault(words, one.check)
        remark = "; ".join(f"from {check} {words}" for words, check in first.items())
        batches.setdefault((*place, told, remark), []).append(batch)
    rows: list[Row] = [
        {
            "condition": condition,
            "pack": pack,
            "use": use,
            "batch": " ".join(names),
            "levels": told,
            "remark": remark,
        }
        for (condition, pack, use, told, remark), names in batches.items()
    ]
    return Listing(
        "fill_levels", LEVELS_IN_SHORT, rows, "No container is opened again."
    )


def _percent(level: FillLevel) -> int:
    return round(100 * level.share)


def _tests(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {
            "attribute": one.attribute,
            "takes_g": _number(one.takes_g),
            "needs_g": _number(one.needs_g),
            "observations": one.observations,
            "grams": _number(one.grams) if one.takes_g is not None else None,
            "surfaces": one.surfaces or None,
        }
        for one in plan.tests
    ]
    total = sum((one.grams for one in plan.tests), Decimal(0))
    note = f"Readings use up {_number(total)} g in all."
    return Listing("tests", TESTS, rows, "Nothing is read.", notes=(note,))


def _days(plan: StudyPlan) -> Listing:
    rows: list[Row] = [
        {
            "day": one.day.isoformat(),
            "weekday": _WEEKDAYS[one.day.weekday()],
            "weekend": "weekend" if one.is_weekend else "",
            "samples": one.samples,
            "hours": round(one.hours, 1),
            "checks": ", ".join(one.checks),
        }
        for one in plan.days
    ]
    return Listing("days", DAYS, rows, "No check.", notes=tuple(_day_notes(plan)))


def _day_notes(plan: StudyPlan) -> Iterator[str]:
    weekends = sum(one.is_weekend for one in plan.days)
    bench = plan.bench
    yield (
        f"{len(plan.days)} days with checks, {weekends} of them on a weekend; "
        f"{bench.hours:.0f} h at the bench, the longest day {bench.longest_day:.1f} h."
    )
    yield f"Basis of the hours: {bench.basis}"
    for one in plan.start_days:
        yield (
            f"Batch {one.batch} placed on {one.better} instead of {one.planned}: "
            f"{one.better_weekend_days} of its check days on a weekend instead of "
            f"{one.weekend_days}."
        )
    if plan.start_days:
        condition = next(iter(plan.protocol.conditions))
        yield (
            "A planned day stands in the study file, for all batches, below "
            f"[place_on]: {condition} = {plan.start_days[0].better}. The real placing "
            "replaces it."
        )


def _number(grams: Decimal | None) -> float | int | None:
    """Return a mass as a plain number; None where there is none."""
    if grams is None:
        return None
    return int(grams) if grams == int(grams) else round(float(grams), 2)
