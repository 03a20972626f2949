"""What is printed in the cells of a bench sheet, and in which order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from stability.model.age import check_text
from stability.model.attribute import Attribute
from stability.model.handling import STAGES
from stability.model.observation import RETIRED_AS_FAILED
from stability.model.sheet_day import SheetDay, SheetSample, SheetTask
from stability.report.bench_cells import (
    BOX_HEIGHT,
    COLUMNS,
    BlockHead,
    Cell,
    in_rows,
)

#: Readings of one attribute that stand side by side in one column [-].
_TWO: Final = 2
#: Stages at which a container is open.
_OPENED: Final = ("look and smell", "measure")
#: Beside two lines of words to circle there is room for more than a figure [mm].
_TALL: Final = 14.0


def day_cells(day: SheetDay) -> Iterator[Cell]:
    """Yield what is filled in once for the day: people, times, lamp, settings."""
    facts = day.facts
    person = facts.person if facts is not None else ""
    observers = ", ".join(facts.observers) if facts is not None else ""
    yield Cell("Person", boxes=("",), notes=_known(person))
    yield Cell(
        "Observers, in the order of their words", boxes=("",) * 4, span=2,
        notes=_known(observers),
    )  # fmt: skip
    yield Cell("Begun and ended", boxes=("from", "to"), notes=("hours and minutes",))
    yield Cell("Lamp, background", boxes=("",), notes=("for colour and appearance",))
    yield Cell("Room", boxes=("°C", "% RH"))
    yield Cell("Photographs of the day", boxes=("first no.", "last no."))
    yield Cell("Entered by, on", boxes=("initials", "date"))
    yield from _instrument_cells(day)
    yield from _setting_cells(day)


def _known(words: str) -> tuple[str, ...]:
    return (f"set for today: {words}",) if words else ()


def _instrument_cells(day: SheetDay) -> Iterator[Cell]:
    """Yield a cell for each instrument with which something is read today."""
    names = dict.fromkeys(
        one.attribute.instrument
        for one in day.tasks
        if one.attribute.instrument is not None
    )
    for name in names:
        yield Cell(
            f"{name}: which, calibrated or checked", span=2,
            boxes=("which", "date, time", "against", "result"),
        )  # fmt: skip


def _setting_cells(day: SheetDay) -> Iterator[Cell]:
    """Yield a cell for each setting; the instrument has one of its own."""
    for name, settings in day.settings.items():
        attribute = day.protocol.attributes[name]
        for key, known in settings.items():
            if key == "instrument":
                continue
            setting = attribute.all_settings[key]
            notes = [note for note in (setting.band, _meant(known)) if note]
            title = f"{_said(name)}: {_said(key)}"
            yield Cell(title, boxes=(setting.unit,), notes=tuple(notes))


def _said(name: str) -> str:
    """Return a name as it is written with a pen."""
    return name.replace("_", " ")


def _meant(known: str) -> str:
    """Return what a setting is meant to be: prescribed, or as it was at T0."""
    return f"meant: {known}; tick or write" if known else ""


def sample_head(day: SheetDay, one: SheetSample) -> BlockHead:
    """Return what stands at the head of a sample's block."""
    sample, planned = one.sample, one.planned
    where = [f"batch {sample.batch}"]
    if sample.pack is not None:
        where.append(sample.pack)
    if sample.condition is not None:
        words = day.protocol.conditions[sample.condition].words()
        where.append(f"{sample.condition}{f' ({words})' if words else ''}")
    use = sample.use if sample.kind == "container" else sample.kind
    late = " · OVERDUE" if planned.closes < day.day else ""
    window = f"{planned.opens} to {planned.closes}"
    compared = f" · compare with {', '.join(one.controls)}" if one.controls else ""
    return BlockHead(
        sample.code,
        (
            f"{check_text(planned.check)} · due {planned.due} · {window}{late}",
            " · ".join(where),
            f"{day.study.product} {day.study.version} · {use}{compared}",
        ),
        boxes=("time", "by", "photo no."),
    )


def sample_cells(day: SheetDay, one: SheetSample) -> tuple[Cell, ...]:
    """Return what is filled in for a sample, in the order of handling."""
    names = day.facts.observers if day.facts is not None else ()
    cells = tuple(_task_cells(one, names))
    rows = in_rows(cells)
    taken = sum(cell.span for cell in rows[-1]) if rows else COLUMNS
    return (*cells, *_last_cells(COLUMNS - taken))


