"""What is done to a plan as a whole, checked: lodged, taken over."""

from __future__ import annotations

from stability.errors.samples import TooEarlyError
from stability.model import content
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.plain_text import checked_name, checked_text
from stability.model.study_record import StudyRecord
from stability.records.guards import reasoned


def lodged(
    record: StudyRecord, receiver: str, note: str | None, done: Moment
) -> Content:
    """Return the content of a lodging of the plan as it stands.

    Raises
    ------
    StabilityError
        If name or note cannot be taken, or it lies before the opening.
    """
    opened = record.opening.done
    if done < opened:
        reason = f"study {record.study.code} was opened on {opened.for_people()}"
        raise TooEarlyError("The plan record", done.for_people(), reason)
    plan = record.amendments[-1] if record.amendments else record.opening
    said = checked_text(note, "the note").strip() if note else None
    return content.lodged(
        checked_name(receiver, "who received it"), plan.fingerprint, said or None
    )


def taken_over(because: str) -> Content:
    """Return the content of the statement that a study began elsewhere.

    Raises
    ------
    StabilityError
        If no reason is given.
    """
    return content.taken_over(reasoned(because, "Taking over", "--taken-over REASON"))
