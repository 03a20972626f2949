"""Shelf life of what is not fitted: scores, statements and loss of weight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stability.evaluation.bearings import (
    FEW_CHECKS,
    Setting,
    bearing_of,
    blank_life,
    cap_of,
    own_shown,
)
from stability.evaluation.histories import step_of
from stability.evaluation.index import Index
from stability.evaluation.life_findings import AttributeLife
from stability.evaluation.series import MeasuredSeries
from stability.model.attribute import Attribute
from stability.model.estimate import NoFit
from stability.model.scores import WeightLossLife
from stability.model.shelf_life import Cap, Shown
from stability.statistics.cap import worded_cap
from stability.statistics.shelf_life import FEWEST_CHECKS
from stability.statistics.weight_loss import weight_loss_life

#: Why nothing is claimed of a loss beyond what was weighed.
_NO_RATES = "no life is worked out from rates of loss"


def worded_life(setting: Setting, attribute: Attribute) -> AttributeLife:
    """Return what scores and statements bear; they are never fitted."""
    bearings = []
    for batch in setting.evidence.batches:
        shown = own_shown(setting, attribute, batch)
        cap = _worded_cap(setting, shown)
        words = (None, "judged by words")
        bearings.append(
            bearing_of(
                setting, attribute, batch, batch, shown=shown, cap=cap, estimate=words
            )
        )
    return blank_life(setting, attribute, "worded", bearings=tuple(bearings))


def _worded_cap(setting: Setting, shown: Shown) -> Cap:
    """Return the cap of scores and statements.

    Half as far again at most, and never beyond what the storage, the accelerated
    condition and the protocol allow to what is not analysed.
    """
    declared = setting.index.protocol.analysis.extrapolate_scores
    own = worded_cap(
        shown.months,
        declared_before_t0=declared,
        moved=setting.arm.words_moved or setting.arm.change != "none",
    )
    if not declared:
        return own
    general = cap_of(setting, shown, analysed=False, blocked="")
    both = (own, general) if setting.arm.finished else (general, own)
    return min(both, key=lambda one: one.months)


def weight_loss_life_of(
    setting: Setting, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> AttributeLife:
    """Return the life from rates of loss, one for each container of the pack."""
    result = _loss_life(setting, attribute, series)
    checks = {point.check for one in series for point in one.points[1:] if point.check}
    if isinstance(result, WeightLossLife):
        estimate = result.months, result.text.rstrip(".")
    else:
        estimate = None, f"no estimate: {result.text.rstrip('.')}"
    few = len(checks) + 1 < FEWEST_CHECKS
    blocked = "" if isinstance(result, WeightLossLife) else _NO_RATES
    if few:
        estimate, blocked = (None, FEW_CHECKS), FEW_CHECKS
    bearings = []
    for batch in setting.evidence.batches:
        shown = own_shown(setting, attribute, batch)
        cap = cap_of(
            setting,
            shown,
            analysed=isinstance(result, WeightLossLife),
            blocked=blocked,
        )
        bearings.append(
            bearing_of(
                setting,
                attribute,
                batch,
                batch,
                shown=shown,
                cap=cap,
                estimate=estimate,
            )
        )
    life = blank_life(setting, attribute, "weight loss", bearings=tuple(bearings))
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
            "A weight after closing is missing: the rate of loss cannot be told. Weigh "
            "a container that is opened again after each sampling, too (w2).",
        )
    ages, losses = _rates(series)
    return weight_loss_life(
        ages,
        losses,
        float(limit.highest),
        resolution=_step_of_loss(setting.index, attribute, series),
        confidence=setting.index.protocol.analysis.confidence,
    )


def _step_of_loss(
    index: Index, attribute: Attribute, series: Sequence[MeasuredSeries]
) -> float | None:
    """Return the step of the balance as a share of the smallest net fill [%]."""
    step = step_of(index, attribute)
    losses = [
        index.losses.get(position)
        for one in series
        for point in one.points
        for position in point.positions
    ]
    nets = [one.net for one in losses if one is not None and one.net is not None]
    return 100 * step / float(min(nets)) if step is not None and nets else None


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
