"""Listing of shelf life: what each attribute, pack and batch brings to the request."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column
from stability.model.forecast_words import FARTHEST_MONTHS
from stability.model.shelf_life import ShelfLife

if TYPE_CHECKING:
    from stability.model.shelf_life import Bearing
    from stability.workflow.evaluate import AttributeLife, Evaluation

LIVES = (
    Column("attribute", "attribute", above=True),
    Column("pack", "pack", above=True),
    Column("limit", "limit", above=True),
    Column("condition", ""),
    Column("kind", ""),
    Column("batch", "batch"),
    Column("shown_months", "shown", right=True),
    Column("estimated_months", ""),
    Column("estimated_text", "estimated", right=True),
    Column("without_last_check_months", ""),
    Column("without_last_check", ""),
    Column("cap_months", "cap", right=True),
    Column("cap_rule", "rule"),
    Column("last_pass_before_failure_months", ""),
    Column("at_most_months", "at most", right=True),
    Column("estimate", "estimate", below=True),
)


def lives_listing(evaluation: Evaluation) -> Listing:
    """Return one row for each attribute, pack and batch that bears the request."""
    identity = evaluation.identity
    findings = evaluation.shelf_life
    facts: dict[str, Cell] = {
        "study": identity.study.code,
        "product": identity.study.product,
        "as_of": identity.as_of.isoformat(),
        "requested_months": identity.study.request.months,
    }
    empty = "Nothing that bears the request is planned under long-term storage."
    if findings is None:
        return Listing("lives", LIVES, [], empty, facts=facts, notes=(evaluation.note,))
    supported = findings.supported
    return Listing(
        "lives",
        LIVES,
        [_row(life, one) for life in findings.attributes for one in life.bearings],
        empty,
        facts={
            **facts,
            "outcome": findings.request.outcome,
            "shown_months": supported.shown,
            "supported_months": supported.months,
        },
        notes=(
            findings.request.text,
            supported.text,
            findings.look.text,
            *(f"{pack.pack}: {pack.accelerated.text}" for pack in findings.packs),
            *(f"{name} is left out: {why}" for name, why in findings.left_out),
            *_cautions(evaluation),
            evaluation.note,
        ),
    )


def _cautions(evaluation: Evaluation) -> list[str]:
    findings = evaluation.shelf_life
    if findings is None:
        return []
    texts = [one.text for one in findings.cautions]
    texts += [
        f"{life.attribute}, {life.pack}: {one.text}"
        for life in findings.attributes
        for one in life.cautions
    ]
    return list(dict.fromkeys(texts))


def _estimate_text(months: float | None) -> str | None:
    """Return an estimate for people; one beyond ten years is no number for them."""
    if months is None:
        return None
    if months > FARTHEST_MONTHS:
        return f"beyond {FARTHEST_MONTHS}"
    return f"{months:.1f}"


def _row(life: AttributeLife, one: Bearing) -> Row:
    estimated = None if one.estimate is None else round(one.estimate, 2)
    shorter, said = _without_last(life, one.batch)
    said = "" if estimated is None else said
    return {
        "attribute": life.attribute,
        "pack": life.pack,
        "limit": life.limit_text,
        "condition": life.condition,
        "kind": life.kind,
        "batch": one.batch,
        "shown_months": one.shown.months,
        "estimated_months": estimated,
        "estimated_text": _estimate_text(one.estimate),
        "cap_months": one.cap.months,
        "cap_rule": one.cap.rule,
        "last_pass_before_failure_months": one.ends_at,
        "at_most_months": round(one.limit, 2),
        "estimate": "; ".join(part for part in (one.basis, said) if part) or None,
        **shorter,
    }


def _without_last(life: AttributeLife, batch: str) -> tuple[Row, str]:
    """Return the estimate without the last check in its cells, and in words."""
    fitted = life.life
    for one in fitted.batch_by_batch.batches if isinstance(fitted, ShelfLife) else ():
        if one.batch == batch and one.without_last_text:
            months = one.months_without_last
            cells: Row = {
                "without_last_check_months": None
                if months is None
                else round(months, 2),
                "without_last_check": one.without_last_text,
            }
            return cells, f"without the last check {one.without_last_text}"
    return {}, ""
