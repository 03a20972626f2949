"""Every reading with planned and real date, age, value, limit and mark."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from stability.evaluation.readings import JudgedObservation
from stability.report.styles import ReportStyles
from stability.report.tables import (
    Cell,
    Column,
    Group,
    Mark,
    Millimetres,
    Share,
    TableRow,
    record_table,
)
from stability.report.wording import mark


def readings_table(
    observations: Sequence[JudgedObservation], styles: ReportStyles
) -> Flowable:
    """Return a table of observations, grouped by place and limit.

    Parameters
    ----------
    observations
        In the order in which they are printed.
    styles
        The report's styles.
    """
    rows: list[TableRow] = []
    group = None
    for seen in observations:
        here = f"{place_text(seen)}; limit: {seen.limit_text}"
        if here != group:
            rows.append(Group(here))
            group = here
        rows.append(_row(seen))
    return record_table(_COLUMNS, rows, styles)


def place_text(seen: JudgedObservation) -> str:
    """Name the condition, pack and batch of an observation."""
    sample = seen.sample
    parts = [
        seen.condition or "T0",
        sample.pack or sample.kind,
        f"batch {sample.batch}",
    ]
    if sample.twin_of:
        parts.append(f"untreated twin of {sample.twin_of}")
    return ", ".join(parts)


_COLUMNS = (
    Column("Sample", Millimetres(20)),
    Column("Check", Millimetres(11.5)),
    Column("Due", Millimetres(19.5)),
    Column("Read", Millimetres(19.5)),
    Column("Age", Millimetres(12), align="right"),
    Column("Readings", Share(1)),
    Column("Value", Millimetres(14), align="right"),
    Column("Mark", Millimetres(21.5)),
    Column("Remarks", Share(1.4)),
    Column("Entry", Millimetres(11.5), align="right"),
)


def _row(seen: JudgedObservation) -> list[Cell]:
    readings = readings_text(seen)
    return [
        seen.sample.code,
        seen.check or "extra",
        seen.planned.due.isoformat() if seen.planned else "–",
        seen.observation.done.day.isoformat(),
        seen.age_text,
        readings,
        "" if seen.value_text == readings else seen.value_text,
        reading_mark(seen),
        remarks_text(seen),
        str(seen.position),
    ]


def readings_text(seen: JudgedObservation) -> str:
    """Return the readings as typed, with unit and observers; a dash where none."""
    observation = seen.observation
    if observation.not_measured is not None:
        return "–"
    part = {"before": "before ", "after": "after "}
    lead = part.get(observation.part or "", "")
    unit = "" if seen.unit in {"", "1", "pH"} else f" {seen.unit}"
    names = [one.observer for one in observation.readings if one.observer]
    who = f" ({', '.join(names)})" if names else ""
    return f"{lead}{seen.readings_text}{unit}{who}"


def reading_mark(seen: JudgedObservation) -> Cell:
    """Return the mark of an observation, or why it does not take part."""
    if not seen.takes_part and seen.mark != "not measured":
        return Mark("left out", "○")
    return mark(seen.mark)


def remarks_text(seen: JudgedObservation) -> str:
    """Return what stands beside an observation: what was passed, remarks, reasons."""
    observation = seen.observation
    texts = [seen.detail, seen.left_out, *(one.text for one in seen.remarks)]
    why = observation.not_measured
    parts = texts if why is None else [why, *(one for one in texts if why not in one)]
    if observation.extra:
        parts.append(
            ", ".join(f"{key} {one}" for key, one in observation.extra.items())
        )
    if observation.control:
        parts.append(f"beside {observation.control}")
    return "; ".join(dict.fromkeys(part for part in parts if part))
