"""The storage places of a study: what they did while samples stood there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.phrases import listed
from stability.evaluation.storage_findings import (
    ConditionStorage,
    PlaceFigures,
    Stay,
    Storage,
    StorageExcursion,
    hours_text,
)
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.fonts import ReportFonts
from stability.report.renderer import FigureFlowable
from stability.report.storage_figure import storage_figure
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Group, TableRow, key_values, record_table
from stability.report.wording import count, sentence_case

#: Anchor of the chapter.
STORAGE: Final = "storage"
_LEAD: Final = (
    "Each reading of a logger holds until the next; a longer gap than the place allows "
    "is unknown and not good. Excursions are times outside the range that the protocol "
    "means for the condition; beyond 24 hours their effect is to be assessed. They "
    "stand beside the readings that they may explain, and change no value, mark or "
    "line."
)
_FIGURE: Final = (
    "Band: lowest and highest reading of each stretch of time; a break is a time of "
    "which nothing is known. At most four excursions are named, the longest."
)
#: Excursions of one condition that are listed one by one [-].
_MOST_LISTED: Final = 40


def storage_chapter(
    evaluation: Evaluation, styles: ReportStyles, fonts: ReportFonts
) -> list[Flowable]:
    """Return what each condition was, with figures, excursions and stays."""
    storage = evaluation.storage
    if not storage.conditions:
        return []
    story = heading("Storage", 1, styles, anchor=STORAGE, keep_mm=60)
    if not storage.is_recorded:
        words = not_recorded_text(storage)
        return [*story, paragraph(words, styles.body, styles)] if words else []
    zone = storage.zone
    story.append(paragraph(_LEAD, styles.body, styles))
    story.append(_places(storage, styles))
    unknown = [one for one in storage.conditions if not (one.places or _is_known(one))]
    for one in storage.conditions:
        if one not in unknown:
            story += _condition(one, storage, zone, (styles, fonts))
    return [*story, *_unknown(unknown, styles), *_stays(storage, zone, styles)]


def _unknown(
    conditions: Sequence[ConditionStorage], styles: ReportStyles
) -> list[Flowable]:
    """Return the conditions of which no place is named, in one table."""
    if not conditions:
        return []
    rows: list[TableRow] = [
        [one.condition, one.meant_text, str(one.samples)] for one in conditions
    ]
    columns = (
        Fitted("Condition", 40, strong=True),
        shared("Meant"),
        Fitted("Samples", align="right"),
    )
    words = _silent_text([one for one in conditions if one.cautions])
    return [
        *heading("Without a storage place", 2, styles, keep_mm=30),
        *([paragraph(words, styles.body, styles)] if words else []),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def not_recorded_text(storage: Storage) -> str:
    """Return of which conditions nothing is recorded; "" where none asks for it."""
    return _silent_text([one for one in storage.conditions if one.cautions])


def _silent_text(silent: Sequence[ConditionStorage]) -> str:
    if not silent:
        return ""
    names = listed([one.condition for one in silent])
    return (
        f"Nothing is recorded of the storage of {names}: what temperature it really "
        "had is not known."
    )


def storage_text(evaluation: Evaluation) -> str:
    """Return for the first page what is recorded of storage, and what is open."""
    storage = evaluation.storage
    if not storage.is_recorded:
        return "Storage not recorded." if not_recorded_text(storage) else ""
    known = [one.condition for one in storage.conditions if _is_known(one)]
    silent = [
        one.condition
        for one in storage.conditions
        if one.cautions and not _is_known(one) and not _is_only_told(one)
    ]
    told = [one.condition for one in storage.conditions if _is_only_told(one)]
    parts = [f"recorded for {listed(known)}"] if known else []
    parts += [f"told by stated events only for {listed(told)}"] if told else []
    parts += [f"not recorded for {listed(silent)}"] if silent else []
    text = f"Storage {', '.join(parts)}"
    excursions = storage.excursions
    if not excursions:
        return f"{text}; no excursion."
    open_ = sum(one.is_open for one in excursions)
    held = "answered" if len(excursions) == 1 else "all answered"
    answered = f"{open_} without an answer" if open_ else held
    return f"{text}; {count(len(excursions), 'excursion')}, {answered}."


def storage_anchors(evaluation: Evaluation) -> list[tuple[str, str]]:
    """Return the anchors of the storage places, for the end of the report."""
    return [
        (f"Storage place {one.code}", str(one.head))
        for one in evaluation.storage.places
    ]


def storage_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return the storage chapter as lists and mappings."""
    storage = evaluation.storage
    return {
        "places": [
            {
                "place": one.code,
                "what": one.text,
                "meant": one.meant_text,
                "record": str(one.head),
            }
            for one in storage.places
        ],
        "conditions": [_condition_object(one) for one in storage.conditions],
        "samples": [_stay_object(one) for one in storage.stays],
        "excursions": [excursion_object(one) for one in storage.excursions],
    }


