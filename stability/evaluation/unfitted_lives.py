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
from stability.evaluation.life_findings import AttributeLife
from stability.evaluation.series import MeasuredSeries
from stability.model.attribute import Attribute
from stability.model.estimate import NoFit
from stability.model.scores import WeightLossLife
from stability.statistics.cap import worded_cap
from stability.statistics.shelf_life import FEWEST_CHECKS
from stability.statistics.weight_loss import weight_loss_life


def worded_life(setting: Setting, attribute: Attribute) -> AttributeLife:
    """Return what scores and statements bear; they are never fitted."""
    declared = setting.index.protocol.analysis.extrapolate_scores
    bearings = []
    for batch in setting.evidence.batches:
        shown = own_shown(setting, attribute, batch)
        if declared and not setting.arm.finished:
            cap = cap_of(setting, shown, analysed=False, blocked="")
        else:
            cap = worded_cap(
                shown.months,
                declared_before_t0=declared,
                moved=setting.arm.words_moved or setting.arm.change != "none",
            )
        words = (None, "judged by its words")
        bearings.append(
            bearing_of(
                setting, attribute, batch, batch, shown=shown, cap=cap, estimate=words
            )
        )
    return blank_life(setting, attribute, "worded", bearings=tuple(bearings))


def weight_loss_life_of(
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
        estimate = None, FEW_CHECKS
    bearings = []
    for batch in setting.evidence.batches:
        shown = own_shown(setting, attribute, batch)
        cap = cap_of(
            setting,
            shown,
            analysed=isinstance(result, WeightLossLife),
            blocked=FEW_CHECKS if few else "",
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
