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
            if check == T0 and beyond and late > 0:
                yield from _never_placed(book, sample)


def _never_placed(book: Continuation, sample: Sample) -> Iterator[str]:
    """Yield why a late reading counts as T0: nobody said that the sample was placed."""
    if sample.condition is None or book.plan.first_placing(sample.code) is not None:
        return
    yield (
        f"it counts as T0 because {sample.code} was never placed: say when it was "
        f"(stability place {sample.code} --on DAY), then correct the check of this "
        "reading (stability correct ENTRY READING --check CHECK --because REASON)"
    )
