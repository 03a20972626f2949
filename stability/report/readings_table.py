"""Every reading with planned and real date, age, value, limit and mark."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_text
from stability.model.names import in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, bold, marked_paragraph
from stability.report.tables import Cell, Column, Group, Mark, TableRow, record_table
from stability.report.text import printable
from stability.report.wording import mark

#: Units that need no name beside a number.
PLAIN_UNITS = frozenset({"", "1", "pH"})


def readings_table(
    observations: Sequence[JudgedObservation],
    styles: ReportStyles,
    value_unit: str = "",
) -> Flowable:
    """Return a table of observations, grouped by place and limit.

    Parameters
    ----------
    observations
        In the order in which they are printed.
    styles
        The report's styles.
    value_unit
        Unit of the values judged; "" for words.
    """
    units = {one.unit for one in observations if one.observation.readings}
    common = units.pop() if len(units) == 1 else None
    rows: list[TableRow] = []
    group = None
    for seen in observations:
        here = f"{place_text(seen)}; limit: {seen.limit_text}"
        if here != group:
            rows.append(Group(here))
            group = here
        rows.append(_row(seen, styles, with_unit=common is None))
    kept = _columns(titled("Readings", common or ""), titled("Value", value_unit))
    return record_table(fitted_columns(kept, rows, styles), rows, styles)


def titled(name: str, unit: str) -> str:
    """Return the head of a column with its unit."""
    words = in_words(name)
    return words if unit in PLAIN_UNITS else f"{words} [{unit}]"


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


def _columns(readings: str, value: str) -> tuple[Column | Fitted, ...]:
    return (
        Fitted("Sample"),
        Fitted("Check", 22),
        Fitted("Due"),
        Fitted("Read"),
        Fitted("Age", 18, align="right"),
        Fitted(readings, 40),
        Fitted(value, 34, align="right"),
        shared("Mark; remarks"),
        Fitted("Entry", align="right"),
    )


def _row(
    seen: JudgedObservation, styles: ReportStyles, *, with_unit: bool
) -> list[Cell]:
    readings = readings_text(seen, with_unit=with_unit)
    return [
        seen.sample.code,
        check_text(seen.check or "extra"),
        seen.planned.due.isoformat() if seen.planned else "–",
        seen.observation.done.day.isoformat(),
        seen.age_text,
        readings,
        "" if seen.observation.part == "after" else seen.value_text,
        marked_cell(reading_mark(seen), remarks_text(seen), styles),
        str(seen.position),
    ]


def readings_text(seen: JudgedObservation, *, with_unit: bool = True) -> str:
    """Return the readings as typed, with unit and observers; a dash where none.

    Several observers who all chose one word are named behind it.
    """
    observation = seen.observation
    if observation.not_measured is not None:
        return "–"
    part = {"before": "before ", "after": "after "}
    lead = part.get(observation.part or "", "")
    plain = seen.unit in PLAIN_UNITS or not with_unit
    unit = "" if plain else f" {seen.unit}"
    return f"{lead}{_readings(seen)}{unit}"


def _readings(seen: JudgedObservation) -> str:
    readings = seen.observation.readings
    values = {str(one) for one in readings}
    names = [one.observer for one in readings if one.observer]
    if len(values) == 1 and len(names) > 1:
        return f"{values.pop()} ({', '.join(names)})"
    return seen.readings_text


def marked_cell(judged: Mark | str, remarks: str, styles: ReportStyles) -> Cell:
    """Return a mark with the remarks behind it; what lies outside stays bold.

    Parameters
    ----------
    judged
        The mark, or the word that stands in its place.
    remarks
        What else is said; "" for nothing.
    styles
        The report's styles.
    """
    if not remarks:
        return judged
    if isinstance(judged, str):
        return f"{judged}; {remarks}"
    lead = f"{judged.shape} {judged.word}".strip()
    if not judged.strong:
        return f"{lead}; {remarks}"
    words = f"{bold(lead, styles)}; {printable(remarks, styles.fonts)}"
    return [marked_paragraph(words, styles.cell)]


def reading_mark(seen: JudgedObservation) -> Mark:
    """Return the mark of an observation, or why it does not take part."""
    if not seen.takes_part and seen.mark != "not measured":
        return Mark("left out", "○")
    return mark(seen.mark)


def remarks_text(seen: JudgedObservation) -> str:
    """Return what stands beside an observation: what was passed, remarks, reasons."""
    beside = seen.observation.control
    parts = own_remarks(seen)
    if beside:
        parts.append(f"beside {beside}")
    return "; ".join(parts)


def own_remarks(seen: JudgedObservation) -> list[str]:
    """Return the remarks of an observation one by one, each once."""
    observation = seen.observation
    texts = [seen.detail, seen.left_out, *(one.text for one in seen.remarks)]
    why = observation.not_measured
    parts = texts if why is None else [why, *(one for one in texts if why not in one)]
    if observation.extra:
        parts.append(
            ", ".join(f"{key} {one}" for key, one in observation.extra.items())
        )
    return list(dict.fromkeys(part for part in parts if part))
