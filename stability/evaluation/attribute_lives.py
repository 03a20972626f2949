"""Shelf life of each attribute in one long-term condition and pack."""

from __future__ import annotations

from collections.abc import Sequence

from stability.evaluation.bearings import Setting
from stability.evaluation.fitted_lives import fitted_lives
from stability.evaluation.life_findings import AttributeLife
from stability.evaluation.series import MeasuredSeries
from stability.evaluation.unfitted_lives import weight_loss_life_of, worded_life


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
            found.append(worded_life(setting, attribute))
        elif attribute.from_weights:
            found.append(weight_loss_life_of(setting, attribute, series))
        else:
            found += fitted_lives(setting, attribute, series)
    return tuple(found)
