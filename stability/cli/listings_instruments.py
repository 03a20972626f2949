"""Listings of instruments and their calibrations."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from stability.cli.output import Listing, Row, short_anchor
from stability.cli.table import Column
from stability.model.instrument import Calibrated
from stability.model.instrument_checks import rules_words
from stability.model.instrument_words import (
    change_words,
    read_words,
    result_words,
    retirement_words,
)

if TYPE_CHECKING:
    from stability.workflow.instruments import Doubtful, InstrumentLine

INSTRUMENTS = (
    Column("instrument", "instrument"),
    Column("name", ""),
    Column("kind", "kind"),
    Column("what", "what"),
    Column("calibration", "calibration"),
    Column("last", "last"),
    Column("result", "result"),
    Column("valid_for", "valid for"),
    Column("anchor", ""),
)
CALIBRATIONS = (
    Column("entry", "entry"),
    Column("done", ""),
    Column("when", "made"),
    Column("person", "person"),
    Column("how", ""),
    Column("passed", ""),
    Column("result", "result"),
    Column("slope_percent", "slope %", right=True),
    Column("offset_mv", "offset mV", right=True),
    Column("temperature_c", "°C", right=True),
    Column("read", "read"),
    Column("because", "because"),
)
#: Standing -> what it is called in a list.
_STANDING = {
    "valid": "valid",
    "lapsed": "lapsed",
    "never": "none on record",
    "failed": "failed",
}
_MOST_SHOWN = 8


def instruments_listing(lines: Iterable[InstrumentLine]) -> Listing:
    """Return every instrument as a row."""
    rows: list[Row] = [
        {
            "instrument": line.record.code,
            "name": line.record.name,
            "kind": line.record.kind,
            "what": line.record.text,
            "calibration": _stands(line),
            **_last(line.now),
            "valid_for": str(line.now.valid_for),
            "anchor": str(line.record.head),
        }
        for line in lines
    ]
    return Listing(
        "instruments",
        INSTRUMENTS,
        rows,
        "No instrument is registered. See 'stability instrument add --help'.",
    )


def _last(now: Calibrated) -> dict[str, str | None]:
    if now.last is None:
        return {"last": None, "result": None}
    return {"last": now.last.done.for_people(), "result": now.last.result}


def instrument_listing(line: InstrumentLine) -> Listing:
    """Return an instrument's calibrations as rows, with its rules below."""
    record = line.record
    rows: list[Row] = [
        {
            "entry": f"{record.name}/{one.position}",
            "done": str(one.done),
            "when": one.done.for_people(),
            "person": one.person,
            "how": one.how,
            "passed": one.passed,
            "result": result_words(one),
            "slope_percent": one.slope_percent,
            "offset_mv": one.offset_mv,
            "temperature_c": one.temperature,
            "read": read_words(one),
            "because": one.because,
        }
        for one in record.calibrations
    ]
    return Listing(
        "calibrations",
        CALIBRATIONS,
        rows,
        "No calibration is on record.",
        facts={
            "instrument": record.code,
            "kind": record.kind,
            "what": record.text,
            "calibration": _stands(line),
        },
        notes=(*_told(line), f"record: {short_anchor(str(record.head))}"),
    )


def _stands(line: InstrumentLine) -> str:
    """Return how it stands; one that left is retired, whatever was calibrated."""
    left = line.record.retired
    return f"retired {left.done.day}" if left else _STANDING[line.now.standing]


def _told(line: InstrumentLine) -> Iterator[str]:
    """Yield the rules, their changes, and that it was retired."""
    record = line.record
    yield rules_words(record.rules)
    for change in record.changes:
        yield (
            f"{record.name}/{change.position} rules {change_words(change)} "
            f"({change.person}, {change.done.day})"
        )
    for left in record.retirements:
        yield f"{record.name}/{left.position} retired {retirement_words(left)}"


def doubtful_lines(doubtful: Iterable[Doubtful]) -> Iterator[str]:
    """Yield what a failed calibration makes doubtful, study by study."""
    for one in doubtful:
        count = len(one.positions)
        shown = ", ".join(
            f"{one.study}/{place}" for place in one.positions[:_MOST_SHOWN]
        )
        more = f" and {count - _MOST_SHOWN} more" if count > _MOST_SHOWN else ""
        readings = "1 observation is" if count == 1 else f"{count} observations are"
        yield (
            f"{one.study}: {readings} doubtful, not corrected: {shown}{more}. Read "
            "again what can still be read."
        )
