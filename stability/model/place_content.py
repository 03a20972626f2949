"""What the entries of a storage place hold, kind by kind.

Written once, read for ever, as those of a study. The file of a logger is one entry and
one attachment: the entry says how it is to be read, from when to when it reaches, and
the SHA-256 of the file as it was received. An entry that was set aside is one of kind
`invalidated/1`, as in a study; an excursion is answered by one of kind `answered/1`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stability.model import content
from stability.model.content import ANSWERED, INVALIDATED, Content
from stability.model.logger_form import LogSummary, form_content

REGISTERED: Final = "place-registered/1"
LOGGED: Final = "storage-logged/1"
LOOKED: Final = "storage-looked/1"
EVENT: Final = "storage-event/1"
#: Kinds of entries of a storage place that this version reads.
PLACE_KINDS: Final = frozenset(
    {REGISTERED, LOGGED, LOOKED, EVENT, ANSWERED, INVALIDATED}
)
#: The question that an excursion asks.
EXCURSION_QUESTION: Final = "excursion"


def registered(
    name: str,
    text: str,
    zone: str,
    *,
    temperature: str | None = None,
    tolerance: str | None = None,
    between: tuple[str, str] | None = None,
    longest_gap: str,
    usual: bool,
) -> Content:
    """Build a registration: what it is, and what temperature is meant there."""
    return {
        "name": name,
        "text": text,
        "zone": zone,
        "temperature": temperature,
        "tolerance": tolerance,
        "between": None if between is None else list(between),
        "longest_gap": longest_gap,
        "usual_gap": usual,
    }


def logged(file_name: str, sha256: str, size: int, summary: LogSummary) -> Content:
    """Build the entry of a logger's file, which is kept beside it."""
    return {
        "file": {"name": file_name, "sha256": sha256},
        "size": size,
        "form": form_content(summary.form),
        "readings": summary.readings,
        "without_reading": summary.without_reading,
        "impossible": summary.impossible,
        "repeated": summary.repeated,
        "first": summary.first,
        "last": summary.last,
    }


def looked(lowest: str, highest: str) -> Content:
    """Build a look at a thermometer that keeps lowest and highest, and its reset."""
    return {"lowest": lowest, "highest": highest}


def event(what: str, start: str, end: str, direction: str | None) -> Content:
    """Build a stated event: what happened, from when to when, hotter or colder."""
    return {"what": what, "start": start, "end": end, "direction": direction}


def answered(
    refers_to: int,
    start: str,
    end: str,
    *,
    outcome: str,
    because: str,
    study: str | None,
    sides: Sequence[str] | None = None,
) -> Content:
    """Build the answer to what a place did outside its range in a period.

    Answers of earlier versions tell no sides and hold for all that lies within them.
    """
    told = {} if sides is None else {"sides": list(sides)}
    return {
        **content.answered(refers_to, EXCURSION_QUESTION, {}, outcome, because),
        "start": start,
        "end": end,
        "study": study,
        **told,
    }
