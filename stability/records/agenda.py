"""What is due: questions to the tables that are worked out from the journal."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Table,
    case,
    func,
    or_,
    select,
)

from stability.model.agenda import DueGroup, DueSample, MoveGroup
from stability.records.tables import (
    check_day,
    check_group,
    handover,
    open_check,
    sample,
    study,
)

#: State of a study, or of a sample, that was stopped.
_STOPPED: Final = "stopped"


def due_groups(
    connection: Connection, day: date, ahead: date, code: str | None = None
) -> tuple[DueGroup, ...]:
    """Return what is overdue, due or coming, grouped with a count of samples.

    Of what was stopped nothing is listed: what was left unread before is told by the
    report, and nobody reads it any more.

    Parameters
    ----------
    connection
        To the workspace.
    day
        The as-of date.
    ahead
        Last due date that is listed as coming.
    code
        Study; None for all.
    """
    whole = _groups(check_group, check_group.c.condition, day).where(
        *_waiting(check_group, day, ahead, code),
        check_group.c.study.not_in(_with_stopped_samples()),
    )
    # Only where a part was stopped are samples counted one by one.
    parts = _groups(open_check, func.coalesce(open_check.c.condition, ""), day).where(
        *_waiting(open_check, day, ahead, code),
        open_check.c.study.in_(_with_stopped_samples()),
        *_still_running(),
    )
    found = [*_with_days(connection, whole), *_with_days(connection, parts)]
    rows = [DueGroup(**row) for row in found]
    return tuple(sorted(rows, key=lambda one: (one.due, one.study, one.condition)))


def _groups(table: Table, condition: Any, day: date) -> Select[Any]:
    """Return how checks are grouped with a count of samples."""
    columns = (
        table.c.study,
        study.c.product,
        table.c.check_name.label("check"),
        condition.label("condition"),
        _state(table, day).label("state"),
    )
    counted = func.sum(table.c.samples) if "samples" in table.c else func.count()
    return (
        select(
            *columns,
            func.min(table.c.opens).label("opens"),
            func.min(table.c.due).label("due"),
            func.min(table.c.closes).label("closes"),
            counted.label("samples"),
        )
        .join(study, study.c.code == table.c.study)
        .group_by(*columns)
    )


def _with_stopped_samples() -> Select[Any]:
    return select(sample.c.study).where(sample.c.state == _STOPPED).distinct()


def _still_running() -> tuple[ColumnElement[bool], ...]:
    """Return the conditions of a check whose sample was not stopped."""
    stopped = select(sample.c.code).where(sample.c.state == _STOPPED)
    return study.c.state != _STOPPED, open_check.c.sample.not_in(stopped)


def due_samples(
    connection: Connection, day: date, ahead: date, code: str | None = None
) -> tuple[DueSample, ...]:
    """Return the same sample by sample, with what is still to be observed."""
    query = (
        select(
            open_check.c.study,
            study.c.product,
            open_check.c.sample,
            open_check.c.batch,
            open_check.c.pack,
            func.coalesce(open_check.c.condition, "").label("condition"),
            open_check.c.check_name.label("check"),
            _state(open_check, day).label("state"),
            open_check.c.opens,
            open_check.c.due,
            open_check.c.closes,
            open_check.c.remaining,
        )
        .join(study, study.c.code == open_check.c.study)
        .where(*_waiting(open_check, day, ahead, code), *_still_running())
    )
    rows = [
        DueSample(**{**row, "remaining": tuple(row["remaining"].split("\n"))})
        for row in _with_days(connection, query)
    ]
    return tuple(sorted(rows, key=lambda one: (one.due, one.sample)))


def moves(
    connection: Connection, day: date, ahead: date, code: str | None = None
) -> tuple[MoveGroup, ...]:
    """Return placings and steps of cycles that are to be made, grouped."""
    query = (
        select(
            handover.c.study,
            study.c.product,
            handover.c.condition,
            handover.c.kind,
            handover.c.due,
            handover.c.text,
            handover.c.samples,
        )
        .join(study, study.c.code == handover.c.study)
        .where(handover.c.due < (ahead + timedelta(days=1)).isoformat())
    )
    if code is not None:
        query = query.where(handover.c.study == code)
    rows = [_move(dict(row), day) for row in connection.execute(query).mappings()]
    return tuple(sorted(rows, key=lambda one: (one.due, one.study, one.condition)))


def _move(row: dict[str, Any], day: date) -> MoveGroup:
    codes = tuple(row.pop("samples").split("\n"))
    state = _day_state(row["due"], day)
    return MoveGroup(**row, samples=len(codes), codes=codes, state=state)


def studies_of_day(connection: Connection, day: date, account: str) -> tuple[str, ...]:
    """Return the studies for which an account has set the facts of a day."""
    query = select(check_day.c.study).where(
        check_day.c.day == day.isoformat(), check_day.c.account == account
    )
    return tuple(sorted(connection.scalars(query)))


def study_codes(connection: Connection) -> tuple[str, ...]:
    """Return the codes of all studies."""
    return tuple(sorted(connection.scalars(select(study.c.code))))


def study_rows(connection: Connection) -> tuple[dict[str, Any], ...]:
    """Return code, product, version, protocol, state and opening of every study."""
    rows = [dict(row) for row in connection.execute(select(study)).mappings()]
    return tuple(sorted(rows, key=lambda row: str(row["code"])))


def sample_counts(connection: Connection) -> dict[str, int]:
    """Return study -> number of samples."""
    query = select(sample.c.study, func.count()).group_by(sample.c.study)
    return {
        str(code): int(count) for code, count in map(tuple, connection.execute(query))
    }


def _state(table: Table, day: date) -> Any:
    return case(
        (table.c.closes < day.isoformat(), "overdue"),
        (table.c.opens <= day.isoformat(), "due"),
        else_="coming",
    )


def _day_state(due: str, day: date) -> str:
    on = due[:10]
    if on < day.isoformat():
        return "overdue"
    return "due" if on == day.isoformat() else "coming"


def _waiting(table: Table, day: date, ahead: date, code: str | None) -> list[Any]:
    """Return the conditions of a check that is to be listed."""
    wanted = [
        table.c.opens <= max(day, ahead).isoformat(),
        or_(
            table.c.opens <= day.isoformat(),
            table.c.due <= ahead.isoformat(),
        ),
    ]
    if code is not None:
        wanted.append(table.c.study == code)
    return wanted


def _with_days(connection: Connection, query: Select[Any]) -> Iterator[dict[str, Any]]:
    """Yield rows with their days read."""
    for row in connection.execute(query).mappings():
        days = {key: date.fromisoformat(row[key]) for key in ("opens", "due", "closes")}
        yield {**row, **days}
