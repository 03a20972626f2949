"""What holds for everything that is done: its time, its sample, its reason."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from stability.errors.codes import FutureMomentError, MomentError
from stability.errors.samples import (
    ReasonNeededError,
    SampleGoneError,
    TooEarlyError,
    UnknownSampleError,
)
from stability.model.code import number_of, parse_code, study_of
from stability.model.moment import Moment, moment_at, parse_moment
from stability.model.plain_text import checked_text
from stability.model.study import Sample
from stability.model.study_record import StudyRecord

#: How far a clock may run ahead before a time counts as not yet come.
AHEAD: Final = timedelta(minutes=10)
#: Nothing that is recorded happened before; study files begin here too.
_FIRST_YEAR: Final = 1900


def checked_moment(typed: str | None, zone: ZoneInfo, now: datetime) -> Moment:
    """Return when something was done: as typed, or now.

    Raises
    ------
    MomentError
        If it has another form, names a day that does not exist, or one of a year in
        which nobody made cosmetics of today.
    FutureMomentError
        If it lies more than ten minutes ahead.
    """
    if typed is None or not typed.strip():
        return moment_at(now.astimezone(UTC), zone)
    moment = parse_moment(typed.strip(), zone)
    if moment is None:
        raise MomentError(typed, _why_no_moment(typed.strip()))
    if moment.day.year < _FIRST_YEAR:
        raise MomentError(typed, f"{moment.day.year} is no year of a study")
    latest = now + AHEAD
    ahead = (
        moment.day > latest.astimezone(zone).date()
        if moment.time is None
        else moment.time > latest
    )
    if ahead:
        there = moment_at(now.astimezone(UTC), zone).for_people()
        raise FutureMomentError(typed, there)
    return moment


def resolve_sample(record: StudyRecord, typed: str) -> Sample:
    """Return the sample that a code means; `014W` suffices within its study.

    Raises
    ------
    StabilityError
        If it is no code, its check character does not fit, or there is no such sample.
    """
    study = record.study.code
    code = parse_code(typed, study)
    if code in record.samples:
        return record.samples[code]
    if study_of(code) != study:
        raise UnknownSampleError(code, study, "")
    number = number_of(code)
    close = sorted(record.samples, key=lambda one: abs(number_of(one) - number))[:3]
    raise UnknownSampleError(code, study, ", ".join(sorted(close)))


def still_there(record: StudyRecord, sample: Sample, done: Moment) -> None:
    """Refuse what is done with a sample after it left or was stopped.

    Raises
    ------
    SampleGoneError
        If it had left by then.
    """
    retired = record.retirement_of(sample.code)
    if retired is not None and retired.done < done:
        day = retired.done.for_people()
        raise SampleGoneError(sample.code, f"left the study on {day}: {retired.reason}")
    stop = record.stop_of(sample)
    if stop is not None and stop.done < done:
        day = stop.done.for_people()
        raise SampleGoneError(sample.code, f"was stopped on {day}: {stop.because}")


def not_before_made(record: StudyRecord, sample: Sample, done: Moment) -> None:
    """Refuse what is done before the batch was made.

    Raises
    ------
    TooEarlyError
        If it is.
    """
    made = record.study.batches[sample.batch].made
    if done.day < made:
        reason = f"batch {sample.batch} was made on {made}"
        raise TooEarlyError(sample.code, done.for_people(), reason)


def reasoned(because: str | None, what: str, option: str = "--because") -> str:
    """Return the reason as typed, under the option that asks for it.

    Raises
    ------
    ReasonNeededError
        If there is none.
    """
    if because is None or not because.strip():
        raise ReasonNeededError(what, option)
    return checked_text(because, "the reason")


def _why_no_moment(typed: str) -> str:
    shaped = len(typed) >= 10 and typed[4] == "-" and typed[7] == "-"
    if shaped and all(
        part.isascii() and part.isdigit() for part in typed[:10].split("-")
    ):
        return "there is no such day or time"
    return "it is written in another form"
