"""Attribute × condition in words: what a reader sees before any number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stability.evaluation.failures import Failure, failed_attributes
from stability.evaluation.findings import CellState, SummaryCell
from stability.evaluation.grouping import state_of
from stability.evaluation.index import Index
from stability.evaluation.phrases import count_text, named_check
from stability.evaluation.readings import CheckStatus, JudgedObservation
from stability.evaluation.series import MeasuredSeries
from stability.model.age import T0, check_order

#: Attribute and condition.
Cell = tuple[str, str]


@dataclass(slots=True)
class _Gathered:
    """What was planned, read and missed, by attribute and condition."""

    read: dict[Cell, list[JudgedObservation]] = field(default_factory=dict)
    planned: set[Cell] = field(default_factory=set)
    missing: dict[Cell, int] = field(default_factory=dict)


def summary_of(
    index: Index,
    judged: Sequence[JudgedObservation],
    statuses: Sequence[CheckStatus],
    measured: Sequence[MeasuredSeries],
    failures: Sequence[Failure],
) -> tuple[SummaryCell, ...]:
    """Return every cell of attribute × condition, in the protocol's order.

    Untreated twins are comparisons and enter no cell.
    """
    gathered = _gather(index, judged, statuses)
    changed = {
        (one.key.attribute, one.key.condition)
        for one in measured
        if one.state == "changed, inside" and not one.key.twin_of
    }
    failed = failed_attributes(failures)
    return tuple(
        _cell(index, (attribute, condition), gathered, changed, failed)
        for attribute in index.protocol.attributes
        for condition in (T0, *index.protocol.conditions)
    )


def _gather(
    index: Index,
    judged: Iterable[JudgedObservation],
    statuses: Iterable[CheckStatus],
) -> _Gathered:
    gathered = _Gathered()
    for one in judged:
        if one.takes_part and one.sample.twin_of is None:
            gathered.read.setdefault((one.attribute, one.condition or T0), []).append(
                one
            )
    for status in statuses:
        if status.sample.twin_of is not None:
            continue
        at_t0 = status.planned.check == T0
        condition = T0 if at_t0 else status.sample.condition or T0
        gathered.planned |= {(name, condition) for name, _ in status.expected}
        taken_over = index.record.replacement_of(status.sample.code) is not None
        gone = status.state == "stopped" or (status.state == "lost" and taken_over)
        if not gone and status.planned.closes < index.as_of:
            unread = {name for name, _ in status.remaining}
            unread |= {name for (name, _), _ in status.not_measured}
            for name in unread:
                cell = name, condition
                gathered.missing[cell] = gathered.missing.get(cell, 0) + 1
    return gathered


def _cell(
    index: Index,
    cell: Cell,
    gathered: _Gathered,
    changed: set[Cell],
    failed: Mapping[Cell, Sequence[Failure]],
) -> SummaryCell:
    attribute, condition = cell
    seen = gathered.read.get(cell, [])
    gone = failed.get(cell, ())
    outside = [one for one in seen if one.is_outside]
    first = _first(attribute, outside, gone)
    state = _state(seen, gathered, cell, is_outside=bool(outside or gone))
    if state == "inside" and cell in changed:
        state = "changed, inside"
    read = sum(one.is_read for one in seen)
    checks = [one.check for one in seen if one.check is not None]
    rule = index.protocol.conditions.get(condition)
    counts = len(outside) + len(gone), read + len(gone), gathered.missing.get(cell, 0)
    return SummaryCell(
        attribute=attribute,
        condition=condition,
        role=rule.role if rule is not None else None,
        state=state,
        outside=counts[0],
        read=counts[1],
        missing=counts[2],
        first_outside=first,
        last_read=max(checks, key=check_order, default=None),
        text=_text(state, first, counts, len(gone)),
    )


def _first(
    attribute: str, outside: Sequence[JudgedObservation], gone: Sequence[Failure]
) -> str | None:
    found = [(one.age_days or 0.0, one.check or "extra") for one in outside]
    found += [(one.age_days, one.attributes[attribute]) for one in gone]
    if not found:
        return None
    # A sample seen outside and taken away on one day failed at the check of that day.
    return min(found, key=lambda one: (one[0], check_order(one[1])))[1]


def _state(
    seen: Sequence[JudgedObservation],
    gathered: _Gathered,
    cell: Cell,
    *,
    is_outside: bool,
) -> CellState:
    if is_outside:
        return "outside"
    if seen:
        return state_of(seen)
    if cell not in gathered.planned:
        return "not planned"
    return "missed" if gathered.missing.get(cell) else "no reading"


def _text(
    state: CellState, first: str | None, counts: tuple[int, int, int], gone: int
) -> str:
    """Return the cell in words: observations counted, failed containers beside them."""
    outside, read, missing = counts
    missed = f", {missing} missing" if missing else ""
    if state == "outside":
        check = named_check(None if first == "extra" else first)
        failed = f", {count_text(gone, 'container')} failed" if gone else ""
        return f"outside at {check} ({outside - gone} of {read - gone}{failed}{missed})"
    if state in {"not planned", "no reading"}:
        return state
    if state == "missed":
        return f"missed ({count_text(missing, 'check')})"
    return f"{state} ({read} read{missed})" if read else f"{state}{missed}"
