"""The chapter of photographs: a strip for each condition over time.

Under each picture stand the age and the code of what it shows, and below it, where
there is one, the picture of its comparison from the same check or week.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Image, Table

from stability.evaluation.findings import Evaluation
from stability.evaluation.photograph_findings import PhotographSeen
from stability.model.age import T0, check_text
from stability.model.names import in_words
from stability.report.observation_json import set_aside
from stability.report.print_size import print_size
from stability.report.styles import ReportStyles, heading, paragraph

PHOTOGRAPHS = "photographs"
#: Pictures beside each other, and the longest edge of each [mm].
_ACROSS, _EDGE_MM = 4, 40.0
_NOTE = (
    "Cleaned copies: upright, in common colours, smaller than the original and without "
    "the camera's data; ages count from placing. A photograph shows what was in front "
    "of it in that light: it is no measurement of colour, and printed colours differ. "
    "Below a picture stands its comparison of the same check or week, where one was "
    "taken. 'stability photographs' writes out the copies as kept."
)


def photographs_chapter(
    evaluation: Evaluation, copies: Mapping[str, bytes], styles: ReportStyles
) -> list[Flowable]:
    """Return the photographs, condition by condition; nothing where there are none.

    Parameters
    ----------
    evaluation
        What is printed.
    copies
        SHA-256 -> bytes of the cleaned copies; one that is missing is named in words.
    styles
        The report's styles.
    """
    if all(one.kept.invalidated for one in evaluation.photographs):
        return []
    story = heading("Photographs", 1, styles, anchor=PHOTOGRAPHS, keep_mm=90)
    story.append(paragraph(_NOTE, styles.small, styles))
    by_position = {one.kept.position: one for one in evaluation.photographs}
    for title, strip in _strips(evaluation):
        story += heading(title, 2, styles, keep_mm=80)
        cells = [_cell(one, by_position, copies, styles) for one in strip]
        story.append(_table(cells))
    return story


def _strips(evaluation: Evaluation) -> Iterable[tuple[str, list[PhotographSeen]]]:
    """Yield condition, batch and pack with their photographs, oldest first."""
    order = {
        name: at for at, name in enumerate(evaluation.identity.protocol.conditions)
    }
    found: dict[tuple[Any, ...], list[PhotographSeen]] = {}
    for one in evaluation.photographs:
        if one.kept.invalidated is not None:
            continue
        sample = one.sample
        condition = sample.condition or T0
        place = order.get(condition, -1), sample.twin_of or ""
        key = (*place, condition, sample.batch, sample.pack or "")
        found.setdefault(key, []).append(one)
    for key in sorted(found):
        _, twin_of, condition, batch, pack = key
        twin = f", untreated twin of {twin_of}" if twin_of else ""
        where = f"{condition}{twin}, batch {batch}"
        strip = sorted(found[key], key=lambda one: (one.age_days or 0.0, _age(one)))
        yield where + (f", {pack}" if pack else ""), strip


def _age(one: PhotographSeen) -> tuple[str, int]:
    return one.kept.done.day.isoformat(), one.kept.position


def _cell(
    one: PhotographSeen,
    by_position: Mapping[int, PhotographSeen],
    copies: Mapping[str, bytes],
    styles: ReportStyles,
) -> list[Flowable]:
    """Return a picture with what it shows, and its comparisons below."""
    found = _picture(one, copies, styles, f"{_when(one)} · {one.kept.sample}")
    for beside in one.beside:
        other = by_position[beside.position]
        pack = other.sample.pack or ""
        own = f" in {pack}" if pack and pack != one.sample.pack else ""
        words = f"{beside.kind}{own}: {_when(other)} · {other.kept.sample}"
        found += _picture(other, copies, styles, words)
    return found


def _when(one: PhotographSeen) -> str:
    """Return age and check: `28 d (4w)`."""
    check = one.kept.check
    if check is None:
        return f"{one.age_text} (extra)"
    return T0 if check == T0 else f"{one.age_text} ({check_text(check)})"


def _picture(
    one: PhotographSeen,
    copies: Mapping[str, bytes],
    styles: ReportStyles,
    words: str,
) -> list[Flowable]:
    kept = one.kept
    of = f"{in_words(kept.attribute)}: " if kept.attribute else ""
    said = f"{of}{kept.caption}" if kept.caption else in_words(kept.attribute or "")
    text = [paragraph(f"{words} · entry {kept.position}", styles.cell, styles)]
    text += [paragraph(said, styles.small, styles)] if said else []
    content = copies.get(kept.sha256)
    if content is None:
        return [paragraph("The photograph is not at hand.", styles.cell, styles), *text]
    width, height = kept.pixels
    scale = _EDGE_MM * mm / max(width, height)
    picture = Image(
        io.BytesIO(print_size(content)), width * scale, height * scale, hAlign="LEFT"
    )
    return [picture, *text]


def _table(cells: Sequence[list[Flowable]]) -> Flowable:
    """Lay cells out, four in a row; a row stays whole."""
    rows = [
        [*cells[start : start + _ACROSS]] for start in range(0, len(cells), _ACROSS)
    ]
    rows[-1] += [[] for _ in range(_ACROSS - len(rows[-1]))]
    return Table(
        rows,
        colWidths=[(_EDGE_MM + 2) * mm] * _ACROSS,
        hAlign="LEFT",
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2 * mm),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ],
    )


def photographs_object(evaluation: Evaluation) -> list[dict[str, Any]]:
    """Return every photograph as plain lists and mappings, without its bytes."""
    return [
        {
            "position": one.kept.position,
            "sample": one.kept.sample,
            "batch": one.sample.batch,
            "pack": one.sample.pack,
            "condition": one.sample.condition,
            "check": one.kept.check,
            "attribute": one.kept.attribute,
            "caption": one.kept.caption,
            "done": str(one.kept.done),
            "age_days": one.age_days,
            "person": one.kept.person,
            "file": one.kept.name,
            "sha256": one.kept.sha256,
            "size_bytes": one.kept.size,
            "pixels": list(one.kept.pixels),
            "original": {
                "name": one.kept.original.name,
                "sha256": one.kept.original.sha256,
                "size_bytes": one.kept.original.size,
            },
            "camera_time": one.kept.taken,
            "set_aside": set_aside(one.kept.invalidated),
            "beside": [
                {"kind": each.kind, "position": each.position} for each in one.beside
            ],
        }
        for one in evaluation.photographs
    ]
