"""Shelf life of what is measured and fitted: batch by batch, and pooled beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stability.evaluation.bearings import (
    FEW_CHECKS,
    Setting,
    bearing_of,
    blank_life,
    cap_of,
    own_shown,
)
from stability.evaluation.life_findings import AttributeLife, ShareOutside
from stability.evaluation.series import MeasuredSeries
from stability.model.attribute import Attribute
from stability.model.estimate import Bound, Drift, NoFit
from stability.model.shelf_life import Bearing, Direction, ShelfLife
from stability.statistics.fitted_estimate import fitted_estimate
from stability.statistics.shelf_life import FEWEST_CHECKS, share_outside, shelf_life

_BLOCKED = "a caution forbids extrapolation"


def fitted_lives(
    setting: Setting, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> list[AttributeLife]:
    """Return one life, or one for each batch where limits were frozen at T0."""
    groups: dict[tuple[Bound, ...], dict[str, MeasuredSeries]] = {}
    named_all = named_series(series)
    for name, one in named_all.items():
        groups.setdefault(one.bounds, {})[name] = one
    if not groups:
        return [
            blank_life(
                setting, attribute, "fitted", bearings=_unread(setting, attribute)
            )
        ]
    lives = [
        _fitted_group(setting, attribute, bounds, named)
        for bounds, named in groups.items()
    ]
    read = {one.key.batch for one in named_all.values()}
    missing = [batch for batch in setting.evidence.batches if batch not in read]
    if missing:
        more = _unread(setting, attribute, missing)
        lives[0] = replace(lives[0], bearings=(*lives[0].bearings, *more))
    return lives


def named_series(series: Sequence[MeasuredSeries]) -> dict[str, MeasuredSeries]:
    """Return name -> series of one attribute, long-term condition and pack.

    The name is the batch, with the container where it has several; of several settings
    those read most often are taken.
    """
    best: dict[tuple[str, str], MeasuredSeries] = {}
    for one in series:
        place = one.key.batch, one.key.sample
        if place not in best or len(one.points) > len(best[place].points):
            best[place] = one
    chosen = list(best.values())
    batches = [one.key.batch for one in chosen]
    return {
        one.key.batch
        if batches.count(one.key.batch) == 1
        else f"{one.key.batch} ({one.key.sample or 'fresh containers'})": one
        for one in chosen
    }


def _fitted_group(
    setting: Setting,
    attribute: Attribute,
    bounds: tuple[Bound, ...],
    named: Mapping[str, MeasuredSeries],
) -> AttributeLife:
    protocol = setting.index.protocol
    failed = setting.evidence.failed_at_t0.get(attribute.name, frozenset())
    life: ShelfLife | NoFit = NoFit("no-bound", "The limit has no bound to meet.")
    if bounds:
        life = shelf_life(
            {name: one.drift for name, one in named.items()},
            bounds,
            direction=_direction(setting, attribute),
            carries=protocol.analysis.carries_request,
            confidence=protocol.analysis.confidence,
            failed_at_t0=[
                name for name, one in named.items() if one.key.batch in failed
            ],
        )
    batches = {one.key.batch for one in named.values()}
    if isinstance(life, ShelfLife) and len(batches) < len(named):
        # Containers of one batch are not batches: pooling says nothing of them.
        life = replace(life, pooled=None, pooling=None)
    bearings = tuple(
        _fitted_bearing(setting, attribute, life, name, one)
        for name, one in named.items()
        if not _is_carried(one, named.values())
    )
    return replace(
        blank_life(setting, attribute, "fitted", bearings=bearings),
        bounds=bounds,
        life=life,
        share_outside=_shares(setting, bounds, named),
        cautions=life.cautions if isinstance(life, ShelfLife) else (),
    )


def _is_carried(series: MeasuredSeries, all_series: Iterable[MeasuredSeries]) -> bool:
    """Say whether another container of the batch has the estimate.

    A jar left untouched until one check has no line of its own. Its readings count for
    what was shown and against the limits; that there are few of them takes nothing
    from a batch whose other containers have checks enough.
    """
    return checks_of(series) < FEWEST_CHECKS and any(
        one.key.batch == series.key.batch and checks_of(one) >= FEWEST_CHECKS
        for one in all_series
    )


def checks_of(series: MeasuredSeries) -> int:
    """Return the checks of a series, T0 among them; extra readings are none [-]."""
    return sum(point.check is not None for point in series.points)


def _direction(setting: Setting, attribute: Attribute) -> Direction:
    two_limits = setting.index.protocol.analysis.two_limits
    if attribute.direction == "either" and two_limits == "one-sided at each":
        return "either, one-sided"
    return attribute.direction


def _fitted_bearing(
    setting: Setting,
    attribute: Attribute,
    life: ShelfLife | NoFit,
    name: str,
    series: MeasuredSeries,
) -> Bearing:
    batch = series.key.batch
    shown = own_shown(setting, attribute, batch)
    if isinstance(life, ShelfLife):
        estimate, basis = fitted_estimate(life, name, checks_of(series))
        blocked = _BLOCKED if name in life.blocked else ""
    else:
        estimate, basis, blocked = None, f"no estimate: {life.text.rstrip('.')}", ""
    if checks_of(series) < FEWEST_CHECKS:
        blocked = FEW_CHECKS
    has_line = isinstance(series.drift, Drift)
    cap = cap_of(
        setting,
        shown,
        analysed=has_line,
        blocked=blocked,
    )
    return bearing_of(
        setting,
        attribute,
        name,
        batch,
        shown=shown,
        cap=cap,
        estimate=(estimate, basis),
    )


def _unread(
    setting: Setting, attribute: Attribute, batches: Sequence[str] | None = None
) -> tuple[Bearing, ...]:
    """Return bearings of batches of which no number was read."""
    found = []
    for batch in batches or setting.evidence.batches:
        shown = own_shown(setting, attribute, batch)
        cap = cap_of(setting, shown, analysed=False, blocked="not read")
        found.append(
            bearing_of(
                setting,
                attribute,
                batch,
                batch,
                shown=shown,
                cap=cap,
                estimate=(None, "not read"),
            )
        )
    return tuple(found)


def _shares(
    setting: Setting,
    bounds: Sequence[Bound],
    named: Mapping[str, MeasuredSeries],
) -> tuple[ShareOutside, ...]:
    asked = float(setting.index.record.study.request.months)
    found = []
    for name, one in named.items():
        if not isinstance(one.drift, Drift):
            continue
        for bound in bounds:
            share = share_outside(one.drift, bound, asked)
            known = None if isinstance(share, NoFit) else share
            found.append(ShareOutside(name, bound, known))
    return tuple(found)