def _last_cells(free: int) -> Iterator[Cell]:
    """Yield where to write what no box asks for, into the columns that are free."""
    spans = {1: (4, 1), 2: (2, 4), 3: (2, 1)}.get(free, (2, 2))
    unread = Cell(
        "Not measured: what, and because · other notes", boxes=("",), span=spans[0],
        box_height=_TALL if spans[1] == 1 and free > 1 else BOX_HEIGHT,
    )  # fmt: skip
    closed = Cell("Stays closed: circle why", choices=RETIRED_AS_FAILED, span=spans[1])
    yield from (closed, unread) if free == 1 else (unread, closed)


def _task_cells(one: SheetSample, names: tuple[str, ...]) -> Iterator[Cell]:
    """Yield what is read of a sample, what goes to the laboratory before the nose."""
    stage, taken = "", False
    for task in one.tasks:
        opened = task.task.stage in _OPENED
        if opened and not taken and one.laboratory:
            yield _laboratory_cell(one.laboratory)
        taken = taken or opened
        lead = task.task.stage if task.task.stage != stage else ""
        stage = task.task.stage
        yield _task_cell(task, one.sample.code, lead, names)


def order_text(day: SheetDay) -> str:
    """Return the order in which a sample is handled, in words."""
    stages: list[str] = [*dict.fromkeys(task.stage for task in day.tasks)]
    if any(one.laboratory for one in day.samples):
        closed = [one for one in stages if one not in (*_OPENED, STAGES[-1])]
        stages.insert(len(closed), "take for the laboratory")
    return " → ".join(stages)


def _laboratory_cell(taken: tuple[Attribute, ...]) -> Cell:
    names = ", ".join(f"{_said(one.name)} {one.takes_g} g" for one in taken)
    return Cell(
        "For the laboratory", lead="before anything else touches it",
        boxes=("g taken", "time"), notes=(names,),
    )  # fmt: skip


def _task_cell(each: SheetTask, code: str, lead: str, names: tuple[str, ...]) -> Cell:
    task, attribute = each.task, each.task.attribute
    unit = f" [{task.unit}]" if task.unit else ""
    title = f"{_said(task.text)}{unit}"
    beside = tuple(
        note
        for note in (_last_text(each, code), _limit_text(each), *_bands(each))
        if note
    )
    if task.part is not None or attribute.kind == "measured":
        count = 1 if task.part is not None else attribute.readings
        with_it = () if task.part is not None else attribute.told_with_reading
        numbers = [str(at + 1) for at in range(count)] if count > 1 else [task.unit]
        told = (attribute.settings[name] for name in with_it)
        boxes = (*numbers, *(f"{_said(one.name)} {one.unit}".strip() for one in told))
        return Cell(
            title, lead, boxes=boxes, notes=beside, span=min(4, -(-len(boxes) // _TWO))
        )
    asked = [_said(extra.partition(":")[0].strip()) for extra in attribute.extra]
    scored = attribute.kind == "scored"
    scale = attribute.scale
    words = " · ".join(f"{at} {word}" for at, word in enumerate(scale))
    # Who looks with two noses each time looks with two noses today.
    before = len(each.last.readings) if each.last is not None else 1
    observers = max(attribute.observers, before)
    return Cell(
        title,
        lead,
        boxes=tuple(asked) if scale else ("", *asked),
        choices=tuple(map(str, range(len(scale)))) if scored else scale,
        lines=_observer_lines(observers, names),
        notes=(words, *beside) if scored else beside,
        span=2 if observers > 1 else 1,
    )


def _observer_lines(count: int, names: tuple[str, ...]) -> tuple[str, ...]:
    if count == 1:
        return ("",)
    numbered = [f"observer {number + 1}" for number in range(count)]
    return (*names[:count], *numbered[len(names) :])


def _last_text(each: SheetTask, code: str) -> str:
    """Return what was read last, with its sample where that is another."""
    last = each.last
    if last is None:
        return "not read before"
    read = " / ".join(
        f"{one.observer}: {one}" if one.observer else str(one) for one in last.readings
    )
    part = " closed again" if last.part == "after" else ""
    whose = "" if last.sample == code else f", {last.sample}"
    return f"last: {read}{part} ({last.check or last.done.day}{whose})"


def _limit_text(each: SheetTask) -> str:
    return "" if each.task.part == "after" else f"limit: {each.limit}"


def _bands(each: SheetTask) -> Iterator[str]:
    """Yield the bands of what the instrument tells beside a reading."""
    attribute = each.task.attribute
    for name in () if each.task.part is not None else attribute.told_with_reading:
        setting = attribute.settings[name]
        if setting.band:
            yield f"{_said(name)}: {setting.band}"