def _is_known(one: ConditionStorage) -> bool:
    """Say whether a logger or a thermometer tells of a condition."""
    logged = one.figures is not None and one.figures.known_hours > 0
    return logged or one.looks is not None


def _is_only_told(one: ConditionStorage) -> bool:
    """Say whether nothing but an event that somebody stated is on record."""
    return not _is_known(one) and bool(one.excursions)


def _places(storage: Storage, styles: ReportStyles) -> Flowable:
    rows: list[TableRow] = [
        [one.code, one.text or "–", one.meant_text] for one in storage.places
    ]
    columns = fitted_columns(
        (Fitted("Place", 36, strong=True), shared("What it is"), shared("Meant")),
        rows,
        styles,
    )
    return record_table(columns, rows, styles)


def _condition(
    one: ConditionStorage,
    storage: Storage,
    zone: ZoneInfo,
    drawing: tuple[ReportStyles, ReportFonts],
) -> list[Flowable]:
    styles, fonts = drawing
    figures = one.figures
    period = ""
    if figures is not None:
        period = f", {_period(figures.start, figures.end, zone)}"
    samples = count(one.samples, "sample")
    rows = [
        ("Where", ", ".join(one.places) or "no place named"),
        ("Meant", one.meant_text),
        ("Stood there", f"{samples}{period}"),
        ("Loggers", "; ".join(figures.lines()) if figures is not None else ""),
        ("Thermometer", _look_text(one)),
        ("Not whole", "\n".join(one.cautions)),
    ]
    story = [
        *heading(one.condition, 2, styles, keep_mm=50),
        key_values([row for row in rows if row[1]], styles, key_mm=26),
    ]
    drawn = next((d for d in storage.envelopes if d.condition == one.condition), None)
    if drawn is not None and len(drawn.times) > 1:
        story.append(FigureFlowable(storage_figure(one, drawn, zone), fonts))
        story.append(paragraph(_FIGURE, styles.small, styles))
    return [*story, *_excursions(one.excursions, zone, styles)]


def _look_text(one: ConditionStorage) -> str:
    looks = one.looks
    if looks is None:
        return ""
    side = "never outside" if looks.never_outside else "outside for an unknown time"
    return (
        f"{count(looks.looks, 'look')}, {looks.lowest_c:g} to {looks.highest_c:g} °C, "
        f"{side}; it tells no mean"
    )


def _excursions(
    excursions: Sequence[StorageExcursion], zone: ZoneInfo, styles: ReportStyles
) -> list[Flowable]:
    if not excursions:
        return [paragraph("No excursion is known.", styles.body, styles)]
    listed_ = sorted(excursions, key=lambda one: -(one.hours or 0.0))[:_MOST_LISTED]
    rows: list[TableRow] = [
        [
            _period(one.start, one.end, zone),
            sentence_case(one.text),
            one.known_from,
            f"{one.place}/{one.position}",
            one.answer_text,
        ]
        for one in sorted(listed_, key=lambda one: one.start)
    ]
    left = [one for one in excursions if one not in listed_]
    if left:
        hours = sum(one.hours or 0.0 for one in left)
        rows.append(Group(f"and {len(left)} shorter, {hours_text(hours)} together"))
    columns = fitted_columns(
        (
            Fitted("When", 34),
            shared("Excursion", 1.3),
            Fitted("Known from", 20),
            Fitted("Entry", 22),
            shared("Answer"),
        ),
        rows,
        styles,
    )
    return [record_table(columns, rows, styles)]


