"""Shelf life of each attribute and pack, and what each batch brings to the request."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stability.evaluation.evidence import Evidence
from stability.evaluation.index import Index, unit_judged
from stability.evaluation.life_findings import (
    AcceleratedArm,
    AttributeLife,
    ShareOutside,
)
from stability.evaluation.series import MeasuredSeries
from stability.evaluation.shown import reaching, shown_of
from stability.model.attribute import Attribute
from stability.model.condition import StorageClass
from stability.model.estimate import Bound, Drift, NoFit
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import Bearing, Cap, Direction, ShelfLife, Shown
from stability.statistics.cap import BORROWED, extrapolation_cap, worded_cap
from stability.statistics.shelf_life import FEWEST_CHECKS, share_outside, shelf_life
from stability.statistics.support import (
    fitted_estimate,
    last_pass_before_failure,
    months_shown,
)
from stability.statistics.weight_loss import weight_loss_life

_FEW = f"fewer than {FEWEST_CHECKS} checks carry no estimate"
_BLOCKED = "a caution forbids extrapolation"
_NO_CLASS = "the long-term temperature tells no storage class"


@dataclass(frozen=True, slots=True)
class Setting:
    """What holds for all attributes of one long-term condition and pack."""

    #: The record, looked up once.
    index: Index
    #: What real time says there.
    evidence: Evidence
    #: What the accelerated arm of the pack allows.
    arm: AcceleratedArm
    #: Storage for which the product is meant; None where nothing tells it.
    storage: StorageClass | None


def attribute_lives(
    setting: Setting, measured: Sequence[MeasuredSeries]
) -> tuple[AttributeLife, ...]:
    """Return the lives of all attributes of one long-term condition and pack.

    Parameters
    ----------
    setting
        Condition, pack and what holds there.
    measured
        All measured series of the study.
    """
    evidence = setting.evidence
    found: list[AttributeLife] = []
    for name, attribute in setting.index.protocol.attributes.items():
        if name not in evidence.planned:
            continue
        series = [
            one
            for one in measured
            if one.key.attribute == name
            and one.key.condition == evidence.condition
            and one.key.pack == evidence.pack
            and one.role == "long-term"
        ]
        if attribute.kind != "measured":
            found.append(_worded(setting, attribute))
        elif attribute.from_weights:
            found.append(_weight_loss(setting, attribute, series))
        else:
            found += _fitted(setting, attribute, _main(series))
    return tuple(found)


def _main(series: Sequence[MeasuredSeries]) -> list[MeasuredSeries]:
    """Return one series for each batch or container: the settings read most often."""
    best: dict[tuple[str, str], MeasuredSeries] = {}
    for one in series:
        place = one.key.batch, one.key.sample
        if place not in best or len(one.points) > len(best[place].points):
            best[place] = one
    return list(best.values())


def _names(series: Sequence[MeasuredSeries]) -> dict[str, MeasuredSeries]:
    """Return name -> series: the batch, with the container where it has several."""
    batches = [one.key.batch for one in series]
    return {
        one.key.batch
        if batches.count(one.key.batch) == 1
        else f"{one.key.batch} ({one.key.sample or 'fresh containers'})": one
        for one in series
    }


def _fitted(
    setting: Setting, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> list[AttributeLife]:
    """Return one life, or one for each batch where limits were frozen at T0."""
    groups: dict[tuple[Bound, ...], dict[str, MeasuredSeries]] = {}
    for name, one in _names(series).items():
        groups.setdefault(one.bounds, {})[name] = one
    if not groups:
        return [
            _life(setting, attribute, "fitted", bearings=_unread(setting, attribute))
        ]
    lives = [
        _fitted_group(setting, attribute, bounds, named)
        for bounds, named in groups.items()
    ]
    read = {one.key.batch for one in series}
    missing = [batch for batch in setting.evidence.batches if batch not in read]
    if missing:
        more = _unread(setting, attribute, missing)
        lives[0] = replace(lives[0], bearings=(*lives[0].bearings, *more))
    return lives


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
    )
    return replace(
        _life(setting, attribute, "fitted", bearings=bearings),
        bounds=bounds,
        life=life,
        share_outside=_shares(setting, bounds, named),
        cautions=life.cautions if isinstance(life, ShelfLife) else (),
    )


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
    shown = _own_shown(setting, attribute, batch)
    if isinstance(life, ShelfLife):
        estimate, basis = fitted_estimate(life, name)
        blocked = _BLOCKED if name in life.blocked else ""
    else:
        estimate, basis, blocked = None, f"no estimate: {life.text.rstrip('.')}", ""
    if len(series.points) < FEWEST_CHECKS:
        blocked = _FEW
    has_line = isinstance(series.drift, Drift)
    cap = _cap(
        setting,
        shown,
        analysed=has_line,
        blocked=blocked,
    )
    return _bearing(
        setting,
        attribute,
        name,
        batch,
        shown=shown,
        cap=cap,
        estimate=(estimate, basis),
    )


def _cap(setting: Setting, shown: Shown, *, analysed: bool, blocked: str) -> Cap:
    """Return the cap of one batch, with the reason that blocks it, if any does."""
    longest = setting.index.protocol.analysis.longest_extrapolation
    reason = blocked or (_NO_CLASS if setting.storage is None else "")
    cap = extrapolation_cap(
        shown.months,
        storage=setting.storage or "room",
        significant_change=setting.arm.change,
        evidence="analysed" if analysed else "not analysed",
        accelerated_finished=setting.arm.finished,
        blocked=bool(reason),
        longest=None if longest is None else float(longest.whole_months),
    )
    return replace(cap, text=f"{reason}. {BORROWED}") if reason else cap


def _own_shown(setting: Setting, attribute: Attribute, batch: str) -> Shown:
    outcomes = setting.evidence.outcomes.get(attribute.name, {}).get(batch, ())
    own = months_shown(outcomes, before_first_failure=True)
    return reaching(setting.evidence, attribute.name, own)


def _bearing(
    setting: Setting,
    attribute: Attribute,
    name: str,
    batch: str,
    *,
    shown: Shown,
    cap: Cap,
    estimate: tuple[float | None, str],
) -> Bearing:
    evidence = setting.evidence
    outcomes = evidence.outcomes.get(attribute.name, {}).get(batch, ())
    return Bearing(
        attribute=attribute.name,
        pack=evidence.pack,
        batch=name,
        shown=shown,
        cap=cap,
        estimate=estimate[0],
        ends_at=last_pass_before_failure(outcomes),
        basis=estimate[1],
        shown_by_all=shown_of(evidence, attribute.name),
        condition=evidence.condition,
    )


def _unread(
    setting: Setting, attribute: Attribute, batches: Sequence[str] | None = None
) -> tuple[Bearing, ...]:
    """Return bearings of batches of which no number was read."""
    found = []
    for batch in batches or setting.evidence.batches:
        shown = _own_shown(setting, attribute, batch)
        cap = _cap(setting, shown, analysed=False, blocked="not read")
        found.append(
            _bearing(
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


def _life(
    setting: Setting,
    attribute: Attribute,
    kind: Literal["fitted", "weight loss", "worded"],
    *,
    bearings: tuple[Bearing, ...],
) -> AttributeLife:
    limit = attribute.limit_in(setting.evidence.condition)
    unit = unit_judged(attribute) if attribute.kind == "measured" else ""
    return AttributeLife(
        attribute=attribute.name,
        condition=setting.evidence.condition,
        pack=setting.evidence.pack,
        kind=kind,
        unit=unit,
        limit=limit,
        limit_text=limit.words(unit),
        bounds=(),
        life=None,
        weight_loss=None,
        shown=shown_of(setting.evidence, attribute.name),
        bearings=bearings,
        share_outside=(),
        cautions=(),
    )


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


def _worded(setting: Setting, attribute: Attribute) -> AttributeLife:
    """Return what scores and statements bear; they are never fitted."""
    declared = setting.index.protocol.analysis.extrapolate_scores
    bearings = []
    for batch in setting.evidence.batches:
        shown = _own_shown(setting, attribute, batch)
        if declared and not setting.arm.finished:
            cap = _cap(setting, shown, analysed=False, blocked="")
        else:
            cap = worded_cap(
                shown.months,
                declared_before_t0=declared,
                moved=setting.arm.words_moved or setting.arm.change != "none",
            )
        words = (None, "judged by its words")
        bearings.append(
            _bearing(
                setting, attribute, batch, batch, shown=shown, cap=cap, estimate=words
            )
        )
    return _life(setting, attribute, "worded", bearings=tuple(bearings))


def _weight_loss(
    setting: Setting, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> AttributeLife:
    """Return the life from rates of loss, one for each container of the pack."""
    result = _loss_life(setting, attribute, series)
    checks = {point.check for one in series for point in one.points[1:]}
    if isinstance(result, WeightLossLife):
        estimate = result.months, result.text.rstrip(".")
    else:
        estimate = None, f"no estimate: {result.text.rstrip('.')}"
    few = len(checks) + 1 < FEWEST_CHECKS
    if few:
        estimate = None, _FEW
    bearings = []
    for batch in setting.evidence.batches:
        shown = _own_shown(setting, attribute, batch)
        cap = _cap(
            setting,
            shown,
            analysed=isinstance(result, WeightLossLife),
            blocked=_FEW if few else "",
        )
        bearings.append(
            _bearing(
                setting,
                attribute,
                batch,
                batch,
                shown=shown,
                cap=cap,
                estimate=estimate,
            )
        )
    life = _life(setting, attribute, "weight loss", bearings=tuple(bearings))
    bounds = series[0].bounds if series else ()
    return replace(life, weight_loss=result, bounds=bounds)


def _loss_life(
    setting: Setting, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> WeightLossLife | NoFit:
    limit = attribute.limit_in(setting.evidence.condition).absolute
    if limit is None or limit.highest is None:
        return NoFit("no-highest-loss", "The limit names no highest loss.")
    if any(one.state == "undecided" for one in series):
        return NoFit(
            "interval-missing",
            "A weight after closing is missing: the rate of loss cannot be told.",
        )
    ages, losses = _rates(series)
    return weight_loss_life(
        ages,
        losses,
        float(limit.highest),
        confidence=setting.index.protocol.analysis.confidence,
    )


def _rates(
    series: Sequence[MeasuredSeries],
) -> tuple[list[float], list[float]]:
    """Return age and loss of each container at its last weighing."""
    last: dict[str, tuple[float, float]] = {}
    for one in series:
        for point in one.points[1:]:
            for code, loss in point.containers:
                if point.age_months > 0:
                    last[code] = (point.age_months, float(loss))
    return [age for age, _ in last.values()], [loss for _, loss in last.values()]
