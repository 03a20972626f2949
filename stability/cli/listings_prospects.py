"""Listings of what a plan can prove: with which chance, by what, and what buys more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.model.prospects import (
        AttributeProspect,
        EvaluationProspect,
        PlanProspects,
        Purchase,
    )

PROSPECTS = (
    Column("check", "check"),
    Column("planned_look", "judged"),
    Column("shown_months", "months shown", right=True),
    Column("supported_at_most_months", "at most", right=True),
)
_MONTHS = (
    "Judged: whether the months asked for are judged then, as the protocol says. "
    "Months shown: by real time, if everything passes. At most: months that can be "
    "supported then. Chance: that the months asked for are supported then; % used: how "
    "far towards its limit the product has drifted by the end of them."
)
_EACH = "A check, read: containers at each check, and in all by then."
ATTRIBUTES = (
    Column("attribute", "attribute", above=True),
    Column("limit", "limit", above=True),
    Column("pack", "pack"),
    Column("condition", ""),
    Column("kind", ""),
    Column("series", "series", right=True),
    Column("checks", "checks", right=True),
    Column("containers_a_check", "a check", right=True),
    Column("containers_read", "read", right=True),
    Column("shown_months", "", right=True),
    Column("supported_at_most_months", "at most", right=True),
    Column("cap_reason", ""),
    Column("scatter", ""),
    Column("may_fail_at_most", ""),
)
PURCHASES = (
    Column("change", "what would buy more"),
    Column("containers", "more", right=True),
    Column("grams", "g more", right=True),
    Column("judged_at", "judged at"),
    Column("supported_at_most_months", "at most", right=True),
    Column("chance_now", "chance now", right=True),
    Column("chance_then", "then", right=True),
    Column("chance_now_at_most", ""),
    Column("chance_then_at_most", ""),
    Column("room_used_percent", ""),
    Column("besides", "besides", below=True),
    Column("text", ""),
)
_NO_CHECK = "The protocol has no long-term check: no shelf life can be shown."


def prospects_listings(found: PlanProspects) -> tuple[Listing, ...]:
    """Return what a plan can prove: by check, by attribute, and what buys more."""
    return _by_check(found), _by_attribute(found), _purchases(found)


def _by_check(found: PlanProspects) -> Listing:
    cases = _cases(found.final)
    meaning = (_MONTHS,) if found.evaluations else ()
    return Listing(
        "prospects",
        (*PROSPECTS, *_chance_columns(cases, "chance: "), Column("text", "")),
        [_evaluation(one) for one in found.evaluations],
        _NO_CHECK,
        notes=(*meaning, *found.text, *found.assumptions),
    )


def _by_attribute(found: PlanProspects) -> Listing:
    judged = found.judged
    columns = (
        *ATTRIBUTES,
        *_chance_columns(_cases(judged), ""),
        Column("remark", "remark", below=True),
        Column("text", ""),
    )
    if judged is None:
        return Listing("prospects_by_attribute", columns, [], "")
    order = list(dict.fromkeys(one.attribute for one in judged.attributes))
    ordered = sorted(judged.attributes, key=lambda one: order.index(one.attribute))
    rows = [_attribute(one) for one in ordered]
    note = f"By attribute: at {judged.check}, each for itself. {_EACH}"
    return Listing("prospects_by_attribute", columns, rows, "", notes=(note,))


def _purchases(found: PlanProspects) -> Listing:
    told = [one for one in found.purchases if one.now is not None]
    notes: tuple[str, ...] = ()
    if told:
        used = _used_words(told[0].room_used)
        notes = (f"Chances before and after a change: at most, with {used}.",)
        if told[0].room_used == 0:
            notes = ("Chances before and after a change: at most, without drift.",)
    rows = [_purchase(one) for one in found.purchases]
    return Listing("purchases", PURCHASES, rows, "", notes=notes)


def _cases(one: EvaluationProspect | None) -> tuple[float, ...]:
    return () if one is None else tuple(case.room_used for case in one.chances)


def _case_key(room_used: float) -> str:
    if room_used == 0:
        return "chance_no_drift"
    return f"chance_{100 * room_used:.0f}_percent_used"


def _used_words(room_used: float) -> str:
    return "no drift" if room_used == 0 else f"{100 * room_used:.0f} % used"


def _chance_columns(cases: Iterable[float], lead: str) -> Iterator[Column]:
    """Yield the columns of each case of drift: in words, and both ends as numbers."""
    for place, used in enumerate(cases):
        key = _case_key(used)
        title = _used_words(used)
        yield Column(key, title if place else f"{lead}{title}", right=True)
        yield Column(f"{key}_at_least", "")
        yield Column(f"{key}_at_most", "")


def _evaluation(one: EvaluationProspect) -> Row:
    row: dict[str, Cell] = {
        "check": one.check,
        "planned_look": one.is_planned_look,
        "shown_months": one.shown,
        "supported_at_most_months": _months(one.cap),
        "text": one.text,
    }
    for case in one.chances:
        row |= _chance_cells(case.room_used, case.at_least, case.at_most)
    return row


def _attribute(one: AttributeProspect) -> Row:
    row: dict[str, Cell] = {
        "attribute": one.attribute,
        "limit": one.limit_text,
        "pack": one.pack,
        "condition": one.condition,
        "kind": one.kind,
        "series": one.series,
        "checks": _ends(one.checks, one.most_checks),
        "containers_a_check": one.containers,
        "containers_read": one.containers_read,
        "shown_months": one.shown,
        "supported_at_most_months": _months(one.cap),
        "cap_reason": one.cap_text,
        "scatter": one.scatter_text or None,
        "may_fail_at_most": _rounded(one.may_fail),
        "remark": _remark(one),
        "text": one.text,
    }
    for case in one.chances:
        row |= _chance_cells(case.room_used, case.support, case.support)
    return row


def _remark(one: AttributeProspect) -> str | None:
    if one.may_fail is not None:
        return (
            f"if none of {one.containers_read} fails, up to {100 * one.may_fail:.0f} % "
            "of all may still fail"
        )
    return one.unknown or one.noticed or None


def _purchase(one: Purchase) -> Row:
    return {
        "change": one.change,
        "containers": one.containers,
        "grams": None if one.grams is None else round(one.grams, 2),
        "judged_at": one.check,
        "supported_at_most_months": _months(one.cap_then),
        "chance_now": _chance(one.now, one.now),
        "chance_then": _chance(one.then, one.then),
        "chance_now_at_most": _rounded(one.now),
        "chance_then_at_most": _rounded(one.then),
        "room_used_percent": round(100 * one.room_used, 1),
        "besides": one.besides or None,
        "text": one.text,
    }


def _chance_cells(
    room_used: float, least: float | None, most: float | None
) -> dict[str, Cell]:
    key = _case_key(room_used)
    return {
        key: _chance(least, most),
        f"{key}_at_least": _rounded(least),
        f"{key}_at_most": _rounded(most),
    }


def _months(months: float) -> float | int:
    """Return months without a point where they are whole."""
    return int(months) if months == int(months) else round(months, 2)


def _ends(least: int, most: int) -> str:
    return f"{least}" if least == most else f"{least} to {most}"


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
