"""Listings of what is to be done at the bench."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stability.cli.output import Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.workflow.studies import (
        Agenda,
        Awaited,
        DueGroup,
        DueSample,
        MoveGroup,
    )

NOTHING_DUE = "Nothing is due."

DUE = (
    Column("state", "state", above=True),
    Column("due", "due", moment=True),
    Column("study", "study", above=True),
    Column("product", "product", above=True),
    Column("condition", "condition"),
    Column("what", "what"),
    Column("window_opens", ""),
    Column("window_closes", "until"),
    Column("samples", "samples", right=True),
    Column("kind", ""),
    Column("entry", ""),
)
DUE_SAMPLES = (
    Column("state", "state", above=True),
    Column("due", "due"),
    Column("study", "study", above=True),
    Column("product", "product", above=True),
    Column("sample", "sample"),
    Column("batch", "batch"),
    Column("pack", "pack"),
    Column("condition", "condition"),
    Column("check", "check"),
    Column("window_opens", ""),
    Column("window_closes", "until"),
    Column("remaining", "to be read", below=True),
)
#: In this order what waits is listed: what was asked and not answered comes first.
_STATES = {"open": 0, "overdue": 1, "due": 2, "awaited": 3, "coming": 4}


def due_listing(agenda: Agenda) -> Listing:
    """Return checks, placings, cycles' steps and missing answers, with counts."""
    rows = [_check_row(one) for one in agenda.checks]
    rows += [_move_row(one) for one in agenda.hand_overs]
    rows += [_awaited_row(one) for one in agenda.awaited]
    rows = _by_state(rows)
    counts = {state: sum(row["state"] == state for row in rows) for state in _STATES}
    return Listing(
        "agenda",
        DUE,
        rows,
        NOTHING_DUE,
        facts={"day": agenda.day.isoformat(), **counts},
    )


def _by_state(rows: Iterable[Row]) -> list[Row]:
    """Return rows by state, in it the study first of which something is due first."""
    ordered = sorted(rows, key=lambda row: (str(row["due"]), str(row["study"])))
    first: dict[tuple[str, str], int] = {}
    for place, row in enumerate(ordered):
        first.setdefault((str(row["state"]), str(row["study"])), place)

    def key(row: Row) -> tuple[int, int]:
        state = str(row["state"])
        return _STATES[state], first[state, str(row["study"])]

    return sorted(ordered, key=key)


def _check_row(one: DueGroup) -> Row:
    return {
        "state": one.state,
        "due": one.due.isoformat(),
        "study": one.study,
        "product": one.product,
        "condition": one.condition,
        "what": f"check {one.check}",
        "window_opens": one.opens.isoformat(),
        "window_closes": one.closes.isoformat(),
        "samples": one.samples,
        "kind": "check",
        "entry": None,
    }


def _move_row(one: MoveGroup) -> Row:
    return {
        "state": one.state,
        "due": one.due,
        "study": one.study,
        "product": one.product,
        "condition": one.condition,
        "what": one.text,
        "window_opens": None,
        "window_closes": None,
        "samples": one.samples,
        "kind": one.kind,
        "entry": None,
    }


def _awaited_row(one: Awaited) -> Row:
    return {
        "state": one.state,
        "due": one.due.isoformat(),
        "study": one.study,
        "product": one.product,
        "condition": one.condition,
        "what": one.text,
        "window_opens": None,
        "window_closes": None,
        "samples": 1 if one.sample else None,
        "kind": one.kind,
        "entry": f"{one.study}/{one.position}" if one.position else None,
    }


def due_samples_listing(samples: Iterable[DueSample]) -> Listing:
    """Return one row for each sample that is due."""
    rows: list[Row] = [
        {
            "state": one.state,
            "due": one.due.isoformat(),
            "study": one.study,
            "product": one.product,
            "sample": one.sample,
            "batch": one.batch,
            "pack": one.pack,
            "condition": one.condition,
            "check": one.check,
            "window_opens": one.opens.isoformat(),
            "window_closes": one.closes.isoformat(),
            "remaining": ", ".join(one.remaining),
        }
        for one in samples
    ]
    return Listing("samples", DUE_SAMPLES, _by_state(rows), NOTHING_DUE)