def _stays(storage: Storage, zone: ZoneInfo, styles: ReportStyles) -> list[Flowable]:
    """Return how long samples stood where, those of the same time together."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for run in _runs(storage.stays):
        alike.setdefault(_stay_cells(run, zone), []).append(run[0].sample)
    rows: list[TableRow] = [
        [", ".join(samples), *cells] for cells, samples in alike.items()
    ]
    columns = fitted_columns(
        (
            shared("Samples", 1.4),
            Fitted("Condition", 24),
            Fitted("Place", 26),
            Fitted("From", 22),
            Fitted("To", 22),
            Fitted("Time", 26, align="right"),
            shared("Known"),
        ),
        rows,
        styles,
    )
    return [
        *heading("Time stored", 2, styles, keep_mm=40),
        record_table(columns, rows, styles),
    ]


def _runs(stays: Sequence[Stay]) -> list[tuple[Stay, ...]]:
    """Put the steps of one sample together in a condition of which nothing is known."""
    runs: dict[tuple[object, ...], list[Stay]] = {}
    for place, one in enumerate(stays):
        whole = (one.sample, one.condition, one.place)
        known = one.figures is not None and one.figures.known_hours > 0
        runs.setdefault((*whole, place) if known else whole, []).append(one)
    return [tuple(ones) for ones in runs.values()]


def _stay_cells(run: tuple[Stay, ...], zone: ZoneInfo) -> tuple[str, ...]:
    """Return what is printed of one run, without its sample."""
    first, last = run[0], run[-1]
    end = last.end.astimezone(zone)
    steps = "" if len(run) == 1 else f"{len(run)} stays, "
    return (
        first.condition,
        first.place or "–",
        f"{first.start.astimezone(zone):%Y-%m-%d}",
        "still there" if last.lasts else f"{end:%Y-%m-%d}",
        f"{steps}{hours_text(sum(one.hours for one in run))}",
        _known_text(first.figures),
    )


def _known_text(figures: PlaceFigures | None) -> str:
    if figures is None or figures.known_hours <= 0:
        return "nothing"
    parts = [
        f"{hours_text(hours)} {side}"
        for hours, side in (
            (figures.hotter_hours, "hotter"),
            (figures.colder_hours, "colder"),
            (figures.unknown_hours, "unknown"),
        )
        if hours >= 0.05
    ]
    return ", ".join(parts) or "all within range"


def _period(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    first, last = start.astimezone(zone), end.astimezone(zone)
    return f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"


def _condition_object(one: ConditionStorage) -> dict[str, Any]:
    looks = one.looks
    return {
        "condition": one.condition,
        "places": list(one.places),
        "meant_c": None if one.meant is None else [str(end) for end in one.meant],
        "samples": one.samples,
        **_figures_object(one.figures),
        "looks": None if looks is None else looks.looks,
        "looks_lowest_c": None if looks is None else looks.lowest_c,
        "looks_highest_c": None if looks is None else looks.highest_c,
        "looks_never_outside": None if looks is None else looks.never_outside,
        "cautions": list(one.cautions),
    }


def _stay_object(one: Stay) -> dict[str, Any]:
    return {
        "sample": one.sample,
        "condition": one.condition,
        "place": one.place or None,
        "from": one.start.isoformat(),
        "to": one.end.isoformat(),
        "lasts": one.lasts,
        "stored_hours": one.hours,
        **_figures_object(one.figures),
        "excursions": len(one.excursions),
    }


def _figures_object(figures: PlaceFigures | None) -> dict[str, Any]:
    names = (
        "hours", "known_hours", "unknown_hours", "within_share", "hotter_hours",
        "colder_hours", "lowest_c", "highest_c", "mean_c", "mean_kinetic_c",
        "not_stated", "humidity",
    )  # fmt: skip
    keys = {
        "not_stated": "mean_kinetic_not_stated",
        "humidity": "mean_humidity_percent",
    }
    return {
        keys.get(name, name): None if figures is None else getattr(figures, name)
        for name in names
    }


def excursion_object(one: StorageExcursion) -> dict[str, Any]:
    """Return one excursion with its answer."""
    answer = one.answer
    return {
        "place": one.place,
        "position": one.position,
        "known_from": one.known_from,
        "direction": one.direction,
        "from": one.start.isoformat(),
        "to": one.end.isoformat(),
        "hours": one.hours,
        "peak_c": one.peak_c,
        "end_unknown": one.end_unknown,
        "stated": list(one.stated),
        "outcome": None if answer is None else answer.outcome,
        "because": None if answer is None else answer.because,
        "text": one.text,
    }
