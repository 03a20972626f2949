"""Listing of heat beside real time: rules of thumb and Arrhenius fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column
from stability.model.ageing import ArrheniusFit

if TYPE_CHECKING:
    from stability.workflow.evaluate import Evaluation, HeatFinding, KineticFinding

AGEING = (
    Column("kind", "kind", above=True),
    Column("attributes", "attributes"),
    Column("pack", "pack"),
    Column("batch", "batch"),
    Column("settings", ""),
    Column("condition", "condition"),
    Column("role", ""),
    Column("temperature_c", "°C", right=True),
    Column("outcome", ""),
    Column("check", "inside to"),
    Column("days", "days", right=True),
    Column("storage_condition", ""),
    Column("storage_c", "against °C", right=True),
    Column("q10_2_days", "Q10 2, days", right=True),
    Column("q10_2_lowest_days", ""),
    Column("q10_2_highest_days", ""),
    Column("q10_2_5_days", "Q10 2.5, days", right=True),
    Column("q10_2_5_lowest_days", ""),
    Column("q10_2_5_highest_days", ""),
    Column("q10_3_days", "Q10 3, days", right=True),
    Column("q10_3_lowest_days", ""),
    Column("q10_3_highest_days", ""),
    Column("unit", ""),
    Column("scale", ""),
    Column("rate_per_month", ""),
    Column("rate_slowest_per_month", ""),
    Column("rate_fastest_per_month", ""),
    Column("energy_kj_per_mol", ""),
    Column("energy_lowest_kj_per_mol", ""),
    Column("energy_highest_kj_per_mol", ""),
    Column("confidence", ""),
    Column("readings", ""),
    Column("df", ""),
    Column("f", ""),
    Column("p", ""),
    Column("over_range", "over the range", below=True),
    Column("text", "in words", below=True),
    Column("cautions", "cautions", below=True),
)


def ageing_listing(evaluation: Evaluation) -> Listing:
    """Return one row for each hot condition and fate, and for each Arrhenius fit."""
    identity = evaluation.identity
    facts: dict[str, Cell] = {
        "study": identity.study.code,
        "product": identity.study.product,
        "as_of": identity.as_of.isoformat(),
    }
    found = evaluation.ageing
    if found is None:
        return Listing("ageing", AGEING, [], "", facts=facts, notes=(evaluation.note,))
    limit = found.structural_limit
    if limit is not None:
        facts["structural_limit"] = f"{limit.temperature} °C ({limit.reason})"
    rows = [_heat_row(one) for one in found.heat]
    rows += [_kinetic_row(one) for one in found.kinetics]
    empty = [found.no_heat, found.no_kinetics]
    return Listing(
        "ageing",
        AGEING,
        rows,
        "Nothing to hold beside real time.",
        facts=facts,
        notes=(
            *(text for text in empty if text),
            *(one.text for one in found.cautions),
            evaluation.note,
        ),
    )


def _heat_row(one: HeatFinding) -> Row:
    refused = one.outcome != "translated"
    row: dict[str, Cell] = {
        "kind": "rule of thumb",
        "attributes": ", ".join(one.attributes) or "all",
        "condition": one.condition,
        "role": one.role,
        "temperature_c": _tidy(one.celsius),
        "outcome": one.outcome,
        "check": one.check,
        "days": _days(one.days),
        "storage_condition": one.against.condition,
        "storage_c": _tidy(one.against.celsius),
        "over_range": _over_range(one),
        "text": f"not translated: {one.text}" if refused else one.text,
    }
    for each in one.translations:
        key = f"q10_{each.q10:g}".replace(".", "_")
        row[f"{key}_days"] = _days(each.days)
        row[f"{key}_lowest_days"] = _days(each.lowest_days)
        row[f"{key}_highest_days"] = _days(each.highest_days)
    return row


def _over_range(one: HeatFinding) -> str:
    """Say how far the answer moves with the temperature of the storage."""
    low, high = one.against.lowest, one.against.highest
    if not one.translations or low >= high:
        return ""
    spans = "; ".join(
        f"Q10 {each.q10:g}: {each.lowest_days:.0f} to {each.highest_days:.0f} days"
        for each in one.translations
    )
    return f"over {low:g} to {high:g} °C in {one.against.condition}, {spans}"


def _kinetic_row(one: KineticFinding) -> Row:
    left_out = "; ".join(f"{name} left out: {why}" for name, why in one.left_out)
    row: dict[str, Cell] = {
        "kind": "Arrhenius, supportive only",
        "attributes": one.key.attribute,
        "pack": one.key.pack,
        "batch": one.key.batch,
        "settings": ", ".join(f"{name} {value}" for name, value in one.key.settings),
        "condition": ", ".join(name for name, _ in one.conditions),
        "storage_condition": one.against.condition,
        "storage_c": _tidy(one.against.celsius),
        "unit": one.unit,
        "scale": one.scale,
        "text": "; ".join(filter(None, (one.text.removesuffix("."), left_out))),
        "cautions": " ".join(caution.text for caution in one.cautions),
    }
    if not isinstance(one.result, ArrheniusFit):
        return {**row, "outcome": one.result.code}
    fit = one.result
    return {
        **row,
        "outcome": "fitted",
        "rate_per_month": fit.rate,
        "rate_slowest_per_month": fit.rate_interval[0],
        "rate_fastest_per_month": fit.rate_interval[1],
        "energy_kj_per_mol": fit.energy,
        "energy_lowest_kj_per_mol": fit.energy_interval[0],
        "energy_highest_kj_per_mol": fit.energy_interval[1],
        "confidence": fit.confidence,
        "readings": fit.n,
        "df": fit.df,
        "f": fit.f,
        "p": fit.p,
    }


def _tidy(celsius: float | None) -> int | float | None:
    """Return whole degrees without a point."""
    if celsius is not None and celsius.is_integer():
        return int(celsius)
    return celsius


def _days(days: float | None) -> int | None:
    return None if days is None else round(days)
