"""When the limits were fixed, who can witness it, and what was changed afterwards."""

from __future__ import annotations

from stability.model.moment import Moment
from stability.model.plan_acts import Lodging
from stability.model.study_record import StudyRecord


def limits_recorded(record: StudyRecord, first: Moment | None) -> str:
    """Return whether the limits stood before the first reading, and who saw them.

    Parameters
    ----------
    record
        The study.
    first
        When the first reading was made; None before it.

    Notes
    -----
    What counts is when the opening and the lodging were stored, not when somebody
    says they were done.
    """
    said = [_opening(record, first), *_amendments(record)]
    if record.taken_over is not None:
        act = record.taken_over
        said.insert(
            0,
            f"This study was taken over from older notes on {act.done.day} "
            f"({act.because}); what was read before was entered afterwards.",
        )
    return " ".join(said)


def limits_late(record: StudyRecord, first: Moment | None) -> bool:
    """Say whether the limits were recorded only after the day of the first reading.

    Parameters
    ----------
    record
        The study.
    first
        When the first reading was made; None before it.
    """
    if first is None:
        return False
    known = _known(record, first)
    return known.day != first.day and not known < first


def _known(record: StudyRecord, first: Moment) -> Moment:
    """Return when the limits were stored, as exactly as the first reading is known."""
    stored = record.opening.entered.astimezone(record.zone)
    return Moment(stored.date(), stored if first.time is not None else None)


def _opening(record: StudyRecord, first: Moment | None) -> str:
    stored = record.opening.entered.astimezone(record.zone)
    opened = f"Limits were recorded on {stored:%Y-%m-%d}"
    if first is None:
        return f"{opened}, before the first reading; {_witness(record, first)}."
    known = _known(record, first)
    if known < first:
        witness = _witness(record, first)
        return f"{opened}, before the first reading on {first.day}; {witness}."
    if known.day == first.day:
        witness = _witness(record, first)
        return f"{opened}, on the day of the first reading; {witness}."
    return f"{opened}, after the first reading on {first.day}."


def _witness(record: StudyRecord, first: Moment | None) -> str:
    """Return who received the plan as opened before anything was read."""
    lodged = [
        one
        for one in record.lodgings
        if one.fingerprint == record.opening.fingerprint
        and (first is None or _stored(record, one) < first)
    ]
    if lodged:
        names = ", ".join(f"{one.receiver} on {one.done.day}" for one in lodged)
        return f"lodged with {names}"
    if record.lodgings:
        names = ", ".join(
            f"{one.receiver} on {one.done.day}" for one in record.lodgings
        )
        return f"no outside witness before it, only afterwards: {names}"
    return "no outside witness"


def _stored(record: StudyRecord, one: Lodging) -> Moment:
    local = one.entered.astimezone(record.zone)
    return Moment(local.date(), local)


def _amendments(record: StudyRecord) -> list[str]:
    days = ", ".join(str(one.done.day) for one in record.amendments)
    kept = "readings keep the limits of their day."
    return [f"The plan was amended on {days}; {kept}"] if days else []
