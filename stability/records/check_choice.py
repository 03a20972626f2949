"""Which check readings belong to: as typed, as the plan tells, or as is still open."""

from __future__ import annotations

from stability.errors.samples import PlacingError, TooEarlyError
from stability.model.age import T0
from stability.model.moment import Moment
from stability.model.schedule import check_by_plan, nearest_open
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.acts import find_check
from stability.records.continuation import Continuation
from stability.records.guards import not_before_made, still_there

#: Typed for a check, it makes an extra observation, which counts as no check.
EXTRA = "extra"
#: The plan alone does not tell the check: what is still open does.
_UNDECIDED = "undecided"


def choose_check(
    book: Continuation, sample: Sample, typed: str | None, done: Moment
) -> str | None:
    """Return the check that readings belong to; None for an extra observation.

    Parameters
    ----------
    book
        The study.
    sample
        Whose readings.
    typed
        As typed; None or blank where nothing was.
    done
        When they were read.

    Raises
    ------
    StabilityError
        If the check is not one of the sample's, or the sample was not placed by then.
    """
    found = book.recall(
        ("check", sample.code, typed, done), _by_plan, book, sample, typed, done
    )
    if found != _UNDECIDED:
        return found or None
    # Only what is read outside every window waits for the whole record.
    check = nearest_open(book.record, sample, done)
    if check is not None:
        _placed_by(book.plan, sample, done)
    return check


def _by_plan(
    book: Continuation, sample: Sample, typed: str | None, done: Moment
) -> str:
    """Return the check that plan and typing tell, "" for none, else _UNDECIDED."""
    record = book.plan
    not_before_made(record, sample, done)
    still_there(record, sample, done)
    if typed is None or not typed.strip():
        check = check_by_plan(record, sample, done) or _UNDECIDED
    elif typed.strip().casefold() == EXTRA:
        check = ""
    else:
        check = find_check(typed, [one.check for one in book.planned(sample)])
    if check not in {"", T0, _UNDECIDED}:
        _placed_by(record, sample, done)
    return check


def _placed_by(record: StudyRecord, sample: Sample, done: Moment) -> None:
    placing = record.first_placing(sample.code)
    if placing is None:
        raise PlacingError(sample.code, "it is not placed yet; place it first")
    if done < placing.done:
        reason = f"it was placed on {placing.done.for_people()}"
        raise TooEarlyError(sample.code, done.for_people(), reason)
