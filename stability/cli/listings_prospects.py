"""Listing of what a plan can prove: at each long-term check, and with which chance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.model.prospects import EvaluationProspect
    from stability.workflow.drafts import Draft

PROSPECTS = (
    Column("check", "check"),
    Column("planned_look", "judges"),
    Column("shown_months", "shown", right=True),
    Column("supported_at_most_months", "at most", right=True),
    Column("chance_no_drift", "chance, no drift", right=True),
    Column("chance_most_drift", "chance, most drift", right=True),
    Column("chance_no_drift_at_least", ""),
    Column("chance_no_drift_at_most", ""),
    Column("chance_most_drift_at_least", ""),
    Column("chance_most_drift_at_most", ""),
    Column("text", ""),
)


def prospects_listing(draft: Draft) -> Listing:
    """Return one row for each long-term check, and all that was assumed below."""
    found = draft.prospects
    return Listing(
        "prospects",
        PROSPECTS,
        [_prospect(one) for one in found.evaluations],
        "The protocol has no long-term check: no shelf life can be shown.",
        notes=(
            *found.text,
            *(f"What it would take: {one.text}" for one in found.purchases),
            *found.assumptions,
        ),
    )


def _prospect(one: EvaluationProspect) -> Row:
    row: dict[str, Cell] = {
        "check": one.check,
        "planned_look": one.is_planned_look,
        "shown_months": one.shown,
        "supported_at_most_months": round(one.cap, 2),
        "text": one.text,
    }
    if one.chances:
        ends = {"no_drift": one.chances[0], "most_drift": one.chances[-1]}
        for name, chance in ends.items():
            row[f"chance_{name}"] = _chance(chance.at_least, chance.at_most)
            row[f"chance_{name}_at_least"] = _rounded(chance.at_least)
            row[f"chance_{name}_at_most"] = _rounded(chance.at_most)
    return row


def _rounded(chance: float | None) -> float | None:
    return None if chance is None else round(chance, 4)


def _chance(least: float | None, most: float | None) -> str | None:
    """Return a chance or its range in percent; none is never printed for a little."""
    known = [one for one in (least, most) if one is not None]
    if not known:
        return None
    low, high = _percents(min(known)), _percents(max(known))
    return f"{low} %" if low == high else f"{low} to {high} %"


def _percents(chance: float) -> str:
    if 0 < chance < 0.01:
        return "<1"
    return ">99" if 0.99 < chance <= 1 else f"{100 * chance:.0f}"
