"""Listings of follow-ups and of photographs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stability.cli.output import ASSESSMENT, Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.model.photograph import Photograph
    from stability.workflow.follow_ups import FollowUp
    from stability.workflow.photographs import PhotographSeen

FOLLOW_UPS = (
    Column("position", "entry", right=True),
    Column("also", ""),
    Column("state", "follow-up"),
    Column("sample", "sample"),
    Column("condition", "condition"),
    Column("check", "check"),
    Column("attribute", "attribute"),
    Column("outcome", "outcome"),
    Column("answered", "answer", right=True),
    Column("by", "by"),
    Column("outside", "outside", below=True),
    Column("repeats", "repeats", below=True),
    Column("checked", "looked at", below=True),
    Column("because", "because", below=True),
    Column("earlier", "earlier answers", below=True),
    Column("since", "since", below=True),
)
PHOTOGRAPHS = (
    Column("position", "entry", right=True),
    Column("sample", "sample"),
    Column("batch", "batch"),
    Column("pack", "pack"),
    Column("condition", "condition"),
    Column("check", "check"),
    Column("day", "taken"),
    Column("age_days", ""),
    Column("age", "age", right=True),
    Column("attribute", "attribute"),
    Column("width", ""),
    Column("height", ""),
    Column("pixels", "pixels", right=True),
    Column("bytes", ""),
    Column("sha256", ""),
    Column("original_name", ""),
    Column("original_sha256", ""),
    Column("original_bytes", ""),
    Column("camera_time", ""),
    Column("beside", "beside", right=True),
    Column("file", "file", below=True),
    Column("caption", "caption", below=True),
    Column("set_aside", "set aside", below=True),
)


def follow_ups_listing(found: Sequence[FollowUp]) -> Listing:
    """Return one row for each follow-up, its answer below."""
    waiting = sum(one.is_open for one in found)
    return Listing(
        "follow_ups",
        FOLLOW_UPS,
        [_follow_up_row(one) for one in found],
        "Nothing lies outside its limit.",
        facts={"open": waiting, "answered": len(found) - waiting},
        notes=(ASSESSMENT,),
    )


def _follow_up_row(one: FollowUp) -> Row:
    said = one.answer
    return {
        "position": one.position,
        "also": ", ".join(map(str, one.also)) or None,
        "state": one.state,
        "sample": one.sample,
        "condition": one.condition,
        "check": one.check or "extra",
        "attribute": one.attribute,
        "outcome": said.outcome if said else None,
        "answered": said.position if said else None,
        "by": said.person if said else None,
        "outside": one.text,
        "repeats": "; ".join(one.repeats),
        "checked": said.checks_text if said else None,
        "because": said.because if said else None,
        "earlier": "; ".join(
            f"entry {each.position}: {each.outcome} ({each.because})"
            for each in one.answers[:-1]
        ),
        "since": one.since,
    }


def photographs_listing(found: Sequence[PhotographSeen]) -> Listing:
    """Return one row for each photograph."""
    return Listing(
        "photographs",
        PHOTOGRAPHS,
        [_photograph_row(one) for one in found],
        "No photograph is kept of it.",
        facts={
            "kept": len(found),
            "set_aside": sum(one.kept.invalidated is not None for one in found),
        },
    )


def _photograph_row(one: PhotographSeen) -> Row:
    kept = one.kept
    width, height = kept.pixels
    return {
        "position": kept.position,
        "sample": kept.sample,
        "batch": one.sample.batch,
        "pack": one.sample.pack,
        "condition": one.sample.condition,
        "check": kept.check or "extra",
        "day": kept.done.day.isoformat(),
        "age_days": one.age_days,
        "age": one.age_text,
        "attribute": kept.attribute,
        "width": width,
        "height": height,
        "pixels": f"{width} × {height}",
        "bytes": kept.size,
        "sha256": kept.sha256,
        "original_name": kept.original.name,
        "original_sha256": kept.original.sha256,
        "original_bytes": kept.original.size,
        "camera_time": kept.taken,
        "beside": ", ".join(str(each.position) for each in one.beside),
        "file": kept.name,
        "caption": kept.caption,
        "set_aside": _cause_of(kept),
    }


def _cause_of(kept: Photograph) -> str | None:
    """Return by which entry a photograph was set aside, and why."""
    cause = kept.invalidated
    if cause is None:
        return None
    return f"set aside by entry {cause.position}: {cause.because}"
