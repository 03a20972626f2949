"""How far a reading lies from the day on which it was due."""

from __future__ import annotations

from collections.abc import Iterator

from stability.model.age import T0
from stability.model.moment import Moment
from stability.model.study import Sample
from stability.records.continuation import Continuation


def date_remarks(
    book: Continuation, sample: Sample, check: str | None, done: Moment
) -> tuple[str, ...]:
    """Return how far a reading lies from its due date."""
    return tuple(_remarks(book, sample, check, done))


def _remarks(
    book: Continuation, sample: Sample, check: str | None, done: Moment
) -> Iterator[str]:
    if check is None:
        yield "extra: fitted, never counted as a check"
        return
    for planned in book.planned(sample):
        if planned.check != check:
            continue
        late = (done.day - planned.due).days
        if planned.holds(done.day) and (late == 0 or check == T0):
            return
        if done.day < planned.opens and check == T0:
            yield f"before the structure has settled ({planned.opens})"
        elif not planned.holds(done.day) or late:
            days = "1 day" if abs(late) == 1 else f"{abs(late)} days"
            word = f"late ({days})" if late > 0 else f"early ({days})"
            beyond = "" if planned.holds(done.day) else ", beyond the window"
            yield f"{word}{beyond}"
