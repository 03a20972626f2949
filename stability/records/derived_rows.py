"""The rows of the derived tables, worked out from the record of a study."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from sqlalchemy import Table

from stability.model.agenda import Awaiting
from stability.model.schedule import hand_overs, open_checks, planned_placing
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.tables import (
    DERIVED,
    check_day,
    check_group,
    handover,
    open_check,
    refreshed,
    sample,
    study,
)

#: A row, in the order of the table's columns.
RowCells = tuple[Any, ...]
#: Tables whose rows are worked out from a study's record alone.
OF_STUDY: Final = tuple(table for table in DERIVED if table is not refreshed)


def rows_of(record: StudyRecord) -> Iterator[tuple[Table, list[RowCells]]]:
    """Yield each table with the rows that a study has in it."""
    waiting = list(_check_rows(record))
    yield study, list(_study_rows(record))
    yield sample, list(_sample_rows(record))
    yield open_check, waiting
    yield check_group, list(_group_rows(waiting))
    yield handover, list(_move_rows(record))
    yield check_day, list(_day_rows(record))


def _study_rows(record: StudyRecord) -> Iterator[RowCells]:
    whole = any(not one.scope for one in record.stops)
    yield (
        record.study.code,
        record.head.subject,
        record.study.product,
        record.study.version,
        record.protocol.name,
        "stopped" if whole else "running",
        str(record.opening.done),
    )


def _sample_rows(record: StudyRecord) -> Iterator[RowCells]:
    code = record.study.code
    for one in record.samples.values():
        yield (
            one.code,
            code,
            one.batch,
            one.pack,
            one.condition,
            one.use,
            _sample_state(record, one),
        )


def _sample_state(record: StudyRecord, one: Sample) -> str:
    retired = record.retirement_of(one.code)
    if retired is not None:
        return retired.reason
    if record.stop_of(one) is not None:
        return "stopped"
    placings = record.placings_of(one.code)
    if not placings:
        return "not placed"
    return "placed" if placings[-1].condition else "taken out"


def _check_rows(record: StudyRecord) -> Iterator[RowCells]:
    for waiting in open_checks(record):
        planned = waiting.planned
        # Before its placing a sample has no check but T0: the placing waits instead.
        if planned.provisional:
            continue
        of = record.samples[planned.sample]
        yield (
            record.study.code,
            of.code,
            of.condition,
            of.batch,
            of.pack,
            planned.check,
            planned.opens.isoformat(),
            planned.due.isoformat(),
            planned.closes.isoformat(),
            "\n".join(map(_due_text, waiting.remaining)),
        )


def _group_rows(waiting: Iterable[RowCells]) -> Iterator[RowCells]:
    groups: dict[tuple[str, ...], int] = {}
    for code, _, condition, _, _, check, *days, _ in waiting:
        key = (code, check, condition or "", *days)
        groups[key] = groups.get(key, 0) + 1
    for key, samples in groups.items():
        yield (*key, samples)


def _due_text(due: tuple[str, str | None]) -> str:
    attribute, part = due
    return attribute if part is None else f"{attribute} ({part} opening)"


def _move_rows(record: StudyRecord) -> Iterator[RowCells]:
    groups: dict[tuple[str, ...], list[str]] = {}
    for code, *group in _moves(record):
        groups.setdefault(tuple(group), []).append(code)
    for key, samples in groups.items():
        yield (record.study.code, *key, "\n".join(samples))


def _moves(record: StudyRecord) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield sample, condition, kind, when and what is to be done."""
    for move in hand_overs(record):
        yield (move.sample, move.condition, "step", str(move.due), move.text)
    for one in record.samples.values():
        if (
            one.condition is None
            or record.first_placing(one.code) is not None
            or record.retirement_of(one.code) is not None
            or record.stop_of(one) is not None
        ):
            continue
        day = planned_placing(record.study, record.protocol, one).isoformat()
        yield (one.code, one.condition, "place", day, f"place in {one.condition}")


def _day_rows(record: StudyRecord) -> Iterator[RowCells]:
    for one in dict.fromkeys((str(facts.day), facts.account) for facts in record.days):
        yield (record.study.code, *one)


def awaited_rows(code: str, found: Iterable[Awaiting]) -> list[RowCells]:
    """Return what waits for an answer as rows of its table."""
    return [
        (code, one.kind, one.since.isoformat(), one.condition, one.sample,
         one.position, one.text)
        for one in dict.fromkeys(found)
    ]  # fmt: skip
