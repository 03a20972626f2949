"""What was just logged, held against its limit: told after it is stored."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from stability.workflow.occasion import Occasion
from stability.workflow.written import Written

if TYPE_CHECKING:
    from stability.evaluation.readings import JudgedObservation

_JUDGED = {"observed", "corrected"}


def marks(at: Occasion, written: Iterable[Written]) -> dict[str, str]:
    """Return reference -> value, limit and mark of observations just stored.

    Nothing is fitted here, so that it costs no more than reading the study.

    Parameters
    ----------
    at
        The occasion.
    written
        What one verb has written, all of one study.
    """
    from stability.evaluation.fates import exposures_of
    from stability.evaluation.index import index_of
    from stability.evaluation.judging import judge_all
    from stability.records import journal
    from stability.records.database import open_database
    from stability.records.store import record_of

    stored = {one.position: one for one in written if one.kind in _JUDGED}
    if not stored:
        return {}
    subject = next(iter(stored.values())).subject
    with open_database(at.records).reading() as connection:
        entries = journal.entries(connection, subject)
    record = record_of(entries).record
    index = index_of(record, at.now.astimezone(record.zone).date())
    return {
        stored[one.position].reference: mark_words(one)
        for one in judge_all(index, exposures_of(index))
        if one.position in stored
    }


def mark_words(judged: JudgedObservation) -> str:
    """Return `mean 5.51, limit 5.0 to 5.9: inside` for one observation."""
    if judged.mark == "recorded only":
        return judged.mark
    detail = f" ({judged.detail})" if judged.detail else ""
    return f"{_value(judged)}limit {judged.limit_text}: {judged.mark}{detail}"


def _value(judged: JudgedObservation) -> str:
    """Return the value judged, where it is not the reading as typed."""
    seen = judged.observation
    if not judged.value_text:
        return ""
    if seen.part is not None:
        return f"loss {judged.value_text} %, "
    if len(seen.readings) < 2:
        return ""
    return f"{'mean ' if judged.word is None else ''}{judged.value_text}, "
